"""The best solution of a model by two searches side by side: a scout and a prover.

The prover is a plain search of the whole model; the scout seeks good solutions
(`planner.solve.scouting`). Both tell bounds of the same model, so the lower one holds; a solution
of either is one of the model.
"""

from __future__ import annotations

import time

from planner.engine import INFINITY, Limits, Outcome, Progress
from planner.race import PAUSE, Race
from planner.solve.lanes import Prover
from planner.solve.scouting import Scout
from planner.stages import StagedEngine

FEW = 100
"""Whole numbers up to which stages one after the other are quicker."""

COARSE = 0.5
"""Money from which on two searches pay; for less, stages one after the other do as well."""


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
    alone.stride()
    race = Race(limits)
    race.prover.go_on()  # what the scout has at once need not wait for its first look
    searches = (Prover(race, alone, limits), Scout(race, engine.twin(), limits, start))
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
