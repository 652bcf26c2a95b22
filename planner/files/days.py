"""Days of a period as they are written: weekdays or dates, alone or as keys of a map."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from planner.core.days import days_among
from planner.core.quantities import WEEKDAYS


class Period:
    """The planned days: day 0 is `starts`. `today` is there where somebody says days now."""

    def __init__(self, starts: date, days: int, today: date | None = None) -> None:
        self._today = today
        self.dates = [starts + timedelta(days=day) for day in range(days)]

    def __len__(self) -> int:
        return len(self.dates)

    def matching(self, text: str) -> list[int]:
        """Day numbers a weekday or a date stands for; raises `ValueError` when there are none."""
        found = days_among(text, self.dates, self._today)
        if not found:
            raise ValueError(f"{text} is outside the period ({self})")
        return found

    def one(self, text: str) -> int:
        """The day number a text stands for; raises `ValueError` where a weekday comes twice."""
        found = self.matching(text)
        if len(found) > 1:
            dates = ", ".join(self.dates[day].isoformat() for day in found)
            raise ValueError(f"{text} comes {len(found)} times in the period; write one of {dates}")
        return found[0]

    def __str__(self) -> str:
        first, last = self.dates[0], self.dates[-1]
        names = f"{WEEKDAYS[first.weekday()]} {first} to {WEEKDAYS[last.weekday()]} {last}"
        return names if len(self) > 1 else f"{WEEKDAYS[first.weekday()]} {first} only"


def spread(amount: float, weights: Sequence[float], *, whole: bool) -> tuple[float, ...]:
    """Spread an amount over days by their relative weights, one of which at least is above 0.

    A `whole` amount is spread in whole numbers by largest remainder, the earlier day first.
    """
    total = sum(weights)
    parts = [amount * weight / total for weight in weights]
    if not whole:
        return tuple(parts)
    floors = [int(part + 1e-9) for part in parts]
    rest = round(amount) - sum(floors)
    order = sorted(range(len(parts)), key=lambda day: (-round(parts[day] - floors[day], 9), day))
    for day in order[:rest]:
        floors[day] += 1
    return tuple(float(each) for each in floors)
