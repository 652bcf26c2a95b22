"""How far off expected wants were, a week ahead, beside "the same day last week".

Every week is foretold from the weeks before it alone (a rolling origin), by both, and a day is
scored where both have foretold it. The score is the root of the mean squared error: it is proper
for the mean of what is wanted (Gneiting, Making and evaluating point forecasts, 2011, from memory),
as the mean absolute error is for the median, which of a cut that is seldom asked for is nothing. A
day that was sold out shows only that at least so much was wanted: it counts against a forecast that
is below that, by how much it is, and never against one above.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.learn.gamma import Bools, Floats
from planner.learn.wants import SalesDays, expect_wants

FIRST_WEEKS = 8
"""Weeks that are only learned from: common practice, no source, as a weekday is trusted from 5."""

ENOUGH_DAYS = 28
"""Days scored of a cut, below which a score is chance: four weeks. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Score:
    """How far off forecasts of a cut were, in so many days, some of them sold out.

    `error` and `last_week_error` are the root mean squared errors of the expected wants, and of the
    same day last week; `within` the share of the days, not sold out, whose want was within one
    spread of the expected one.
    """

    days: int
    sold_out: int
    error: float
    last_week_error: float
    within: float

    @property
    def ratio(self) -> float:
        """Error as a share of that of the same day last week; below 1 is better."""
        return self.error / self.last_week_error if self.last_week_error > 0 else 1.0

    @property
    def enough(self) -> bool:
        """Whether the days say anything: of what is mostly sold out nobody knows the want."""
        return self.days >= ENOUGH_DAYS and 2 * self.sold_out <= self.days


def backtest(days: SalesDays, wanted: Floats | None = None) -> tuple[Score, ...]:
    """Score the expected wants of each cut.

    Parameters
    ----------
    days : SalesDays
    wanted : array of (cuts, weeks, 7), optional
        What was really wanted, where it is known (of simulated shops): days sold out are then
        scored as all others are.
    """
    expected = expect_wants(days)
    told, spread = expected.want[:, :-1], expected.spread[:, :-1]
    usual = same_day_last_week(days.sold)
    scored = ~np.isnan(days.sold) & ~np.isnan(usual)
    scored[:, :FIRST_WEEKS] = False
    out = scored & days.sold_out
    truth = days.sold if wanted is None else wanted
    at_least = out & (wanted is None)
    ours, theirs = (_errors(each, truth, at_least) for each in (told, usual))
    within = np.abs(truth - told) <= spread
    return tuple(
        Score(
            days=int(each.sum()),
            sold_out=int(at_least[cut].sum()),
            error=_root_mean(ours[cut][each] ** 2),
            last_week_error=_root_mean(theirs[cut][each] ** 2),
            within=_mean(within[cut][each & ~at_least[cut]]),
        )
        for cut, each in enumerate(scored)
    )


def same_day_last_week(sold: Floats) -> Floats:
    """What was sold on the same weekday when last something is known of it; nan before that."""
    usual = np.full(sold.shape, np.nan)
    last = np.full((sold.shape[0], sold.shape[2]), np.nan)
    for week in range(sold.shape[1]):
        usual[:, week] = last
        last = np.where(np.isnan(sold[:, week]), last, sold[:, week])
    return usual


def overall(scores: Iterable[Score]) -> float:
    """Geometric mean of the ratios of the cuts with enough days; nan where there is none."""
    ratios = [each.ratio for each in scores if each.enough]
    return float(np.exp(np.mean(np.log(np.maximum(ratios, 1e-9))))) if ratios else float("nan")


def _errors(told: Floats, truth: Floats, at_least: Bools) -> Floats:
    error = truth - told
    return np.where(at_least, np.maximum(error, 0.0), error)


def _mean(values: NDArray[Any]) -> float:
    return float(values.mean()) if values.size else float("nan")


def _root_mean(squares: Floats) -> float:
    return float(np.sqrt(_mean(squares)))
