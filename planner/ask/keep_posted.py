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
from planner.solve import Options, Search, Solution
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
"""Times the calm that a piece as listed is worth where all that can be are kept."""

PRICES = (0.5, 0.2, 0.05, 0.01)
"""Shares of the calm that such a piece is worth in turn."""


@dataclass(frozen=True, slots=True)
class Calm:
    """A plan that keeps to a list.

    Attributes
    ----------
    plan : Plan
        The one to be told; its `bound` is that of the best plan.
    best : Plan
        The best that was found.
    whole : Plan or None
        The best one with the whole list; None where it cannot be kept.
    fills : bool
        Whether that one fills orders for as much money as the best.
    kept : str
        Of the list: all of it, as much as costs little, or as much as the best plan has anyway.
    calm : float
        Money that keeping to the list may cost.
    late : bool
        Whether the time was over before it was known if the whole list can be kept.
    """

    plan: Plan
    best: Plan
    whole: Plan | None
    fills: bool
    kept: Kept
    calm: float
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


def calm_plan(
    scenario: Scenario,
    listed: List,
    options: Options,
    calm: float,
    progress: Progress | None = None,
) -> Calm:
    """The plan of a scenario that keeps to a list where this costs no more than some money.

    Parameters
    ----------
    scenario : Scenario
    listed : mapping of (piece, way, day) to int
        What is still to be done of the list; nothing where there is none.
    options : Options
        How the best plan is sought.
    calm : float
    progress : callable, optional

    Raises
    ------
    RulesConflictError
        The rules cannot be kept.
    NoPlanInTimeError
        No plan was found in the time given.
    """
    desk = _Desk(scenario, options, progress)
    whole = desk.with_list(listed) if listed else None
    late = desk.late
    best = desk.best()
    told = best
    kept: Kept = "best"
    fills = whole is not None and _fills_as(whole.plan, best.plan)
    if whole and fills:
        if whole.plan.score > best.plan.score:  # then it is the best that was found
            best = _bounded(whole, best)
        if whole.plan.score >= best.plan.score - calm - CENT / 100:
            told, kept = whole, "all"
    if kept == "best" and listed and calm > 0:
        spent = _spent(best, calm)
        near = desk.nearer(listed, whole if fills else None, best, spent)
        for each in near:
            if each.plan.score > best.plan.score and _fills_as(each.plan, best.plan):
                best = _bounded(each, best)
        found = desk.most_of(listed, best, near[-1], spent)
        if as_listed(found.plan, listed) > as_listed(best.plan, listed):
            told, kept = found, "most"
        else:
            told = best
    if kept != "all":  # as it will be found when this is the list
        told = desk.again(told, best, calm if kept == "most" else 0.0)
    return Calm(
        plan=desk.told(told, best),
        best=best.plan,
        whole=whole.plan if whole else None,
        fills=fills,
        kept=kept,
        calm=calm,
        late=late,
    )


def list_alone(scenario: Scenario, listed: List, options: Options) -> Plan | None:
    """The best plan with a whole list; its bound is about such plans. None where there is none."""
    found = _Desk(scenario, options, None).with_list(listed)
    return found.plan if found else None


class _Found:
    """A solution with its plan."""

    def __init__(self, solution: Solution, scenario: Scenario) -> None:
        self.solution = solution
        self.plan = make_plan(scenario, solution)


def _spent(best: _Found, calm: float) -> float:
    """What may be given for the list where it cannot stay whole.

    Where the best is not known to be the best, half the money at most is left for what a later
    search may find: else the list would be given up then though nothing has changed.
    """
    return max(calm / 2, calm - max(0.0, best.plan.within))


def _bounded(better: _Found, best: _Found) -> _Found:
    """A plan that is better than the best so far: what was proven of that holds for it too."""
    bound = max(best.solution.bound, better.plan.score - _ties(better))
    status = best.solution.status
    solution = replace(better.solution, bound=bound, status=status)
    return _Found(solution, better.plan.scenario)


