"""A week cut down to the days that are still to come, and the open orders due in them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from planner.core.scenario import Demand, Held, Order, Scenario
from planner.shop.stock.on_hand import OpenOrder


def first_open(open_days: Sequence[int], day: date, step: int = 1) -> date:
    """The day, or the next one on which the shop is open (weekdays, 0 for Monday)."""
    days = (day + timedelta(days=step * number) for number in range(7))
    return next(each for each in days if each.weekday() in open_days)


def last_open(open_days: Sequence[int], day: date) -> date:
    """The day, or the one before it on which the shop was open last."""
    return first_open(open_days, day, -1)


def days_left(open_days: Sequence[int], day: date) -> tuple[date, date]:
    """From a day on the first and the last on which the shop is open in their calendar week."""
    first = first_open(open_days, day)
    return first, last_open(open_days, first + timedelta(days=6 - first.weekday()))


def tail(week: Scenario, first: date, last: date) -> Scenario:
    """A scenario from one of its days to another; lots and orders are left out.

    Where no day that is left has any traffic, all of them are alike.
    """
    begin, end = (first - week.starts).days, (last - week.starts).days + 1
    days = end - begin
    traffic = week.traffic[begin:end]
    bench = None if week.bench is None else week.bench[begin:end]
    demand = {
        name: replace(each, want=each.want[begin:end], markdown_want=each.markdown_want[begin:end])
        for name, each in week.demand.items()
    }
    return replace(
        week,
        starts=first,
        days=days,
        lots=(),
        bench=bench,
        demand=demand,
        orders=(),
        traffic=traffic if any(traffic) else (1.0,) * days,
    )


def less_done(scenario: Scenario, minutes: float, sold: Mapping[str, float]) -> Scenario:
    """The scenario without what is done of its first day: off the bench, and off the want."""
    bench = scenario.bench
    if bench is not None:
        bench = (max(0.0, bench[0] - minutes), *bench[1:])
    demand = {name: _less_sold(each, sold.get(name, 0.0)) for name, each in scenario.demand.items()}
    return replace(scenario, bench=bench, demand=demand)


def _less_sold(demand: Demand, sold: float) -> Demand:
    """What is sold was wanted at the full price, and only beyond that at the markdown."""
    beyond = max(0.0, sold - demand.want[0])
    want = max(0.0, demand.want[0] - sold)
    less = max(0.0, demand.markdown_want[0] - beyond)
    return replace(
        demand,
        want=(want, *demand.want[1:]),
        markdown_want=(less, *demand.markdown_want[1:]),
    )


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
