"""The counter on a day: what is put into the case, wrapped for orders, and has to leave."""

from __future__ import annotations

from dataclasses import dataclass

from planner.ask.jobs import Waiting, orders_of, waiting_for
from planner.ask.trays import letters
from planner.core.plan_lines import Sale
from planner.core.scenario import WALK_IN
from planner.core.stock_replay import DUST, total
from planner.solve.plan import Plan


@dataclass(frozen=True, slots=True)
class CaseLine:
    """A cut in the case on a day: pounds, or each.

    Attributes
    ----------
    out, older : float
        What walk-in customers are expected to buy that day; the part of it that was made before,
        which is sold first.
    made : float
        That day.
    marked, marked_price : float
        The part of `out` that goes at the markdown price only.
    keep : float
        What stays in the cooler for the days to come.
    keeps_until : int or None
        The day on which the oldest of that has to be gone.
    held : tuple of Waiting
        The part of it that is for orders.
    """

    cut: str
    out: float
    older: float
    made: float
    marked: float
    marked_price: float
    price: float
    keep: float
    keeps_until: int | None
    held: tuple[Waiting, ...]


@dataclass(frozen=True, slots=True)
class Wrap:
    """An order of the day, and how much of it there is: pounds, or each.

    `older` is the part of it that was made before.
    """

    buyer: str
    cut: str
    ordered: float
    amount: float
    older: float


@dataclass(frozen=True, slots=True)
class Leaving:
    """What may not be sold or cut tomorrow: pounds, or each; pieces are counted.

    there = used + gone: `used` is expected to be sold over the counter or ground today, `gone` is
    out tonight. What is wrapped for orders is not among it.
    """

    name: str
    piece: bool
    there: float
    used: float
    gone: float
    pounds: float = 0.0


def case_of(plan: Plan, day: int) -> tuple[CaseLine, ...]:
    """The cuts that are in the case or kept for later days; of trays only what is sold."""
    trays = letters(plan)
    lines = [_case_line(plan, day, name) for name in plan.scenario.cuts]
    return tuple(
        line
        for line in lines
        if line.out > DUST or line.held or (line.keep > DUST and line.cut not in trays)
    )


def _case_line(plan: Plan, day: int, name: str) -> CaseLine:
    stock = plan.stock.cuts
    line, demand = stock[day][name], plan.scenario.demand_for(name)
    walk_in = [use for use in line.uses if use.to in WALK_IN]
    later = orders_of(today[name] for today in stock[day + 1 :])
    return CaseLine(
        cut=name,
        out=total(use.part for use in walk_in),
        older=total(use.part for use in walk_in if use.made < day),
        made=total(line.made),
        marked=total(use.part for use in walk_in if use.to == "markdown"),
        marked_price=demand.markdown_price,
        price=demand.price or 0.0,
        keep=total(line.left),
        keeps_until=min((part.last_day for part in line.left), default=None),
        held=waiting_for(use for use in later if use.made <= day),
    )


def wraps_of(plan: Plan, day: int) -> tuple[Wrap, ...]:
    """The orders of a day."""
    short = {each.order: each.short for each in plan.short}
    wraps = []
    for order in plan.scenario.orders:
        if order.day == day:
            amount = order.amount - short.get(order.index, 0.0)
            older = total(
                use.part
                for use in plan.stock.cuts[day][order.cut].uses
                if isinstance(use.taker, Sale) and use.taker.order == order.index
                if use.made < day
            )
            wraps.append(Wrap(order.buyer, order.cut, order.amount, amount, older))
    return tuple(wraps)


def leaving_of(plan: Plan, day: int) -> tuple[Leaving, ...]:
    """What is out of date after a day: pieces, then cuts."""
    weights = [lot.weights() for lot in plan.scenario.lots]
    found = [
        Leaving(name, True, number, 0.0, number, number * weights[each.lot][name])
        for each in plan.stock.pieces[day]
        for name, number in each.gone.items()
    ]
    for name, line in plan.stock.cuts[day].items():
        used = total(u.part for u in line.uses if not u.ordered and u.part.last_day == day)
        gone = total(line.gone)
        if used + gone > DUST:
            found.append(Leaving(name, False, used + gone, used, gone))
    return tuple(found)
