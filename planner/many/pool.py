"""Units handed to workers and outcomes as they come back, whoever the workers are."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from queue import Empty, SimpleQueue
from typing import Any

from planner.many.units import Outcomes, Running, Trouble, Unit, UnitOutcome

TICK = 0.5
"""Seconds between one look at what runs and the next."""


class Pool:
    """Workers of one kind, and the units that are not back from them (`at_work`, by future).

    A unit whose worker died is worked on once more when all others are done, and alone: only then
    is it known to be the culprit.
    """

    def __init__(self) -> None:
        self.at_work: dict[Any, tuple[int, Unit]] = {}
        self._ended: SimpleQueue[Any] = SimpleQueue()

    @property
    def room(self) -> bool:
        """Whether another unit may be handed out now."""
        return True

    def submit(self, number: int, unit: Unit) -> Any:
        """Hand a unit out; returns a future."""
        raise NotImplementedError

    def outcome(self, future: Any) -> UnitOutcome | None:
        """What came of a unit; None where its worker died."""
        raise NotImplementedError

    def running(self) -> Sequence[int]:
        """Numbers of the units that are being worked on."""
        return [number for number, _ in self.at_work.values()]

    def killed(self) -> Trouble:
        """What to say of a unit that two workers died of."""
        raise NotImplementedError

    def outcomes(self, units: Iterable[tuple[int, Unit]], told: Running) -> Outcomes:
        """Outcomes as they come; the next unit is asked for when there is room for it."""
        suspects: list[tuple[int, Unit]] = []
        for number, unit in units:
            self._give(number, unit)
            yield from self._back(told, suspects)
            while not self.room:
                yield from self._back(told, suspects, TICK)
        while self.at_work:
            yield from self._back(told, suspects, TICK)
        for number, unit in suspects:
            self._give(number, unit)
            while self.at_work:
                yield from self._back(told, None, TICK)

    def _give(self, number: int, unit: Unit) -> None:
        future = self.submit(number, unit)
        self.at_work[future] = number, unit
        future.add_done_callback(self._ended.put)

    def _back(
        self, told: Running, suspects: list[tuple[int, Unit]] | None, seconds: float = 0.0
    ) -> Iterator[tuple[int, UnitOutcome]]:
        """Outcomes there are, or the first that comes within some seconds."""
        told(self.running())
        with suppress(Empty):
            future = self._ended.get(timeout=seconds) if seconds else self._ended.get_nowait()
            while True:
                number, unit = self.at_work.pop(future)
                outcome = self.outcome(future)
                if outcome is None and suspects is not None:
                    suspects.append((number, unit))
                else:
                    yield number, outcome or self.killed()
                future = self._ended.get_nowait()
