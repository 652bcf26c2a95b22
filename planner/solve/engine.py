"""HiGHS in the process: one object, kept for repeated questions about one model.

The model comes in as plain arrays; nothing here knows what it is about.
"""

from __future__ import annotations

import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, replace
from types import FrameType
from typing import Any

import highspy
import numpy as np
from numpy.typing import NDArray

from planner.core.stopping import SIGNALS

INFINITY = float("inf")

LEAST = 0.1
"""Seconds that a search is given at least."""

OVERTIME, AT_LEAST = 0.1, 1.0
"""Share of the time given, and seconds, in which what was begun is brought to an end."""

NO_GAIN = (
    "mip_allow_restart",
    "mip_detect_symmetry",
    "mip_heuristic_run_feasibility_jump",
    "mip_heuristic_run_root_reduced_cost",
)
"""Options of HiGHS that took more time than they saved, in weeks of shops."""

LONG = (
    *NO_GAIN,
    "mip_heuristic_run_rins",
    "mip_heuristic_run_shifting",
    "mip_heuristic_run_zi_round",
)
"""Those that pay only in long searches."""

FINE = 1e-7
"""How far off a whole number may be; `Engine.settle` makes it whole."""

FINEST = 1e-10
"""The finest tolerance of HiGHS."""

TRIFLE = 1e-3
"""Money that what a tolerance lets through may be worth: dear things are weighed more finely."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]
Progress = Callable[[float, float, float], bool | None]
"""Told from time to time: seconds so far, best so far, bound. True ends the search there."""

Found = Callable[[Floats], None]
"""Given the values of every solution that is better than those before."""


@dataclass(frozen=True, slots=True)
class Arrays:
    """A model to maximize: columns and rows with their bounds, and the matrix row by row."""

    cost: Floats
    lower: Floats
    upper: Floats
    whole: NDArray[np.bool_]
    row_lower: Floats
    row_upper: Floats
    row_starts: NDArray[np.int32]
    columns: NDArray[np.int32]
    values: Floats


@dataclass(frozen=True, slots=True)
class Inequality:
    """Sum of values x columns >= least."""

    columns: Ints
    values: Floats
    least: float


@dataclass(frozen=True, slots=True)
class Limits:
    """When to stop: within a share of the objective or an amount of it, or after some seconds."""

    share: float
    amount: float
    seconds: float

    def allowed(self, objective: float) -> float:
        """How far below the bound a solution may be."""
        return max(self.amount, self.share * abs(objective))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a run gave.

    Attributes
    ----------
    feasible : bool or None
        None when neither a solution was found nor shown that there is none.
    values : array or None
        A value for each column.
    objective, bound : float
        Of the solution, and what no solution can exceed.
    timed_out : bool
    """

    feasible: bool | None
    values: Floats | None
    objective: float
    bound: float
    timed_out: bool = False

    @property
    def possible(self) -> bool:
        """Whether nothing proves that there is no solution."""
        return self.feasible is not False


INFEASIBLE = Outcome(False, None, -INFINITY, -INFINITY)


class _Silent(highspy.Highs):  # type: ignore[misc]
    """HiGHS greets on standard output as soon as callbacks are set; be silent before that."""

    def enableCallbacks(self) -> None:  # noqa: N802
        self.silent()
        super().enableCallbacks()


