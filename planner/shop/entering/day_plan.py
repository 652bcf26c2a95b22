"""What the plan on the wall has for a day and is not entered yet: breaks and batches."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TypeAlias

from planner.journal.entries import BatchMade, BreakDone, Recorded, Weighed
from planner.shop.entering.catalog import Catalog, ExpectedYield, StockItem
from planner.shop.plans.posted import KeptBreak, last_kept

DONE = 0.95
"""A batch of which so much was made is done."""

Expecting: TypeAlias = Callable[[StockItem, str], tuple[ExpectedYield, ...]]
"""What one of a piece gives in a way."""


@dataclass(frozen=True)
class Cutting:
    """Pieces to be cut in a way, or that were.

    `count` is how many are planned, less those of the plan that were `entered` before; of a break
    typed freely, how many. All of them are expected to weigh `pounds` (None: nobody knows), and one
    gives what is `expected`, in the order of the morning's sheet.
    """

    piece: StockItem
    way: str
    count: int
    pounds: float | None
    expected: tuple[ExpectedYield, ...]
    planned: bool
    entered: int = 0

    def expected_pounds(self, count: int) -> float | None:
        """What so many of them are expected to weigh."""
        return None if self.pounds is None else self.pounds / self.count * count


@dataclass(frozen=True)
class BatchJob:
    """A blend to be made, or that was: pounds out, and what goes in; 0 where no plan says it."""

    blend: StockItem
    pounds: float
    takes: tuple[tuple[StockItem, float], ...]
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

    def expected_of(self, got: Weighed) -> ExpectedYield | None:
        """What was to be expected of a thing that was weighed."""
        return next((each for each in self.cutting.expected if each.thing.full == got.what), None)


@dataclass(frozen=True)
class WeighedBatch:
    """A batch that was made, and what was planned of it."""

    batch: BatchJob
    entry: BatchMade


@dataclass(frozen=True)
class DayPlan:
    """What the plan on the wall has for a day.

    Attributes
    ----------
    number : int or None
        Of the entry with the plan that covers the day; None where there is none.
    cuttings, entered : tuple of Cutting
        Breaks that are not entered yet, in the order of the sheet; those of which all is.
    batches : tuple of BatchJob
        Blends that are not entered yet.
    whole : mapping of StockItem to BatchJob
        All that is planned of a blend, whatever was entered of it.
    left_out : tuple of str
        What the plan has and no longer in any recipe.
    """

    number: int | None = None
    cuttings: tuple[Cutting, ...] = ()
    entered: tuple[Cutting, ...] = ()
    batches: tuple[BatchJob, ...] = ()
    whole: Mapping[StockItem, BatchJob] = field(default_factory=dict)
    left_out: tuple[str, ...] = ()


def day_plan(
    catalog: Catalog, recorded: Sequence[Recorded], day: date, expecting: Expecting
) -> DayPlan:
    """What is planned for a day, out of what counts of the journal."""
    found = last_kept(recorded, day)
    if found is None:
        return DayPlan()
    number, plan = found
    done: dict[str | tuple[str, str], float] = defaultdict(float)  # the plan knows nothing of it
    for one in recorded:
        if one.entry.day == day and one.number > number:
            if isinstance(one.entry, BreakDone):
                done[one.entry.piece, one.entry.way] += one.entry.count
            elif isinstance(one.entry, BatchMade):
                done[one.entry.blend] += one.entry.pounds
    cuttings: list[Cutting] = []
    batches: list[BatchJob] = []
    whole: dict[StockItem, BatchJob] = {}
    left_out: list[str] = []
    for each in plan.breaks:
        piece = catalog.by_full.get(each.piece)
        if each.day != day:
            continue
        if piece is None or not piece.piece or each.way not in catalog.ways(piece):
            left_out.append(f"{each.piece}: {each.way}")
            continue
        entered = min(done[each.piece, each.way], each.count)
        count = each.count - round(entered)
        pounds = each.pounds / each.count * count if count else None
        expected = _as_kept(each, expecting(piece, each.way))
        cuttings.append(Cutting(piece, each.way, count, pounds, expected, True, round(entered)))
    for batch in plan.batches:
        blend = catalog.by_full.get(batch.blend)
        if batch.day != day:
            continue
        if blend is None:
            left_out.append(batch.blend)
        if blend is None or blend.name not in catalog.week.blends:
            continue
        takes = [
            (catalog.by_full[one.what], one.pounds or 0.0)
            for one in batch.takes
            if one.what in catalog.by_full
        ]
        before = whole.get(blend, BatchJob(blend, 0.0, (), planned=True))
        both = dict(before.takes)
        for thing, pounds in takes:
            both[thing] = both.get(thing, 0.0) + pounds
        every = before.pounds + batch.pounds
        whole[blend] = BatchJob(blend, every, tuple(both.items()), planned=True)
        made = min(done[batch.blend], batch.pounds)
        done[batch.blend] -= made
        if made < DONE * batch.pounds:
            rest = 1 - made / batch.pounds
            left = tuple((thing, rest * pounds) for thing, pounds in takes)
            batches.append(BatchJob(blend, rest * batch.pounds, left, planned=True))
    return DayPlan(
        number,
        tuple(each for each in cuttings if each.count > 0),
        tuple(each for each in cuttings if each.count <= 0),
        tuple(batches),
        whole,
        tuple(dict.fromkeys(left_out)),
    )


def _as_kept(kept: KeptBreak, expected: tuple[ExpectedYield, ...]) -> tuple[ExpectedYield, ...]:
    """The shares that the sheet was printed with, where it names the same things."""
    pounds = {each.what: each.pounds for each in kept.gives}
    by_name = {each.thing.full: each for each in expected}
    if set(pounds) != set(by_name) or kept.pounds <= 0:
        return expected
    return tuple(
        replace(by_name[name], share=(weight or 0.0) / kept.pounds)
        for name, weight in pounds.items()
    )