class _Desk:
    """One scenario, with the model kept in the solver."""

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

    def with_list(self, listed: List) -> _Found | None:
        """The best plan with a whole list: only lots, batches and sales are open.

        It is always sought afresh, so that the same list gives the same plan.
        """
        model = BreakModel(self._scenario)
        if any(count and key not in model.alike for key, count in listed.items()):
            return None
        model.cut_list(listed)
        self._search = None
        try:
            return _Found(self._search_of(model, self._aside).solution(self._tell), self._scenario)
        except RulesConflictError:
            return None
        except NoPlanInTimeError:
            self.late = True
            return None

    def best(self) -> _Found:
        """The best plan; the search begins with what was found before."""
        search = self._search_of(BreakModel(self._scenario), self._options)
        found = _Found(planned(search, self._progress), self._scenario)
        self._best = found.plan
        return found

    def nearer(self, listed: List, whole: _Found | None, best: _Found, calm: float) -> list[_Found]:
        """Plans ever further from a list, until one is close to the best; that one is the last.

        The first is the list itself, or what comes nearest to it: the more a piece as listed counts
        the less is left to search. Then it counts less and less.
        """
        found = [whole] if whole else [self._nearest(listed, best, calm)]
        ends = time.perf_counter() + self._aside.seconds
        for share in PRICES:
            left = ends - time.perf_counter()
            if self.good(found[-1], best, calm) or left <= 0:
                break
            options = replace(self._aside, amount=NEAR, seconds=left)
            search = self._search_of(self._rewarded(listed, share * calm), options)
            solution = search.around(found[-1].solution, best.solution, self._tell)
            if solution:
                found.append(_Found(solution, self._scenario))
        return found

    def _nearest(self, listed: List, best: _Found, calm: float) -> _Found:
        """The plan that cuts most as listed while a piece is worth more than it costs anyhow."""
        options = replace(self._aside, amount=calm, seconds=self._aside.seconds / 4)
        search = self._search_of(self._rewarded(listed, MUCH * calm), options)
        solution = search.from_known(best.solution, self._tell)
        return _Found(solution, self._scenario) if solution else best

    def most_of(self, listed: List, best: _Found, near: _Found, calm: float) -> _Found:
        """The plan with most pieces as listed that is close to the best, then by its score.

        Begins with a plan near the list that is as close. That is all where there is too much to be
        searched to the end: it would take long, and seldom finds another.
        """
        allowed = max(FINE, min(self._options.amount, calm / PART))
        # a piece weighs more than scores can differ by
        model = self._rewarded(listed, calm + best.plan.within + allowed + 1.0)
        model.require(model.score >= best.plan.score - calm, "calm")
        start = near if self.good(near, best, calm) else best
        search = self._search_of(model, replace(self._aside, amount=allowed))
        if not search.few:
            return start
        solution = search.from_known(start.solution, self._tell)
        found = _Found(solution, self._scenario) if solution else start
        return found if self.good(found, best, calm) else start

    def _rewarded(self, listed: List, money: float) -> BreakModel:
        """The model with money for every piece that is cut as listed."""
        model = BreakModel(self._scenario)
        for key, several in model.alike.items():
            if listed.get(key):
                model.reward(((x, 1.0) for x in several), 0.0, listed[key], money, "listed", *key)
        return model

    def again(self, told: _Found, best: _Found, calm: float) -> _Found:
        """The plan of the same list as it is found when only the list is known."""
        found = self.with_list(list_of(told.plan))
        if found is None or found.plan.score < told.plan.score - CENT:
            return told
        return found if self.good(found, best, max(calm, CENT)) else told

    def good(self, found: _Found, best: _Found, calm: float) -> bool:
        """Whether a plan costs no more than it may; its figures are counted, not the search's."""
        return found.plan.score >= best.plan.score - calm and _fills_as(found.plan, best.plan)

    def told(self, found: _Found, best: _Found) -> Plan:
        """A plan with what is proven of the best, and what binds where an order falls short."""
        bound = max(best.solution.bound, found.plan.score - _ties(found))
        plan = make_plan(self._scenario, replace(found.solution, bound=bound))
        allowed = max(self._options.share * abs(plan.score), self._options.amount)
        status = best.plan.status
        if status == "proven" and plan.within >= CENT:
            status = "within tolerance"
        if status == "within tolerance" and plan.within > allowed + CENT:
            status = "held"
        plan = replace(
            plan,
            status=status,
            orders_proven=best.plan.orders_proven,
            seconds=best.plan.seconds,
        )
        if not plan.short:
            return plan
        seconds = max(QUESTION, self._options.seconds - plan.seconds)
        binds = binding_limits(self._scenario, found.solution, seconds)
        short = tuple(replace(each, binds=binds[each.order]) for each in plan.short)
        return replace(plan, short=short)


def _ties(found: _Found) -> float:
    """What a plan's ties weigh: its bound is that of the search with these added."""
    return found.plan.bound - found.solution.bound


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
