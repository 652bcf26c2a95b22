"""A morning's cutting list for a person at the block: short lines with boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.ask.morning import Morning
from planner.show.later import HEAD
from planner.show.layout import WIDTH, clip, columns_of, fitted_table, listed, wrapped
from planner.show.sheet import day_sheet
from planner.show.sheet_lines import (
    TRAY_HEADS,
    BatchTask,
    CutterList,
    DaySheet,
    DueOrder,
    Item,
    Task,
)
from planner.show.text import cautions_text

BOX = "[ ]"

UNDER = 12
"""Columns by which what stands under a task is set in: below its text."""


def morning_text(morning: Morning, begins: float, width: int = WIDTH) -> str:
    """The list of a day: what comes down, the cutting, the grind, the trays, the case, the orders.

    Parameters
    ----------
    morning : Morning
    begins : float
        When the first piece is taken up, in minutes from midnight.
    width : int
        Columns there are.
    """
    sheet = day_sheet(morning, begins)
    parts = [
        _head(sheet, width),
        *(_cutter(each, width) for each in sheet.cutters),
        _block(
            "GRIND (of which lot, and the day it was cut)",
            [line for each in sheet.batches for line in _batch(each, width)],
        ),
        sheet.done,
        _trays(sheet, width),
        _case(sheet, width),
        _block("WRAP FOR ORDERS", list(_wraps(sheet, width))),
        _block("OUT OF THE CASE TONIGHT", list(_leaving(sheet, width))),
        _block("LEFT WHOLE", wrapped("; ".join(sheet.whole), 2, width) if sheet.whole else []),
        _block(HEAD, [line for each in sheet.later for line in wrapped(each, 2, width, 5)]),
        cautions_text(width),
    ]
    return "\n\n".join(part for part in parts if part)


def _block(head: str, lines: Sequence[str]) -> str:
    return "\n".join([head, *lines]) if lines else ""


def _head(sheet: DaySheet, width: int) -> str:
    date = sheet.date.upper()
    lines = [
        clip(sheet.title, width),
        f"{date}{sheet.bench:>{width - columns_of(date)}}",
    ]
    for each in sheet.heads:
        lines += wrapped(each, 2, width, hanging=2)
    lines += wrapped(sheet.late, 0, width) if sheet.late else []
    if not sheet.cutters and not sheet.batches:
        lines.append("  Nothing is cut today.")
    lines += [line for each in sheet.missing for line in wrapped(each, 2, width, 2)]
    return "\n".join(lines)


def _cutter(cutter: CutterList, width: int) -> str:
    """A cutter's list, under the tool in hand."""
    lines = [f"{cutter.name.upper()}, done at {cutter.ends}" if cutter.name else "CUT"]
    for spell in cutter.spells:
        lines += [f"  {spell.tool.upper()}"] if spell.tool else []
        lines += [line for task in spell.tasks for line in _task(task, width)]
    return "\n".join(lines)


def _task(task: Task, width: int) -> Iterator[str]:
    if not task.what:
        yield f"      {task.time:>5}  wait {task.minutes}"
        return
    lots = f" ({task.of_lots})" if task.of_lots else ""
    yield from _first_line(
        task.time, f"{task.count} {task.what}{lots}".strip(), task.minutes, width
    )
    yield from _items("", task.gives, width)
    yield from _items("trays: ", task.trays, width)
    yield from _waiting(task.waiting, width)


def _first_line(time: str, what: str, minutes: str, width: int) -> Iterator[str]:
    """`[ ]  6:00  2 carcass: block break         32 min`."""
    room = width - UNDER - columns_of(minutes) - 2
    first, *more = wrapped(what, 0, room)
    gap = " " * (room - columns_of(first))
    yield f"  {BOX} {time:>5} {first}{gap}  {minutes}"
    yield from (f"{' ' * UNDER}{line}" for line in more)


def _items(word: str, items: Sequence[Item], width: int) -> list[str]:
    """`trays: A trim 85 1.2 lb; C fat 0.4 lb`."""
    if not items:
        return []
    told = "; ".join(f"{item.name} {item.amount}" for item in items)
    return wrapped(f"{word}{told}", UNDER, width, hanging=2)


def _waiting(waiting: Sequence[DueOrder], width: int) -> Iterator[str]:
    for each in waiting:
        yield from wrapped(f"FOR {each.text}", UNDER, width, hanging=2)


def _batch(batch: BatchTask, width: int) -> Iterator[str]:
    """A batch as its own sheet: what goes in, of which lots."""
    fat = f", {batch.fat} expected" if batch.fat else ""
    cutter = f" ({batch.cutter})" if batch.cutter else ""
    what = f"{batch.code} {batch.what} {batch.amount}{fat}{cutter}"
    yield from _first_line(batch.time, what, batch.minutes, width)
    for item, lots in batch.takes:
        yield from wrapped(f"{item.name} {item.amount} ({lots})", UNDER, width, hanging=2)
    yield from _waiting(batch.waiting, width)


def _trays(sheet: DaySheet, width: int) -> str:
    if not sheet.trays:
        return ""
    align = ("left", *["right"] * (len(TRAY_HEADS) - 1))
    return f"TRAYS\n{fitted_table(sheet.trays, TRAY_HEADS, align, width, flexible=(0,))}"


def _case(sheet: DaySheet, width: int) -> str:
    """What is put out, what is marked down, then what is kept for later."""
    out = [(row.name, row.out, row.first) for row in sheet.case if row.out]
    table = _columns(out, ("", "put out", "from before"), ("left", "right", "right"), width)
    marked = [f"{row.name} {row.marked}" for row in sheet.case if row.marked]
    kept = [f"{row.name} {row.keep} (till {row.until})" for row in sheet.case if row.keep]
    held = [each for row in sheet.case for each in row.held]
    blocks = [
        _block(
            "INTO THE CASE (what is from before first)",
            [table, *listed("mark down", marked, width)] if out else [],
        ),
        _block(
            "INTO THE COOLER",
            [
                *(wrapped("; ".join(kept), 2, width) if kept else []),
                *(line for each in held for line in wrapped(f"hold for {each.text}", 2, width)),
            ],
        ),
    ]
    return "\n\n".join(block for block in blocks if block)


def _columns(
    rows: Sequence[Sequence[str]], heads: Sequence[str], align: Sequence[str], width: int
) -> str:
    """A table without the columns that are empty all the way down."""
    used = [n for n in range(len(heads)) if any(row[n] for row in rows)]
    shown = [[row[n] or "-" for n in used] for row in rows]
    return fitted_table(
        shown, [heads[n] for n in used], [align[n] for n in used], width, flexible=(0,)
    )


def _wraps(sheet: DaySheet, width: int) -> Iterator[str]:
    for each in sheet.wraps:
        first = f", {each.first} of it from before" if each.first else ""
        short = f" - SHORT {each.short}" if each.short else ""
        yield from wrapped(f"{BOX} {each.buyer}: {each.what}{first}{short}", 2, width, hanging=4)


def _leaving(sheet: DaySheet, width: int) -> Iterator[str]:
    for each in sheet.out:
        yield from wrapped(f"{BOX} {each}", 2, width, hanging=4)
    if sheet.last_day:
        told = f"last day, use first: {'; '.join(sheet.last_day)}"
        yield from wrapped(told, 2, width, hanging=2)
