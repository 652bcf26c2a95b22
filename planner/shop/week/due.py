"""Open orders that are due in the days planned, on a day on which the shop is open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from planner.core.scenario import Held, Order, Scenario
from planner.shop.stock.on_hand import OpenOrder
from planner.shop.week.remaining_days import first_open, last_open


@dataclass(frozen=True, slots=True)
class Due:
    """An open order, and the open day for which it is planned: its own, or the last before it."""

    order: OpenOrder
    day: date


def due_in(
    orders: Sequence[OpenOrder], open_days: Sequence[int], first: date, last: date
) -> tuple[Due, ...]:
    """Orders to be planned from a first to a last open day, in their order.

    One that is due when the shop is closed is planned for the open day before; so are those that
    are due after the last day, and before the shop opens again.
    """
    opens = first_open(open_days, last + timedelta(days=1))
    return tuple(
        Due(each, last_open(open_days, each.day)) for each in orders if first <= each.day < opens
    )


def orders_of(scenario: Scenario, due: Sequence[Due]) -> tuple[Order, ...]:
    """The orders as a scenario has them, numbered in turn."""
    return tuple(_order_of(scenario, index, each) for index, each in enumerate(due))


def held_after(
    scenario: Scenario, orders: Sequence[OpenOrder], open_days: Sequence[int]
) -> tuple[Held, ...]:
    """Open orders that the days planned do not reach."""
    opens = first_open(open_days, scenario.date(scenario.days))
    after = [Due(each, each.day) for each in orders if each.day >= opens]
    return tuple(
        held_of(scenario, _order_of(scenario, index, each), open_days)
        for index, each in enumerate(after)
    )


def held_of(scenario: Scenario, order: Order, open_days: Sequence[int]) -> Held:
    """An order for a day after the period, with the first day to cut for it.

    Where the shop is closed then, it is for the open day before.
    """
    before = last_open(open_days, scenario.date(order.day))
    order = replace(order, day=(before - scenario.starts).days)
    made = max(scenario.days, order.day - scenario.cuts[order.cut].keeps + 1)
    opens = (first_open(open_days, scenario.date(made)) - scenario.starts).days
    return Held(order, opens if opens <= order.day else None)


def _order_of(scenario: Scenario, index: int, due: Due) -> Order:
    order, day = due.order, (due.day - scenario.starts).days
    own = order.price is not None
    price = order.price if order.price is not None else scenario.price(order.cut)
    return Order(index, order.cut, day, order.amount, price, order.buyer, own_price=own)
