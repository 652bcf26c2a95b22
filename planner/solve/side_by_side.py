"""The best solution of a model by two searches side by side: a scout and a prover.

The prover is a plain search of the whole model. The scout has a good solution soon, then a bound
from the sums alone, then looks at everything from the best it has. Both bounds are bounds of the
same model, so the lower of the two holds; a solution of either is one of the model.
"""

from __future__ import annotations

import threading
import time
from dataclasses import replace
from itertools import count

from planner.engine import INFINITY, Engine, Floats, Limits, Outcome, Progress
from planner.race import Lane, Race
from planner.scout import around, dived
from planner.stages import SUMS, StagedEngine

FEW = 100
"""Whole numbers up to which stages one after the other are quicker."""

COARSE = 0.5
"""Money from which on two searches pay; for less, stages one after the other do as well."""

HALFWAY = 10
"""Steps of the prover before the scout goes on from its first good solution."""

AHEAD = 20.0
"""Steps in which most provers are done, if they have that."""

LARGE = 1.0
"""Steps of the prover for one of the scout thereafter: it must not be waited for."""

LOOKS = 30
"""Looks at what the relaxation leaves open, at first: it is soon clear, or not so soon."""

MANY = 100
"""Looks at the sums; then the best there are have to do."""

PAUSE = 0.1
"""Seconds between two looks at the other search."""


def best_of(engine: StagedEngine, limits: Limits, progress: Progress | None = None) -> Outcome:
    """Solve a model within limits.

    Parameters
    ----------
    engine : StagedEngine
    limits : Limits
    progress : callable, optional
        Told, in the thread that calls. An exception it raises comes out here.
    """
    fine = limits.share == 0 and limits.amount < COARSE
    if fine or engine.members <= FEW:
        return engine.run_in_stages(limits, progress)
    start = engine.take_start()
    alone = engine.alone()
    if start is not None:
        alone.start_from(engine.without_sums(start))
    alone.stride()
    race = Race(limits)
    searches = (_Prover(race, alone, limits), _Scout(race, engine.twin(), limits, start))
    for search in searches:
        search.start()
    try:
        _wait(race, progress)
    finally:
        race.over.set()  # both end at their next look, which need not be waited for
    for search in searches:
        if search.failure:
            raise search.failure
    if race.bound == -INFINITY:
        return Outcome(False, None, -INFINITY, -INFINITY, False)
    if race.values is None:
        return Outcome(None, None, -INFINITY, race.bound, True)
    bound = max(race.bound, race.objective)
    return Outcome(True, race.values, race.objective, bound, not race.close)


def _wait(race: Race, progress: Progress | None) -> None:
    """Wait until the race is over; progress may end it."""
    began = time.perf_counter()
    while not race.over.wait(PAUSE):
        if progress and progress(time.perf_counter() - began, race.objective, race.bound):
            return


class _Search(threading.Thread):
    """One of the two; what fails in it is kept."""

    def __init__(self, race: Race, lane: Lane) -> None:
        super().__init__()
        self._race, self._lane = race, lane
        self.failure: BaseException | None = None

    def run(self) -> None:
        """Search; then take no more steps."""
        try:
            self.search()
        except BaseException as error:
            self.failure = error
            self._race.over.set()
        finally:
            self._lane.end()

    def search(self) -> None:
        """Tell the lane what is found."""
        raise NotImplementedError


class _Prover(_Search):
    """One plain search of everything."""

    def __init__(self, race: Race, engine: Engine, limits: Limits) -> None:
        super().__init__(race, race.prover)
        self._engine, self._limits = engine, limits

    def search(self) -> None:
        """Search everything."""
        outcome = self._engine.run(self._limits, self._look, self._found)
        if outcome.feasible is False:
            self._lane.tell(bound=-INFINITY)
        elif outcome.values is not None:
            self._lane.tell(outcome.bound, outcome.objective, outcome.values)

    def _look(self, seconds: float, best: float, bound: float) -> bool:
        self._lane.tell(bound=bound)
        return self._lane.go_on()

    def _found(self, values: Floats) -> None:
        self._lane.tell(objective=self._engine.worth(values), values=values)


