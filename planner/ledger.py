"""Stock replayed day by day: what is used, what lies over, what goes out of date."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Generic, TypeVar

DUST = 1e-6
"""Amounts below this are rounding of the solver."""

SLIPS = 1e-7
"""A share of what there is, the same: the bundled solver writes eight digits."""

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Portion(Generic[T]):
    """A part of a stock: its amount, the last day it may be used, and where it comes from."""

    amount: float
    last_day: int
    origin: T | None = None


@dataclass(slots=True)
class Shelf(Generic[T]):
    """One stock, used in the order in which it goes out of date.

    Attributes
    ----------
    made, wasted, left : float
        Totals so far; `left` is what is on hand.
    nights : float
        Amount x nights that lay over inside the period.
    portions : list of Portion
        What is on hand, in the order in which it will be used.
    """

    made: float = 0.0
    wasted: float = 0.0
    nights: float = 0.0
    portions: list[Portion[T]] = field(default_factory=list)

    @property
    def left(self) -> float:
        """On hand now."""
        return sum(portion.amount for portion in self.portions)

    def stock(self, amount: float, last_day: int, origin: T | None = None) -> None:
        """Put an amount on the shelf that may be used up to `last_day`."""
        if amount > 0:
            self.portions.append(Portion(amount, last_day, origin))
            self.portions.sort(key=lambda portion: portion.last_day)  # what is alike keeps its turn

    def make(self, amount: float, last_day: int, origin: T | None = None) -> None:
        """Put something freshly made (or arrived) on the shelf."""
        self.made += amount
        self.stock(amount, last_day, origin)

    def use(self, amount: float) -> list[Portion[T]]:
        """Take an amount off, the oldest first, and say which portions it came from.

        Raises
        ------
        ArithmeticError
            More is taken than lies there: the plan would be unsound.
        """
        taken, rest = [], []
        slips = max(1e-4, SLIPS * sum(portion.amount for portion in self.portions))
        for portion in self.portions:
            part = min(amount, portion.amount)
            amount -= part
            if part > 0:
                taken.append(Portion(part, portion.last_day, portion.origin))
            if portion.amount > part:
                rest.append(Portion(portion.amount - part, portion.last_day, portion.origin))
        if amount > slips:
            raise ArithmeticError(f"{amount} more used than there is")
        self.portions = rest
        return taken

    def close(self, day: int, *, last: bool) -> list[Portion[T]]:
        """End a day: what may not be used tomorrow is wasted and returned, the rest lies over."""
        gone = [portion for portion in self.portions if portion.last_day <= day]
        self.portions = [portion for portion in self.portions if portion.last_day > day]
        self.wasted += sum(portion.amount for portion in gone)
        if self.left < DUST:
            self.portions = []
        if not last:
            self.nights += self.left
        return gone
