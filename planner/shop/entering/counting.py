"""Counting what is in the case and the cooler: what to ask for, and what is entered."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.core.units import Quantity
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Filled,
    Moment,
    Recorded,
    Sold,
    Wasted,
)
from planner.shop.entering.block_reader import CountedPortion
from planner.shop.entering.things import Thing, Things
from planner.shop.stock.on_hand import Stand, booked, stand_of
from planner.shop.stock.replay import StockBook

LATELY = timedelta(days=7)
"""What was made, sold or counted in this time is asked for, though none should be left."""

FOLLOWED = timedelta(days=14)
"""Who has entered no break, or no delivery, in this time does not enter them."""


@dataclass(frozen=True)
class CountLine:
    """A thing to be counted.

    Attributes
    ----------
    thing : Thing
    expected : tuple of CountedPortion
        What should be there by the journal, the oldest first.
    could : float or None
        What would be there if nothing had been sold or thrown away; None where the journal does
        not reach back far enough to tell.
    counted : bool
        Whether it was counted for this moment before; that is then what is expected.
    one : float or None
        Pounds of one of a piece, as far as the journal tells; None where nobody knows.
    arrives : int
        How many arrive that day, after the count.
    """

    thing: Thing
    expected: tuple[CountedPortion, ...]
    could: float | None
    counted: bool = False
    one: float | None = None
    arrives: int = 0

    @property
    def amount(self) -> float:
        """Pounds, or each, that should be there."""
        return math.fsum(each.amount for each in self.expected)


@dataclass(frozen=True)
class ThingCount:
    """What was counted of a thing, in pounds or each, beside what should be there.

    `price` is its full price a pound or each; None where it has none.
    """

    line: CountLine
    portions: tuple[CountedPortion, ...]
    price: float | None = None

    @property
    def counted(self) -> float:
        """Pounds, or each."""
        return math.fsum(each.amount for each in self.portions)

    @property
    def more(self) -> float:
        """How much more than expected; below 0: less."""
        return self.counted - self.line.amount

    @property
    def money(self) -> float | None:
        """The difference at full price."""
        return None if self.price is None else self.price * self.more

    @property
    def weightless(self) -> int:
        """How many pieces are counted of which nobody knows what they weigh."""
        if not self.line.thing.piece or self.line.one is not None:
            return 0
        return round(math.fsum(each.amount for each in self.portions if each.pounds is None))


class Counting:
    """One count of the case and the cooler.

    Parameters
    ----------
    week : Scenario
        The week of the shop around the day.
    recorded : sequence of Recorded
        What counts of the journal.
    day : date
    at : {'open', 'close'}
    """

    def __init__(self, week: Scenario, recorded: Sequence[Recorded], day: date, at: Moment) -> None:
        self.week, self.day, self.at = week, day, at
        self.things = Things(week)
        self._recorded = [each for each in recorded if each.entry.day <= day]

    def line(self, thing: Thing) -> CountLine:
        """A thing and what should be there of it."""
        could = math.fsum(each.amount for each in _portions(thing, self._unsold))
        known = self._is_followed(thing) or (thing.piece and could > DUST)
        return CountLine(
            thing,
            _portions(thing, self._stand),
            could if known else None,
            thing.full in self._counted_now,
            self._book.stocks.usual(thing.name) if thing.piece else None,
            self._arrives(thing),
        )

    def lines(self, *, everything: bool = False) -> tuple[CountLine, ...]:
        """What is asked for: all that should be there, or was handled lately."""
        lines = [self.line(each) for each in self.things]
        return tuple(
            each
            for each in lines
            if everything or each.amount > DUST or each.thing.full in self._handled
        )

    def count(self, line: CountLine, portions: Sequence[CountedPortion]) -> ThingCount:
        """What was counted of a thing, beside what should be there."""
        return ThingCount(line, tuple(portions), self.things.price(line.thing))

    def entries(self, counts: Iterable[ThingCount]) -> tuple[Count, ...]:
        """What is written into the journal."""
        return tuple(
            Count(
                self.day,
                self.at,
                thing.full,
                Quantity(each.amount, thing.by_each),
                each.made,
                each.pounds,
            )
            for count in counts
            for thing in (count.line.thing,)
            for each in count.portions
        )

    @cached_property
    def _book(self) -> StockBook:
        return booked(self.week, self._recorded, self.day, self.at)

    @cached_property
    def _stand(self) -> Stand:
        return self._read(self._book)

    @cached_property
    def _unsold(self) -> Stand:
        """As if nothing had been sold, picked up or thrown away."""
        kept = [
            each for each in self._recorded if not isinstance(each.entry, Sold | Filled | Wasted)
        ]
        return self._read(booked(self.week, kept, self.day, self.at))

    def _read(self, book: StockBook) -> Stand:
        """What is there, that which is out of date only tonight as well."""
        return stand_of(book, self.day, "open" if self.at == "open" else "now")

    def _arrives(self, thing: Thing) -> int:
        """How many come on top of an opening count: deliveries of that day."""
        if self.at != "open":
            return 0
        found = (each.entry for each in self._recorded if each.entry.day == self.day)
        return sum(
            each.head for each in found if isinstance(each, Delivery) and each.what == thing.full
        )

    @cached_property
    def _counted_now(self) -> set[str]:
        return {
            each.entry.what
            for each in self._recorded
            if isinstance(each.entry, Count)
            and (each.entry.day, each.entry.at) == (self.day, self.at)
        }

    @cached_property
    def _handled(self) -> set[str]:
        """Names of what was made, sold or counted lately."""
        found: set[str] = set()
        for each in self._recorded:
            if each.entry.day > self.day - LATELY:
                found.update(self._names(each.entry))
        return found

    def _names(self, entry: object) -> Iterable[str]:
        match entry:
            case Sold(cut=name) | BatchMade(blend=name):
                return [name]
            case Count(what=name, quantity=much) | Wasted(what=name, quantity=much):
                return [name] if much.amount else []
            case Delivery(what=name):
                return [name]
            case BreakDone(piece=name, way=way):
                piece = self.things.by_full.get(name)
                ways = self.things.ways(piece) if piece else {}
                gives = self.things.gives(piece, ways[way]) if piece and way in ways else ()
                return [name, *(each.thing.full for each in gives)]
        return []

    def _is_followed(self, thing: Thing) -> bool:
        """Whether the journal knows of all there can be of a thing.

        It does where what brings such things in is entered at all, and where it began before any of
        what may be there was made, or the thing was counted since.
        """
        window = self.day - timedelta(days=thing.keeps - 1)
        if thing.piece:
            sources: tuple[type, ...] = (Delivery,)
        else:
            sources = (BatchMade,) if thing.name in self.week.blends else (BreakDone,)
        lately = [each.entry for each in self._recorded if each.entry.day > self.day - FOLLOWED]
        if not any(isinstance(each, sources) for each in lately):
            return False
        counted = any(
            isinstance(each.entry, Count)
            and each.entry.what == thing.full
            and each.entry.day >= window
            for each in self._recorded
        )
        stocked = (Count, Delivery, BreakDone, BatchMade)
        began = min(
            (each.entry.day for each in self._recorded if isinstance(each.entry, stocked)),
            default=self.day,
        )
        return counted or began < window


def _portions(thing: Thing, stand: Stand) -> tuple[CountedPortion, ...]:
    if thing.piece:
        return tuple(
            CountedPortion(each.count, each.made, each.count * each.pounds)
            for each in stand.cooler
            if each.piece == thing.name
        )
    return tuple(
        CountedPortion(each.amount, each.made) for each in stand.cuts if each.cut == thing.name
    )
