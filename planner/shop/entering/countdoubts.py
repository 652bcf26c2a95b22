"""What to ask about a count of the case and the cooler."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.ledger import DUST
from planner.measures import POUNDS, show_weight
from planner.shop.entering.doubtwords import joined
from planner.shop.entering.needed import Needed
from planner.shop.entering.plausible import (
    HUGE_POUNDS,
    Range,
    doubt_of_pieces,
    mixed_up,
    outside,
    piece_range,
)
from planner.shop.entering.things import Thing, Things
from planner.shop.entering.typed import Portion
from planner.shop.stock.scales import SCALE_POUNDS
from planner.shop.stock.words import day_words

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
    one : float or None
        Pounds of one of a piece, as far as the journal tells; None where nobody knows.
    arrives : int
        How many arrive that day, after the count.
    """

    thing: Thing
    reckoned: tuple[Portion, ...]
    could: float | None
    counted: bool = False
    one: float | None = None
    arrives: int = 0

    @property
    def amount(self) -> float:
        """Pounds, or each, that are reckoned to be there."""
        return math.fsum(each.amount for each in self.reckoned)


class CountDoubts:
    """What there is to ask about counts of a day.

    Parameters
    ----------
    things : Things
        Of the week of the shop around the day.
    day : date
    """

    def __init__(self, things: Things, day: date) -> None:
        self._day, self._unit = day, things.week.unit
        self._needed = Needed(things)

    def of(self, line: CountLine, portions: Sequence[Portion]) -> str:
        """What to ask about a count; empty where it may be so."""
        amount = math.fsum(each.amount for each in portions)
        thing, unit = line.thing, self._unit
        doubt = doubt_of_count(thing, amount, line.could, unit)
        if doubt and thing.piece:
            doubt += _weight_for_number(thing, amount, line.one, unit)
        elif not doubt and line.could is None:
            doubt = self._needed.doubt(thing, amount, _mean(portions) or line.one)
        arriving = self._doubt_of_arrival(line, amount)
        old = (doubt_of_made(thing, each.made, self._day) for each in portions if each.amount)
        weights = (self._doubt_of_weight(line, each) for each in portions)
        return joined((doubt, arriving, *old, *weights))

    def doubt_of_one(self, line: CountLine, pounds: float) -> str:
        """What to ask about the weight of one piece where the journal knows of none."""
        usual = self._needed.usual(line.thing)
        if usual is None:
            return ""
        unit = self._unit
        return outside(f"{line.thing.name} of {show_weight(pounds, unit)}", pounds, usual, unit)

    def _doubt_of_arrival(self, line: CountLine, amount: float) -> str:
        """What to ask where the delivery of the day seems to be counted at the opening."""
        if not line.arrives or amount <= line.amount:
            return ""
        one = line.arrives == 1
        come, them = ("comes in and is", "it") if one else ("come in and are", "them")
        what = f"{line.arrives} {line.thing.name} {come} added to this count"
        return f"{what} (delivery of {day_words(self._day)}): count without {them}"

    def _doubt_of_weight(self, line: CountLine, portion: Portion) -> str:
        """What to ask about the weight of pieces that were weighed in the cooler."""
        if not portion.pounds or not portion.amount:
            return ""
        if line.one is None:
            return self.doubt_of_one(line, portion.pounds / portion.amount)
        known = _mean(line.reckoned) or line.one
        name, number = line.thing.name, round(portion.amount)
        return doubt_of_pieces(name, number, portion.pounds, known * number, self._unit)


def weightless(line: CountLine, portions: Sequence[Portion]) -> int:
    """How many pieces are counted of which nobody knows what they weigh."""
    if not line.thing.piece or line.one is not None:
        return 0
    return round(math.fsum(each.amount for each in portions if each.pounds is None))


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


def _weight_for_number(thing: Thing, amount: float, one: float | None, unit: str) -> str:
    """`; did you mean 1 at 26 kg?` where what was typed is what one weighs."""
    if one is None or not piece_range(one).has(amount * POUNDS[unit]):
        return ""
    return f"; did you mean 1 {thing.name} at {amount:g} {unit}?"


def _mean(portions: Sequence[Portion]) -> float | None:
    """What one of the pieces weighs that were weighed."""
    known = [(each.amount, each.pounds) for each in portions if each.pounds]
    count = math.fsum(number for number, _ in known)
    return math.fsum(pounds for _, pounds in known) / count if count else None
