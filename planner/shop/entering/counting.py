"""Counting what is in the case and the cooler: what to ask for, what to doubt, what is entered."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

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
from planner.ledger import DUST
from planner.measures import show_weight
from planner.scenario import Scenario
from planner.shop.entering.plausible import (
    HUGE_POUNDS,
    SCALE_POUNDS,
    Range,
    doubt_of_pieces,
    mixed_up,
)
from planner.shop.entering.things import Thing, Things
from planner.shop.entering.typed import Portion
from planner.shop.stock.stand import Stand, booked, stand_of
from planner.shop.stock.words import day_words

LATELY = timedelta(days=7)
"""What was made, sold or counted in this time is asked for, though none is reckoned to be left."""

FOLLOWED = timedelta(days=14)
"""Who has entered no break, or no delivery, in this time does not enter them."""

SLACK = 0.25
"""How much more than was reckoned may be there: three times the 8% that a piece varies by."""

HUGE_COUNT = 10_000
"""What no shop has of one thing."""


@dataclass(frozen=True)
class CountLine:
    """A thing to be counted.

    Attributes
    ----------
    thing : Thing
    reckoned : tuple of Portion
        What the journal makes one expect, the oldest first.
    could : float or None
        What would be there if nothing had been sold or thrown away; None where the journal does
        not reach back far enough to tell.
    counted : bool
        Whether it was counted for this moment before; that is then what is reckoned.
    """

    thing: Thing
    reckoned: tuple[Portion, ...]
    could: float | None
    counted: bool = False

    @property
    def amount(self) -> float:
        """Pounds, or each, that are reckoned to be there."""
        return math.fsum(each.amount for each in self.reckoned)


@dataclass(frozen=True)
class Difference:
    """What was counted of a thing beside what was reckoned: pounds or each.

    `money` is the difference at full price; None where the thing has none.
    """

    line: CountLine
    portions: tuple[Portion, ...]
    money: float | None

    @property
    def counted(self) -> float:
        """Pounds, or each."""
        return math.fsum(each.amount for each in self.portions)

    @property
    def more(self) -> float:
        """How much more than reckoned; below 0: less."""
        return self.counted - self.line.amount


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
        """A thing as it is reckoned."""
        could = math.fsum(each.amount for each in _portions(thing, self._unsold))
        return CountLine(
            thing,
            _portions(thing, self._stand),
            could if self._is_followed(thing) else None,
            thing.full in self._counted_now,
        )

    def lines(self, *, everything: bool = False) -> tuple[CountLine, ...]:
        """What is asked for: all that is reckoned to be there, or was handled lately."""
        lines = [self.line(each) for each in self.things]
        return tuple(
            each
            for each in lines
            if everything or each.amount > DUST or each.thing.full in self._handled
        )

    def doubt(self, line: CountLine, portions: Sequence[Portion]) -> str:
        """What to ask about a count; empty where it may be so."""
        amount = math.fsum(each.amount for each in portions)
        old = (doubt_of_made(line.thing, each.made, self.day) for each in portions if each.amount)
        weights = (_doubt_of_weight(line, each, self.week.unit) for each in portions)
        doubt = doubt_of_count(line.thing, amount, line.could, self.week.unit)
        return "; ".join(dict.fromkeys(each for each in (doubt, *old, *weights) if each))

    def entries(self, answers: Mapping[Thing, Sequence[Portion]]) -> tuple[Count, ...]:
        """What is written into the journal."""
        return tuple(
            Count(self.day, self.at, thing.full, each.amount, thing.by_each, each.made, each.pounds)
            for thing, portions in answers.items()
            for each in portions
        )

    def differences(self, answers: Mapping[Thing, Sequence[Portion]]) -> tuple[Difference, ...]:
        """What was counted beside what was reckoned."""
        found = []
        for thing, portions in answers.items():
            line, price = self.line(thing), self.things.price(thing)
            one = Difference(line, tuple(portions), None)
            money = None if price is None else price * one.more
            found.append(Difference(line, tuple(portions), money))
        return tuple(found)

    @cached_property
    def _stand(self) -> Stand:
        return self._reckon(self._recorded)

    @cached_property
    def _unsold(self) -> Stand:
        """As if nothing had been sold, picked up or thrown away."""
        kept = [
            each for each in self._recorded if not isinstance(each.entry, Sold | Filled | Wasted)
        ]
        return self._reckon(kept)

    def _reckon(self, recorded: Sequence[Recorded]) -> Stand:
        """What is there, that which is out of date only tonight as well."""
        book = booked(self.week, recorded, self.day, self.at)
        return stand_of(book, self.day, "open" if self.at == "open" else "now")

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
            case Count(what=name, amount=amount) | Wasted(what=name, amount=amount):
                return [name] if amount else []
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


def doubt_of_count(thing: Thing, amount: float, could: float | None, unit: str) -> str:
    """What to ask about how much was counted; empty where it may be so.

    Parameters
    ----------
    amount, could
        Pounds, or each; `could` as in `CountLine`.
    """
    told = f"{amount:g}" if thing.by_each else f"{show_weight(amount, unit)} of"
    what = f"{told} {thing.name}"
    if amount > (HUGE_COUNT if thing.by_each else HUGE_POUNDS):
        return f"{what} is more than a shop has"
    if could is None or amount <= could:
        return ""
    if could <= DUST:
        if amount <= SCALE_POUNDS:
            return ""
        return f"{what}: by the journal none can be there"
    if thing.by_each:
        most = math.ceil(could - DUST)
        return f"{what}: at most {most} can be there" if amount > most else ""
    most_pounds = could * (1 + SLACK)
    if amount <= most_pounds + SCALE_POUNDS:
        return ""
    mixed = mixed_up(amount, Range(0.0, most_pounds), unit)
    return f"{what}: at most {show_weight(most_pounds, unit)} can be there{mixed}"


def doubt_of_made(thing: Thing, made: date | None, day: date) -> str:
    """What to ask where a thing is said to be older than it keeps."""
    last = (made or day) + timedelta(days=thing.keeps - 1)
    if made is None or last >= day:
        return ""
    days = "1 day" if thing.keeps == 1 else f"{thing.keeps} days"
    return (
        f"{thing.name} made {day_words(made)} keeps {days}, "
        f"so it was out of date after {day_words(last)}"
    )


def _doubt_of_weight(line: CountLine, portion: Portion, unit: str) -> str:
    """What to ask about the weight of pieces that were weighed in the cooler."""
    known = [(each.amount, each.pounds) for each in line.reckoned if each.pounds]
    count = math.fsum(number for number, _ in known)
    if not portion.pounds or not portion.amount or not count:
        return ""
    mean = math.fsum(pounds for _, pounds in known) / count
    name, number = line.thing.name, round(portion.amount)
    return doubt_of_pieces(name, number, portion.pounds, mean * number, unit)


def _portions(thing: Thing, stand: Stand) -> tuple[Portion, ...]:
    if thing.piece:
        return tuple(
            Portion(each.count, each.made, each.count * each.pounds)
            for each in stand.cooler
            if each.piece == thing.name
        )
    return tuple(Portion(each.amount, each.made) for each in stand.cuts if each.cut == thing.name)
