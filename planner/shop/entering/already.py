"""Jobs that the journal has already for the day that is weighed in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from planner.journal.entries import BatchMade, BreakDone, Entry, Recorded
from planner.shop.entering.again import Again, key_of
from planner.shop.entering.dayplan import Batch, DayPlan
from planner.shop.entering.plausible import BATCH_SLACK
from planner.shop.entering.things import Thing, Things
from planner.shop.stock.scales import SCALE_POUNDS


class Already:
    """What was entered of a day, beside what its plan still has.

    Parameters
    ----------
    things : Things
    recorded : sequence of Recorded
        What counts of the journal, up to the day.
    plan : DayPlan
    day : date
    """

    def __init__(
        self, things: Things, recorded: Sequence[Recorded], plan: DayPlan, day: date
    ) -> None:
        self._things, self._recorded, self._plan, self._day = things, recorded, plan, day

    def again(self, done: BreakDone | BatchMade, before: Sequence[Entry] = ()) -> Again | None:
        """The same job in the journal, where the plan has no more of it for that day.

        Parameters
        ----------
        done : BreakDone or BatchMade
        before : sequence of Entry
            What is entered along with it, before it.
        """
        there = self._alike(done)
        if not there:
            return None
        name = self._called(done)
        same = [each.number for each in there if key_of(each.entry) == key_of(done)]
        if same:
            return Again(name, tuple(same))
        more = self._amount(done) > self._left(done, before)
        return Again(name, tuple(each.number for each in there)) if more else None

    def again_typed(self, done: BreakDone | BatchMade) -> Again | None:
        """The same job in the same number or amount, one entry of the journal or all of them."""
        there, amount = self._alike(done), self._amount(done)
        same = tuple(e.number for e in there if abs(self._amount(e.entry) - amount) < SCALE_POUNDS)
        whole = math.fsum(self._amount(each.entry) for each in there)
        if not same and there and abs(whole - amount) < SCALE_POUNDS:
            same = tuple(each.number for each in there)
        return Again(self._called(done), same) if same else None

    def whole_batch(self, blend: Thing) -> Batch | None:
        """A blend of which some is entered already: as planned, or as entered; else None."""
        there = self._alike(BatchMade(self._day, blend.full, 0.0))
        if not there:
            return None
        made = there[-1].entry
        assert isinstance(made, BatchMade)
        takes = [(self._things.by_full.get(each.what), each.pounds or 0.0) for each in made.took]
        took = tuple((thing, pounds) for thing, pounds in takes if thing)
        as_entered = Batch(blend, made.pounds, took, planned=True)
        return self._plan.whole_batch(blend) or as_entered

    def _alike(self, done: BreakDone | BatchMade) -> list[Recorded]:
        """What the journal has of the same job that day."""
        return [
            each
            for each in self._recorded
            if each.entry.day == self._day and _job(each.entry) == _job(done)
        ]

    def _left(self, done: BreakDone | BatchMade, before: Sequence[Entry]) -> float:
        """What the plan has left of a job, and may be taken for it."""
        gone = math.fsum(self._amount(each) for each in before if _job(each) == _job(done))
        if isinstance(done, BreakDone):
            plan = [
                e for e in self._plan.cuttings if (e.piece.full, e.way) == (done.piece, done.way)
            ]
            return sum(each.count for each in plan) - gone
        batches = [each.pounds for each in self._plan.batches if each.blend.full == done.blend]
        return (math.fsum(batches) - gone) * (1 + BATCH_SLACK)

    @staticmethod
    def _amount(entry: Entry) -> float:
        if isinstance(entry, BreakDone):
            return entry.count
        return entry.pounds if isinstance(entry, BatchMade) else 0.0

    def _called(self, done: BreakDone | BatchMade) -> str:
        if isinstance(done, BreakDone):
            return f"{self._things.by_full[done.piece].name}: {done.way}"
        return self._things.by_full[done.blend].name


def _job(entry: Entry) -> tuple[str, ...] | None:
    """What two entries of the same work have alike, but for how much."""
    if isinstance(entry, BreakDone):
        return entry.piece, entry.way
    return (entry.blend,) if isinstance(entry, BatchMade) else None
