"""One scenario planned, and changed ones compared with it; the solver keeps the model."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from planner.core.errors import NoPlanInTimeError
from planner.core.scenario import Scenario
from planner.solve import Options, Search, planned_in_parts, too_long
from planner.solve.engine import Progress
from planner.solve.model import BreakModel
from planner.solve.plan import Plan, make_plan, planned

NAMED = 1.0
"""A difference of money below this is not worth naming."""

PART = 5
"""A difference is known well when the interval it lies in is narrower than one part in so many."""

TIGHTENINGS = 4


@dataclass(frozen=True, slots=True)
class Interval:
    """Money that is known to lie between `least` and `most`."""

    least: float
    most: float

    @property
    def width(self) -> float:
        """How far it is not known."""
        return self.most - self.least


def closer(plan: Plan, options: Options, progress: Progress | None = None) -> Plan:
    """A plan of the same scenario that is as close to the best as the options ask, if one is found.

    It is for what is proven: what is explained is the plan shown, which may be as close itself.
    """
    if plan.within <= max(options.amount, options.share * abs(plan.score)):
        return plan
    try:
        found = planned(Search(BreakModel(plan.scenario), options), progress)
    except NoPlanInTimeError:
        return plan
    return make_plan(plan.scenario, found)


def best_of(plans: Sequence[Plan]) -> Interval:
    """Between what the best score of a scenario lies, by several plans of it."""
    return Interval(max(each.score for each in plans), min(each.bound for each in plans))


@dataclass(frozen=True, slots=True)
class Difference:
    """Two plans side by side, and what is proven about the difference of the best there are.

    `close` is another plan of the scenario before, closer to the best: for what is proven.
    """

    before: Plan
    after: Plan
    close: Plan | None = None

    @property
    def nearest(self) -> Plan:
        """The plan of the scenario before that is known to be closest to the best."""
        return self.close or self.before

    @property
    def best_before(self) -> Interval:
        """The best score of the scenario before."""
        return best_of([self.before, self.nearest])

    @property
    def least(self) -> float:
        """Money the change earns at least."""
        return self.after.score - self.best_before.most

    @property
    def most(self) -> float:
        """Money the change earns at most."""
        return self.after.bound - self.best_before.least

    @property
    def enough(self) -> float:
        """How wide the interval may be at most: a fifth of the difference, or 1.00."""
        return max(NAMED, abs(self.least + self.most) / 2 / PART)

    @property
    def settled(self) -> bool:
        """Whether it is as narrow as that."""
        return self.most - self.least <= self.enough

    @property
    def nameable(self) -> bool:
        """Whether the difference is known to be more than nothing, and worth naming."""
        low, high = sorted((abs(self.least), abs(self.most)))
        return self.least * self.most > 0 and high >= NAMED and low > 0


class Comparer:
    """Plans a scenario and changed ones; each starts from the plan before it.

    Parameters
    ----------
    scenario : Scenario
    options : Options, optional
        `seconds` is for each plan.
    progress : callable, optional
        Told seconds, best so far and bound, now and then.
    shown : callable, optional
        Gives the plan of the scenario that `week` tells: what is asked starts from it.
    """

    def __init__(
        self,
        scenario: Scenario,
        options: Options | None = None,
        progress: Progress | None = None,
        shown: Callable[[], Plan] | None = None,
    ) -> None:
        self.scenario = scenario
        self.options = replace(options or Options(), bundled=False)
        self._shown = shown or self.plan
        self._progress = progress

    @cached_property
    def _search(self) -> Search:
        return Search(BreakModel(self.scenario), self.options)

    @cached_property
    def shown(self) -> Plan:
        """The plan of the scenario that `week` tells."""
        return self._shown()

    def plan(self, scenario: Scenario | None = None, amount: float | None = None) -> Plan:
        """Plan of the scenario, or of a changed one.

        `amount` is the money it may be below the best at most; else as in the options.

        Raises
        ------
        RulesConflictError, NoPlanInTimeError
            As planning the week does.
        """
        scenario = scenario or self.scenario
        options = self.options
        if amount is not None:
            options = replace(options, share=0.0, amount=amount)
        if too_long(scenario, options):
            return make_plan(scenario, planned_in_parts(scenario, options, self._progress))
        model = self._search.model  # built already when the same is planned more closely
        self._search.change(model if model.scenario is scenario else BreakModel(scenario), options)
        return make_plan(scenario, planned(self._search, self._progress))

    def difference(
        self, after: Scenario, before: Plan | None = None, close: Plan | None = None
    ) -> Difference:
        """The best plan of a changed scenario beside that of another, close enough to compare.

        Both are solved again, more closely, until the interval that is proven is narrower than a
        fifth of the difference or below 1.00 of money, or the time is over.

        It is compared with the plan `before`; else with the plan shown of the comparer's own
        scenario. `close` is another plan of that scenario, known to be closer to the best.
        """
        found = Difference(before or self.shown, self.plan(after), close)
        for _ in range(TIGHTENINGS):
            if found.settled or "time limit" in (found.nearest.status, found.after.status):
                break
            amount = found.enough / 2.2
            if found.best_before.width > amount:
                found = replace(found, close=self._closer(found.nearest, amount))
            if found.after.within > amount:
                found = replace(found, after=self._closer(found.after, amount))
        return found

    def _closer(self, plan: Plan, amount: float) -> Plan:
        """Plan again, closer to the best; keep the plan there is if the time is not enough."""
        closer = self.plan(plan.scenario, amount)
        return min(closer, plan, key=lambda each: (not each.orders_proven, each.within))
