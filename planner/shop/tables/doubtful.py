"""What is doubtful about a file of entries, told by sort with the lines that it stands on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import median

from planner.journal.entries import Entry, Filled, Recorded, Sold
from planner.scenario import Scenario
from planner.shop.entering.again import key_of
from planner.shop.entering.kinds import kind_of
from planner.shop.entering.odd import MORE, Doubt, Judge
from planner.shop.entering.usual import Usual
from planner.shop.tables.beyond import more_than_there
from planner.shop.tables.imported import Imported
from planner.shop.tables.summed import Line

SINGLE = 3
"""So many doubts of a sort are told one by one."""

LINES_TOLD = 4

DAYS = 8
"""Days with sales of a cut from which on the file itself tells what is usual."""

PEAK = 4.0
"""How many times its middle a day's sale may be."""

ADD_YES = "if it is right, add --yes"

_MONEY = ("at a price far from the full one", "with money for nothing")


@dataclass(frozen=True, slots=True)
class LineDoubt:
    """What is doubtful about an entry, the line it stands on, and its kind."""

    line: int
    kind: str
    doubt: Doubt


def usual_in(usual: Usual, entries: Iterable[Entry]) -> Usual:
    """What is usual, with what the sales of a long file show themselves."""
    amounts: dict[str, list[float]] = {}
    for entry in entries:
        if isinstance(entry, Sold) and entry.amount > 0:
            amounts.setdefault(entry.cut, []).append(entry.amount)
    most = dict(usual.most)
    for cut, each in amounts.items():
        if len(each) >= DAYS:
            most[cut] = max(most.get(cut, 0.0), median(each) * PEAK / MORE)
    return replace(usual, most=most)


def doubts_of(
    found: Imported, judge: Judge, recorded: Sequence[Recorded], week: Scenario
) -> list[LineDoubt]:
    """All that is doubtful about a file.

    Parameters
    ----------
    found : Imported
    judge : Judge
    recorded : sequence of Recorded
        What counts of the journal.
    week : Scenario
        The week of the shop, with the recipes in use.
    """
    doubts = [
        LineDoubt(line, "sale", Doubt("of which more was refunded", told))
        for line, told in found.refunds
    ]
    for line in found.lines:
        ours = line.number is not None  # out of a journal: somebody has said yes to it
        doubts += [_on(line, each) for each in _by_itself(line, judge) if not ours]
    for line in found.single:
        if line.number is None and isinstance(line.entry, Sold):
            doubts += [_on(line, each) for each in judge.doubts(line.entry) if each.sort in _MONEY]
    doubts += _again(found.lines, judge, recorded)
    if all(line.number is None for line in found.lines):
        beyond = more_than_there(found.entries, recorded, week)
        doubts += [_on(found.lines[place], doubt) for place, doubt in beyond]
    return sorted(doubts, key=lambda each: each.line)


def told_doubts(doubts: Sequence[LineDoubt]) -> list[tuple[int, str]]:
    """Each sort of doubt with its lines: a few one by one, many as a number and the first."""
    sorts: dict[tuple[str, str], list[LineDoubt]] = {}
    for each in doubts:
        sorts.setdefault((each.kind, each.doubt.sort), []).append(each)
    told: list[tuple[int, str]] = []
    for (kind, sort), found in sorts.items():
        if len(found) <= SINGLE:
            told += [(each.line, each.doubt.told) for each in found]
            continue
        lines = ", ".join(str(each.line) for each in found[:LINES_TOLD])
        more = len(found) - LINES_TOLD
        lines += f" and {more} more" if more > 0 else ""
        many = "sales" if kind == "sale" else f"entries ({kind})"
        first = found[0]
        message = f"{len(found)} {many} {sort} (lines {lines}); the first: {first.doubt.told}"
        told.append((first.line, message))
    return sorted(told)


def _on(line: Line, doubt: Doubt) -> LineDoubt:
    return LineDoubt(line.line, kind_of(line.entry), doubt)


def _by_itself(line: Line, judge: Judge) -> Iterator[Doubt]:
    for each in judge.doubts(line.entry):
        if each.sort not in _MONEY:
            yield each


def _again(
    lines: Sequence[Line], judge: Judge, recorded: Sequence[Recorded]
) -> Iterator[LineDoubt]:
    """What stands in the journal already; of a sale also where it has another amount."""
    sold: dict[tuple[date, str], Recorded] = {}
    there: dict[tuple[object, ...], int] = {}
    for one in recorded:
        if isinstance(one.entry, Sold):
            sold.setdefault((one.entry.day, one.entry.cut), one)
        there.setdefault(_key(one.entry), one.number)
    for line in lines:
        entry = line.entry
        if isinstance(entry, Sold):
            had = sold.get((entry.day, entry.cut))
            if had is None or not isinstance(had.entry, Sold):
                continue
            much = judge.amount(had.entry.amount, entry.by_each)
            told = (
                f"{judge.short(entry.cut)} on {entry.day}: {much} sold stands in the journal "
                f"already (entry {had.number}); if this file has all of that day, first: breakplan "
                f"journal undo {had.number}"
            )
            sort = "of a cut and day that have sales in the journal already"
            yield _on(line, Doubt(sort, told))
        elif _key(entry) in there:
            number = there[_key(entry)]
            told = f"the same stands in the journal already: entry {number}"
            yield _on(line, Doubt("that stand in the journal already", told))


def _key(entry: Entry) -> tuple[object, ...]:
    if isinstance(entry, Filled):  # in a file the orders have numbers of its own
        return Filled, entry.day, round(entry.amount, 6)
    return key_of(entry)
