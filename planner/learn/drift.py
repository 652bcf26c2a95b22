"""Whether what a way gives drifts over time.

Kendall's rank correlation of a share with its day, the test of Mann and Kendall for a trend (Mann,
Econometrica 13, 1945; by SciPy): it takes no shape of the trend and no spread for granted. The
weigh-ins of one day are taken together, since they are of one lot and one knife. Where there is a
trend, it begins at the day from which a line through the shares bends with the least squares.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

K = TypeVar("K", bound=Hashable)

LEVEL = 0.05
"""Where nothing drifts, at most this part of the looks at a shop have a mark.

Common practice, no source.
"""

LEAST_DAYS = 8
"""Days with weigh-ins below which no drift is looked for. Common practice, no source."""

_EDGE = 2  # days that stay after a bend; common practice, no source


@dataclass(frozen=True, slots=True)
class Drift:
    """A drift beyond chance: since when, and how much a share changes in 30 days."""

    since: date
    a_month: float


Series = Sequence[tuple[date, float]]
"""Shares and the days of their weigh-ins, in any order."""


def drifts(series: Mapping[K, Series]) -> dict[K, Drift]:
    """The series that drift beyond chance, of all that are looked at together.

    The probabilities are judged together, as Benjamini and Hochberg do (by SciPy).
    """
    from scipy.stats import false_discovery_control

    days = {key: _by_day(each) for key, each in series.items()}
    long = {key: each for key, each in days.items() if len(each[0]) >= LEAST_DAYS}
    if not long:
        return {}
    chances = [_probability(*each) for each in long.values()]
    adjusted = false_discovery_control(chances, method="bh")
    return {
        key: _bend(*each)
        for (key, each), chance in zip(long.items(), adjusted, strict=True)
        if chance <= LEVEL
    }


def _by_day(series: Series) -> tuple[list[date], NDArray[np.float64]]:
    found: dict[date, list[float]] = {}
    for day, share in series:
        found.setdefault(day, []).append(share)
    days = sorted(found)
    return days, np.array([np.mean(found[day]) for day in days])


def _probability(days: Sequence[date], shares: NDArray[np.float64]) -> float:
    from scipy.stats import kendalltau

    found = float(kendalltau([day.toordinal() for day in days], shares).pvalue)
    return found if found == found else 1.0  # all alike: no number


def _bend(days: Sequence[date], shares: NDArray[np.float64]) -> Drift:
    """Level until a day, a straight line from then on: the day with the least squares."""
    time = np.array([day.toordinal() for day in days], dtype=float)
    best, drift = np.inf, Drift(days[0], 0.0)
    for start in range(len(days) - _EDGE):
        columns = np.column_stack([np.ones_like(time), np.maximum(0.0, time - time[start])])
        line = np.linalg.lstsq(columns, shares, rcond=None)[0]
        squares = float(((shares - columns @ line) ** 2).sum())
        if squares < best:
            best, drift = squares, Drift(days[start], float(line[1] * 30))
    return drift
