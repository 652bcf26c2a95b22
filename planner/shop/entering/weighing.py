"""Weighing what was cut: what the plan had for the day, what to expect, doubt and enter."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cached_property

from planner.journal.entries import BatchMade, BreakDone, Count, Delivery, Entry, Recorded, Weighed
from planner.learn.agreed import Key, learned_ways
from planner.learn.shares import Share
from planner.ledger import DUST
from planner.measures import show_weight
from planner.recipe import Recipe
from planner.scenario import Scenario
from planner.shop.entering.already import Already
from planner.shop.entering.dayplan import Batch, Cutting, DayPlan
from planner.shop.entering.plausible import BATCH_SLACK, doubts_of_break, learned_deviation
from planner.shop.entering.things import Expected, Thing, Things
from planner.shop.entering.typed import read_break
from planner.shop.learned.weighed import weigh_ins
from planner.shop.stock.scales import SCALE_POUNDS
from planner.shop.stock.stand import Stand, booked, stand_of
from planner.shop.stock.words import day_words

FOLLOWED = timedelta(days=14)
"""Who has entered no delivery and counted no piece in this time does not follow the cooler."""

LEAST_MEAT = 1.0
"""Pounds that may always be there beyond what is reckoned. Common practice, no source."""

_NEVER = datetime(2000, 1, 1, tzinfo=UTC)


class Weighing:
    """The weigh-in of a day.

    Parameters
    ----------
    week : Scenario
        The week of the shop around the day, with the shares that are in use.
    recorded : sequence of Recorded
        What counts of the journal.
    day : date
    recipes : sequence of Recipe, optional
        As the shop's files have them, before anything was learned; default: those of the week.
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
        self.things = Things(week)
        self._recorded = [each for each in recorded if each.entry.day <= day]
        self._later = [each for each in recorded if each.entry.day > day]
        self._plan = DayPlan(self.things, recorded, day, self._expected)
        self.already = Already(self.things, self._recorded, self._plan, day)

    @property
    def number(self) -> int | None:
        """The number of the kept plan that covers the day; None where there is none."""
        return self._plan.number

    @property
    def has_plan(self) -> bool:
        """Whether a plan is kept that covers the day."""
        return self._plan.number is not None

    @property
    def cuttings(self) -> tuple[Cutting, ...]:
        """What is planned for the day and not entered yet, in the order of the sheet."""
        return tuple(each for each in self._plan.cuttings if each.count > 0)

    @property
    def entered(self) -> tuple[Cutting, ...]:
        """Planned breaks of which all was entered before."""
        return tuple(each for each in self._plan.cuttings if each.count <= 0)

    @property
    def batches(self) -> tuple[Batch, ...]:
        """Blends that are planned for the day and not entered yet."""
        return self._plan.batches

    @property
    def left_out(self) -> tuple[str, ...]:
        """What the plan has and no recipe knows any more."""
        return self._plan.left_out

    def typed(self, text: str, before: Sequence[Entry] = ()) -> Cutting:
        """A break as typed, `leg: 2 steaks`; raises `ValueError` with what is wrong.

        Parameters
        ----------
        text : str
        before : sequence of Entry
            What was cut before it that day, and is not in the journal yet.
        """
        piece_text, count, way_text = read_break(text)
        return self.cutting(piece_text, way_text, count, before)

    def cutting(
        self, piece_text: str, way_text: str, count: int, before: Sequence[Entry] = ()
    ) -> Cutting:
        """A break by its names as typed; raises `ValueError` with the nearest right word."""
        piece = self.things.find_piece(piece_text)
        way = self.things.find_way(piece, way_text).name
        planned = [each for each in self._plan.cuttings if (each.piece, each.way) == (piece, way)]
        if planned and planned[0].count > 0:
            one = planned[0]
            return replace(one, count=count, pounds=one.reckoned(count), planned=False)
        there = [each for each in self._stand(before).cooler if each.piece == piece.name]
        number = sum(each.count for each in there)
        mean = math.fsum(each.count * each.pounds for each in there) / number if number else None
        pounds = None if mean is None else mean * count
        return Cutting(piece, way, count, pounds, self._expected(piece, way), planned=False)

    def is_blend(self, text: str) -> bool:
        """Whether a text names a blend."""
        try:
            return self.things.find(text).name in self.week.blends
        except ValueError:
            return False

    def as_planned(self) -> tuple[Entry, ...]:
        """What is entered where all that is left of the plan was done, and nothing weighed."""
        breaks = [self.entry(each, each.count, None, ()) for each in self.cuttings]
        return (*breaks, *(self.made(each, each.pounds) for each in self.batches))

    def made(self, batch: Batch, pounds: float, took: Sequence[Weighed] = ()) -> BatchMade:
        """What is written of a batch; unless it is said what went in, that is as in the plan."""
        if not took and batch.pounds:
            took = [
                Weighed(thing.full, None, planned * pounds / batch.pounds)
                for thing, planned in batch.takes
            ]
        return BatchMade(self.day, batch.blend.full, pounds, tuple(took))

    def batch(self, text: str) -> Batch:
        """A blend by its name as typed, of which no plan says how much; raises `ValueError`."""
        blend = self.things.find(text)
        takes = self._takes(blend)
        planned = [each for each in self.batches if each.blend == blend]
        return planned[0] if planned else Batch(blend, 0.0, takes, planned=False)

    def doubt_of_count(self, cutting: Cutting, count: int, before: Sequence[Entry]) -> str:
        """What to ask where more pieces were cut than there can have been."""
        if not self._follows_pieces:
            return ""
        name = cutting.piece.name
        there = self._stand(before).pieces(name)
        if count <= there:
            return ""
        told = f"{count} {name} cut: {there} {'is' if there == 1 else 'are'} reckoned to be there"
        return told if there else f"{told}{self._comes(cutting.piece)}"

    def doubt_of_made(self, batch: Batch, pounds: float, before: Sequence[Entry]) -> str:
        """What to ask where more was made than was planned, and than the meat there is gives.

        Parameters
        ----------
        batch : Batch
        pounds : float
            What was made.
        before : sequence of Entry
            What was cut and made that day, and is not in the journal yet.
        """
        planned = batch.pounds if batch.planned else 0.0
        if not self._follows_pieces or pounds <= planned * (1 + BATCH_SLACK) + SCALE_POUNDS:
            return ""
        stand, unit = self._stand(before), self.week.unit
        names = list(self.week.blends[batch.blend.name].takes)
        there = math.fsum(stand.amount(each) for each in names)
        if pounds <= there * self.gain(batch.blend) * (1 + BATCH_SLACK) + LEAST_MEAT:
            return ""
        meat = f"{names[0]} is" if len(names) == 1 else "all it is made of is"
        have = show_weight(there, unit) if there > DUST else "nothing"
        told = f"{show_weight(pounds, unit)} of {batch.blend.name}: {have} of {meat}"
        more = f", and {show_weight(planned, unit)} was planned" if planned else ""
        return f"{told} reckoned to be there{more}"

    def _comes(self, piece: Thing) -> str:
        """` (some came on thu 26 nov)`, where a delivery of later days brought it."""
        days = [
            each.entry.day
            for each in self._later
            if isinstance(each.entry, Delivery) and each.entry.what == piece.full
        ]
        return f" (some came on {day_words(min(days))})" if days else ""

    def doubts(self, cutting: Cutting, done: BreakDone, before: Sequence[Entry]) -> tuple[str, ...]:
        """All there is to ask about a break."""
        count = self.doubt_of_count(cutting, done.count, before)
        reckoned = cutting.reckoned(done.count)
        told = doubts_of_break(cutting.piece, cutting.expected, done, reckoned, self.week.unit)
        return (*([count] if count else []), *told)

    def gain(self, blend: Thing) -> float:
        """Pounds of a blend made for each that goes in."""
        return self.week.blends[blend.name].gain

    def entry(
        self, cutting: Cutting, count: int, pounds: float | None, gave: Sequence[Weighed]
    ) -> BreakDone:
        """What is written of a break."""
        return BreakDone(self.day, cutting.piece.full, cutting.way, count, pounds, tuple(gave))

    def _takes(self, blend: Thing) -> tuple[tuple[Thing, float], ...]:
        """What may go into a blend."""
        found = self.week.blends.get(blend.name)
        if found is None:
            raise ValueError(f"{blend.name} is no blend: write what was cut as leg: 2 steaks")
        return tuple((self.things.cuts[name], 0.0) for name in found.takes)

    # -- what is to be expected ----------------------------------------------------------------

    def _expected(self, piece: Thing, way: str) -> tuple[Expected, ...]:
        """What one piece gives, with the deviations learned."""
        gives = self.things.gives(piece, self.things.ways(piece)[way])
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

    def _stand(self, before: Sequence[Entry]) -> Stand:
        """What there is after what the journal has of the day, and what was typed since."""
        last = max((each.number for each in self._recorded), default=0) + 1
        typed = [Recorded(last + at, last, _NEVER, each) for at, each in enumerate(before)]
        recorded = [*self._recorded, *typed]
        return stand_of(booked(self.week, recorded, self.day, "now"), self.day, "now")

    @cached_property
    def _follows_pieces(self) -> bool:
        # what came later tells as well that the cooler is followed: it was not there yet
        lately = [
            each.entry
            for each in (*self._recorded, *self._later)
            if each.entry.day > self.day - FOLLOWED
        ]
        return any(
            isinstance(each, Delivery)
            or (isinstance(each, Count) and self._is_piece(each.what) and each.amount > DUST)
            for each in lately
        )

    def _is_piece(self, full: str) -> bool:
        thing = self.things.by_full.get(full)
        return thing is not None and thing.piece
