"""Whether orders can be promised, what that takes away, and what they have to pay."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from planner.ask.comparison import Comparer, Difference, Interval
from planner.ask.order_filling import OrderBook
from planner.core.errors import NoPlanInTimeError
from planner.core.quantities import POUNDS
from planner.core.scenario import WALK_IN, Order, Scenario
from planner.core.stock_replay import DUST
from planner.files.asked_order import with_orders
from planner.files.changes import Change
from planner.solve.binding import QUESTION
from planner.solve.plan import CENT, Plan

Answer = Literal["yes", "part", "no"]

CLOSE = 0.25
"""Money: how close to the best both plans are sought, or else to a share of what is paid."""

NEAR = 0.002
"""That share."""

BESIDE = 0.01
"""The least price is tried this share below and above it."""

STEP = 0.1
"""A part is promised in tenths of the unit, rounded down, and seen in them."""


@dataclass(frozen=True, slots=True)
class Asked:
    """An order asked for, and how much of it can be promised: pounds, or each."""

    order: Order
    promised: float

    @property
    def full(self) -> bool:
        """Whether all of it can be promised."""
        return self.promised >= self.order.amount


@dataclass(frozen=True, slots=True)
class Taken:
    """What walk-in customers, or those at the markdown, buy of a cut without and with the order."""

    cut: str
    to: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Pushed:
    """An older order that would get less if all were filled by their value alone."""

    order: Order
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class LeastPay:
    """What the orders have to pay, lest the score fall; money between `least` and `most`.

    Attributes
    ----------
    amount : float or None
        What it is paid for, pounds or each; None where several cuts are asked for.
    verified : bool
        Planned again, the score is no lower at 1% above `most`, and no higher at 1% below `least`,
        both by proof to the cent.
    """

    least: float
    most: float
    amount: float | None
    verified: bool

    @property
    def price(self) -> tuple[float, float] | None:
        """For a pound or each, where a single cut is asked for."""
        return (self.least / self.amount, self.most / self.amount) if self.amount else None


@dataclass(frozen=True, slots=True)
class Promise:
    """The answer; what older orders have without the new ones, they keep.

    Attributes
    ----------
    before, close : Plan
        Without the new orders: the one shown, and one closer to the best, for what is proven.
    after : Plan or None
        With what can be promised of them; None where nothing can.
    settled : bool
        Whether all that is called impossible is known to be.
    pushed : tuple of Pushed
        Where not all can be promised.
    least_pay : LeastPay or None
        For what can be promised.
    earliest : int or None
        The first day on which all of it, together, can be filled.
    helps : tuple of Change
        Each of these alone would let all of it be filled on its day; none where it can be anyway.
    """

    before: Plan
    after: Plan | None
    asked: tuple[Asked, ...]
    settled: bool
    pushed: tuple[Pushed, ...]
    least_pay: LeastPay | None
    earliest: int | None
    helps: tuple[Change, ...]
    close: Plan | None = None

    @property
    def answer(self) -> Answer:
        """Whether all, some or none of it can be promised."""
        if all(each.full for each in self.asked):
            return "yes"
        return "part" if self.after else "no"

    @property
    def without(self) -> Interval:
        """The best score without the new orders."""
        return Difference(self.before, self.before, self.close).best_before

    @property
    def gain(self) -> Difference | None:
        """What the week earns more with what can be promised."""
        return Difference(self.before, self.after, self.close) if self.after else None

    @property
    def pays(self) -> float:
        """Money for what can be promised."""
        return sum(each.promised * each.order.price for each in self.asked)

    @property
    def taken(self) -> tuple[Taken, ...]:
        """Sales that differ by what can be seen: a tenth of the unit, or one."""
        return tuple(_taken(self.before, self.after)) if self.after else ()


def promise(comparer: Comparer, orders: Sequence[Order], closely: float | None = None) -> Promise:
    """Say whether orders can be filled, all of them together, beside those of the scenario.

    Parameters
    ----------
    comparer : Comparer
    orders : sequence of Order
        Numbered on from those of the scenario. Where not all can be filled, the first come first.
    closely : float, optional
        Money both plans may be below the best; else `CLOSE`, or `NEAR` of the pay if that is more.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        As planning the week does.
    """
    if closely is None:
        closely = max(CLOSE, NEAR * sum(each.amount * each.price for each in orders))
    before, close = comparer.shown, comparer.plan(amount=closely)
    kept = kept_orders(before)
    book = OrderBook(kept, orders, QUESTION)
    full = book.all_filled()
    amounts = [each.amount for each in orders] if full else book.most()
    asked = tuple(
        Asked(each, _promised(each, amount, kept))
        for each, amount in zip(orders, amounts, strict=True)
    )
    after, pay = None, None
    if any(each.promised for each in asked):
        promised = [replace(each.order, amount=each.promised) for each in asked]
        after = comparer.plan(with_orders(kept, promised), closely)
        pay = _least_pay(comparer, kept, promised, Difference(before, after, close))
    earliest = book.earliest()
    helps = () if full else tuple(book.helps())
    return Promise(
        before=before,
        after=after,
        close=close,
        asked=asked,
        settled=book.settled,
        pushed=() if full else _pushed(comparer, before, orders),
        least_pay=pay,
        earliest=earliest,
        helps=helps,
    )


def kept_orders(before: Plan) -> Scenario:
    """The scenario with its orders as far as they are filled or held: all of that is kept."""
    short = {each.order: each.short for each in before.short}
    scenario = before.scenario

    def less(order: Order, amount: float) -> Order:
        """A hair less than that, lest rounding makes it impossible; whole numbers as they are."""
        hair = 0.0 if scenario.cuts[order.cut].by_each else DUST
        return replace(order, amount=max(0.0, amount - hair))

    orders = [
        less(each, each.amount - short[each.index]) if each.index in short else each
        for each in scenario.orders
    ]
    later = {each.order: each.held for each in before.later if each.held > DUST}
    there = [each for each in scenario.held if each.order.index in later]
    held = [
        replace(each, order=replace(less(each.order, later[each.order.index]), index=n), kept=True)
        for n, each in enumerate(there)
    ]
    return replace(scenario, orders=tuple(orders), held=tuple(held))


def _promised(order: Order, amount: float, scenario: Scenario) -> float:
    """What is safe to promise of what is possible: whole, or a tenth of the unit, rounded down."""
    if amount >= order.amount - DUST:
        return order.amount
    step = _visible(scenario, order.cut)
    return math.floor((amount + DUST) / step) * step


def _pushed(comparer: Comparer, before: Plan, orders: Sequence[Order]) -> tuple[Pushed, ...]:
    """Older orders that the new ones would push out by their value, if nobody stopped them."""
    try:
        plan = comparer.plan(with_orders(before.scenario, orders))
    except NoPlanInTimeError:
        return ()
    first, then = ({each.order: each.short for each in one.short} for one in (before, plan))
    return tuple(
        Pushed(order, order.amount - short, order.amount - then[order.index])
        for order in before.scenario.orders
        for short in [first.get(order.index, 0.0)]
        if then.get(order.index, 0.0) - short >= _visible(before.scenario, order.cut)
    )


# what the orders have to pay


def _least_pay(
    comparer: Comparer, kept: Scenario, orders: Sequence[Order], gain: Difference
) -> LeastPay:
    """Both scores are straight lines in the pay, for the orders are filled at any price."""
    pays = sum(each.amount * each.price for each in orders)
    least, most = max(0.0, pays - gain.most), max(0.0, pays - gain.least)
    cuts = {each.cut for each in orders}
    amount = sum(each.amount for each in orders) if len(cuts) == 1 else None

    def paid(money: float) -> Plan:
        """With the prices moved alike, so that the orders pay so much in all."""
        whole = sum(each.amount for each in orders)
        paying = [
            replace(each, price=each.price * money / pays if pays else money / whole)
            for each in orders
        ]
        return comparer.plan(with_orders(kept, paying), max(CENT, BESIDE * money / 2))

    above, below, best = paid(most * (1 + BESIDE)), paid(least * (1 - BESIDE)), gain.best_before
    enough = above.score >= best.most - CENT
    too_little = least < CENT or below.bound <= best.least + CENT
    return LeastPay(least, most, amount, enough and too_little)


def _visible(scenario: Scenario, cut: str) -> float:
    return 1.0 if scenario.cuts[cut].by_each else STEP * POUNDS[scenario.unit]


def _taken(before: Plan, after: Plan) -> Iterator[Taken]:
    for cut in before.scenario.cuts:
        for to in WALK_IN:
            one, two = (
                sum(sale.amount for sale in plan.sales if (sale.cut, sale.to) == (cut, to))
                for plan in (before, after)
            )
            if abs(two - one) >= _visible(before.scenario, cut):
                yield Taken(cut, to, one, two)
