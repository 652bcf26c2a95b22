"""What there was to sell on the days that are over by the journal: before the sales and after."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.scenario import Scenario
from planner.journal.entries import Recorded
from planner.shop.stock.entry_order import COUNTED_LAST, SOLD
from planner.shop.stock.replay import StockBook

NOTHING = 0.1
"""Pounds that are too little to sell: an ounce and a half. Common practice, no source."""

REST = 0.05
"""Share of what there was that is nothing: a recipe's yields are no closer.

Common practice, no source; half of what `MISSING` in `planner.shop.learned.observed` lets pass.
"""


@dataclass(frozen=True, slots=True)
class DayStock:
    """Pounds or each of every cut asked for: when the day's cutting was done, and at its close."""

    had: Mapping[str, float]
    left: Mapping[str, float]


def is_nothing(amount: float, *, by_each: bool, had: float = 0.0) -> bool:
    """Whether so many pounds or each are nothing to sell, of so much that there was."""
    return amount < 0.5 if by_each else amount <= max(NOTHING, REST * had)


def shelves(
    week: Scenario, recorded: Sequence[Recorded], days: Sequence[date], cuts: Sequence[str]
) -> Mapping[date, DayStock]:
    """The shelf of each of some days by the journal, read with the recipes of a week."""
    book = StockBook(week, recorded)
    piles = book.stocks.cuts
    found: dict[date, DayStock] = {}
    for day in sorted(set(days)):
        book.up_to(day, SOLD - 1)
        had = {name: piles[name].in_date(day) for name in cuts}
        book.up_to(day, COUNTED_LAST)
        found[day] = DayStock(had, {name: piles[name].in_date(day) for name in cuts})
    return found