class Engine:
    """A model in HiGHS that can be changed and solved again.

    Its seed is fixed, and its threads wait for each other: the same model gives the same solution.

    Attributes
    ----------
    whole_columns : array
        Columns that are whole numbers.
    """

    def __init__(self, arrays: Arrays) -> None:
        self._highs = _Silent()
        self._highs.setOptionValue("threads", 2)
        self._integrality = FINE
        self.within(INFINITY)
        self.become(arrays)

    def become(self, arrays: Arrays) -> None:
        """Put another model in place; what was found before must not sway what is found now."""
        self._highs.clearModel()
        self._highs.passModel(_highs_model(arrays))
        self.whole_columns = np.flatnonzero(arrays.whole).astype(np.int32)
        self._all = np.arange(len(arrays.cost), dtype=np.int32)
        self._cost = arrays.cost
        self._lower, self._upper = arrays.lower.copy(), arrays.upper.copy()
        self._row_lower, self._row_upper = arrays.row_lower.copy(), arrays.row_upper.copy()
        self._start: Floats | None = None
        self._dearest = float(np.max(np.abs(arrays.cost), where=~arrays.whole, initial=0.0))
        self._set_tolerances()

    def within(self, seconds: float) -> None:
        """Give everything from now on so much time together, and a little to come to an end."""
        self._ends = time.perf_counter() + seconds
        self._overtime = OVERTIME * seconds

    @property
    def late(self) -> bool:
        """Whether the time given is over."""
        return time.perf_counter() > self._ends

    def _set_tolerances(self) -> None:
        """Tolerances by the dearest thing there is."""
        most = max(FINEST, TRIFLE / max(1.0, self._dearest))
        self._highs.setOptionValue("primal_feasibility_tolerance", min(FINE, most))
        self._highs.setOptionValue("mip_feasibility_tolerance", min(self._integrality, 10 * most))

    @contextmanager
    def _options(self, **values: bool | float | str) -> Iterator[None]:
        """Set options of HiGHS for a while."""
        before = {option: self._highs.getOptionValue(option)[1] for option in values}
        for option, value in values.items():
            self._highs.setOptionValue(option, value)
        try:
            yield
        finally:
            for option, value in before.items():
                self._highs.setOptionValue(option, value)

    def finest(self) -> AbstractContextManager[None]:
        """Take the finest tolerance there is for a while."""
        return self._options(primal_feasibility_tolerance=FINEST)

    def interior_point(self) -> AbstractContextManager[None]:
        """Relax by interior points, then go to a corner, for a while."""
        return self._options(solver="ipm")

    def node_limit(self, nodes: int) -> AbstractContextManager[None]:
        """Search few nodes only, without what pays in long searches, for a while."""
        return self._options(mip_max_nodes=nodes, **dict.fromkeys(LONG, False))

    def tune_for_bounds(self) -> None:
        """From now on search for a proof that need not be to the cent.

        Whole numbers may be as far off as HiGHS has it, and of its heuristics those are left out
        that took more time than they saved.
        """
        self._integrality = 1e-6
        self._set_tolerances()
        for option in NO_GAIN:
            self._highs.setOptionValue(option, False)

    def tune_for_small_searches(self) -> None:
        """Leave out what pays only in long searches: for many small questions to one model."""
        for option in LONG:
            self._highs.setOptionValue(option, False)
        self._highs.setOptionValue("mip_lp_age_limit", 5)

    def maximize(self, cost: Floats) -> None:
        """Put another objective in place; columns that it says nothing of count nothing."""
        cost = np.append(cost, np.zeros(len(self._all) - len(cost)))
        self._cost = cost
        self._highs.changeColsCost(len(self._all), self._all, -cost)

    def bound(self, column: int, lower: float, upper: float) -> None:
        """Change the bounds of a column."""
        self._lower[column], self._upper[column] = lower, upper
        self._highs.changeColBounds(column, lower, upper)

    def bounds_of(self, columns: Ints) -> tuple[Floats, Floats]:
        """Lower and upper bounds of columns."""
        return self._lower[columns], self._upper[columns]

    def bound_all(self, columns: Ints, lower: Floats, upper: Floats) -> None:
        """Change the bounds of columns."""
        self._lower[columns], self._upper[columns] = lower, upper
        self._highs.changeColsBounds(len(columns), columns, lower, upper)

    def add_row(self, row: Inequality) -> None:
        """Add a row."""
        self._highs.addRow(row.least, INFINITY, len(row.columns), row.columns, row.values)

    def row_bounds(self, row: int, lower: float, upper: float) -> None:
        """Change the bounds of a row of the model."""
        self._row_lower[row], self._row_upper[row] = lower, upper
        self._highs.changeRowBounds(row, lower, upper)

    def worth(self, values: Floats) -> float:
        """The objective of a solution; columns that are added to a model count nothing."""
        return float(self._cost[: len(values)] @ values)

    def start_from(self, values: Floats) -> None:
        """Begin the next run with a known solution."""
        self._start = self.complete(values).copy()

    def complete(self, values: Floats) -> Floats:
        """A value for every column, where those that a kind of engine adds may lack."""
        return values

    def take_start(self) -> Floats | None:
        """The known solution that the next run would begin with; it will not."""
        start, self._start = self._start, None
        return start

    def run(
        self, limits: Limits, progress: Progress | None = None, found: Found | None = None
    ) -> Outcome:
        """Solve; whole-number columns stay whole.

        A `progress` that raises an exception stops the search, and the exception comes out here.
        One that returns true ends it with what it has.
        """
        self._highs.setOptionValue("mip_rel_gap", limits.share)
        self._highs.setOptionValue("mip_abs_gap", limits.amount)
        self._limit(limits.seconds, search=len(self.whole_columns) > 0)
        self._highs.clearSolver()  # else what the last run left, fractions too, is a start to it
        start = self.take_start()
        if start is not None:
            start[self.whole_columns] = np.round(
                start[self.whole_columns]
            )  # else it searches what is left open
            solution = highspy.HighsSolution()
            solution.col_value = list(start)
            self._highs.setSolution(solution)
        outcome = self._search(progress, found)
        if outcome.values is not None and not self._agrees(outcome):
            # HiGHS 1.16 can hand back the start instead of what presolve found from it
            self._highs.clearSolver()
            outcome = self._search(progress, found)
        if outcome.values is not None and outcome.bound == INFINITY:
            return replace(outcome, bound=max(self.lp_bound(), outcome.objective))
        return outcome

    def let(self, columns: NDArray[np.int32], *, whole: bool) -> None:
        """Let columns be whole numbers only, or fractions too."""
        kind = highspy.HighsVarType.kInteger if whole else highspy.HighsVarType.kContinuous
        self._highs.changeColsIntegrality(len(columns), columns, np.array([kind] * len(columns)))

    def lp_bound(self) -> float:
        """Bound of a search that was stopped before it had one: whole numbers need not be whole.

        Infinite where the time given does not suffice even for that.
        """
        with self.all_relaxed():
            values = self.lp_values()
        return INFINITY if values is None else self.worth(values)

    @contextmanager
    def relaxing(self, columns: Ints) -> Iterator[None]:
        """Let whole numbers in some columns be fractions for a while."""
        self.let(columns, whole=False)
        try:
            yield
        finally:
            self.let(columns, whole=True)

    def all_relaxed(self) -> AbstractContextManager[None]:
        """Let all whole numbers be fractions for a while."""
        return self.relaxing(self.whole_columns)

    def only_whole(self, columns: Ints) -> AbstractContextManager[None]:
        """Let whole numbers be fractions for a while, but for some."""
        return self.relaxing(np.setdiff1d(self.whole_columns, columns))

    def lp_values(self) -> Floats | None:
        """Values of the best solution while numbers are `all_relaxed`; None if there is none."""
        self._limit(INFINITY, search=False)
        self._highs.run()
        optimal = self._highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
        return np.array(self._highs.getSolution().col_value) if optimal else None

    @contextmanager
    def restoring_bounds(self) -> Iterator[None]:
        """Put bounds of columns that are changed within back at the end."""
        lower, upper = self._lower.copy(), self._upper.copy()
        try:
            yield
        finally:
            self._lower, self._upper = lower, upper
            self._highs.changeColsBounds(len(self._all), self._all, lower, upper)

    @contextmanager
    def elastic(self, price: float) -> Iterator[Ints]:
        """Let columns that are held at an amount fall short of it, at a price, for a while.

        Only those that are no whole numbers. Yields them.
        """
        held = self._lower == self._upper
        held[self.whole_columns] = False
        columns = np.flatnonzero(held & (self._lower > 0)).astype(np.int32)
        cost, amounts = self._cost, self._lower[columns]
        self._highs.changeColsCost(len(columns), columns, -(cost[columns] + price))
        self.bound_all(columns, np.zeros(len(columns)), amounts)
        try:
            yield columns
        finally:
            self._highs.changeColsCost(len(columns), columns, -cost[columns])
            self.bound_all(columns, amounts, amounts)

    def _limit(self, seconds: float, *, search: bool) -> None:
        """Time for the next run: HiGHS counts a search anew, and all else since it began."""
        before = 0.0
        if not search:
            before = self._highs.getRunTime()
            left = self._ends + self._overtime - time.perf_counter()
            seconds = min(seconds, max(AT_LEAST, left))
        self._highs.setOptionValue("time_limit", before + seconds)

    def _agrees(self, outcome: Outcome) -> bool:
        """Whether the values are those of the objective told."""
        assert outcome.values is not None
        off = abs(self.worth(outcome.values) - outcome.objective)
        return off <= 1e-5 * max(1.0, abs(outcome.objective))

    def _search(self, progress: Progress | None, found: Found | None) -> Outcome:
        watch = _Watch(progress, found)
        self._highs.cbMipInterrupt += watch.look
        if found:
            self._highs.cbMipImprovingSolution += watch.keep
        try:
            with watch.signals():
                self._highs.run()
        finally:
            self._highs.cbMipInterrupt -= watch.look
            if found:
                self._highs.cbMipImprovingSolution -= watch.keep
        if watch.stopped:
            raise watch.stopped
        return self._outcome()

    def settle(self, values: Floats) -> Outcome:
        """Fix the whole-number columns at `values` and solve for the rest.

        Gives a corner of what is left to choose: amounts sold by each come out whole, and nothing
        carries the search's rounding.
        """
        if not len(self.whole_columns):
            return self.run(Limits(0, 0, INFINITY))
        fixed = np.round(self.complete(values)[self.whole_columns])
        with self.restoring_bounds(), self.all_relaxed():
            self.bound_all(self.whole_columns, fixed, fixed)
            self._limit(INFINITY, search=False)
            self._highs.run()
            return self._outcome()

    def _outcome(self) -> Outcome:
        status, info = self._highs.getModelStatus(), self._highs.getInfo()
        known = highspy.HighsModelStatus
        if status in (known.kInfeasible, known.kUnboundedOrInfeasible):
            return INFEASIBLE
        timed_out = status in (known.kTimeLimit, known.kInterrupt)
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return Outcome(None, None, -INFINITY, INFINITY, timed_out)
        values = np.array(self._highs.getSolution().col_value)
        objective = -info.objective_function_value
        # what is solved without a search, or to the end, is its own bound
        finite = abs(info.mip_dual_bound) < INFINITY
        searched = len(self.whole_columns) and (finite or status != known.kOptimal)
        bound = -info.mip_dual_bound if searched else objective
        return Outcome(True, values, objective, max(bound, objective), timed_out)


