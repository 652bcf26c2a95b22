"""Solve a break model: orders first, then the score; and what was proven about the answer."""

from __future__ import annotations

import contextlib
import time
from collections import defaultdict
from collections.abc import Container, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, Protocol

import numpy as np
import pulp

from planner.engine import INFINITY, Arrays, Engine, Floats, Limits, Outcome, Progress
from planner.errors import InputError, NoPlanInTimeError, Problem, RulesConflictError
from planner.ledger import DUST
from planner.model import BreakModel
from planner.rounding import rounding_rows
from planner.scenario import Scenario
from planner.stages import Row, Staged, StagedEngine

Status = Literal["proven", "within tolerance", "time limit"]

SAME = 1e-6
"""Two scores closer than this share of them (or of 1) are the same."""


FLOOR = 0.001
"""Money by which the search may undercut the order value that can be reached."""


@dataclass(frozen=True, slots=True)
class Options:
    """How a plan is sought.

    Attributes
    ----------
    share, amount : float
        Stop within this share of the score, or this much money, whichever is larger.
    seconds : float
        Stop after this time with the best plan found.
    bundled : bool
        Use the solver that PuLP brings along instead of HiGHS: slower, a cross-check.
    model_file : Path or None
        Write the model there as MPS, to be minimized: the score less the ties with its sign
        turned, and with the orders that the plan fills.
    weeks_first : bool
        Search in stages, totals over the period before days (`planner.stages`): gets close to the
        best possible much sooner, at some cost where 0.1% is enough.
    """

    share: float = 0.001
    amount: float = 1.0
    seconds: float = 60.0
    bundled: bool = False
    model_file: Path | None = None
    weeks_first: bool = False


@dataclass(frozen=True, slots=True)
class Solution:
    """The decisions of a plan as numbers, under the same keys as the model's variables.

    `objective` and `bound` are the score less the ties. `orders_full` says whether every order is
    filled; `orders_proven` whether the value of those filled is known to be the most possible.
    """

    breaks: Mapping[tuple[int, str, str, int], int]
    bought: Mapping[int, int]
    walk_in: Mapping[tuple[str, int], float]
    marked_down: Mapping[tuple[str, int], float]
    filled: Mapping[int, float]
    blended: Mapping[tuple[str, str, int], float]
    objective: float
    bound: float
    status: Status
    orders_proven: bool
    seconds: float


class _Solver(Protocol):
    def maximize(self, cost: Floats) -> None: ...

    def bound(self, column: int, lower: float, upper: float) -> None: ...

    def at_least(self, columns: list[int], values: list[float], least: float) -> None: ...

    def enforce(self, row: int, enforced: bool) -> None: ...

    def start_from(self, values: Floats) -> None: ...

    def run(self, limits: Limits, progress: Progress | None = None) -> Outcome: ...

    def settle(self, values: Floats) -> Outcome: ...

    def relaxed(self) -> float: ...


def solve(
    scenario: Scenario, options: Options | None = None, progress: Progress | None = None
) -> Solution:
    """Find the best plan of a scenario within the tolerance asked for.

    Parameters
    ----------
    scenario : Scenario
    options : Options, optional
    progress : callable, optional
        Told seconds, best so far and bound, now and then.

    Raises
    ------
    RulesConflictError
        The rules cannot be kept.
    NoPlanInTimeError
        No plan was found in the time given.
    """
    return Search(BreakModel(scenario), options).solution(progress)