class _Scout(_Search):
    """A good solution, then everything from the best there is."""

    def __init__(
        self, race: Race, engine: StagedEngine, limits: Limits, start: Floats | None
    ) -> None:
        super().__init__(race, race.scout)
        self._engine, self._limits, self._start = engine, limits, start
        self._ends = time.perf_counter() + limits.seconds
        self._best: Floats | None = None

    def search(self) -> None:
        """Go on until the race is over or there is nothing more to do."""
        if self._start is not None:
            self._found(self._engine.without_sums(self._start))
        if self._at_once() and self._by_sums():
            self._everything()

    def _at_once(self) -> bool:
        """The bound of the relaxation, and a solution near it. Each stage says whether to go on.

        All this is one step: it is sooner done than any prover.
        """
        engine = self._engine
        relaxed = engine.relaxation()
        if relaxed is None:
            return False
        self._near(relaxed)
        over = self._lane.go_on(AHEAD)
        while not over and self._race.prover.complete < HALFWAY:  # till then its cores are its own
            over = self._race.over.wait(PAUSE)
        return not over

    def _by_sums(self) -> bool:
        """A bound from the sums, and the best days for them."""
        share, amount = self._limits.share * SUMS, self._limits.amount * SUMS
        limits = Limits(share, amount, self._left(0.5))
        looks = count(1)

        def enough(seconds: float, best: float, bound: float) -> bool:
            return self._bounding(seconds, best, bound) or next(looks) >= MANY

        sums = self._engine.sums(limits, enough)
        if self._race.over.is_set() or sums.values is None:
            return not self._race.over.is_set()
        allowed = self._race.allowed(sums.objective)
        limits = Limits(0.0, allowed * SUMS, self._left(0.5))
        self._engine.days(sums.values, limits, self._until(sums.bound - allowed), self._found)
        return not self._lane.go_on(LARGE)

    def _near(self, relaxed: Floats) -> None:
        """Tell of the relaxation's bound and of a solution near it."""
        engine, bound = self._engine, self._engine.worth(relaxed)
        self._lane.tell(bound=bound)
        begun = [dived(engine, relaxed, self._stopped)]
        if self._best is not None:
            begun.append(engine.with_sums(self._best))
        best = max((each for each in begun if each is not None), key=engine.worth, default=None)
        if best is not None:
            self._found(engine.without_sums(best))
        if self._stopped():
            return
        left = count(1)
        limits = Limits(0.0, self._race.allowed(bound) * SUMS, self._left(0.5))

        def enough(seconds: float, best: float, bound: float) -> bool:
            return self._race.over.is_set() or next(left) >= LOOKS

        around(engine, relaxed, best, limits, enough, self._found)

    def _everything(self) -> None:
        """All of it, from the best there is."""
        if self._best is not None:
            self._engine.start_from(self._best)
        limits = replace(self._limits, seconds=self._left(1.0))
        found = self._engine.run(limits, self._bounding, self._found)
        if found.feasible:
            self._lane.tell(found.bound, found.objective, found.values)

    def _stopped(self) -> bool:
        return self._race.over.is_set() or time.perf_counter() >= self._ends

    def _left(self, share: float) -> float:
        return max(0.1, share * (self._ends - time.perf_counter()))

    def _found(self, values: Floats) -> None:
        worth = self._engine.worth(values)
        self._lane.tell(objective=worth, values=values)
        if self._best is None or worth > self._engine.worth(self._best):
            self._best = values

    def _bounding(self, seconds: float, best: float, bound: float) -> bool:
        """A step of a search whose bound holds for every solution."""
        self._lane.tell(bound=bound)
        return self._lane.go_on(LARGE)

    def _until(self, enough: float) -> Progress:
        """Ends a search of some solutions when one is good enough."""
        return lambda seconds, best, bound: best >= enough or self._lane.go_on(LARGE)
