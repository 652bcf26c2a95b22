"""Whether orders for days after the period can be held for: they are not planned yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.ask.comparison import Comparer, Difference
from planner.ask.promise import CLOSE, Answer, kept_orders
from planner.core.plan_lines import Later
from planner.core.scenario import Held
from planner.solve.plan import Plan


@dataclass(frozen=True, slots=True)
class Holding:
    """What can be held for new orders; what older ones have without them, they keep.

    `gain` has the plan that was told, and the one that holds as much for the new orders as can be.
    """

    gain: Difference
    asked: tuple[Later, ...]

    @property
    def plan(self) -> Plan:
        """The one that holds for them."""
        return self.gain.after

    @property
    def answer(self) -> Answer:
        """Whether all, some or none of it can be held."""
        if all(each.full for each in self.asked):
            return "yes"
        return "part" if any(each.held for each in self.asked) else "no"


def hold(comparer: Comparer, orders: Sequence[Held]) -> Holding:
    """Plan once more with new orders for days after the period.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        As planning the week does.
    """
    before, close = comparer.shown, comparer.plan(amount=CLOSE)
    kept = kept_orders(before)
    first = len(kept.held)
    new = [
        replace(each, order=replace(each.order, index=number))
        for number, each in enumerate(orders, first)
    ]
    after = comparer.plan(replace(kept, held=(*kept.held, *new)), CLOSE)
    asked = tuple(each for each in after.later if each.order >= first)
    return Holding(Difference(before, after, close), asked)
