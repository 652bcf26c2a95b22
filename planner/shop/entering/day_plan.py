"""What the plan on the wall has for a day and is not entered yet: breaks and batches."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import TypeAlias

from planner.journal.entries import BatchMade, BreakDone, Entry, Recorded, Weighed
from planner.shop.entering.things import Expected, Thing, Things
from planner.shop.plans.posted import KeptBatch, KeptBreak, KeptPlan, last_kept

DONE = 0.95
"""A batch of which so much was made is done."""

Expecting: TypeAlias = Callable[[Thing, str], tuple[Expected, ...]]
"""What one of a piece gives in a way."""


@dataclass(frozen=True)
class Cutting:
    """Pieces to be cut in a way, or that were.

    Attributes
    ----------
    piece : Thing
    way : str
    count : int
        How many are planned, less those entered already; of a break typed freely, how many.
    pounds : float or None
        What all of them are expected to weigh; None where nobody knows.
    expected : tuple of Expected
        What one of them gives, in the order of the morning's sheet.
    planned : bool
        Whether it is in the plan.
    entered : int
        How many of the plan's were entered before.
    """

    piece: Thing
    way: str
    count: int
    pounds: float | None
    expected: tuple[Expected, ...]
    planned: bool
    entered: int = 0

    def expected_pounds(self, count: int) -> float | None:
        """What so many of them are expected to weigh."""
        return None if self.pounds is None else self.pounds / self.count * count


@dataclass(frozen=True)
class BatchJob:
    """A blend to be made, or that was: pounds out, and what goes in; 0 where no plan says it."""

    blend: Thing
    pounds: float
    takes: tuple[tuple[Thing, float], ...]
    planned: bool


@dataclass(frozen=True)
class WeighedBreak:
    """A break that was done, and what was to be expected of it."""

    cutting: Cutting
    entry: BreakDone

    @property
    def pounds(self) -> float | None:
        """What the pieces weighed, else what they are expected to."""
        weighed = self.entry.pounds
        return self.cutting.expected_pounds(self.entry.count) if weighed is None else weighed

    def expected_of(self, got: Weighed) -> Expected | None:
        """What was to be expected of a thing that was weighed."""
        return next((each for each in self.cutting.expected if each.thing.full == got.what), None)


@dataclass(frozen=True)
class WeighedBatch:
    """A batch that was made, and what was planned of it."""

    batch: BatchJob
    entry: BatchMade


class DayPlan:
    """What is planned for a day.

    Parameters
    ----------
    things : Things
    recorded : sequence of Recorded
        What counts of the journal.
    day : date
    expecting : callable

    Attributes
    ----------
    number : int or None
        Of the entry with the plan that covers the day; None where there is none.
    """

    def __init__(
        self, things: Things, recorded: Sequence[Recorded], day: date, expecting: Expecting
    ) -> None:
        self._things, self._recorded, self._day = things, recorded, day
        self._expecting = expecting
        found = last_kept(recorded, day)
        self.number: int | None = found[0] if found else None
        self._plan: KeptPlan | None = found[1] if found else None

    @cached_property
    def left_out(self) -> tuple[str, ...]:
        """What the plan has and no longer in any recipe."""
        breaks = [f"{each.piece}: {each.way}" for each in self._breaks if not self._known(each)]
        blends = [each.blend for each in self._planned if each.blend not in self._things.by_full]
        return tuple(dict.fromkeys((*breaks, *blends)))

    @property
    def _breaks(self) -> tuple[KeptBreak, ...]:
        """The plan's of the day."""
        return (
            tuple(each for each in self._plan.breaks if each.day == self._day) if self._plan else ()
        )

    @property
    def _planned(self) -> tuple[KeptBatch, ...]:
        if self._plan is None:
            return ()
        return tuple(each for each in self._plan.batches if each.day == self._day)

    def _since(self) -> Iterator[Entry]:
        """What was entered of the day since the plan was kept: the plan does not know of it."""
        for each in self._recorded:
            if each.entry.day == self._day and each.number > (self.number or 0):
                yield each.entry

    def _known(self, each: KeptBreak) -> bool:
        piece = self._things.by_full.get(each.piece)
        return piece is not None and piece.piece and each.way in self._things.ways(piece)

    @property
    def cuttings(self) -> tuple[Cutting, ...]:
        """Breaks that are not entered yet, in the order of the sheet."""
        return tuple(each for each in self._cuttings if each.count > 0)

    @property
    def entered(self) -> tuple[Cutting, ...]:
        """Breaks of which all was entered before."""
        return tuple(each for each in self._cuttings if each.count <= 0)

    @cached_property
    def _cuttings(self) -> tuple[Cutting, ...]:
        """Those that are entered already have a count of 0."""
        found = []
        done: dict[tuple[str, str], int] = {}
        for entry in self._since():
            if isinstance(entry, BreakDone):
                key = (entry.piece, entry.way)
                done[key] = done.get(key, 0) + entry.count
        for each in self._breaks:
            if self._known(each):
                piece = self._things.by_full[each.piece]
                entered = min(done.get((each.piece, each.way), 0), each.count)
                count = each.count - entered
                pounds = each.pounds / each.count * count if count else None
                expected = self._as_kept(each, self._expecting(piece, each.way))
                found.append(Cutting(piece, each.way, count, pounds, expected, True, entered))
        return tuple(found)

    def whole_batch(self, blend: Thing) -> BatchJob | None:
        """All that is planned of a blend, whatever was entered of it; None where nothing is."""
        found = [each for each in self._planned if each.blend == blend.full]
        if not found:
            return None
        takes: dict[Thing, float] = {}
        for each in found:
            for one in each.takes:
                if one.what in self._things.by_full:
                    thing = self._things.by_full[one.what]
                    takes[thing] = takes.get(thing, 0.0) + (one.pounds or 0.0)
        pounds = sum(each.pounds for each in found)
        return BatchJob(blend, pounds, tuple(takes.items()), planned=True)

    @cached_property
    def batches(self) -> tuple[BatchJob, ...]:
        """Blends that are not entered yet."""
        return tuple(self._batches())

    def _batches(self) -> Iterator[BatchJob]:
        done: dict[str, float] = {}
        for entry in self._since():
            if isinstance(entry, BatchMade):
                done[entry.blend] = done.get(entry.blend, 0.0) + entry.pounds
        for each in self._planned:
            blend = self._things.by_full.get(each.blend)
            if blend is None or blend.name not in self._things.week.blends:
                continue
            made = min(done.get(each.blend, 0.0), each.pounds)
            done[each.blend] = done.get(each.blend, 0.0) - made
            if made >= DONE * each.pounds:
                continue
            rest = 1 - made / each.pounds
            takes = [
                (self._things.by_full[one.what], rest * (one.pounds or 0.0))
                for one in each.takes
                if one.what in self._things.by_full
            ]
            yield BatchJob(blend, rest * each.pounds, tuple(takes), planned=True)

    @staticmethod
    def _as_kept(kept: KeptBreak, expected: tuple[Expected, ...]) -> tuple[Expected, ...]:
        """The shares that the sheet was printed with, where it names the same things."""
        pounds = {each.what: each.pounds for each in kept.gives}
        if set(pounds) != {each.thing.full for each in expected} or kept.pounds <= 0:
            return expected
        by_name = {each.thing.full: each for each in expected}
        return tuple(
            replace(by_name[name], share=(weight or 0.0) / kept.pounds)
            for name, weight in pounds.items()
        )
