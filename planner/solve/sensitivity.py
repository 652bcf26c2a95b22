"""Small questions put to one model near its plan: force a way, change prices, move a limit."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace

from planner.core.scenario import Rule, Scenario, with_price
from planner.solve import Options, Search, Solution, best_of
from planner.solve.engine import INFEASIBLE, INFINITY, Floats, Limits, Outcome, Progress
from planner.solve.model import BreakModel

GAP = 0.75
"""Money the first stage may be off."""

EXACT = 0.01
"""Money the answer may be off in a small model."""

CLOSE = 1.0
"""Money below which one plan is not called better than another in a larger one."""

PATIENCE = 3.0
"""Seconds for one search; where it is not enough the bound is as far as it came."""

SMALL = 150
"""Whole numbers up to which a model is searched to the end at once."""

WIDE = 1.5
"""Money between the bound and a plan found that is worth another look."""

FAR = 10.0
"""Money between the two at which everything is searched, as long as patience lasts."""

PART = 5
"""Or this part of what is asked about, where that is more."""

WayOf = tuple[str, str]
"""A piece and a way to cut it."""


class Sensitivity:
    """A plan's model with a counter on every way.

    All amounts of money are scores less ties. Orders stay filled as in today's plan, the solution;
    when `stopped` says yes, searches end with what they have.
    """

    def __init__(
        self,
        scenario: Scenario,
        solution: Solution,
        stopped: Callable[[], bool] | None = None,
    ) -> None:
        self._solution = solution
        # no answer can be closer than the plan it is about
        self._slack = 2 * (solution.bound - solution.objective)
        self._stopped = stopped or (lambda: False)
        self._ways = tuple(
            dict.fromkeys(
                (piece.name, way.name) for lot in scenario.lots for piece, way in scenario.ways(lot)
            )
        )
        options = Options(share=0.0, amount=GAP, seconds=PATIENCE)
        self._search = Search(self._counted(scenario), options)
        self._engine = self._search.aggregate
        self._engine.tune_for_small_searches()
        self.scenario = scenario
        self._settle(scenario)

    @property
    def ways(self) -> tuple[WayOf, ...]:
        """Every way to cut every piece that there is or may be."""
        return self._ways

    @property
    def close(self) -> float:
        """Money below which one plan is not called better than another."""
        return EXACT if self._small else max(CLOSE, self._slack)

    @property
    def _small(self) -> bool:
        return len(self._engine.whole_columns) <= SMALL

    def count(self, values: Floats) -> Mapping[WayOf, int]:
        """How many pieces are cut each way, over all lots and days."""
        counts = dict.fromkeys(self._ways, 0)
        for (_, piece, way, _), x in self._search.model.breaks.items():
            counts[piece, way] += round(float(values[self._search.column(x)]))
        return counts

    def sold(self, values: Floats) -> Mapping[str, float]:
        """How much of each cut is sold over the period: pounds, or each."""
        model, column = self._search.model, self._search.column
        sold = dict.fromkeys(self.scenario.cuts, 0.0)
        for (cut, _), amount in (*model.walk_in.items(), *model.marked_down.items()):
            sold[cut] += float(values[column(amount)])
        for order in self.scenario.orders:
            sold[order.cut] += float(values[column(model.filled[order.index])])
        return sold

    def worth(self, values: Floats) -> float:
        """Score less ties of a plan at the prices in place."""
        return float(self._cost @ values[: len(self._cost)]) + self._constant

    def price(self, scenario: Scenario) -> None:
        """Put the prices of another scenario in place, all else as it is."""
        objective = self._search.model.objective_at(scenario)
        self._cost = self._search.cost(objective)
        self._constant = float(objective.constant)
        self._engine.maximize(self._cost)

    def ask(self, way: WayOf, least: float, most: float = INFINITY) -> Outcome:
        """The best plan in which so many pieces are cut a way, at the prices in place."""
        with self._counting(way, least, most):
            if self._small:
                return self._all()
            return self._close(self._groups_of({way[0]}))

    def most_sold(
        self, cut: str, times: float, way: WayOf, least: float, most: float = INFINITY
    ) -> float:
        """What no plan with so many pieces cut a way exceeds: money for each of the cut's price.

        That is how much of it is sold at full price, and left at its share of it; the price may be
        up to so many times today's (the dearer, the more of the pieces left whole count for it).
        """
        scenario, model = self.scenario, self._search.model
        dear = with_price(scenario, cut, times * scenario.price(cut))
        dearer = with_price(scenario, cut, dear.price(cut) + 1.0)
        slope = model.objective_at(dearer) - model.objective_at(dear)
        with self._counting(way, least, most):
            self._engine.maximize(self._search.cost(slope))
            sold = self._engine.lp_bound()
        self.price(scenario)
        return sold

    def better(self, above: float, way: WayOf, least: float, most: float = INFINITY) -> Outcome:
        """The same, if there may be one worth more than `above`; else only a bound below it."""
        with self._counting(way, least, most):
            if self._small:
                return self._all()
            bound = self._engine.rounded() + self._constant
            if bound <= above:
                return Outcome(True, None, -INFINITY, bound)
            return self._by_sums(above)

    @contextmanager
    def _counting(self, way: WayOf, least: float, most: float) -> Iterator[None]:
        row = self._search.row(self._counters[way])
        self._engine.row_bounds(row, least, most)
        try:
            yield
        finally:
            self._engine.row_bounds(row, 0.0, INFINITY)

    def _groups_of(self, pieces: Container[str]) -> list[int]:
        """Numbers of the groups of breaks that are those of some pieces, and of all batches."""
        groups = dict.fromkeys(key[:3] for key in self._search.model.breaks)
        breaks = [number for number, (_, name, _) in enumerate(groups) if name in pieces]
        return [*breaks, *self._search.batch_groups]

    def put(self, scenario: Scenario) -> None:
        """Put a scenario with other limits in the place of the one before.

        What is found from then on is the same, whatever was asked before.
        """
        self._search.change(self._counted(scenario))
        self._settle(scenario)

    def at_most(self) -> float:
        """What no plan exceeds, told at once."""
        return self._engine.rounded() + self._constant

    def best(self, pieces: Container[str] = ()) -> Outcome:
        """The best plan with nothing forced; a first look is taken at other ways of some pieces."""
        if self._small:
            return self._all()
        return self._close(self._groups_of(pieces))

    def _counted(self, scenario: Scenario) -> BreakModel:
        counters = tuple(Rule("at least", 0, piece, way) for piece, way in self._ways)
        return BreakModel(replace(scenario, rules=(*scenario.rules, *counters)))

    def _settle(self, scenario: Scenario) -> None:
        first = len(scenario.rules)
        rules = self._search.model.rules
        self._counters = {way: rules[first + number] for number, way in enumerate(self._ways)}
        self.known = self._search.values_of(self._solution)
        self.price(scenario)

    def _all(self, amount: float = EXACT / 2) -> Outcome:
        """Search everything: a small model takes no time."""
        close = Limits(0.0, amount, PATIENCE)
        return self._found(best_of(self._engine, close, self._until(-INFINITY)))

    def _close(self, free: list[int]) -> Outcome:
        """What is found at once, if it is close enough; else what takes longer.

        At once are the bound of the relaxation and a plan that differs from today's only in the
        groups that are free.
        """
        bound = self._engine.rounded() + self._constant
        near = self._near(free)
        if bound - near.objective <= self._wide(bound):
            return replace(near, bound=max(bound, near.objective))
        if near.values is not None:
            self._engine.start_from(near.values)
        found = self._by_sums(-INFINITY)
        if not found.possible:
            return found
        best = max(near, found, key=lambda each: each.objective)
        if best.values is None:  # none near today's: is there one at all?
            return self._all()
        best = replace(best, bound=max(min(bound, found.bound), best.objective))
        far = max(FAR, self._wide(best.bound))
        if best.bound - best.objective <= far or self._stopped():
            return best
        whole = self._all(WIDE / 2)
        top = max(best, whole, key=lambda each: each.objective)
        return replace(top, bound=max(min(best.bound, whole.bound), top.objective))

    def _by_sums(self, above: float) -> Outcome:
        """Decide the sums, then look for a plan near today's that has them."""
        sums = self._engine.sums(Limits(0.0, GAP, PATIENCE), self._until(above))
        found = self._found(sums)
        if sums.values is None or found.objective <= above or self.known is None:
            return replace(found, values=None, objective=-INFINITY)
        near = self._near(self._engine.other_sums(sums.values, self.known), above)
        return replace(near, bound=max(found.bound, near.objective))

    def _near(self, free: list[int], above: float = -INFINITY) -> Outcome:
        if self.known is None:
            return INFEASIBLE
        limits = Limits(
            0.0, self._wide(INFINITY) / 2 if above == -INFINITY else self.close, PATIENCE
        )
        outcome = self._engine.near(self.known, free, limits, self._until(above))
        found = self._found(outcome)
        return replace(found, feasible=True)

    def _wide(self, bound: float) -> float:
        """How far from the bound a plan may be."""
        wide = max(WIDE, self._slack)
        return wide if self.known is None else max(wide, (self.worth(self.known) - bound) / PART)

    def _found(self, outcome: Outcome) -> Outcome:
        if not outcome.possible:
            return outcome
        bound, objective = outcome.bound + self._constant, outcome.objective + self._constant
        bound = max(bound, objective)
        return replace(outcome, feasible=True, bound=bound, objective=objective)

    def _until(self, above: float) -> Progress:
        """Ends a search that can find nothing above."""

        def tell(seconds: float, best: float, bound: float) -> bool:
            return self._stopped() or bound + self._constant <= above

        return tell
