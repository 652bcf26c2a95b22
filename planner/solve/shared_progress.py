"""Two searches of one model side by side, and what is known at each step of both.

A primal search looks for a good solution, a bound search lowers the bound; each counts its own
steps. What is found at a step counts before all that is found at later ones, whichever search it
comes from and whoever was there first by the clock. So it does not depend on the machine where the
portfolio ends, nor with which solution: only how long that takes.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from planner.solve.engine import INFINITY, Floats, Limits

PAUSE = 0.02
"""Seconds between two looks at the other search."""


@dataclass(frozen=True, slots=True)
class Report:
    """What a search knows at a step: what no solution exceeds, and a solution if it has one.

    The bound is minus infinity where there is none.
    """

    step: float
    bound: float = INFINITY
    objective: float = -INFINITY
    values: Floats | None = None


class Worker:
    """The steps of one of the two searches."""

    def __init__(self, portfolio: Portfolio) -> None:
        self._portfolio = portfolio
        self.step = 0.0
        self.waiting: deque[Report] = deque()
        self._solutions: list[tuple[float, Floats]] = []
        self.complete = 0.0
        """All that is found at steps below this is told."""

    def report(
        self, bound: float = INFINITY, objective: float = -INFINITY, values: Floats | None = None
    ) -> None:
        """Tell what is known at the present step."""
        if values is not None:
            self._solutions.append((self.step, values))
        self.waiting.append(Report(self.step, bound, objective, values))

    def advance(self, steps: float = 1.0) -> bool:
        """Take the next step, or a part of one; whether the portfolio is over."""
        self.step += steps
        self.complete = self.step
        return self._portfolio.count_reports()

    def solutions(self, before: float) -> list[tuple[float, Floats]]:
        """Solutions told at steps before one, with these, once all are told; none if it is over."""
        while self.complete < before:
            if self._portfolio.over.wait(PAUSE):
                return []
        return [each for each in self._solutions if each[0] < before]

    def follow(self, other: Worker, after: float) -> bool:
        """Keep step with another worker to its next solution told after a step; no if none comes.

        Nothing is told meanwhile, so it does not matter when the clock lets us look.
        """
        while True:
            complete = other.complete  # before its solutions: all of earlier steps are told then
            steps = [step for step, _ in other.solutions(complete) if step > after]
            if complete == INFINITY and not steps:
                return False
            self.step = self.complete = max(self.step, min([complete, *(s + 1 for s in steps)]))
            if self._portfolio.count_reports() or self._portfolio.over.wait(
                0.0 if steps else PAUSE
            ):
                return False
            if steps:
                return True

    def run(self, search: Callable[[], None]) -> None:
        """Run the search to its end, then take no more steps; where it fails all is over."""
        try:
            search()
        except BaseException:
            self._portfolio.over.set()
            raise
        finally:
            self.end()

    def end(self) -> None:
        """Take no more steps."""
        self.complete = INFINITY
        self._portfolio.count_reports()


class Portfolio:
    """What both searches know together; over when bound and objective are within the limits.

    Attributes
    ----------
    primal, bounding : Worker
    over : Event
        Set when they are close, or neither goes on.
    """

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self.primal, self.bounding = Worker(self), Worker(self)
        self.over = threading.Event()
        self.bound, self.objective = INFINITY, -INFINITY
        self.values: Floats | None = None
        self._lock = threading.Lock()

    @property
    def close(self) -> bool:
        """Whether bound and objective are close enough, or there is no solution."""
        if self.bound == -INFINITY:
            return True
        if self.values is None:
            return False
        return self.bound - self.objective <= self.limits.allowed(self.objective)

    def count_reports(self) -> bool:
        """Count what is told of every step that both have passed; whether the portfolio is over."""
        with self._lock:
            workers = (self.primal, self.bounding)  # of one step the primal search's comes first
            while not self.over.is_set():
                known = min(worker.complete for worker in workers)
                told = [worker for worker in workers if worker.waiting]
                worker = min(told, key=lambda each: each.waiting[0].step, default=None)
                if worker is None or worker.waiting[0].step >= known:
                    break
                self._count(worker.waiting.popleft())
            if all(worker.complete == INFINITY for worker in workers):
                self.over.set()
            return self.over.is_set()

    def _count(self, report: Report) -> None:
        self.bound = min(self.bound, report.bound)
        if report.values is not None and report.objective > self.objective:
            self.objective, self.values = report.objective, report.values
        if self.close:
            self.over.set()
