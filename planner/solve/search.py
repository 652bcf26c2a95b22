"""The search for the best plan: orders first, then the score; and what was proven about it."""

from __future__ import annotations

import time
from collections.abc import Container, Mapping
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pulp

from planner.core.errors import NoPlanInTimeError, RulesConflictError, UnsoundPlanError
from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.files.atomic_write import told, write_file
from planner.solve.aggregate import AggregateEngine
from planner.solve.bundled import Bundled
from planner.solve.ceiling import ceiling
from planner.solve.engine import (
    INFEASIBLE,
    INFINITY,
    LEAST,
    OVERTIME,
    Engine,
    Floats,
    Inequality,
    Limits,
    Outcome,
    Progress,
)
from planner.solve.heuristics import (
    DEAR,
    LookLimit,
    crossover,
    dive,
    fix_and_optimize,
    relax_and_fix,
    relaxation_induced,
)
from planner.solve.matrix import aggregate_of, arrays_of, bounds_of
from planner.solve.model import BreakModel
from planner.solve.options import MODEL, SAME, Options, Solution
from planner.solve.portfolio import FEW, best_of
from planner.solve.replay import replayed

FLOOR = 0.001
"""Money by which the search may undercut the order value that can be reached."""


def solve(
    scenario: Scenario, options: Options | None = None, progress: Progress | None = None
) -> Solution:
    """Find the best plan of a scenario within the tolerance asked for.

    `progress` is told seconds, best so far and bound, now and then; errors as `Search.solution`.
    """
    return Search(BreakModel(scenario), options).solution(progress)


BATCH_NODES = 1000
"""Nodes for the batches of a plan whose breaks are decided: a second or two."""

SPAN_SECONDS = 2.0
"""Seconds for a few days of it, where rounding fails."""

SOON_SECONDS = 5.0
"""Seconds in which the quickest means come to their end on a busy machine too."""

LOOKS = 30
"""Looks around a plan that is wanted soon."""


