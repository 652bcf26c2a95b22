"""The solver that PuLP brings along: slower, a cross-check."""

from __future__ import annotations

import contextlib
import subprocess
import time
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pulp

from planner.solve.engine import INFEASIBLE, INFINITY, Floats, Inequality, Limits, Outcome, Progress
from planner.solve.model import BreakModel


class _Cbc(pulp.PULP_CBC_CMD):  # type: ignore[misc]
    """The solver's program: interrupted, PuLP would leave it running, and its files behind."""

    def solve_CBC(self, lp: Any, use_mps: bool = True) -> int:  # noqa: N802
        """Solve by way of files in a folder of their own."""
        with TemporaryDirectory(prefix="breakplan-") as folder:
            model, answer = (str(Path(folder, name)) for name in ("model.mps", "answer"))
            variables, columns, rows, _ = lp.writeMPS(model, rename=1)
            words = [self.path, model]
            if lp.sense == pulp.LpMaximize:
                words.append("-max")
            if self.timeLimit is not None:
                words += ["-sec", str(self.timeLimit)]
            for option in self.getOptions():
                words += f"-{option}".split()
            words.append("-solve" if self.mip else "-initialSolve")
            words += ["-printingOptions", "all", "-solution", answer]
            _finish(words)
            if not Path(answer).exists():
                raise pulp.PulpSolverError("no solution file")
            status, values, _, _, _, kind = self.readsol_MPS(answer, lp, variables, columns, rows)
        lp.assignVarsVals(values)
        lp.assignStatus(status, kind)
        return int(status)


def _finish(words: list[str]) -> None:
    """Run a program to its end, or end it when we are interrupted."""
    nowhere = subprocess.DEVNULL
    ran = subprocess.Popen(words, stdin=nowhere, stdout=nowhere, stderr=nowhere)
    try:
        ran.wait()
    except BaseException:
        ran.kill()
        ran.wait()
        raise


class Bundled:
    """The solver PuLP brings along, behind the same few questions."""

    def __init__(self, model: BreakModel) -> None:
        self._problem = model.problem.copy()
        self._variables = model.problem.variables()

    def maximize(self, cost: Floats) -> None:
        """Put another objective in place."""
        terms = [(v, float(c)) for v, c in zip(self._variables, cost, strict=True) if c]
        self._problem.objective = pulp.LpAffineExpression(terms)

    def bound(self, column: int, lower: float, upper: float) -> None:
        """Change the bounds of a column."""
        self._variables[column].bounds(lower, upper)

    def add_row(self, row: Inequality) -> None:
        """Add a row."""
        terms = [
            (self._variables[n], value) for n, value in zip(row.columns, row.values, strict=True)
        ]
        self._problem += pulp.LpAffineExpression(terms) >= row.least

    def start_from(self, values: Floats) -> None:
        """Begin the next run with a known solution."""
        for variable, value in zip(self._variables, values, strict=True):
            variable.setInitialValue(value, check=False)

    def run(self, limits: Limits, progress: Progress | None = None) -> Outcome:
        """Solve; whole-number columns stay whole."""
        return self._solve(limits, mip=True)

    def settle(self, values: Floats) -> Outcome:
        """Fix the whole-number columns at `values` and solve for the rest."""
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
        solver = _Cbc(
            mip=mip, msg=False, timeLimit=seconds, gapRel=limits.share, gapAbs=limits.amount
        )
        began = time.perf_counter()
        self._problem.assignStatus(pulp.LpStatusNotSolved)  # else that of the last run stays
        with contextlib.suppress(pulp.PulpSolverError):
            self._problem.solve(solver)
        timed_out = seconds is not None and time.perf_counter() - began >= seconds
        if self._problem.status == pulp.LpStatusInfeasible:
            return INFEASIBLE
        if self._problem.sol_status not in (
            pulp.LpSolutionOptimal,
            pulp.LpSolutionIntegerFeasible,
        ):
            return Outcome(None, None, -INFINITY, INFINITY, timed_out)
        values = np.array([variable.varValue or 0.0 for variable in self._variables])
        objective = float(self._problem.objective.value() - self._problem.objective.constant)
        stopped = self._problem.sol_status == pulp.LpSolutionOptimal
        # it does not tell its bound: a search that ended is within the gap it was given
        gap = limits.allowed(objective) if mip else 0.0
        bound = objective + gap if stopped else self.lp_bound()
        return Outcome(True, values, objective, bound, not stopped)

    def lp_bound(self) -> float:
        """Bound where whole numbers need not be whole."""
        self._problem.assignStatus(pulp.LpStatusNotSolved)
        with contextlib.suppress(pulp.PulpSolverError):
            self._problem.solve(_Cbc(mip=False, msg=False))
        if self._problem.status != pulp.LpStatusOptimal:
            return INFINITY
        return float(self._problem.objective.value() - self._problem.objective.constant)
