"""A week cut down to the days that are still to come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from planner.core.scenario import Demand, Scenario


def first_open(open_days: Sequence[int], day: date) -> date:
    """The day, or the next one on which the shop is open (weekdays, 0 for Monday)."""
    return next(
        each
        for each in (day + timedelta(days=number) for number in range(7))
        if each.weekday() in open_days
    )


def last_open(open_days: Sequence[int], day: date) -> date:
    """The day, or the one before it on which the shop was open last."""
    return next(
        each
        for each in (day - timedelta(days=number) for number in range(7))
        if each.weekday() in open_days
    )


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