class Search:
    """One model with its solver, kept for repeated questions."""

    def __init__(self, model: BreakModel, options: Options | None = None) -> None:
        self._last: Solution | None = None
        self._begin(model, options or Options())
        self._solver: Engine | Bundled
        if self.options.bundled:
            self._solver = Bundled(model)
        elif self.options.plain:
            self._solver = Engine(arrays_of(model))
        else:
            self._solver = AggregateEngine(aggregate_of(model))
        self._give_time()

    def _give_time(self) -> None:
        if isinstance(self._solver, Engine):
            self._solver.within(self._left())

    def _begin(self, model: BreakModel, options: Options) -> None:
        self.model, self.options = model, options
        self._began = time.perf_counter()
        self._columns = {variable: n for n, variable in enumerate(model.problem.variables())}
        self._rows = {name: n for n, name in enumerate(model.rows)}
        self._floor = False  # whether some order falls short
        self._write_model()  # before the search, lest it ends in a file that cannot be written

    @property
    def aggregate(self) -> AggregateEngine:
        """The solver that decides sums before days."""
        assert isinstance(self._solver, AggregateEngine)
        return self._solver

    def column(self, variable: pulp.LpVariable) -> int:
        """Where the solver has a variable."""
        return self._columns[variable]

    def row(self, constraint: pulp.LpConstraint) -> int:
        """Where the solver has a constraint."""
        return self._rows[constraint.name]

    def change(self, model: BreakModel, options: Options | None = None) -> None:
        """Turn to another model; the time begins anew, and the search with the breaks last found.

        Not for PuLP's own solver.
        """
        self._begin(model, options or self.options)
        if isinstance(self._solver, AggregateEngine):
            self._solver.become(aggregate_of(model))
        elif isinstance(self._solver, Engine):
            self._solver.become(arrays_of(model))
        else:
            raise NotImplementedError("changed models are put to HiGHS")
        self._give_time()

    def solution(self, progress: Progress | None = None) -> Solution:
        """The best plan: all orders filled if they can be, else as much of their value as can.

        Raises
        ------
        RulesConflictError
            The rules cannot be kept.
        NoPlanInTimeError
            No plan was found in the time given.
        """
        outcome, proven = self._with_all_orders(progress), True
        if not outcome.feasible and self._promised:
            outcome, proven = self._with_most_orders(progress)
        if outcome.feasible is False:
            raise RulesConflictError("the rules cannot be kept", ())
        if outcome.values is None:
            raise NoPlanInTimeError(f"no plan found in {self.options.seconds:g} seconds")
        self._write_model(outcome.values)
        found = self._solution(outcome, self._settled(outcome), proven)
        self._last = found
        return found

    def soon(self) -> Solution:
        """A good plan by the quickest means, by sums first; the next search begins from it.

        The relaxation rounded, and a look around it; where rounding fails, a few days after the
        other, if there is time. Orders fall short where that cannot fill them all; where nothing
        helps, nothing is cut.
        """
        engine, orders = self.aggregate, self.model.scenario.orders
        # cut short, rounding fails, and more is tried
        engine.within(max(SOON_SECONDS, self._left()))
        self._fill_orders()
        relaxed = engine.relaxation()
        values, bound = None, INFINITY
        if relaxed is not None:
            bound = engine.worth(relaxed)
            values = self._rounded(engine, relaxed)
        full = all(self.model.filled[each.index].upBound >= each.amount for each in orders)
        if values is None:
            full, values = False, self._rounded_short(engine)
        found = self._known(values, bound)
        self._last = self._solution(found, self._settled(found), full or not orders)
        return self._last

    def _rounded(self, engine: AggregateEngine, relaxed: Floats) -> Floats | None:
        limits = Limits(0.0, self._limits().allowed(engine.worth(relaxed)), self._left())
        begun = dive(engine, relaxed)
        looks = LookLimit(LOOKS, self._in_time())
        outcome = relaxation_induced(engine, relaxed, begun, limits, looks)
        if outcome.values is not None:
            return outcome.values
        if self._left() <= LEAST:
            return None
        return relax_and_fix(engine, replace(limits, seconds=SPAN_SECONDS))

    def _in_time(self, progress: Progress | None = None) -> Progress:
        """Progress that ends what is sought when the time is over."""
        return lambda seconds, best, bound: (
            self._left() <= LEAST or bool(progress and progress(seconds, best, bound))
        )

    def _rounded_short(self, engine: AggregateEngine) -> Floats:
        """Orders filled as far as the rounded relaxation fills them, if they have any price."""
        with engine.elastic(DEAR):
            relaxed = engine.relaxation()
            values = None if relaxed is None else dive(engine, relaxed)
        self._free_orders()
        if values is None:
            settled = engine.settle(np.zeros(len(self._columns)))
            if settled.values is None:
                raise NoPlanInTimeError(f"no plan found in {self.options.seconds:g} seconds")
            return settled.values
        for variable in self._promised:
            amount = min(float(values[self._columns[variable]]), variable.upBound)
            self._bound(variable, max(0.0, amount - DUST), variable.upBound)
        return values

    def near(self, known: Solution, progress: Progress | None = None) -> Solution | None:
        """A plan that is cut like a known one but for what better sums ask for.

        Sums over the period are decided first; where they differ from those of the known plan, its
        pieces are free to be cut otherwise, and batches are. Quick, and what is found is close to
        the known plan; the bound holds for every plan that fills the orders as the known one does.
        None where the known plan is none here.
        """
        engine, values = self.aggregate, self.values_of(known)
        if values is None:
            return None
        limits = self._limits()
        sums = engine.sums(limits, progress)
        worth = engine.worth(values)
        if sums.values is not None and sums.bound - worth > limits.allowed(worth):
            free = {*engine.other_sums(sums.values, values), *self.batch_groups}
            found = engine.near(values, free, limits, progress)
            if found.values is not None and found.objective > worth:
                values, worth = found.values, found.objective
        best = self._known(values, sums.bound)
        return self._solution(best, self._best_batches(engine.settle(values)), True)

    def from_known(self, known: Solution, progress: Progress | None = None) -> Solution | None:
        """The best plan that fills the orders as a known one does, begun from that one.

        The objective counts what is rewarded too. None where the known plan is none here.
        """
        values = self.values_of(known)
        if values is None:
            return None
        self._solver.start_from(values)
        outcome = self._best(progress)
        if outcome.values is None or outcome.bound == INFINITY:
            outcome = self._known(values, self._solver.lp_bound(), timed_out=True)
        return self._solution(outcome, self._settled(outcome), known.orders_proven)

    def around(
        self, known: Solution, other: Solution, progress: Progress | None = None
    ) -> Solution | None:
        """A plan near a known one that is better by what is rewarded too; nothing is proven of it.

        What it and another do not agree on is decided anew; then a few days, a lot or a kind of
        piece at a time, until none makes it better. In so many looks, whatever the machine. None
        where the known plan is none here, or the solver has no aggregate.
        """
        engine, values = self._solver, self.values_of(known)
        if values is None or not isinstance(engine, AggregateEngine):
            return None
        limits = Limits(0.0, self.options.amount, self._left())
        progress = self._in_time(progress)
        second = engine.settle(self._whole_of(other)).values
        if second is not None:
            found = crossover(engine, values, second, limits, progress)
            if found.values is not None and found.objective > engine.worth(values):
                values = found.values
        windows = [*engine.days_alone, *engine.kinds_alone]
        if windows and self._left() > LEAST:
            values = fix_and_optimize(engine, values, windows, limits, progress)
        outcome = self._known(values)
        return self._solution(outcome, self._settled(outcome), known.orders_proven)

    @property
    def few(self) -> bool:
        """Whether there are so few whole numbers that they are searched to the end soon."""
        return isinstance(self._solver, AggregateEngine) and self._solver.members <= FEW

    @property
    def batch_groups(self) -> range:
        """Numbers of the groups of batches, which come after those of the breaks."""
        breaks = len(dict.fromkeys(key[:3] for key in self.model.breaks))
        return range(breaks, breaks + len(dict.fromkeys(blend for blend, _ in self.model.batches)))

    def _settled(self, outcome: Outcome) -> Outcome:
        """The best that the whole numbers found allow: as much order value as they can, then score.

        The search had to keep the order value only within `FLOOR`; here it is kept to the full.
        """
        assert outcome.values is not None
        if not self._floor:
            settled = self._solver.settle(outcome.values)
            return self._best_batches(settled if settled.feasible else outcome)
        self._solver.maximize(self.cost(self.model.order_value))
        orders = self._solver.settle(outcome.values)
        self._solver.maximize(self.cost(self.model.problem.objective))
        if orders.values is None:
            return outcome
        for variable in self._promised:
            amount = float(orders.values[self._columns[variable]])
            self._bound(variable, amount, amount)
        settled = self._solver.settle(outcome.values)
        return settled if settled.feasible else outcome

    def _best_batches(self, settled: Outcome) -> Outcome:
        """The best batches for the breaks found: there are few of them.

        Nodes end the search and not the clock, so that the plan is the same on a busy machine.
        """
        solver, model = self._solver, self.model
        if not model.batches or settled.values is None or not isinstance(solver, Engine):
            return settled
        kept = [*model.breaks.values(), *model.bought.values()]
        for variable in kept:
            number = round(float(settled.values[self._columns[variable]]))
            self._bound(variable, number, number)
        solver.start_from(settled.values)
        spare = max(OVERTIME * self.options.seconds, self._left())
        with solver.node_limit(BATCH_NODES):
            found = solver.run(Limits(0.0, SAME, spare))
        for variable in kept:
            most = INFINITY if variable.upBound is None else variable.upBound
            self._bound(variable, variable.lowBound, most)
        if found.values is None or found.objective < settled.objective:
            return settled
        again = solver.settle(found.values)
        return again if again.feasible else settled

    def at_most(self) -> float:
        """What no plan's score exceeds, but for its ties, told at once; with an aggregate only."""
        self._free_orders()
        constant: float = self.model.problem.objective.constant
        return self.aggregate.rounded_at_once() + constant

    def most(
        self,
        wanted: pulp.LpAffineExpression,
        floors: Mapping[int, float] | None = None,
        enough: float = INFINITY,
    ) -> float | None:
        """The most of an expression that is possible, whatever the score; None if nothing is.

        `floors` are what other orders, by their number, keep at least. With `enough` the search
        ends when it is clear whether that much is possible, and returns something above or below.
        """
        self._free_orders()
        for order, least in (floors or {}).items():
            variable = self.model.filled[order]
            self._bound(variable, least, variable.upBound)
        self._solver.maximize(self.cost(wanted))
        until: Progress = lambda seconds, best, bound: best >= enough or bound < enough  # noqa: E731
        limits = Limits(0.0, SAME, self._left())
        outcome = self._solver.run(limits, until if enough < INFINITY else None)
        return outcome.objective + wanted.constant if outcome.values is not None else None

    def values_of(self, solution: Solution) -> Floats | None:
        """Values of all variables where the whole numbers are those of a solution; None if none.

        From now on orders are filled as they are in it: all of them, or at least their value.
        """
        orders = self.model.scenario.orders
        short = any(solution.filled[each.index] < each.amount for each in orders)
        if short or any(solution.held.get(n, 0.0) < x.upBound for n, x in self.model.held.items()):
            if not self._floor:
                self._free_orders()
                filled = dict(
                    zip(self.model.filled.values(), solution.filled.values(), strict=True)
                )
                filled |= {x: solution.held.get(n, 0.0) for n, x in self.model.held.items()}
                self._keep(sum(price * filled[x] for x, price in self.model.order_value.items()))
        else:
            self._fill_orders()
        return self._solver.settle(self._whole_of(solution)).values

    def _whole_of(self, solution: Solution) -> Floats:
        """The whole numbers of a solution, as far as they are variables here; all else is 0."""
        model = self.model
        values = np.zeros(len(self._columns))
        pairs: tuple[tuple[Mapping[Any, int], Mapping[Any, pulp.LpVariable]], ...] = (
            (solution.breaks, model.breaks),
            (solution.bought, model.bought),
            (solution.batches, model.batches),
            (solution.cut_after, model.cut_after),
        )
        for numbers, variables in pairs:
            for key, count in numbers.items():
                if key in variables:
                    values[self._columns[variables[key]]] = count
        return values

    def keep_only(self, kept: Container[str]) -> None:
        """Lift all rules and benches but those whose constraints are named."""
        for row in (*self.model.rules.values(), *self.model.bench.values()):
            lower, upper = bounds_of(row) if row.name in kept else (-INFINITY, INFINITY)
            self.aggregate.row_bounds(self._rows[row.name], lower, upper)

    def possible(self, kept: Container[str]) -> bool:
        """Whether the rules and days named can be kept; yes where time was too short to tell."""
        self.keep_only(kept)
        self._free_orders()
        self._solver.maximize(np.zeros(len(self._columns)))
        outcome = self._solver.run(Limits(0.0, SAME, self._left()))
        return outcome.feasible is not False

    def _write_model(self, values: Floats | None = None) -> None:
        """Write the model, with the order value of a solution as the least there may be."""
        path, problem = self.options.model_file, self.model.problem
        if path is None:
            return
        if values is not None:
            problem = problem.copy()
            least = self._amount(self.model.order_value, values)
            problem.addConstraint(self.model.order_value >= least - SAME, "orders_first")
            for order in () if self._floor else self.model.scenario.orders:  # those at no price too
                filled = self.model.filled[order.index]
                problem.addConstraint(filled >= order.amount, f"order_{order.index}")
        with told(str(path)), TemporaryDirectory() as folder:
            model = Path(folder, "model.mps")
            problem.writeMPS(str(model), mpsSense=pulp.LpMinimize)
            mark = replace(MODEL, replace=self.options.replace)
            write_file(path, MODEL.begins + model.read_bytes(), mark)

    def _left(self) -> float:
        return max(LEAST, self.options.seconds - (time.perf_counter() - self._began))

    def _limits(self) -> Limits:
        return Limits(self.options.share, self.options.amount, self._left())

    def _with_all_orders(self, progress: Progress | None) -> Outcome:
        for order in self.model.scenario.orders:
            if self.model.filled[order.index].upBound < order.amount:
                return INFEASIBLE
        self._fill_orders()
        self._start_from_last()
        half = self._left() / 2

        def tell(seconds: float, best: float, bound: float) -> bool:
            """The other half is for a plan that does not fill them all."""
            stuck = best == -INFINITY and seconds > half and bool(self.model.scenario.orders)
            return stuck or bool(progress and progress(seconds, best, bound))

        return self._best(tell)

    def _best(self, progress: Progress | None) -> Outcome:
        if isinstance(self._solver, AggregateEngine):
            return best_of(self._solver, self._limits(), progress)
        return self._solver.run(self._limits(), progress)

    def _start_from_last(self) -> None:
        """Begin with the breaks of the plan before, if they are possible here too."""
        if self._last is None:
            return
        settled = self._solver.settle(self._whole_of(self._last))
        if settled.values is not None:
            self._solver.start_from(settled.values)

    def _with_most_orders(self, progress: Progress | None) -> tuple[Outcome, bool]:
        """Fill as much order value as can be filled, then look for the best score with that."""
        model, solver = self.model, self._solver
        self._free_orders()
        solver.maximize(self.cost(model.order_value))
        half = self._left() / 2
        quiet: Progress | None = progress and (
            lambda seconds, best, bound: progress(seconds, -INFINITY, INFINITY)
        )
        first = solver.run(Limits(0.0, SAME, half), quiet)
        if first.values is None:
            return first, True
        settled = solver.settle(first.values)
        if settled.values is None:
            settled = first
        assert settled.values is not None
        self._keep(settled.objective)
        solver.maximize(self.cost(model.problem.objective))
        solver.start_from(settled.values)
        outcome = self._best(progress)
        if outcome.values is None:  # then what fills the orders is the plan, whatever it earns
            outcome = self._known(settled.values, solver.lp_bound(), timed_out=True)
        return outcome, not first.timed_out

    @property
    def _promised(self) -> list[pulp.LpVariable]:
        """What is filled of the orders, and can be had for those after the period."""
        return [*self.model.filled.values(), *self.model.held.values()]

    def _fill_orders(self) -> None:
        for variable in self._promised:
            self._bound(variable, variable.upBound, variable.upBound)

    def _free_orders(self) -> None:
        kept = {x for n, x in self.model.held.items() if self.model.scenario.held[n].kept}
        for variable in self._promised:
            least = variable.upBound if variable in kept else 0.0
            self._bound(variable, least, variable.upBound)

    def _bound(self, variable: pulp.LpVariable, lower: float, upper: float) -> None:
        self._solver.bound(self._columns[variable], lower, upper)

    def _keep(self, order_value: float) -> None:
        """From now on fill orders for at least this much money, but for `FLOOR`.

        A floor at exactly what can be reached leaves the search no room: HiGHS hardly finds plans
        above it, and PuLP's own solver none. `_settled` takes the slack back.
        """
        self._floor = True
        prices = {self._columns[v]: price for v, price in self.model.order_value.items() if price}
        if prices:
            slack = max(FLOOR, SAME * abs(order_value) / 10)
            columns, values = np.array([*prices], dtype=np.int32), np.array([*prices.values()])
            self._solver.add_row(Inequality(columns, values, order_value - slack))

    def cost(self, expression: pulp.LpAffineExpression) -> Floats:
        """An expression as a coefficient for every column; its constant is left out."""
        cost = np.zeros(len(self._columns))
        for variable, coefficient in expression.items():
            cost[self._columns[variable]] = coefficient
        return cost

    def _amount(self, expression: pulp.LpAffineExpression, values: Floats) -> float:
        """What an expression comes to, without its constant."""
        return float(self.cost(expression) @ values[: len(self._columns)])

    def _known(
        self, values: Floats, bound: float = -INFINITY, *, timed_out: bool = False
    ) -> Outcome:
        """A solution that is there already, as what a run gave."""
        worth = self._amount(self.model.problem.objective, values)
        return Outcome(True, values, worth, max(bound, worth), timed_out)

    def _solution(self, searched: Outcome, settled: Outcome, orders_proven: bool) -> Solution:
        """The decisions, replayed; settled once more, finer, where the replay finds a fault.

        Raises
        ------
        UnsoundPlanError
            That does not help.
        """
        found = self._read(searched, settled, orders_proven)
        sound, faults = replayed(self.model.scenario, found)
        if faults and isinstance(self._solver, Engine):
            with self._solver.finest():
                finer = self._solver.settle(self._whole_of(found))
            if finer.values is not None:
                found = self._read(searched, finer, orders_proven)
                sound, faults = replayed(self.model.scenario, found)
        if faults:
            raise UnsoundPlanError(f"no plan could be checked: {faults[0]}")
        return sound

    def _read(self, searched: Outcome, settled: Outcome, orders_proven: bool) -> Solution:
        """The decisions in the solver's values, and what was proven of them."""
        assert settled.values is not None
        values = settled.values
        constant = self.model.problem.objective.constant
        bound = searched.bound
        if bound == INFINITY:  # not even a relaxation in that time
            bound = ceiling(self.model.scenario) + self.model.rewarded - constant
        bound = max(bound, settled.objective)
        gap = bound - settled.objective
        proven = gap <= SAME * max(1.0, abs(settled.objective)) and orders_proven
        allowed = self._limits().allowed(settled.objective)
        # the slack of `FLOOR` is no fault of the search
        left = min(gap, searched.bound - searched.objective)
        within = left <= allowed * (1 + SAME) and orders_proven

        def value(variable: pulp.LpVariable) -> float:
            number = max(0.0, float(values[self._columns[variable]]))
            return 0.0 if number < DUST else number

        def sold(cut: str, variable: pulp.LpVariable) -> float:
            """By each whole, and an order that is full but for rounding is full."""
            number = value(variable)
            if self.model.scenario.cuts[cut].by_each:
                return float(int(number + DUST))  # a search cut short may leave part of one
            most = variable.upBound
            return most if most and abs(number - most) < DUST * min(1.0, most) else number

        model = self.model
        orders = model.scenario.orders
        return Solution(
            breaks={key: round(value(x)) for key, x in model.breaks.items() if value(x) > 0.5},
            bought={lot: round(value(n)) for lot, n in model.bought.items()},
            batches={key: round(value(n)) for key, n in model.batches.items() if value(n) > 0.5},
            walk_in={key: sold(key[0], amount) for key, amount in model.walk_in.items()},
            marked_down={key: sold(key[0], amount) for key, amount in model.marked_down.items()},
            filled={each.index: sold(each.cut, model.filled[each.index]) for each in orders},
            blended={key: value(pounds) for key, pounds in model.blended.items()},
            objective=settled.objective + constant,
            bound=bound + constant,
            status="proven" if proven else "within tolerance" if within else "time limit",
            orders_proven=orders_proven,
            seconds=time.perf_counter() - self._began,
            held={
                n: sold(model.scenario.held[n].order.cut, x)
                for n, x in model.held.items()
                if x.upBound
            },
            cut_after={
                key: round(value(x)) for key, x in model.cut_after.items() if value(x) > 0.5
            },
        )
