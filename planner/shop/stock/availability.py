"""What there was to sell on the days that are over, by reckoning: before the sales and after."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.scenario import Scenario
from planner.core.units import Quantity
from planner.journal.entries import Recorded, Sold
from planner.shop.stock.entry_order import in_order, step_of
from planner.shop.stock.replay import StockBook

NOTHING = 0.1
"""Pounds that are too little to sell: an ounce and a half. Common practice, no source."""

REST = 0.05
"""Share of what there was that is nothing by reckoning: a recipe's yields are no closer.

Common practice, no source; half of what `MISSING` in `planner.shop.learned.observed` lets pass.
"""

_SALES = step_of(Sold(date.min, "", Quantity(0.0))) or 0


@dataclass(frozen=True, slots=True)
class Shelf:
    """Pounds or each of every cut asked for: when the day's cutting was done, and at its close."""

    had: Mapping[str, float]
    left: Mapping[str, float]


def is_nothing(amount: float, *, by_each: bool, had: float = 0.0) -> bool:
    """Whether so many pounds or each are nothing to sell, of so much that there was."""
    return amount < 0.5 if by_each else amount <= max(NOTHING, REST * had)


def shelves(
    week: Scenario, recorded: Sequence[Recorded], days: Sequence[date], cuts: Sequence[str]
) -> Mapping[date, Shelf]:
    """The shelf of each of some days by the journal, read with the recipes of a week."""
    if not days:
        return {}
    last = max(days)
    book = StockBook(week, recorded, told_from=date.max, kept_from=date.max)
    piles = book.stocks.cuts
    waiting = deque(
        in_order((each for each in recorded if each.entry.day <= last), book.stocks.known.rank)
    )
    found: dict[date, Shelf] = {}
    for day in sorted(set(days)):
        while waiting and (
            waiting[0].entry.day < day
            or (waiting[0].entry.day == day and (step_of(waiting[0].entry) or 0) < _SALES)
        ):
            book.enter(waiting.popleft())
        had = {name: piles[name].in_date(day) for name in cuts}
        while waiting and waiting[0].entry.day == day:
            book.enter(waiting.popleft())
        found[day] = Shelf(had, {name: piles[name].in_date(day) for name in cuts})
    return found
