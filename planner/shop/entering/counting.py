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
    Entry,
    Filled,
    Moment,
    Recorded,
    Sold,
    Wasted,
)
from planner.shop.entering.block_reader import CountedPortion
from planner.shop.entering.catalog import Catalog, StockItem
from planner.shop.stock.on_hand import Stand, booked, stand_of
from planner.shop.stock.replay import StockBook

LATELY = timedelta(days=7)
"""What was made, sold or counted in this time is asked for, though none should be left."""

FOLLOWED = timedelta(days=14)
"""Who has entered no break, or no delivery, in this time does not enter them."""


@dataclass(frozen=True)
class CountLine:
    """A thing to be counted, and what should be there by the journal, the oldest first.

    Attributes
    ----------
    could : float or None
        What would be there if nothing had been sold or thrown away; None where the journal does
        not reach back far enough to tell.
    counted : bool
        Whether it was counted for this moment before; that is then what is expected.
    one : float or None
        Pounds of one of a piece; None where nobody knows.
    arrives : int
        How many arrive that day, after the count.
    """

    thing: StockItem
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
class ItemCount:
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
    """One count of the case and the cooler, given what counts of the journal."""

    def __init__(self, week: Scenario, recorded: Sequence[Recorded], day: date, at: Moment) -> None:
        self.week, self.day, self.at = week, day, at
        self.catalog = Catalog(week)
        self._recorded = [each for each in recorded if each.entry.day <= day]

    def line(self, thing: StockItem) -> CountLine:
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
        return tuple(
            each
            for each in map(self.line, self.catalog)
            if everything or each.amount > DUST or each.thing.full in self._handled
        )

    def count(self, line: CountLine, portions: Sequence[CountedPortion]) -> ItemCount:
        """What was counted of a thing, beside what should be there."""
        return ItemCount(line, tuple(portions), self.catalog.price(line.thing))

    def entries(self, counts: Iterable[ItemCount]) -> tuple[Count, ...]:
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
        """What is there, that which is out of date only tonight as well."""
        return stand_of(self._book, self.day, "open" if self.at == "open" else "now")

    @cached_property
    def _unsold(self) -> Stand:
        """As if nothing had been sold, picked up or thrown away."""
        taken = Sold | Filled | Wasted
        kept = [each for each in self._recorded if not isinstance(each.entry, taken)]
        book = booked(self.week, kept, self.day, self.at)
        return stand_of(book, self.day, "open" if self.at == "open" else "now")

    @cached_property
    def _of_day(self) -> Sequence[Entry]:
        return [each.entry for each in self._recorded if each.entry.day == self.day]

    def _arrives(self, thing: StockItem) -> int:
        """How many come on top of an opening count: deliveries of that day."""
        come = [e for e in self._of_day if isinstance(e, Delivery) and e.what == thing.full]
        return sum(each.head for each in come) if self.at == "open" else 0

    @cached_property
    def _counted_now(self) -> set[str]:
        return {e.what for e in self._of_day if isinstance(e, Count) and e.at == self.at}

    @cached_property
    def _handled(self) -> set[str]:
        """Names of what was made, sold or counted lately."""
        lately = (e.entry for e in self._recorded if e.entry.day > self.day - LATELY)
        return {name for entry in lately for name in self._names(entry)}

    def _names(self, entry: object) -> Iterable[str]:
        match entry:
            case Sold(cut=name) | BatchMade(blend=name):
                return [name]
            case Count(what=name, quantity=much) | Wasted(what=name, quantity=much):
                return [name] if much.amount else []
            case Delivery(what=name):
                return [name]
            case BreakDone(piece=name, way=way):
                piece = self.catalog.by_full.get(name)
                ways = self.catalog.ways(piece) if piece else {}
                gives = self.catalog.gives(piece, ways[way]) if piece and way in ways else ()
                return [name, *(each.thing.full for each in gives)]
        return []

    def _is_followed(self, thing: StockItem) -> bool:
        """Whether the journal knows of all there can be of a thing.

        It does where what brings such things in is entered at all, and where it began before any of
        what may be there was made, or the thing was counted since.
        """
        window = self.day - timedelta(days=thing.keeps - 1)
        if thing.piece:
            sources: tuple[type, ...] = (Delivery,)
        else:
            sources = (BatchMade,) if thing.name in self.week.blends else (BreakDone,)
        entries = [each.entry for each in self._recorded]
        if not any(
            isinstance(each, sources) and each.day > self.day - FOLLOWED for each in entries
        ):
            return False
        stocked = (Count, Delivery, BreakDone, BatchMade)
        return any(
            isinstance(each, stocked)
            and each.day < window
            or isinstance(each, Count)
            and each.what == thing.full
            and each.day >= window
            for each in entries
        )


def _portions(thing: StockItem, stand: Stand) -> tuple[CountedPortion, ...]:
    if thing.piece:
        return tuple(
            CountedPortion(each.count, each.made, each.count * each.pounds)
            for each in stand.cooler
            if each.piece == thing.name
        )
    return tuple(
        CountedPortion(each.amount, each.made) for each in stand.cuts if each.cut == thing.name
    )
