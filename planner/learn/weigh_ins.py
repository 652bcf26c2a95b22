"""Weigh-ins of a way, and what they say of its shares taken together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

ALIKE = 0.5
"""Correlation of the pieces of one weigh-in: of one lot, under one knife. From memory."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WeighIn:
    """A weigh-in of a way: how many pieces were cut for it, and what was found.

    That is shares of the weight put in of what was weighed, `loss` too where it is known.
    """

    day: date
    pieces: int
    found: Mapping[str, float]

    @property
    def weight(self) -> float:
        """How many weigh-ins of one piece it is worth: many pieces at once count as two at most."""
        return self.pieces / (1 + (self.pieces - 1) * ALIKE)


@dataclass(frozen=True, slots=True)
class History:
    """Weigh-ins of one way, in the order of their days.

    `tests` are not counted into the recipe's figures, `counted` are. `worth` is how many weigh-ins
    the figures are worth; None where nobody knows.
    """

    tests: tuple[WeighIn, ...] = ()
    counted: tuple[WeighIn, ...] = ()
    worth: float | None = None

    @property
    def weight(self) -> float:
        """How many weigh-ins of one piece there are that are not counted in."""
        return sum(test.weight for test in self.tests)

    @property
    def in_figures(self) -> float:
        """How many weigh-ins of one piece are counted in."""
        return sum(test.weight for test in self.counted)


NOTHING = History()


@dataclass(frozen=True, slots=True)
class WeighedShares:
    """Weigh-ins as arrays: a row for each, `nan` where a share was not weighed."""

    found: Floats
    weights: Floats

    @property
    def weight(self) -> float:
        """How many weigh-ins of one piece they are worth together."""
        return float(self.weights.sum())


@dataclass(frozen=True, slots=True)
class Seen:
    """What weigh-ins say of one share: how many, of what weight, their mean, squares around it."""

    tests: int
    weight: float
    mean: float | None
    squares: float


def weighed(names: Mapping[str, float], tests: Sequence[WeighIn]) -> WeighedShares:
    """Weigh-ins of shares of these names as arrays."""
    rows = [[test.found.get(name, np.nan) for name in names] for test in tests]
    found = np.array(rows, dtype=float).reshape(len(tests), len(names))
    return WeighedShares(found, np.array([test.weight for test in tests], dtype=float))


def seen(weighed: WeighedShares, number: int) -> Seen:
    """What weigh-ins say of one share, by its place."""
    told = ~np.isnan(weighed.found[:, number])
    values, weights = weighed.found[told, number], weighed.weights[told]
    if not len(values):
        return Seen(0, 0.0, None, 0.0)
    mean = float(np.average(values, weights=weights))
    squares = float((weights * (values - mean) ** 2).sum())
    return Seen(len(values), float(weights.sum()), mean, squares)


def full_of(found: Floats, estimate: Floats) -> Floats:
    """Weigh-ins with what was not weighed: the rest, dealt out in proportion to the estimates."""
    missing = np.isnan(found)
    known = np.where(missing, 0.0, found)
    rest = np.clip(1 - known.sum(axis=1), 0.0, None)
    dealt = np.where(missing, estimate, 0.0)
    total = dealt.sum(axis=1)
    full: Floats = known + dealt * (rest / np.where(total > 0, total, 1.0))[:, None]
    full /= full.sum(axis=1)[:, None]
    return full


def every_seen(weighed: WeighedShares, figures: Floats) -> tuple[Seen, ...]:
    """What weigh-ins say of every share."""
    return tuple(seen(weighed, number) for number in range(len(figures)))
