"""A plan that keeps to a list on the wall, as long as that costs little.

First the list as a whole: is it still possible, and what does it earn? Then the best plan. Where
the list earns nearly as much it stays; else, among plans that earn nearly as much, the one that
keeps most of its pieces as they are listed: in small weeks by proof, in large ones of those found.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from planner.core.errors import NoPlanInTimeError, RulesConflictError
from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.solve import Options, Search
from planner.solve.binding import QUESTION, binding_limits
from planner.solve.engine import INFINITY, Progress
from planner.solve.model import BreakModel
from planner.solve.plan import CENT, Plan, make_plan, planned

Key: TypeAlias = tuple[str, str, int]
"""Piece, way and day."""

List: TypeAlias = Mapping[Key, int]
"""How many pieces are cut in a way on a day, of whatever lots."""

Kept: TypeAlias = Literal["all", "most", "best"]
"""Of a list: all of it, as much as costs little, or as much as the best plan has anyway."""

FINE = 0.01
"""Money to which a list is planned: only lots and batches are open then."""

PART = 3
"""The part of the money in question to which the plan with most pieces is sought."""

NEAR = 0.1
"""Money by which a plan near a list has to be better than another to be taken."""

MUCH = 2.0
"""Times the allowance that a piece as listed is worth where all that can be are kept."""

PRICES = (0.5, 0.2, 0.05, 0.01)
"""Shares of the allowance that such a piece is worth in turn."""


@dataclass(frozen=True, slots=True)
class Repair:
    """A plan that keeps to a list.

    Attributes
    ----------
    plan, best : Plan
        The one to be told, whose `bound` is that of the best plan; and the best that was found.
    whole : Plan or None
        The best one with the whole list; None where it cannot be kept.
    fills : bool
        Whether that one fills orders for as much money as the best.
    kept : str
        Of the list: all of it, as much as costs little, or as much as the best plan has anyway.
    allowance : float
        Money that keeping to the list may cost.
    late : bool
        Whether the time was over before it was known if the whole list can be kept.
    """

    plan: Plan
    best: Plan
    whole: Plan | None
    fills: bool
    kept: Kept
    allowance: float
    late: bool = False

    @property
    def cost(self) -> float:
        """Money that the plan told earns less than the best that was found."""
        return max(0.0, self.best.score - self.plan.score)

    @property
    def held(self) -> bool:
        """Whether the plan told earns less than another, for it keeps to the list."""
        return self.kept != "best" and self.cost > CENT

    @property
    def keeping(self) -> tuple[float, float] | None:
        """Between what money, by proof, keeping the whole list earns less than the best possible.

        None where it cannot be kept, or not with the same orders.
        """
        if self.whole is None or not self.fills:
            return None
        least = max(0.0, self.best.score - self.whole.bound)
        return least, max(least, self.best.bound - self.whole.score)


def list_of(plan: Plan) -> Counter[Key]:
    """The list of a plan: how many pieces in which way on which day."""
    found: Counter[Key] = Counter()
    for each in plan.breaks:
        found[each.piece, each.way, each.day] += each.count
    return found


def as_listed(plan: Plan, listed: List) -> int:
    """How many pieces a plan cuts as they are listed."""
    return sum((list_of(plan) & Counter(listed)).values())


def repaired_plan(
    scenario: Scenario,
    listed: List,
    options: Options,
    allowance: float,
    progress: Progress | None = None,
) -> Repair:
    """The plan of a scenario that keeps to a list where this costs no more than some money.

    `listed` is what is still to be done of the list, nothing where there is none; `options` say how
    the best plan is sought.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        As planning the week does.
    """
    repair = _RepairSearch(scenario, options, progress)
    whole = repair.with_list(listed) if listed else None
    late = repair.late
    best = told = repair.find_best()
    kept: Kept = "best"
    fills = whole is not None and _fills_as(whole, best)
    if whole and fills:
        best = repair.better_of(whole, best)
        if whole.score >= best.score - allowance - CENT / 100:
            told, kept = whole, "all"
    if kept == "best" and listed and allowance > 0:
        # Where the best is not known to be the best, half the money at most is left for what a
        # later search may find: else the list would be given up then though nothing has changed.
        allowed = max(allowance / 2, allowance - max(0.0, best.within))
        near = repair.nearer(listed, whole if fills else None, best, allowed)
        for each in near:
            if _fills_as(each, best):
                best = repair.better_of(each, best)
        found, told = repair.most_of(listed, best, near[-1], allowed), best
        if as_listed(found, listed) > as_listed(best, listed):
            told, kept = found, "most"
    if kept != "all":  # as it will be found when this is the list
        told = repair.from_its_list(told, best, allowance if kept == "most" else 0.0)
    return Repair(repair.with_bound(told, best), best, whole, fills, kept, allowance, late)


def list_alone(scenario: Scenario, listed: List, options: Options) -> Plan | None:
    """The best plan with a whole list; its bound is about such plans. None where there is none."""
    return _RepairSearch(scenario, options, None).with_list(listed)


class _RepairSearch:
    """The search for plans near a list; the solver keeps the model."""

    def __init__(self, scenario: Scenario, options: Options, progress: Progress | None) -> None:
        self._scenario, self._options, self._progress = scenario, options, progress
        # as long as for the best plan: a shorter limit would make the answer depend on the machine
        self._aside = replace(options, share=0.0, amount=FINE, model_file=None)
        self._search: Search | None = None
        self._best: Plan | None = None
        self.late = False

    def _tell(self, seconds: float, best: float, bound: float) -> bool:
        """Progress of a search that is not for the score: the best plan so far is told."""
        money = (self._best.score, self._best.bound) if self._best else (-INFINITY, INFINITY)
        return bool(self._progress and self._progress(seconds, *money))

    def _search_of(self, model: BreakModel, options: Options) -> Search:
        if self._search is None or options.bundled:
            self._search = Search(model, options)
        else:
            self._search.change(model, options)
        return self._search

    def with_list(self, listed: List) -> Plan | None:
        """The best plan with a whole list: only lots, batches and sales are open.

        It is always sought afresh, so that the same list gives the same plan.
        """
        model = BreakModel(self._scenario)
        if any(count and key not in model.alike for key, count in listed.items()):
            return None
        model.cut_list(listed)
        self._search = None
        try:
            return make_plan(
                self._scenario, self._search_of(model, self._aside).solution(self._tell)
            )
        except RulesConflictError:
            return None
        except NoPlanInTimeError:
            self.late = True
            return None

    def find_best(self) -> Plan:
        """The best plan; the search begins with what was found before."""
        search = self._search_of(BreakModel(self._scenario), self._options)
        self._best = make_plan(self._scenario, planned(search, self._progress))
        return self._best

    def better_of(self, plan: Plan, best: Plan) -> Plan:
        """A plan that is better than the best so far, with what was proven of that; or that."""
        if plan.score <= best.score:
            return best
        solution = plan.decided
        bound = max(best.decided.bound, plan.score - _ties(plan))
        solution = replace(solution, bound=bound, status=best.decided.status)
        return make_plan(self._scenario, solution)

    def nearer(self, listed: List, whole: Plan | None, best: Plan, allowed: float) -> list[Plan]:
        """Plans ever further from a list, until one is close to the best; that one is the last.

        The first is the list itself, or what comes nearest to it: the more a piece as listed counts
        the less is left to search. Then it counts less and less.
        """
        found = [whole] if whole else [self._nearest(listed, best, allowed)]
        ends = time.perf_counter() + self._aside.seconds
        for share in PRICES:
            left = ends - time.perf_counter()
            if _close(found[-1], best, allowed) or left <= 0:
                break
            options = replace(self._aside, amount=NEAR, seconds=left)
            search = self._search_of(self._rewarded(listed, share * allowed), options)
            solution = search.around(found[-1].decided, best.decided, self._tell)
            if solution:
                found.append(make_plan(self._scenario, solution))
        return found

    def _nearest(self, listed: List, best: Plan, allowed: float) -> Plan:
        """The plan that cuts most as listed while a piece is worth more than it costs anyhow."""
        options = replace(self._aside, amount=allowed, seconds=self._aside.seconds / 4)
        search = self._search_of(self._rewarded(listed, MUCH * allowed), options)
        solution = search.from_known(best.decided, self._tell)
        return make_plan(self._scenario, solution) if solution else best

    def most_of(self, listed: List, best: Plan, near: Plan, allowed: float) -> Plan:
        """The plan with most pieces as listed that is close to the best, then by its score.

        Begins with a plan near the list that is as close. That is all where there is too much to be
        searched to the end: it would take long, and seldom finds another.
        """
        amount = max(FINE, min(self._options.amount, allowed / PART))
        # a piece weighs more than scores can differ by
        model = self._rewarded(listed, allowed + best.within + amount + 1.0)
        model.require(model.score >= best.score - allowed, "calm")
        start = near if _close(near, best, allowed) else best
        search = self._search_of(model, replace(self._aside, amount=amount))
        if not search.few:
            return start
        solution = search.from_known(start.decided, self._tell)
        found = make_plan(self._scenario, solution) if solution else start
        return found if _close(found, best, allowed) else start

    def _rewarded(self, listed: List, money: float) -> BreakModel:
        """The model with money for every piece that is cut as listed."""
        model = BreakModel(self._scenario)
        for key, several in model.alike.items():
            if listed.get(key):
                model.reward(((x, 1.0) for x in several), 0.0, listed[key], money, "listed", *key)
        return model

    def from_its_list(self, plan: Plan, best: Plan, allowed: float) -> Plan:
        """The plan of the same list as it is found when only the list is known."""
        found = self.with_list(list_of(plan))
        if found is None or found.score < plan.score - CENT:
            return plan
        return found if _close(found, best, max(allowed, CENT)) else plan

    def with_bound(self, plan: Plan, best: Plan) -> Plan:
        """A plan with what is proven of the best, and what binds where an order falls short."""
        bound = max(best.decided.bound, plan.score - _ties(plan))
        solution = plan.decided
        plan = make_plan(self._scenario, replace(solution, bound=bound))
        allowed = max(self._options.share * abs(plan.score), self._options.amount)
        status = best.status
        if status == "proven" and plan.within >= CENT:
            status = "within tolerance"
        if status == "within tolerance" and plan.within > allowed + CENT:
            status = "held"
        binds: Mapping[int, tuple[str, ...]] = {}
        if plan.short:
            seconds = max(QUESTION, self._options.seconds - best.seconds)
            binds = binding_limits(self._scenario, solution, seconds)
        return replace(
            plan,
            status=status,
            orders_proven=best.orders_proven,
            seconds=best.seconds,
            short=tuple(replace(each, binds=binds[each.order]) for each in plan.short),
        )


def _ties(plan: Plan) -> float:
    """What a plan's ties weigh: its bound is that of the search with these added."""
    return plan.bound - plan.decided.bound


def _close(plan: Plan, best: Plan, allowed: float) -> bool:
    """Whether a plan costs no more than it may; its figures are counted, not the search's."""
    return plan.score >= best.score - allowed and _fills_as(plan, best)


def _fills_as(plan: Plan, best: Plan) -> bool:
    """Whether a plan fills orders for as much money as the best one, and all if that does.

    It also holds as much for orders after the period.
    """
    if plan.short and not best.short:
        return False
    if any(one.held < other.held - DUST for one, other in zip(plan.later, best.later, strict=True)):
        return False
    one, two = (
        sum(sale.amount * sale.price for sale in each.sales if sale.order is not None)
        for each in (plan, best)
    )
    return one >= two - CENT
