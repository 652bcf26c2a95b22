"""Warnings about a file of entries, told by kind with the lines that they stand on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import median

from planner.journal.entries import Entry, Sold
from planner.shop.entering.context import EntryContext, warnings_of
from planner.shop.entering.duplicates import SAME_IN_FILE, key_of
from planner.shop.entering.entry_checks import IMPORT_CHECKS, MORE, far_price
from planner.shop.entering.kinds import kind_of
from planner.shop.entering.typical import Typical
from planner.shop.entering.warning import EntryWarning
from planner.shop.tables.implausible_sales import more_than_there
from planner.shop.tables.imported import Imported
from planner.shop.tables.till_totals import Line

SINGLE = 3
"""So many warnings of a kind are told one by one."""

LINES_TOLD = 4

DAYS = 8
"""Days with sales of a cut from which on the file itself tells what is usual."""

PEAK = 4.0
"""How many times its middle a day's sale may be."""


@dataclass(frozen=True, slots=True)
class LineWarning:
    """A warning about an entry, the line it stands on, and its kind."""

    line: int
    kind: str
    warning: EntryWarning


def typical_in(typical: Typical, entries: Iterable[Entry]) -> Typical:
    """What is typical, with what the sales of a long file show themselves."""
    amounts: dict[str, list[float]] = {}
    for entry in entries:
        if isinstance(entry, Sold) and entry.quantity.amount > 0:
            amounts.setdefault(entry.cut, []).append(entry.quantity.amount)
    most = dict(typical.most)
    for cut, each in amounts.items():
        if len(each) >= DAYS:
            most[cut] = max(most.get(cut, 0.0), median(each) * PEAK / MORE)
    return replace(typical, most=most)


def warnings_in(found: Imported, context: EntryContext) -> list[LineWarning]:
    """All warnings about a file, by line."""
    warnings = [
        LineWarning(line, "sale", EntryWarning(told, "of which more was refunded"))
        for line, told in found.refunds
    ]
    for line in found.lines:
        if line.number is None:  # else out of a journal: somebody has said yes to it
            warnings += _on(line, warnings_of(line.entry, context, IMPORT_CHECKS))
    for line in found.single:
        if line.number is None and isinstance(line.entry, Sold):
            warnings += _on(line, far_price(line.entry, context))
    warnings += _again(found.lines, context)
    if all(line.number is None for line in found.lines):
        beyond = more_than_there(found.entries, context.recorded, context.catalog.week)
        for place, warning in beyond:
            warnings += _on(found.lines[place], [warning])
    return sorted(warnings, key=lambda each: each.line)


def told_warnings(warnings: Sequence[LineWarning]) -> list[tuple[int, str]]:
    """Each kind of warning with its lines: a few one by one, many as a number and the first."""
    kinds: dict[tuple[str, str], list[LineWarning]] = {}
    for each in warnings:
        kinds.setdefault((each.kind, each.warning.kind), []).append(each)
    told: list[tuple[int, str]] = []
    for (kind, sort), found in kinds.items():
        if len(found) <= SINGLE:
            told += [(each.line, each.warning.sentence) for each in found]
            continue
        lines = ", ".join(str(each.line) for each in found[:LINES_TOLD])
        more = len(found) - LINES_TOLD
        lines += f" and {more} more" if more > 0 else ""
        many = "sales" if kind == "sale" else f"entries ({kind})"
        first = found[0]
        message = f"{len(found)} {many} {sort} (lines {lines}); the first: {first.warning.sentence}"
        told.append((first.line, message))
    return sorted(told)


def _on(line: Line, warnings: Iterable[EntryWarning]) -> Iterator[LineWarning]:
    for each in warnings:
        yield LineWarning(line.line, kind_of(line.entry), each)


def _again(lines: Sequence[Line], context: EntryContext) -> Iterator[LineWarning]:
    """What stands in the journal already; of a sale also where it has another amount."""
    sold: dict[tuple[date, str], tuple[int, Sold]] = {}
    there: dict[tuple[object, ...], int] = {}
    for one in context.recorded:
        if isinstance(one.entry, Sold):
            sold.setdefault((one.entry.day, one.entry.cut), (one.number, one.entry))
        there.setdefault(key_of(one.entry, SAME_IN_FILE), one.number)
    for line in lines:
        entry = line.entry
        if not isinstance(entry, Sold):
            number = there.get(key_of(entry, SAME_IN_FILE))
            told = f"the same is in the journal already: entry {number}"
            kind = "that are in the journal already"
        elif (entry.day, entry.cut) in sold:
            number, had = sold[entry.day, entry.cut]
            much = context.units.show(had.quantity)
            told = (
                f"{context.name(entry.cut)} on {entry.day}: {much} sold is in the journal "
                f"already (entry {number}); if this file has all of that day, first: breakplan "
                f"journal undo {number}"
            )
            kind = "of a cut and day that have sales in the journal already"
        else:
            continue
        if number is not None:
            yield from _on(line, [EntryWarning(told, kind)])
