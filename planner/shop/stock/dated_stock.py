"""Stock with its dates: a cut by amount, a piece one by one. The oldest is used first."""

from __future__ import annotations

from bisect import insort
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Generic, TypeVar

from planner.core.stock_replay import DUST

LATE = timedelta(days=4)
"""How long what went out of date may lie until it is thrown away and entered: a long weekend.

Common practice, no source.
"""

ANOTHER = 0.02
"""Pieces that are further from what was weighed, as a share of it, may be others than those cut.

Common practice, no source: scales at the block and at the door differ by less.
"""

SAME = 0.002
"""Pieces that are as near as this to what was weighed are the ones.

Common practice, no source: an eighth of a pound in sixty, the step of a hanging scale.
"""


@dataclass(slots=True)
class DatedPortion:
    """A portion of a cut: pounds or each, the day it was made, the last it may be used."""

    amount: float
    made: date
    last: date


@dataclass(frozen=True, slots=True)
class Whole:
    """One whole piece: pounds, the day it arrived or was made, the last it may be cut.

    `cost` is money a pound where it was delivered at one, else 0.
    """

    pounds: float
    made: date
    last: date
    cost: float = 0.0


_T = TypeVar("_T", DatedPortion, Whole)


@dataclass(slots=True)
class _Dated(Generic[_T]):
    """What there is; `late` is out of date, and perhaps not thrown away yet."""

    there: list[_T] = field(default_factory=list)
    late: list[_T] = field(default_factory=list)

    def open(self, day: date) -> None:
        """Set aside what was out of date before a day begins."""
        while self.there and self.there[0].last < day:
            self.late.append(self.there.pop(0))
        while self.late and self.late[0].last < day - LATE:
            self.late.pop(0)

    def clear(self) -> None:
        """Nothing is there."""
        self.there, self.late = [], []


class Pile(_Dated[DatedPortion]):
    """What there is of a cut."""

    @property
    def amount(self) -> float:
        """Pounds or each."""
        return sum(each.amount for each in self.there)

    def in_date(self, day: date) -> float:
        """Pounds or each that may be used on a day."""
        return sum(each.amount for each in self.there if each.last >= day)

    def put(self, amount: float, made: date, last: date) -> None:
        """Put a portion to the rest."""
        if amount <= DUST:
            return
        insort(self.there, DatedPortion(amount, made, last), key=lambda each: each.last)

    def take(self, amount: float) -> float:
        """Take an amount, the oldest first; returns what is missing."""
        return _take(self.there, amount)

    def throw(self, amount: float) -> float:
        """Throw an amount away, first what is out of date already; returns what is missing."""
        return _take(self.there, _take(self.late, amount))


def _take(portions: list[DatedPortion], amount: float) -> float:
    while portions and amount > 0:
        oldest = portions[0]
        if oldest.amount > amount + DUST:
            oldest.amount -= amount
            return 0.0
        amount -= oldest.amount
        portions.pop(0)
    return max(amount, 0.0)


class Cooler(_Dated[Whole]):
    """All there is of a piece, in the order in which it goes out of date, then as it came."""

    def put(self, pieces: Sequence[Whole]) -> None:
        """Put pieces to the rest; what is alike keeps its turn."""
        self.there += pieces
        self.there.sort(key=lambda each: each.last)

    def take(self, count: int, pounds: float | None = None) -> list[Whole]:
        """Take so many pieces, as far as they are there: the oldest first.

        Where it is known what they weigh together: of those equally old the ones that come nearest
        to it; and if these cannot be right (`ANOTHER`), others that weigh just that (`SAME`).
        """
        if count <= 0:
            return []
        if pounds is None or count >= len(self.there):
            taken, self.there = self.there[:count], self.there[count:]
            return taken
        chosen = self._oldest(count, pounds)
        if self._away(chosen, pounds) > ANOTHER * pounds:
            others = self._nearest(range(len(self.there)), count, pounds)
            if self._away(others, pounds) <= SAME * pounds:
                chosen = others
        taken = [self.there[at] for at in sorted(chosen)]
        self.there = [each for at, each in enumerate(self.there) if at not in set(chosen)]
        return taken

    def _oldest(self, count: int, pounds: float) -> list[int]:
        """Places of the oldest pieces; among the youngest of them those that fit the weight."""
        last = self.there[count - 1].last
        older = [at for at, each in enumerate(self.there) if each.last < last]
        alike = [at for at, each in enumerate(self.there) if each.last == last]
        rest = pounds - sum(self.there[at].pounds for at in older)
        return older + self._nearest(alike, count - len(older), rest)

    def _nearest(self, places: Sequence[int], count: int, pounds: float) -> list[int]:
        """So many of these places as come nearest to a weight: neighbours by weight."""
        by_weight = sorted(places, key=lambda at: (self.there[at].pounds, at))
        runs = [by_weight[at : at + count] for at in range(len(by_weight) - count + 1)]
        return min(runs, key=lambda run: round(self._away(run, pounds), 9))

    def _away(self, places: Sequence[int], pounds: float) -> float:
        """How far some pieces are from a weight."""
        return abs(sum(self.there[at].pounds for at in places) - pounds)

    def throw(self, amount: float) -> int:
        """Throw pieces away, first those out of date already; returns how many are missing."""
        count = round(amount)
        late = min(count, len(self.late))
        self.late = self.late[late:]
        return count - late - len(self.take(count - late))
