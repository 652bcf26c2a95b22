"""A morning's cutting list for a person at the block: short lines with boxes to tick."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from planner.ask.morning import Morning
from planner.show.later import HEAD
from planner.show.layout import (
    WIDTH,
    clip,
    columns_of,
    fitted_table,
    listed,
    paragraphs,
    section,
    wrapped,
)
from planner.show.sheet import day_sheet
from planner.show.sheet_lines import TRAY_HEADS, BatchTask, CutterList, DaySheet, Item, Task
from planner.show.text import cautions_text

BOX = "[ ]"

UNDER = 12  # columns by which what stands under a task is set in: below its text


def morning_text(morning: Morning, begins: float, width: int = WIDTH) -> str:
    """The list of a day: what comes down, the cutting, the grind, the trays, the case, the orders.

    `begins` is when the first piece is taken up, in minutes from midnight.
    """
    sheet = day_sheet(morning, begins)
    batches = [line for each in sheet.batches for line in _batch(each, width)]
    later = [line for each in sheet.later for line in wrapped(each, 2, width, 5)]
    whole = wrapped("; ".join(sheet.whole), 2, width) if sheet.whole else []
    return paragraphs(
        _head(sheet, width),
        *(_cutter(each, width) for each in sheet.cutters),
        section("GRIND (of which lot, and the day it was cut)", batches),
        sheet.done,
        section("TRAYS", _trays(sheet, width)),
        section("INTO THE CASE (what is from before first)", _case(sheet, width)),
        section("INTO THE COOLER", _cooler(sheet, width)),
        section("WRAP FOR ORDERS", _wraps(sheet, width)),
        section("OUT OF THE CASE TONIGHT", _leaving(sheet, width)),
        section("LEFT WHOLE", whole),
        section(HEAD, later),
        cautions_text(width),
    )


def _head(sheet: DaySheet, width: int) -> list[str]:
    date = sheet.date.upper()
    lines = [clip(sheet.title, width), f"{date}{sheet.bench:>{width - columns_of(date)}}"]
    lines += [line for each in sheet.heads for line in wrapped(each, 2, width, hanging=2)]
    lines += wrapped(sheet.late, 0, width)
    if not sheet.cutters and not sheet.batches:
        lines.append("  Nothing is cut today.")
    return [*lines, *(line for each in sheet.missing for line in wrapped(each, 2, width, 2))]


def _cutter(cutter: CutterList, width: int) -> list[str]:
    """A cutter's list, under the tool in hand."""
    lines = [f"{cutter.name.upper()}, done at {cutter.ends}" if cutter.name else "CUT"]
    for spell in cutter.spells:
        lines += [f"  {spell.tool.upper()}"] if spell.tool else []
        lines += [line for task in spell.tasks for line in _task(task, width)]
    return lines


def _task(task: Task, width: int) -> Iterator[str]:
    if not task.what:
        yield f"      {task.time:>5}  wait {task.minutes}"
        return
    lots = f" ({task.of_lots})" if task.of_lots else ""
    what = f"{task.number} {task.what}{lots}".strip()
    below = [_items("", task.gives), _items("trays: ", task.trays)]
    below += [f"FOR {each.text}" for each in task.waiting]
    yield from _ticked(task.time, what, task.minutes, below, width)


def _ticked(time: str, what: str, minutes: str, below: Iterable[str], width: int) -> Iterator[str]:
    """`[ ]  6:00  2 carcass: block break         32 min`, and what stands under it."""
    room = width - UNDER - columns_of(minutes) - 2
    first, *more = wrapped(what, 0, room)
    gap = " " * (room - columns_of(first))
    yield f"  {BOX} {time:>5} {first}{gap}  {minutes}"
    yield from (f"{' ' * UNDER}{line}" for line in more)
    for each in below:
        yield from wrapped(each, UNDER, width, hanging=2)


def _items(word: str, items: Sequence[Item]) -> str:
    """`trays: A trim 85 1.2 lb; C fat 0.4 lb`."""
    told = "; ".join(f"{item.name} {item.amount}" for item in items)
    return told and f"{word}{told}"


def _batch(batch: BatchTask, width: int) -> Iterator[str]:
    """A batch as its own sheet: what goes in, of which lots."""
    fat = f", {batch.fat} expected" if batch.fat else ""
    cutter = f" ({batch.cutter})" if batch.cutter else ""
    what = f"{batch.code} {batch.what} {batch.amount}{fat}{cutter}"
    below = [f"{item.name} {item.amount} ({lots})" for item, lots in batch.takes]
    below += [f"FOR {each.text}" for each in batch.waiting]
    yield from _ticked(batch.time, what, batch.minutes, below, width)


def _trays(sheet: DaySheet, width: int) -> list[str]:
    align = ("left", *["right"] * (len(TRAY_HEADS) - 1))
    return [fitted_table(sheet.trays, TRAY_HEADS, align, width, (0,))] if sheet.trays else []


def _case(sheet: DaySheet, width: int) -> list[str]:
    """What is put out, without the column of what is from before where nothing is, and marked."""
    rows = [(row.name, row.out, row.first or "-") for row in sheet.case if row.out]
    heads, align = ("", "put out", "from before"), ("left", "right", "right")
    used = 3 if any(row[2] != "-" for row in rows) else 2
    shown = fitted_table([row[:used] for row in rows], heads[:used], align[:used], width, (0,))
    marked = [f"{row.name} {row.marked}" for row in sheet.case if row.marked]
    return [shown, *listed("mark down", marked, width)] if rows else []


def _cooler(sheet: DaySheet, width: int) -> Iterator[str]:
    kept = [f"{row.name} {row.keep} (till {row.until})" for row in sheet.case if row.keep]
    yield from wrapped("; ".join(kept), 2, width) if kept else ()
    for each in (each for row in sheet.case for each in row.held):
        yield from wrapped(f"hold for {each.text}", 2, width)


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
