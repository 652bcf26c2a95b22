"""Stock with explicit ages.

The use of a day is taken from what goes out of date first; that order loses the least, so a
schedule of uses is possible exactly when it works.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field


@dataclass
class Shelf:
    """One thing in the cooler: batches (first day, last usable day, amount) and its uses."""

    batches: list[list[float]] = field(default_factory=list)
    uses: dict[int, float] = field(default_factory=lambda: defaultdict(float))

    def age(self, days: int) -> tuple[list[tuple[int, float]], float, float, float]:
        """Shortages by day, wasted, left, and nights times amount."""
        rest = sorted(([*batch] for batch in self.batches), key=lambda batch: batch[1])
        slack = 1e-5 + 1e-6 * sum(batch[2] for batch in rest)
        short, nights = [], 0.0
        for day in range(days):
            need = self.uses.get(day, 0.0)
            for batch in rest:
                if batch[0] <= day <= batch[1]:
                    taken = min(need, batch[2])
                    batch[2] -= taken
                    need -= taken
            if need > slack:
                short.append((day, need))
            if day < days - 1:
                nights += sum(b[2] for b in rest if b[0] <= day < b[1])
        wasted = sum(batch[2] for batch in rest if batch[1] < days)
        left = sum(batch[2] for batch in rest if batch[1] >= days)
        return short, wasted, left, nights
