"""Stock replayed day by day: what is used, what lies over, what goes out of date."""

from __future__ import annotations

from dataclasses import dataclass, field

DUST = 1e-6
"""Amounts below this are rounding of the solver."""


@dataclass(slots=True)
class Shelf:
    """One stock, used in the order in which it goes out of date.

    Attributes
    ----------
    made, used, wasted, left : float
        Totals so far; `left` is what is on hand.
    nights : float
        Amount x nights that lay over inside the period.
    """

    made: float = 0.0
    used: float = 0.0
    wasted: float = 0.0
    nights: float = 0.0
    _by_last_day: dict[int, float] = field(default_factory=dict)

    @property
    def left(self) -> float:
        """On hand now."""
        return sum(self._by_last_day.values())

    def stock(self, amount: float, last_day: int) -> None:
        """Put an amount on the shelf that may be used up to `last_day`."""
        if amount > 0:
            self._by_last_day[last_day] = self._by_last_day.get(last_day, 0.0) + amount

    def make(self, amount: float, last_day: int) -> None:
        """Put something freshly made (or arrived) on the shelf."""
        self.made += amount
        self.stock(amount, last_day)

    def use(self, amount: float) -> None:
        """Take an amount off, the oldest first.

        Raises
        ------
        ArithmeticError
            More is taken than lies there: the plan would be unsound.
        """
        self.used += amount
        for last_day in sorted(self._by_last_day):
            taken = min(amount, self._by_last_day[last_day])
            self._by_last_day[last_day] -= taken
            amount -= taken
        if amount > 1e-4:
            raise ArithmeticError(f"{amount} more used than there is")

    def close(self, day: int, *, last: bool) -> None:
        """End a day: what may not be used tomorrow is wasted, the rest lies over."""
        for last_day in [each for each in self._by_last_day if each <= day]:
            self.wasted += self._by_last_day.pop(last_day)
        if self.left < DUST:
            self._by_last_day.clear()
        if not last:
            self.nights += self.left
