"""Two searches of one model side by side, and what is known at each step of both.

A scout looks for a good solution, a prover lowers the bound; each counts its own steps. What is
found at a step counts before all that is found at later ones, whichever search it comes from and
whoever was there first by the clock. So it does not depend on the machine where the race ends, nor
with which solution: only how long that takes.
"""

from __future__ import annotations

import threading
from collections import deque
from dataclasses import dataclass

from planner.engine import INFINITY, Floats, Limits

PAUSE = 0.02
"""Seconds between two looks at the other search."""


@dataclass(frozen=True, slots=True)
class Look:
    """What a search knows at a step.

    Attributes
    ----------
    step : float
    bound : float
        What no solution of the model exceeds; minus infinity where there is none.
    objective : float
        Of the solution.
    values : array or None
    """

    step: float
    bound: float = INFINITY
    objective: float = -INFINITY
    values: Floats | None = None


class Lane:
    """The steps of one of the two searches."""

    def __init__(self, race: Race) -> None:
        self._race = race
        self.step = 0.0
        self.waiting: deque[Look] = deque()
        self._solutions: list[tuple[float, Floats]] = []
        self.complete = 0.0
        """All that is found at steps below this is told."""

    def tell(
        self, bound: float = INFINITY, objective: float = -INFINITY, values: Floats | None = None
    ) -> None:
        """Tell what is known at the present step."""
        if values is not None:
            self._solutions.append((self.step, values))
        self.waiting.append(Look(self.step, bound, objective, values))

    def go_on(self, steps: float = 1.0) -> bool:
        """Take the next step, or a part of one; whether the race is over."""
        self.step += steps
        self.complete = self.step
        return self._race.catch_up()

    def solutions(self, before: float) -> list[tuple[float, Floats]]:
        """Solutions told at steps before one, with these, once all are told; none if it is over."""
        while self.complete < before:
            if self._race.over.wait(PAUSE):
                return []
        return [each for each in self._solutions if each[0] < before]

    def follow(self, other: Lane, after: float) -> bool:
        """Keep step with another lane up to its next solution told after a step; no if none comes.

        Nothing is told meanwhile, so it does not matter when the clock lets us look.
        """
        while True:
            complete = other.complete  # before its solutions: all of earlier steps are told then
            steps = [step for step, _ in other.solutions(complete) if step > after]
            if complete == INFINITY and not steps:
                return False
            self.step = self.complete = max(self.step, min([complete, *(s + 1 for s in steps)]))
            if self._race.catch_up() or self._race.over.wait(0.0 if steps else PAUSE):
                return False
            if steps:
                return True

    def end(self) -> None:
        """Take no more steps."""
        self.complete = INFINITY
        self._race.catch_up()


class Race:
    """What both searches know together.

    Parameters
    ----------
    limits : Limits
        The race is over when bound and objective are so close.

    Attributes
    ----------
    scout, prover : Lane
    over : Event
        Set when they are close, or neither goes on.
    bound, objective : float
    values : array or None
    """

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self.scout, self.prover = Lane(self), Lane(self)
        self.over = threading.Event()
        self.bound, self.objective = INFINITY, -INFINITY
        self.values: Floats | None = None
        self._lock = threading.Lock()

    def allowed(self, objective: float) -> float:
        """How far below the bound a solution may be."""
        return max(self.limits.amount, self.limits.share * abs(objective))

    @property
    def close(self) -> bool:
        """Whether bound and objective are close enough, or there is no solution."""
        if self.bound == -INFINITY:
            return True
        if self.values is None:
            return False
        return self.bound - self.objective <= self.allowed(self.objective)

    def catch_up(self) -> bool:
        """Count what is told of every step that both have passed; whether the race is over."""
        with self._lock:
            lanes = (self.scout, self.prover)  # of one step the scout's comes first
            while not self.over.is_set():
                known = min(lane.complete for lane in lanes)
                told = [lane for lane in lanes if lane.waiting]
                lane = min(told, key=lambda each: each.waiting[0].step, default=None)
                if lane is None or lane.waiting[0].step >= known:
                    break
                self._count(lane.waiting.popleft())
            if all(lane.complete == INFINITY for lane in lanes):
                self.over.set()
            return self.over.is_set()

    def _count(self, look: Look) -> None:
        self.bound = min(self.bound, look.bound)
        if look.values is not None and look.objective > self.objective:
            self.objective, self.values = look.objective, look.values
        if self.close:
            self.over.set()
