"""The shop's week from now on: shop.yaml and the journal put together into a scenario."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property
from typing import Protocol

from planner.core.recipe import recipe_with
from planner.core.scenario import Scenario, Stock
from planner.files.asked_order import with_orders
from planner.journal.counting import counting
from planner.journal.entries import Recorded
from planner.shop.learned.sales import expected_wants
from planner.shop.learned.weighed import learned_recipes
from planner.shop.stock.on_hand import Stand, opened_and_booked, stand_of
from planner.shop.stock.replay import Broke, Ground, StockBook
from planner.shop.week.lots import arriving, lots_now, open_offers
from planner.shop.week.remaining_days import (
    due_in,
    first_open,
    held_after,
    last_open,
    less_done,
    orders_of,
    tail,
)
from planner.shop.week.rules_left import rules_left
from planner.shop.week.week_warnings import told_of

CRUMB = 0.001
"""Pounds of a cut that nobody plans with."""


class Week(Protocol):
    """What is asked of a shop: a `planner.files.shop_file.Shop`."""

    @property
    def open_days(self) -> tuple[int, ...]:
        """Weekdays it is open."""

    def week(self, day: date) -> Scenario:
        """The calendar week around a day."""


@dataclass(frozen=True)
class ShopState:
    """A shop from a day on: made once, and passed on to all that ask about it.

    What is asked for is worked out then, once. `everything` is all of the journal, with or without
    what was undone; `first` the first day planned, or the day that is weighed in or counted;
    `close` how far the weights of pieces in one lot may differ, as a share, as `lots_now` has it.
    """

    shop: Week
    everything: tuple[Recorded, ...]
    first: date
    close: float | None = None

    @cached_property
    def recorded(self) -> tuple[Recorded, ...]:
        """What counts of the journal."""
        return counting(self.everything)

    @property
    def last_entry(self) -> int:
        """Number of the last entry there is, whether it counts or not; 0 where there is none."""
        return max((each.number for each in self.everything), default=0)

    @cached_property
    def written(self) -> Scenario:
        """The calendar week as the shop's files have it."""
        return self.shop.week(self.first)

    @cached_property
    def week(self) -> Scenario:
        """The same with what is learned, before anything was done in it."""
        recipes = learned_recipes(self.written.recipes, self.recorded, self.first)
        week = self.written
        lots = tuple(replace(each, recipe=recipe_with(recipes, each.piece)) for each in week.lots)
        week = replace(week, recipes=recipes, lots=lots)
        wants = expected_wants(week, self.recorded, self.first).items()
        wanted = {name: replace(week.demand[name], want=want) for name, want in wants}
        return replace(week, demand={**week.demand, **wanted})

    @property
    def opening(self) -> Stand:
        """What lies there when the first day opens."""
        return self._replayed[0]

    @cached_property
    def stand(self) -> Stand:
        """What there is: with what was entered for the first day so far."""
        return stand_of(self._replayed[1], self.first)

    @property
    def scenario(self) -> Scenario:
        """From the first day planned to the last open day of its calendar week."""
        return self._planned[0]

    @property
    def warnings(self) -> tuple[str, ...]:
        """What does not fit together, a sentence each; what matters most comes first.

        Of too many the last says how many more there are.
        """
        return self._planned[1]

    @cached_property
    def _replayed(self) -> tuple[Stand, StockBook]:
        return opened_and_booked(self.week, self.recorded, self.first)

    @cached_property
    def _planned(self) -> tuple[Scenario, tuple[str, ...]]:
        week, recorded, first, stand = self.week, self.recorded, self.first, self.stand
        open_days, book = self.shop.open_days, self._replayed[1]
        last = last_open(open_days, first + timedelta(days=6 - first.weekday()))
        coming = arriving(book.stocks, recorded, first, last)
        scenario = tail(week, first, last)
        lots = lots_now(scenario, stand.cooler, coming, self.close)
        offers = open_offers(week, coming, first, last)
        lots += tuple(replace(lot, index=at) for at, lot in enumerate(offers, len(lots)))
        scenario = replace(scenario, lots=lots, case=tuple(_case(stand)))
        work: list[Broke | Ground] = [*book.broke, *book.ground]
        minutes = sum(each.minutes for each in work if each.day == first)
        sold = {cut: amount for (day, cut), amount in book.sold.items() if day == first}
        scenario = less_done(scenario, minutes, sold)
        due = due_in(stand.orders, open_days, first, last)
        scenario = with_orders(scenario, orders_of(scenario, due))
        rules, lowered = rules_left(scenario, book.broke, book.ground)
        held = held_after(scenario, stand.orders, open_days)
        scenario = replace(scenario, rules=rules, held=held, of_shop=True)
        warnings = told_of(scenario, stand, recorded, due=due, lowered=lowered, open_days=open_days)
        return scenario, warnings


def scenario_now(
    shop: Week, everything: Sequence[Recorded], first: date, close: float | None = None
) -> ShopState:
    """The rest of a shop's week from a day on, or from the next on which it is open."""
    return ShopState(shop, tuple(everything), first_open(shop.open_days, first), close)


def _case(stand: Stand) -> Iterator[Stock]:
    """What is in the case, what goes out of date on the same day together."""
    amounts: dict[tuple[str, int], float] = {}
    for each in stand.cuts:
        key = (each.cut, (each.last - stand.day).days + 1)
        amounts[key] = amounts.get(key, 0.0) + each.amount
    for (cut, keeps), amount in amounts.items():
        if amount >= CRUMB:
            yield Stock(cut, amount, keeps, own_keeps=True)