class Search:
    """One model with its solver, kept for repeated questions.

    Parameters
    ----------
    model : BreakModel
    options : Options, optional
    """

    def __init__(self, model: BreakModel, options: Options | None = None) -> None:
        self._last: Mapping[tuple[int, str, str, int], int] = {}
        self._last_bought: Mapping[int, int] = {}
        self._begin(model, options or Options())
        self._solver: _Solver
        if self.options.bundled:
            self._solver = _Bundled(model)
        elif self.options.weeks_first:
            self._solver = StagedEngine(_staged(model))
        else:
            self._solver = Engine(_arrays(model))

    def _begin(self, model: BreakModel, options: Options) -> None:
        self.model = model
        self.options = options
        self._began = time.perf_counter()
        self._columns = {variable: n for n, variable in enumerate(model.problem.variables())}
        self._rows = {name: n for n, name in enumerate(model.rows)}
        self._floor = False  # whether some order falls short
        self._write_model()  # before the search, lest it ends in a file that cannot be written

    @property
    def staged(self) -> StagedEngine:
        """The solver of a search in stages."""
        assert isinstance(self._solver, StagedEngine)
        return self._solver

    def column(self, variable: pulp.LpVariable) -> int:
        """Where the solver has a variable."""
        return self._columns[variable]

    def row(self, constraint: pulp.LpConstraint) -> int:
        """Where the solver has a constraint."""
        return self._rows[constraint.name]

    def change(self, model: BreakModel, options: Options | None = None) -> None:
        """Turn to another model, most of it like the one before; the time begins anew.

        Where only bounds and prices differ the solver keeps all else; the breaks last found are
        where the search begins. Not for PuLP's own solver.
        """
        self._begin(model, options or self.options)
        if isinstance(self._solver, StagedEngine):
            self._solver.become(_staged(model))
        elif isinstance(self._solver, Engine):
            self._solver.become(_arrays(model))
        else:
            raise NotImplementedError("changed models are put to HiGHS")

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
        if not outcome.feasible and self.model.scenario.orders:
            outcome, proven = self._with_most_orders(progress)
        if outcome.feasible is False:
            raise RulesConflictError("the rules cannot be kept", ())
        if outcome.values is None or outcome.bound == INFINITY:
            raise NoPlanInTimeError(f"no plan found in {self.options.seconds:g} seconds")
        self._write_model(outcome.values)
        found = self._solution(outcome, self._settled(outcome), proven)
        self._last, self._last_bought = found.breaks, found.bought
        return found

    def _settled(self, outcome: Outcome) -> Outcome:
        """The best that the whole numbers found allow: as much order value as they can, then score.

        The search had to keep the order value only within `FLOOR`; here it is kept to the full.
        """
        assert outcome.values is not None
        if not self._floor:
            settled = self._solver.settle(outcome.values)
            return settled if settled.feasible else outcome
        self._solver.maximize(self.cost(self.model.order_value))
        orders = self._solver.settle(outcome.values)
        self._solver.maximize(self.cost(self.model.problem.objective))
        if orders.values is None:
            return outcome
        for variable in self.model.filled.values():
            amount = float(orders.values[self._columns[variable]])
            self._solver.bound(self._columns[variable], amount, amount)
        settled = self._solver.settle(outcome.values)
        return settled if settled.feasible else outcome

    def most(
        self,
        wanted: pulp.LpAffineExpression,
        floors: Mapping[int, float] | None = None,
        enough: float = INFINITY,
    ) -> float | None:
        """The most of an expression that is possible, whatever the score; None if nothing is.

        Parameters
        ----------
        wanted : LpAffineExpression
        floors : mapping of order number to float, optional
            What other orders keep at least.
        enough : float, optional
            Whether this much is possible is all that is asked: the search ends when that is clear,
            and returns something above it or below.
        """
        self._free_orders()
        for order, least in (floors or {}).items():
            variable = self.model.filled[order]
            self._solver.bound(self._columns[variable], least, variable.upBound)
        self._solver.maximize(self.cost(wanted))
        told = _until(enough) if enough < INFINITY else None
        outcome = self._solver.run(Limits(0.0, SAME, self._left()), told)
        return outcome.objective + wanted.constant if outcome.values is not None else None

    def values_of(self, solution: Solution) -> Floats | None:
        """Values of all variables where the whole numbers are those of a solution; None if none.

        From now on orders are filled as they are in it: all of them, or at least their value.
        """
        orders = self.model.scenario.orders
        short = [each for each in orders if solution.filled[each.index] < each.amount]
        if short and not self._floor:
            self._free_orders()
            self._keep(sum(each.price * solution.filled[each.index] for each in orders))
        for order in orders if not short else ():
            variable = self.model.filled[order.index]
            self._solver.bound(self._columns[variable], order.amount, order.amount)
        values = np.zeros(len(self._columns))
        for key, count in solution.breaks.items():
            if key in self.model.breaks:
                values[self._columns[self.model.breaks[key]]] = count
        for lot, head in solution.bought.items():
            values[self._columns[self.model.bought[lot]]] = head
        return self._solver.settle(values).values

    def keep_only(self, kept: Container[str]) -> None:
        """Lift all rules and benches but those whose constraints are named."""
        for row in (*self.model.rules.values(), *self.model.bench.values()):
            self._solver.enforce(self._rows[row.name], row.name in kept)

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
            least = float(self.cost(self.model.order_value) @ values)
            problem.addConstraint(self.model.order_value >= least - SAME, "orders_first")
            for order in [] if self._floor else self.model.scenario.orders:  # those at no price too
                filled = self.model.filled[order.index]
                problem.addConstraint(filled >= order.amount, f"order_{order.index}")
        try:
            problem.writeMPS(str(path), mpsSense=pulp.LpMinimize)
        except OSError as error:
            message = f"cannot be written: {error.strerror}"
            raise InputError([Problem(str(path), 0, message)]) from None

    def _left(self) -> float:
        return max(0.1, self.options.seconds - (time.perf_counter() - self._began))

    def _limits(self) -> Limits:
        return Limits(self.options.share, self.options.amount, self._left())

    def _with_all_orders(self, progress: Progress | None) -> Outcome:
        for order in self.model.scenario.orders:
            variable = self.model.filled[order.index]
            if variable.upBound < order.amount:
                return Outcome(False, None, -INFINITY, -INFINITY, False)
            self._solver.bound(self._columns[variable], order.amount, order.amount)
        self._start_from_last()
        return self._best(progress)

    def _best(self, progress: Progress | None) -> Outcome:
        if isinstance(self._solver, StagedEngine):
            return self._solver.run_in_stages(self._limits(), progress)
        return self._solver.run(self._limits(), progress)

    def _start_from_last(self) -> None:
        """Begin with the breaks of the plan before, if they are possible here too."""
        if not self._last:
            return
        values = np.zeros(len(self._columns))
        for key, count in self._last.items():
            if key in self.model.breaks:
                values[self._columns[self.model.breaks[key]]] = count
        for lot, head in self._last_bought.items():
            if lot in self.model.bought:
                values[self._columns[self.model.bought[lot]]] = head
        settled = self._solver.settle(values)
        if settled.values is not None:
            self._solver.start_from(settled.values)

    def _with_most_orders(self, progress: Progress | None) -> tuple[Outcome, bool]:
        """Fill as much order value as can be filled, then look for the best score with that."""
        model, solver = self.model, self._solver
        self._free_orders()
        solver.maximize(self.cost(model.order_value))
        first = solver.run(Limits(0.0, SAME, self._left()), _without_money(progress))
        if first.values is None:
            return first, True
        settled = solver.settle(first.values)
        if settled.values is None:
            settled = first
        assert settled.values is not None
        self._keep(settled.objective)
        score = self.cost(model.problem.objective)
        solver.maximize(score)
        solver.start_from(settled.values)
        outcome = self._best(progress)
        if outcome.values is None:  # then what fills the orders is the plan, whatever it earns
            objective = float(score @ settled.values)
            bound = max(solver.relaxed(), objective)
            outcome = Outcome(True, settled.values, objective, bound, True)
        return outcome, not first.timed_out

    def _free_orders(self) -> None:
        for variable in self.model.filled.values():
            self._solver.bound(self._columns[variable], 0.0, variable.upBound)

    def _keep(self, order_value: float) -> None:
        """From now on fill orders for at least this much money, but for `FLOOR`.

        A floor at exactly what can be reached leaves the search no room: HiGHS hardly finds plans
        above it, and PuLP's own solver none. `_settled` takes the slack back.
        """
        self._floor = True
        row = [(self._columns[v], price) for v, price in self.model.order_value.items() if price]
        if row:
            columns, values = (list(each) for each in zip(*row, strict=True))
            slack = max(FLOOR, SAME * abs(order_value) / 10)
            self._solver.at_least(columns, values, order_value - slack)

    def cost(self, expression: pulp.LpAffineExpression) -> Floats:
        """An expression as a coefficient for every column; its constant is left out."""
        cost = np.zeros(len(self._columns))
        for variable, coefficient in expression.items():
            cost[self._columns[variable]] = coefficient
        return cost

    def _solution(self, searched: Outcome, settled: Outcome, orders_proven: bool) -> Solution:
        assert settled.values is not None
        values = settled.values
        constant = self.model.problem.objective.constant
        bound = max(searched.bound, settled.objective)
        gap = bound - settled.objective
        proven = gap <= SAME * max(1.0, abs(settled.objective)) and orders_proven
        allowed = max(self.options.share * abs(settled.objective), self.options.amount)
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
            return most if most is not None and abs(number - most) < DUST else number

        model = self.model
        orders = model.scenario.orders
        return Solution(
            breaks={key: round(value(x)) for key, x in model.breaks.items() if value(x) > 0.5},
            bought={lot: round(value(n)) for lot, n in model.bought.items()},
            walk_in={key: sold(key[0], amount) for key, amount in model.walk_in.items()},
            marked_down={key: sold(key[0], amount) for key, amount in model.marked_down.items()},
            filled={each.index: sold(each.cut, model.filled[each.index]) for each in orders},
            blended={key: value(pounds) for key, pounds in model.blended.items()},
            objective=settled.objective + constant,
            bound=bound + constant,
            status="proven" if proven else "within tolerance" if within else "time limit",
            orders_proven=orders_proven,
            seconds=time.perf_counter() - self._began,
        )


