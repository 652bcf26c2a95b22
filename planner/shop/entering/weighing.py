"""Weighing what was cut: what the plan had for the day, what to expect and enter."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cached_property

from planner.core.recipe import Recipe
from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.journal.entries import BatchMade, BreakDone, Count, Delivery, Entry, Recorded, Weighed
from planner.learn.agreed import Key, learned_ways
from planner.learn.shares import Share
from planner.shop.entering.catalog import Catalog, ExpectedYield, StockItem
from planner.shop.entering.day_plan import BatchJob, Cutting, DayPlan, day_plan
from planner.shop.entering.duplicates import JOB, key_of
from planner.shop.entering.plausible import learned_deviation
from planner.shop.learned.weighed import weigh_ins
from planner.shop.stock.on_hand import Stand, booked, stand_of

FOLLOWED = timedelta(days=14)
"""Who has entered no delivery and counted no piece in this time does not follow the cooler."""

_NEVER = datetime(2000, 1, 1, tzinfo=UTC)


class Weighing:
    """The weigh-in of a day.

    The `week` of the shop around it has the shares that are in use; the `recipes` are as the shop's
    files have them, before anything was learned (default: those of the week).
    """

    def __init__(
        self,
        week: Scenario,
        recorded: Sequence[Recorded],
        day: date,
        recipes: Sequence[Recipe] | None = None,
    ) -> None:
        self.week, self.day = week, day
        self._recipes = week.recipes if recipes is None else recipes
        self.catalog = Catalog(week)
        self._every = recorded
        self._recorded = [each for each in recorded if each.entry.day <= day]

    @cached_property
    def plan(self) -> DayPlan:
        """What is planned for the day and not entered yet."""
        return day_plan(self.catalog, self._every, self.day, self._expected)

    def cutting(
        self, piece_text: str, way_text: str, count: int, before: Sequence[Entry] = ()
    ) -> Cutting:
        """A break by its names as typed; raises `ValueError` with the nearest right word.

        `before` is what was cut before it that day, and is not in the journal yet.
        """
        piece = self.catalog.find_piece(piece_text)
        way = self.catalog.find_way(piece, way_text).name
        planned = [each for each in self.plan.cuttings if (each.piece, each.way) == (piece, way)]
        if planned:
            one = planned[0]
            return replace(one, count=count, pounds=one.expected_pounds(count), planned=False)
        there = [each for each in self.stand(before).cooler if each.piece == piece.name]
        number = sum(each.count for each in there)
        mean = math.fsum(each.count * each.pounds for each in there) / number if number else None
        pounds = None if mean is None else mean * count
        return Cutting(piece, way, count, pounds, self._expected(piece, way), planned=False)

    def is_blend(self, text: str) -> bool:
        """Whether a text names a blend."""
        try:
            return self.catalog.find(text).name in self.week.blends
        except ValueError:
            return False

    def as_planned(self) -> tuple[Entry, ...]:
        """What is entered where all that is left of the plan was done, and nothing weighed."""
        breaks = [self.entry(each, each.count, None, ()) for each in self.plan.cuttings]
        return (*breaks, *(self.made(each, each.pounds) for each in self.plan.batches))

    def made(self, batch: BatchJob, pounds: float, took: Sequence[Weighed] = ()) -> BatchMade:
        """What is written of a batch; unless it is said what went in, that is as in the plan."""
        if not took and batch.pounds:
            took = [
                Weighed(thing.full, None, planned * pounds / batch.pounds)
                for thing, planned in batch.takes
            ]
        return BatchMade(self.day, batch.blend.full, pounds, tuple(took))

    def batch(self, text: str) -> BatchJob:
        """A blend by its name as typed, of which no plan says how much; raises `ValueError`."""
        blend = self.catalog.find(text)
        found = self.week.blends.get(blend.name)
        if found is None:
            raise ValueError(f"{blend.name} is not a blend: write what was cut as leg: 2 steaks")
        takes = tuple((self.catalog.cuts[name], 0.0) for name in found.takes)
        planned = [each for each in self.plan.batches if each.blend == blend]
        return planned[0] if planned else BatchJob(blend, 0.0, takes, planned=False)

    def whole_batch(self, blend: StockItem) -> BatchJob | None:
        """A blend of which some is entered already: as planned, or as entered; else None."""
        there = self.entered_of(BatchMade(self.day, blend.full, 0.0))
        made = there[-1].entry if there else None
        if not isinstance(made, BatchMade):
            return None
        takes = [(self.catalog.by_full.get(each.what), each.pounds or 0.0) for each in made.took]
        took = tuple((thing, pounds) for thing, pounds in takes if thing)
        return self.plan.whole.get(blend) or BatchJob(blend, made.pounds, took, planned=True)

    def entered_of(self, done: BreakDone | BatchMade) -> list[Recorded]:
        """What the journal has of the same job that day."""
        job = key_of(done, JOB)
        return [each for each in self._recorded if key_of(each.entry, JOB) == job]

    def arrival_after(self, piece: StockItem) -> date | None:
        """The first later day on which a piece was delivered."""
        later = (each.entry for each in self._every if each.entry.day > self.day)
        return min(
            (e.day for e in later if isinstance(e, Delivery) and e.what == piece.full), default=None
        )

    def entry(
        self, cutting: Cutting, count: int, pounds: float | None, gave: Sequence[Weighed]
    ) -> BreakDone:
        """What is written of a break."""
        return BreakDone(self.day, cutting.piece.full, cutting.way, count, pounds, tuple(gave))

    # -- what is to be expected ----------------------------------------------------------------

    def _expected(self, piece: StockItem, way: str) -> tuple[ExpectedYield, ...]:
        """What one piece gives, with the deviations learned."""
        gives = self.catalog.gives(piece, self.catalog.ways(piece)[way])
        learned = self._learned.get((piece.name, way), {})
        return tuple(
            replace(each, deviation=learned_deviation(each.share, share.tests, share.spread))
            if (share := learned.get(each.thing.name)) and share.spread is not None
            else each
            for each in gives
        )

    @cached_property
    def _learned(self) -> Mapping[Key, Mapping[str, Share]]:
        found: dict[Key, Mapping[str, Share]] = {}
        for recipe in self._recipes:
            histories = weigh_ins(recipe, self._recorded, self.day).histories
            if any(each.tests for each in histories.values()):
                found.update(learned_ways(recipe, histories))
        return found

    def stand(self, before: Sequence[Entry]) -> Stand:
        """What there is after what the journal has of the day, and what was typed since."""
        recorded = [*self._recorded, *unwritten(self._recorded, before)]
        return stand_of(booked(self.week, recorded, self.day, "now"), self.day, "now")

    @cached_property
    def follows_pieces(self) -> bool:
        """Whether what is in the cooler is entered at all."""
        pieces = {each.full for each in self.catalog.pieces.values()}
        # what came later tells as well that the cooler is followed: it was not there yet
        lately = (each.entry for each in self._every if each.entry.day > self.day - FOLLOWED)
        return any(
            isinstance(each, Delivery)
            or (isinstance(each, Count) and each.what in pieces and each.quantity.amount > DUST)
            for each in lately
        )


def unwritten(recorded: Sequence[Recorded], entries: Sequence[Entry]) -> list[Recorded]:
    """Entries as they would stand in the journal after those that are there."""
    last = max((each.number for each in recorded), default=0) + 1
    return [Recorded(last + at, last, _NEVER, each) for at, each in enumerate(entries)]
