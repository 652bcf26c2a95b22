"""Look for what mends a shortage of a blend, or a surplus of trim, fat or bones.

Each remedy is a set of rules, and its cost is that of planning with them: whoever carries it out
with `whatif` gets what is said here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import floor, isfinite

from planner.ask.comparison import best_of
from planner.ask.decisions import blended_in, cut_counts, fat_of, grown, short_value, waste_of
from planner.ask.remedies import WORTH, Imbalance, Remedy
from planner.ask.trim_flow import unmet_of
from planner.core.errors import InputError, NoPlanInTimeError, RulesConflictError
from planner.core.quantities import POUNDS
from planner.core.recipe import BY_PRODUCTS
from planner.core.scenario import GrindRule
from planner.core.stock_replay import DUST
from planner.files.changes import Change, read_changes
from planner.solve import Options, Search, Solution
from planner.solve.linear import Term, total
from planner.solve.model import BreakModel
from planner.solve.plan import CENT, Plan, make_plan

STEADY = 0.25
"""Money for which nobody cuts a piece another way than is planned."""

STEADY_GRIND = 0.02
"""The same for a pound that goes into another blend."""

CLOSELY = Options(share=0.0003, amount=0.2)
"""How close to the best a plan of today is known, and at least one with the changes."""

LOOSELY = Options(share=0.0005, amount=1.5)
"""How close one that mends is to the best such plan: only its acts are wanted."""

WASTE = (*BY_PRODUCTS, "ground")
"""Kinds of which nothing is mended where one goes out of date instead of another."""

CLOSE = 6
"""A cost is known well when it is known to one part in so many."""

PATIENCE = 6.0
"""Seconds for one such plan."""


@dataclass(frozen=True, slots=True)
class _Idea:
    """Changes that may mend, with the acts they stand for, and a plan that has them, if known."""

    changes: tuple[Change, ...]
    more: tuple[tuple[str, str, int], ...] = ()
    fewer: tuple[tuple[str, str, int], ...] = ()
    moved: tuple[tuple[str, str, float], ...] = ()
    target: Solution | None = None

    def into(self, gap: Imbalance) -> str:
        """The one blend that the surplus is moved into where that is all; else empty."""
        takers = [blend for cut, blend, pounds in self.moved if cut == gap.what and pounds > 0]
        only = gap.kind == "surplus" and not self.more and len(takers) == 1
        return takers[0] if only else ""


class RemedySearch:
    """Looks for what mends one shortage or surplus of a plan, until `over` says that time is.

    `close` is a plan of the same scenario that is close to the best, for what is proven.
    """

    def __init__(self, plan: Plan, close: Plan, gap: Imbalance, over: Callable[[], bool]) -> None:
        self._plan, self._today, self._gap, self._over = plan, plan.decided, gap, over
        # that is known, less ties
        self._most = max(plan.decided.objective, close.decided.objective)
        self._best = best_of([plan, close])
        self._scenario = plan.scenario
        self._counts = cut_counts(plan)
        self._blended = blended_in(plan)
        cuts = plan.scenario.cuts.items()
        self._scraps = frozenset(n for n, cut in cuts if cut.kind in WASTE and not cut.by_each)
        self._search: Search | None = None

    def answer(self) -> Imbalance:
        """The shortage or surplus with its remedies; not asked if time is over already."""
        if self._over():
            return replace(self._gap, asked=False)
        remedies = sorted(self._remedies(), key=lambda each: (each.least + each.most, -each.mended))
        asked = bool(remedies) or not self._over()
        return replace(self._gap, remedies=tuple(remedies), asked=asked)

    def _remedies(self) -> Iterator[Remedy]:
        """The cheapest way of all, then each blend that could take the surplus."""
        moved_into: set[str] = set()
        for idea in self._ideas():
            into = idea.into(self._gap)
            if idea.changes and into not in moved_into:
                moved_into |= {into} if into else set()
                remedy = self._carried_out(idea)
                if remedy and self._worth_it(remedy.mended, remedy.most):
                    yield remedy

    def _ideas(self) -> Iterator[_Idea]:
        target = self._target() if self._gap.worth else None
        if target:
            yield self._acts(target)
        if self._gap.kind == "short":  # each rule on the grind that holds it back, lifted alone
            takes = self._scenario.blends[self._gap.what].takes
            for rule in self._scenario.rules:
                if isinstance(rule, GrindRule) and rule.cut in takes and not self._over():
                    yield _Idea((Change("rule", f"lift {rule}"),))
            return
        for name, blend in self._scenario.blends.items():
            if self._gap.what in blend.takes and not self._over():
                more = min(self._gap.pounds, self._room(name))
                if more >= WORTH:
                    now = self._blended.get((self._gap.what, name), 0.0)
                    moved = ((self._gap.what, name, more),)
                    yield _Idea((self._into(name, now + more),), moved=moved)

    def _search_of(self, model: BreakModel, options: Options) -> Search:
        """The search for a model's plan, which begins where the last one ended."""
        options = replace(options, seconds=PATIENCE)
        if self._search is None:
            self._search = Search(model, options)
        else:
            self._search.change(model, options)
        return self._search

    def _solve(self, model: BreakModel, options: Options, start: Solution) -> Solution | None:
        """A plan near a known one, or any if that is none here; None if there is none."""
        search = self._search_of(model, options)

        def tell(*_: float) -> bool:
            return self._over()

        try:
            return search.near(start, tell) or search.solution(tell)
        except (NoPlanInTimeError, RulesConflictError):
            return None

    def _target(self) -> Solution | None:
        """The best plan that mends as much as is worth it, as near to today's as can be."""
        model = BreakModel(self._scenario)
        constant, terms = self._mending(model)
        worth = self._gap.worth
        mended = model.reward(terms, constant, self._gap.pounds, worth, "mended")
        if self._gap.kind == "surplus":  # nothing else may go out of date instead
            waste = [(x, 1.0) for (cut, _, _), x in model.wasted.items() if cut in self._scraps]
            today = waste_of(self._plan, self._scraps)
            model.require(total([(mended, 1.0), *waste]) <= today, "all")
        for key, count in self._counts.items():
            cut = [(x, 1.0) for (_, *way, _), x in model.breaks.items() if tuple(way) == key]
            model.reward(cut, 0.0, count, STEADY, "steady", *key)
        for key, pounds in self._blended.items():
            into = [(x, 1.0) for (blend, cut, _), x in model.blended.items() if (cut, blend) == key]
            model.reward(into, 0.0, pounds, STEADY_GRIND, "steady", *key)
        return self._solve(model, LOOSELY, self._today)

    def _mending(self, model: BreakModel) -> tuple[float, list[Term]]:
        """Pounds mended: what is sold beyond today's sales, or wasted less than today."""
        what, scenario = self._gap.what, self._scenario
        if self._gap.kind == "surplus":
            terms = [(x, -1.0) for (cut, _, _), x in model.wasted.items() if cut == what]
            return self._gap.pounds, terms
        terms = [(x, 1.0) for (cut, _), x in model.walk_in.items() if cut == what]
        terms += [(model.filled[each.index], 1.0) for each in scenario.orders if each.cut == what]
        sold = sum(
            each.amount for each in self._plan.sales if each.cut == what and each.to != "markdown"
        )
        return -sold, terms

    def _acts(self, target: Solution) -> _Idea:
        """What a plan does otherwise than today's, and rules that ask for it."""
        plan = make_plan(self._scenario, target)
        counts, blended = cut_counts(plan), blended_in(plan)
        more, fewer = grown(self._counts, counts), grown(counts, self._counts)
        asked = [("at least", piece, way) for piece, way, _ in more]
        if self._gap.kind == "surplus":  # nothing else would keep the rest from giving as much
            asked += [("at most", piece, way) for piece, way, _ in fewer]
        rules = [
            Change("rule", f"{verb} {counts.get((piece, way), 0)} {piece}: {way}")
            for verb, piece, way in asked
        ]
        moved = [
            (*key, blended.get(key, 0.0) - self._blended.get(key, 0.0))
            for key in {**self._blended, **blended}
        ]
        moved = [each for each in moved if abs(each[2]) >= WORTH]
        what = self._gap.what
        taken = [each for each in moved if each[2] > 0 and what in each[:2]]
        rules += [self._into(blend, blended[cut, blend], cut) for cut, blend, _ in taken]
        # the rest of the grind changes hands for pennies
        cuts = {cut for cut, _, _ in taken}
        told = tuple(
            each for each in moved if what in each[:2] or (each[0] in cuts and each[2] < 0)
        )
        return _Idea(tuple(rules), more, fewer, told, target)

    def _into(self, blend: str, pounds: float, cut: str | None = None) -> Change:
        """The rule that so much of a cut, rounded down to a hundredth, goes into a blend."""
        unit = self._scenario.unit
        number = floor(100 * pounds / POUNDS[unit] + DUST) / 100
        return Change("rule", f"at least {number:.10g} {unit} {cut or self._gap.what}: {blend}")

    def _room(self, blend: str) -> float:
        """How much more of the surplus a blend can take with pieces cut as today."""
        model = BreakModel(self._scenario)
        model.cut_as(self._plan.decided.breaks)
        key = (self._gap.what, blend)
        taken = [(x, 1.0) for (name, cut, _), x in model.blended.items() if (cut, name) == key]
        short = {each.order: each.short for each in self._plan.short}
        orders = self._scenario.orders
        filled = {each.index: each.amount - short.get(each.index, 0.0) for each in orders}
        most = Search(model, Options(seconds=PATIENCE)).most(total(taken), filled) or 0.0
        return most - self._blended.get(key, 0.0)

    def _worth_it(self, mended: float, cost: float) -> bool:
        return mended >= WORTH and cost <= self._gap.worth * mended

    def _carried_out(self, idea: _Idea) -> Remedy | None:
        """What the changes do and cost: the week is planned with them."""
        try:
            model = BreakModel(read_changes(self._scenario, idea.changes))
        except InputError:
            return None  # a name that cannot be said in a rule
        cost = self._most - self._search_of(model, CLOSELY).at_most()
        if not self._worth_it(self._gap.pounds, cost):
            return None  # told at once
        close = replace(CLOSELY, amount=max(CLOSELY.amount, abs(cost) / CLOSE))
        solution = self._solve(model, close, idea.target or self._today)
        if solution is None:
            return None
        after = make_plan(model.scenario, solution)
        if short_value(after) > short_value(self._plan) + CENT:
            return None  # what is promised is not taken to mend it
        added = not any(change.text.startswith("lift ") for change in idea.changes)
        into = idea.into(self._gap)
        least, most = self._best.least - after.bound, self._best.most - after.score
        if not isfinite(least) or not isfinite(most):
            return None  # time was over
        return Remedy(
            changes=idea.changes,
            more=idea.more,
            fewer=idea.fewer,
            moved=idea.moved,
            into=into,
            fat=fat_of(after, into),
            robbed=tuple(self._robbed(after)),
            mended=self._mended_by(after),
            least=max(0.0, least) if added else least,  # a rule more never earns
            most=most if added else min(0.0, most),
        )

    def _robbed(self, after: Plan) -> Iterator[tuple[str, float]]:
        """Other blends of which more is missing than today."""
        for name in self._scenario.blends:
            more = sum(unmet_of(after, name)) - sum(unmet_of(self._plan, name))
            if more >= WORTH and name != self._gap.what:
                yield name, more

    def _mended_by(self, after: Plan) -> float:
        what, pounds = self._gap.what, self._gap.pounds
        if self._gap.kind == "short":
            return pounds - sum(unmet_of(after, what))
        less = waste_of(self._plan, self._scraps) - waste_of(after, self._scraps)
        return min(pounds - waste_of(after, [what]), less)
