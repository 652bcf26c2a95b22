"""Which ways give something else than the recipe says, or drift over time, beyond chance.

For each share Student's t of the weigh-ins against the recipe's figure, with a spread drawn towards
the usual one (a moderated t: Smyth, Statistical Applications in Genetics and Molecular Biology 3,
2004), so that three weigh-ins that happen to agree prove nothing. Where the weigh-ins of a way
spread more than is usual, the usual spread is taken as that much wider for all its shares, and no
share's spread as less than what was seen. A way is looked at for its least probability times the
number of its shares (Bonferroni), and the ways of a shop for how many of them are looked at
(Benjamini and Hochberg, by SciPy): of all marks at most `LEVEL` are false in the long run, and
where every recipe is right, at most `LEVEL` of the looks have a mark at all.

Drifts: Kendall's rank correlation of a share with its day, the test of Mann and Kendall for a trend
(Mann, Econometrica 13, 1945; by SciPy): it takes no shape of the trend and no spread for granted.
The weigh-ins of one day are taken together, since they are of one lot and one knife. Where there is
a trend, it begins at the day from which a line through the shares bends with the least squares.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from planner.learn.shares import SPREAD_TESTS, Share

K = TypeVar("K", bound=Hashable)

LEVEL = 0.05
"""Common practice, no source."""

LEAST_TESTS = 3
"""Below these no way is marked. Common practice, no source."""

LEAST_SHARE = 0.05
"""Where recipe and mean are below this, a share is not looked at: its weigh-ins are too skew.

Common practice, no source.
"""


def probabilities(shares: Mapping[str, Share]) -> dict[str, float]:
    """How probable a mean so far off, or farther, is where the recipe of a way is right.

    Shares with fewer than `LEAST_TESTS` weigh-ins, or below `LEAST_SHARE`, are left out.
    """
    from scipy.special import stdtr

    enough = {
        name: each
        for name, each in shares.items()
        if each.tests >= LEAST_TESTS and max(each.recipe, each.mean or 0.0) >= LEAST_SHARE
    }
    wider = _wider(list(enough.values()))
    found = {}
    for name, each in enough.items():
        squares, more = each.earlier
        freedom = SPREAD_TESTS + each.tests - 1 + more
        drawn = (SPREAD_TESTS * each.usual * wider + each.squares + squares) / freedom
        variance = max(drawn, each.squares / (each.tests - 1))
        written = 1 / each.worths[0][0] if len(each.worths) == 1 else 0.0  # the figure's own spread
        apart = abs((each.mean or 0.0) - each.recipe)
        spread = (variance * (1 / each.weight + written)) ** 0.5
        found[name] = float(2 * stdtr(freedom, -apart / spread))
    return found


def _wider(shares: Sequence[Share]) -> float:
    """How many times the usual variance the weigh-ins of a way show; 1 where it is less."""
    seen = sum((each.squares + each.earlier[0]) / each.usual for each in shares)
    freedom = sum(each.tests - 1 + each.earlier[1] for each in shares)
    return max(1.0, (SPREAD_TESTS + seen) / (SPREAD_TESTS + freedom))


def beyond_chance(ways: Mapping[K, Mapping[str, Share]]) -> dict[K, tuple[str, ...]]:
    """Ways whose shares differ from the recipe's beyond chance, with the names of these shares.

    Parameters
    ----------
    ways : mapping
        Shares by name of every way that is looked at.
    """
    from scipy.stats import false_discovery_control

    looked = {key: probabilities(shares) for key, shares in ways.items()}
    found = {key: each for key, each in looked.items() if each}
    if not found:
        return {}
    least = [min(1.0, min(each.values()) * len(each)) for each in found.values()]
    adjusted = false_discovery_control(least, method="bh")
    marked = [key for key, chance in zip(found, adjusted, strict=True) if chance <= LEVEL]
    level = LEVEL * len(marked) / len(found)
    return {
        key: tuple(name for name, p in found[key].items() if p * len(found[key]) <= level)
        for key in marked
    }


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
