"""A weigh-in written as a table: the day's list as a form, and what was entered."""

from __future__ import annotations

from collections.abc import Iterable

from planner.core.units import Units
from planner.journal.entries import BatchMade, BreakDone, Entry
from planner.shop.entering.weighing import Weighing

HEADS = ("day", "piece", "way", "count", "weight", "gave", "gave count", "gave weight")
"""Weights without a unit are in the shop's. A row without a piece goes on with the break above.

Of a batch the blend stands under `piece`, `way` is empty, what was made is its `weight` (none: as
planned), and what went in stands under `gave` and `gave weight`; where nothing does, it is in the
plan's proportion.
"""

NEEDED = ("piece", "gave", "gave weight")

FORM_HEADS = (
    *("day", "piece", "way", "count", "expected weight", "weight"),
    *("gave", "gave count", "expected gave weight", "gave weight"),
)


def form_rows(weighing: Weighing) -> list[list[str]]:
    """The day's list to be filled in, heads first; weights in the shop's unit.

    It says that all is done as planned and nothing was weighed, until something else is filled in.
    """
    unit, day, plan = weighing.week.units.pounds, weighing.day.isoformat(), weighing.plan

    def weight(pounds: float | None) -> str:
        return "" if pounds is None else f"{pounds / unit:.2f}"

    rows = [list(FORM_HEADS)]
    for each in plan.cuttings:
        gives = [
            [
                one.thing.full,
                "" if one.count is None else str(one.count * each.count),
                weight(None if each.pounds is None else one.share * each.pounds),
                "",
            ]
            for one in each.expected
        ]
        first = [day, each.piece.full, each.way, str(each.count), weight(each.pounds), ""]
        rows += _block(first, gives)
    for batch in plan.batches:
        takes = [[thing.full, "", weight(pounds), ""] for thing, pounds in batch.takes]
        rows += _block([day, batch.blend.full, "", "", weight(batch.pounds), ""], takes)
    return rows


def entry_rows(entries: Iterable[Entry], units: Units) -> list[list[str]]:
    """Breaks and batches as a table that can be read back, heads first."""

    def weight(pounds: float | None) -> str:
        return "" if pounds is None else f"{pounds / units.pounds:.3f}"

    rows = [list(HEADS)]
    for each in entries:
        day = each.day.isoformat()
        if isinstance(each, BreakDone):
            first = [day, each.piece, each.way, str(each.count), weight(each.pounds)]
            things = each.gave
        elif isinstance(each, BatchMade):
            first, things = [day, each.blend, "", "", weight(each.pounds)], each.took
        else:
            continue
        told = [
            [one.what, "" if one.count is None else str(one.count), weight(one.pounds)]
            for one in things
        ]
        rows += _block(first, told or [["", "", ""]])
    return rows


def _block(first: list[str], things: Iterable[list[str]]) -> list[list[str]]:
    """Rows of a job: its own cells stand in the first alone."""
    blank = [""] * len(first)
    return [[*(blank if at else first), *thing] for at, thing in enumerate(things)]
