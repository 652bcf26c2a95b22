"""The journal for a person: what is in it, what is open, what was entered."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from planner.core.quantities import WEEKDAYS, show_count
from planner.core.signs import shown_line
from planner.journal.entries import Delivery, Entry, OrderTaken, PlanKept, Recorded
from planner.shop.entering.kinds import kind_of
from planner.shop.entering.orders import OrderState
from planner.shop.plans.posted import read_kept
from planner.show.entry_words import EntryWords, short_day
from planner.show.layout import GAP, INDENT, WIDTH, columns_of, listed, table, wrapped

HEADS = ("no.", "day", "what", "", "entered")

LEAST_WORDS = 12
"""Columns below which words are not squeezed."""


@dataclass(frozen=True, slots=True)
class Listing:
    """What is listed, the writings that do not count, and how many more entries are before it."""

    entries: tuple[Recorded, ...]
    undone: frozenset[int] = frozenset()
    earlier: int = 0


def listing_text(listing: Listing, words: EntryWords, today: date, width: int = WIDTH) -> str:
    """A line for each entry, the newest last; long words go on below, figures are never cut.

    Of a plan that stands alone, its list too.
    """
    if not listing.entries:
        return "There are no such entries in the journal."
    lines = [_line(one, listing.undone, words, today) for one in listing.entries]
    told = [
        f"  {show_count(listing.earlier, 'earlier entry', 'earlier entries')}: --all shows them"
    ]
    text = _table(lines, HEADS, width)
    alone = listing.entries[0].entry if len(listing.entries) == 1 else None
    plan = _list_of(alone, today, width) if isinstance(alone, PlanKept) else []
    return "\n".join([*(told if listing.earlier else []), text, *plan])


def _list_of(entry: PlanKept, today: date, width: int) -> list[str]:
    """The breaks and batches of a plan that was kept, day by day; nothing of one not understood."""
    kept = read_kept(entry.plan)
    days: dict[date, list[str]] = {}
    for each in kept.breaks if kept else ():
        days.setdefault(each.day, []).append(
            f"{each.count} {shown_line(each.piece)}: {shown_line(each.way)}"
        )
    for batch in kept.batches if kept else ():
        days.setdefault(batch.day, []).append(f"make {shown_line(batch.blend)}")
    return [
        line
        for day, things in sorted(days.items())
        for line in listed(short_day(day, today.year), things, width)
    ]


def open_text(states: Sequence[OrderState], words: EntryWords, today: date, width: int) -> str:
    """Orders that are open, by the day they are for, and what is left of each."""
    if not states:
        return "No open orders."
    lines = []
    for state in states:
        order = state.order
        left = words.units.exact(replace(order.quantity, amount=state.left))
        lines.append(
            (str(state.number), short_day(order.day, today.year), left, words.words(order))
        )
    return _table(lines, ("no.", "day", "left", "order"), width)


def undo_words(number: int, entries: int = 1) -> str:
    """How what was entered together is undone, by the number of one of its entries."""
    what = "it" if entries == 1 else "them all"
    return f"To undo {what}: breakplan journal undo {number}"


def days_ahead(entry: Entry, today: date, *, weekday: bool) -> list[str]:
    """How far off the day of a delivery or an order is, where it is to come.

    `weekday`: it was said as a weekday, which may have meant the last of its name.
    """
    ahead = (entry.day - today).days
    if ahead <= 0 or not isinstance(entry, Delivery | OrderTaken):
        return []
    when = "tomorrow" if ahead == 1 else f"in {ahead} days"
    told = f"{short_day(entry.day, today.year)} is {when}."
    if weekday and isinstance(entry, Delivery) and ahead > 7 - ahead:
        last = entry.day - timedelta(days=7)
        name = WEEKDAYS[last.weekday()]
        told += f" If it came on {short_day(last, today.year)}, undo it and write: on last {name}"
    return [told]


def entries_text(
    entries: Sequence[Entry],
    words: EntryWords,
    today: date,
    width: int,
    numbers: Sequence[int] = (),
    most: int = 20,
) -> str:
    """The first so many entries: day, kind and words, with the numbers they have, if any yet."""
    lines = []
    for place, entry in enumerate(entries[:most]):
        told = (short_day(entry.day, today.year), kind_of(entry), words.words(entry))
        lines.append((str(numbers[place]), *told) if numbers else told)
    text = _table(lines, ("",) * len(lines[0]) if lines else (), width)
    more = len(entries) - most
    return f"{text}\n  and {more} more" if more > 0 else text


def _line(
    one: Recorded, undone: Collection[int], words: EntryWords, today: date
) -> tuple[str, ...]:
    mark = "undone: " if one.writing in undone else ""
    at = one.entered.astimezone()
    entered = f"{short_day(at.date(), today.year)} {at:%H:%M}".partition(" ")[2]
    day = short_day(one.entry.day, today.year)
    return str(one.number), day, kind_of(one.entry), f"{mark}{words.words(one.entry)}", entered


def _table(lines: Sequence[Sequence[str]], names: Sequence[str], width: int) -> str:
    """A table whose words go on in the next line where they are too long."""
    if not lines:
        return ""
    column = 3 if len(names) > 3 else len(names) - 1
    others = [
        max(columns_of(each[place]) for each in (names, *lines))
        for place in range(len(names))
        if place != column
    ]
    room = width - INDENT - sum(others) - GAP * len(others)
    spread: list[list[str]] = []
    for line in lines:
        parts = wrapped(line[column], 0, max(room, LEAST_WORDS)) or [""]
        for number, part in enumerate(parts):
            cells = list(line) if number == 0 else [""] * len(line)
            cells[column] = part
            spread.append(cells)
    numbered = all(line[0].isdecimal() for line in lines)
    align = ["right" if numbered and place == 0 else "left" for place in range(len(names))]
    # heads as a row: as heads they would take more room than they need
    shown = table([names, *spread] if any(names) else spread, (), align)
    return "\n".join(line.rstrip() for line in shown.split("\n"))
