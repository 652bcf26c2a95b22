"""A search that runs beside another and tells a race what it finds; and the plain one."""

from __future__ import annotations

import threading

from planner.engine import INFINITY, Engine, Floats, Limits
from planner.race import Lane, Race


class Searching(threading.Thread):
    """One of the two searches of a race; what fails in it is kept."""

    def __init__(self, race: Race, lane: Lane) -> None:
        super().__init__()
        self.race, self.lane = race, lane
        self.failure: BaseException | None = None

    def run(self) -> None:
        """Search; then take no more steps."""
        try:
            self.search()
        except BaseException as error:
            self.failure = error
            self.race.over.set()
        finally:
            self.lane.end()

    def search(self) -> None:
        """Tell the lane what is found."""
        raise NotImplementedError


class Prover(Searching):
    """One plain search of everything; each look at it is a step."""

    def __init__(self, race: Race, engine: Engine, limits: Limits) -> None:
        super().__init__(race, race.prover)
        self._engine, self._limits = engine, limits

    def search(self) -> None:
        """Search everything."""
        outcome = self._engine.run(self._limits, self._look, self._found)
        if outcome.feasible is False:
            self.lane.tell(bound=-INFINITY)
        elif outcome.values is not None:
            self.lane.tell(outcome.bound, outcome.objective, outcome.values)

    def _look(self, seconds: float, best: float, bound: float) -> bool:
        self.lane.tell(bound=bound)
        return self.lane.go_on()

    def _found(self, values: Floats) -> None:
        self.lane.tell(objective=self._engine.worth(values), values=values)