def _without_money(progress: Progress | None) -> Progress | None:
    """Progress of a search that is not for the score: time goes by, no plan is there yet."""
    return progress and (lambda seconds, best, bound: progress(seconds, -INFINITY, INFINITY))


def _until(enough: float) -> Progress:
    """Ends a search that has reached what is enough, or is shown never to reach it."""

    def tell(seconds: float, best: float, bound: float) -> bool:
        return best >= enough or bound < enough

    return tell


def _arrays(model: BreakModel) -> Arrays:
    """The PuLP problem as plain arrays, for HiGHS to take in one go."""
    problem = model.problem
    variables = problem.variables()
    column = {variable: n for n, variable in enumerate(variables)}
    rows = list(model.rows.values())
    entries = [[(column[v], a) for v, a in row.items() if a] for row in rows]
    starts = np.cumsum([0, *(len(each) for each in entries)])
    flat = [pair for each in entries for pair in each]
    return Arrays(
        cost=np.array([problem.objective.get(v, 0.0) for v in variables], dtype=np.float64),
        lower=np.array([_or(v.lowBound, -INFINITY) for v in variables], dtype=np.float64),
        upper=np.array([_or(v.upBound, INFINITY) for v in variables], dtype=np.float64),
        whole=np.array([v.cat == pulp.LpInteger for v in variables], dtype=np.bool_),
        row_lower=np.array([_or(row.getLb(), -INFINITY) for row in rows], dtype=np.float64),
        row_upper=np.array([_or(row.getUb(), INFINITY) for row in rows], dtype=np.float64),
        row_starts=starts.astype(np.int32),
        columns=np.array([at for at, _ in flat], dtype=np.int32),
        values=np.array([a for _, a in flat], dtype=np.float64),
    )