class _Watch:
    """Looks in on a search: passes on how far it is, and stops it when it is told to."""

    def __init__(self, progress: Progress | None, found: Found | None) -> None:
        self.progress = progress
        self.found = found
        self.began = time.perf_counter()
        self.stopped: BaseException | None = None
        self.enough = False

    def look(self, event: Any) -> None:
        if self.progress and not (self.stopped or self.enough):
            out = event.data_out
            seconds = time.perf_counter() - self.began
            try:
                found = self.progress(seconds, -out.mip_primal_bound, -out.mip_dual_bound)
                self.enough |= bool(found)  # a signal may have come meanwhile
            except Exception as error:
                self.stopped = error
        # told every time: HiGHS remembers an interruption, even into the next run
        event.interrupt(self.stopped is not None or self.enough)

    def keep(self, event: Any) -> None:
        if self.found:
            self.found(np.array(event.data_out.mip_solution))

    @contextmanager
    def signals(self) -> Iterator[None]:
        """Put off what signals do to the end of the search, and end it soon.

        What they raise inside HiGHS's own callback would be lost.
        """
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        handlers = {number: signal.getsignal(number) for number in SIGNALS}
        heard: list[int] = []

        def stop(number: int, frame: FrameType | None) -> None:
            heard.append(number)
            self.enough = True

        for number, handler in handlers.items():
            if callable(handler):
                signal.signal(number, stop)
        try:
            yield
        finally:
            for number, handler in handlers.items():
                signal.signal(number, handler)
            for number in heard:
                signal.raise_signal(number)


def _highs_model(arrays: Arrays) -> Any:
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(arrays.cost), len(arrays.row_lower)
    model.col_cost_ = -arrays.cost
    model.col_lower_, model.col_upper_ = arrays.lower, arrays.upper
    model.row_lower_, model.row_upper_ = arrays.row_lower, arrays.row_upper
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = arrays.row_starts
    model.a_matrix_.index_ = arrays.columns
    model.a_matrix_.value_ = arrays.values
    kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
    model.integrality_ = [kinds[int(each)] for each in arrays.whole]
    return model
