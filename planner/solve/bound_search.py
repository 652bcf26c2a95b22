"""A search that runs beside another and tells a portfolio what it finds; and the plain one."""

from __future__ import annotations

import threading

from planner.solve.engine import INFINITY, Engine, Floats, Limits
from planner.solve.shared_progress import Portfolio, Worker


class PortfolioSearch(threading.Thread):
    """One of the two searches of a portfolio; what fails in it is kept."""

    def __init__(self, portfolio: Portfolio, worker: Worker) -> None:
        super().__init__()
        self.portfolio, self.worker = portfolio, worker
        self.failure: BaseException | None = None

    def run(self) -> None:
        """Search; then take no more steps."""
        try:
            self.search()
        except BaseException as error:
            self.failure = error
            self.portfolio.over.set()
        finally:
            self.worker.end()

    def search(self) -> None:
        """Tell the worker what is found."""
        raise NotImplementedError


class BoundSearch(PortfolioSearch):
    """One plain search of everything; each look at it is a step."""

    def __init__(self, portfolio: Portfolio, engine: Engine, limits: Limits) -> None:
        super().__init__(portfolio, portfolio.bounding)
        self._engine, self._limits = engine, limits

    def search(self) -> None:
        """Search everything."""
        outcome = self._engine.run(self._limits, self._look, self._found)
        if outcome.feasible is False:
            self.worker.tell(bound=-INFINITY)
        elif outcome.values is not None:
            self.worker.tell(outcome.bound, outcome.objective, outcome.values)

    def _look(self, seconds: float, best: float, bound: float) -> bool:
        self.worker.tell(bound=bound)
        return self.worker.go_on()

    def _found(self, values: Floats) -> None:
        self.worker.tell(objective=self._engine.worth(values), values=values)