def _staged(model: BreakModel) -> Staged:
    """The same break on different days is a group: how many in all is decided first."""
    column = {variable: n for n, variable in enumerate(model.problem.variables())}
    groups: dict[tuple[int, str, str], list[int]] = defaultdict(list)
    for (lot, piece, way, _), x in model.breaks.items():
        groups[lot, piece, way].append(column[x])
    rows = [
        Row(
            columns=np.array([column[variable] for variable, _ in row.terms], dtype=np.int32),
            values=np.array([value for _, value in row.terms], dtype=np.float64),
            least=row.least,
        )
        for row in rounding_rows(model)
    ]
    arrays = [np.array(group, dtype=np.int32) for group in groups.values()]
    return Staged(_arrays(model), arrays, rows)


def _or(bound: float | None, otherwise: float) -> float:
    return otherwise if bound is None else bound


class _Bundled:
    """The solver PuLP brings along, behind the same few questions."""

    def __init__(self, model: BreakModel) -> None:
        self._problem = model.problem.copy()
        self._variables = model.problem.variables()

    def maximize(self, cost: Floats) -> None:
        terms = [(v, float(c)) for v, c in zip(self._variables, cost, strict=True) if c]
        self._problem.objective = pulp.LpAffineExpression(terms)

    def bound(self, column: int, lower: float, upper: float) -> None:
        self._variables[column].bounds(lower, upper)

    def at_least(self, columns: list[int], values: list[float], least: float) -> None:
        terms = [(self._variables[n], value) for n, value in zip(columns, values, strict=True)]
        self._problem += pulp.LpAffineExpression(terms) >= least

    def enforce(self, row: int, enforced: bool) -> None:
        raise NotImplementedError("questions about rules are put to HiGHS")

    def start_from(self, values: Floats) -> None:
        for variable, value in zip(self._variables, values, strict=True):
            variable.setInitialValue(value, check=False)

    def run(self, limits: Limits, progress: Progress | None = None) -> Outcome:
        return self._solve(limits, mip=True)

    def settle(self, values: Floats) -> Outcome:
        kept = []
        for variable, value in zip(self._variables, values, strict=True):
            if variable.cat == pulp.LpInteger:
                kept.append((variable, variable.lowBound, variable.upBound))
                variable.bounds(round(value), round(value))
        outcome = self._solve(Limits(0, 0, INFINITY), mip=False)
        for variable, lower, upper in kept:
            variable.bounds(lower, upper)
        return outcome

    def _solve(self, limits: Limits, *, mip: bool) -> Outcome:
        seconds = None if limits.seconds == INFINITY else limits.seconds
        solver = pulp.PULP_CBC_CMD(
            mip=mip, msg=False, timeLimit=seconds, gapRel=limits.share, gapAbs=limits.amount
        )
        began = time.perf_counter()
        with contextlib.suppress(pulp.PulpSolverError):
            self._problem.solve(solver)
        timed_out = seconds is not None and time.perf_counter() - began >= seconds
        if self._problem.status == pulp.LpStatusInfeasible:
            return Outcome(False, None, -INFINITY, -INFINITY, False)
        if self._problem.sol_status not in (
            pulp.LpSolutionOptimal,
            pulp.LpSolutionIntegerFeasible,
        ):
            return Outcome(None, None, -INFINITY, INFINITY, timed_out)
        values = np.array([variable.varValue or 0.0 for variable in self._variables])
        objective = float(self._problem.objective.value() - self._problem.objective.constant)
        stopped = self._problem.sol_status == pulp.LpSolutionOptimal
        # it does not tell its bound: a search that ended is within the gap it was given
        gap = max(limits.share * abs(objective), limits.amount) if mip else 0.0
        bound = objective + gap if stopped else self.relaxed()
        return Outcome(True, values, objective, bound, not stopped)

    def relaxed(self) -> float:
        self._problem.solve(pulp.PULP_CBC_CMD(mip=False, msg=False))
        return float(self._problem.objective.value() - self._problem.objective.constant)
