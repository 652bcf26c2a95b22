"""Wants of cuts that few customers ask for and that are often sold out: one customer at a time.

The customers here know nothing of the model: they come one by one, and each takes what is left.
"""

from __future__ import annotations

import numpy as np
import pytest

from planner.learn.gamma import PORTION
from planner.learn.wants import SalesDays, expect_wants
from tests.demand_data import days_of

PORTION_POUNDS = 1.2


def small_shop(
    seed: int, rate: float, stocks: tuple[float, ...], *, spread: float | None, weeks: int = 70
) -> SalesDays:
    """Cuts that so many customers a day ask for, with one of several stocks each morning.

    `spread` is that of a portion, as a share of it; None where each takes one.
    """
    rng = np.random.default_rng(seed)
    shape = (40, weeks, 7)
    sold, out = np.zeros(shape), np.zeros(shape, dtype=bool)
    for at in np.ndindex(shape):
        had = left = float(rng.choice(stocks))
        for _ in range(rng.poisson(rate)):
            takes = 1.0 if spread is None else PORTION_POUNDS * rng.gamma(spread**-2, spread**2)
            left -= min(takes, left)
        sold[at], out[at] = had - left, left < 1e-9
    return days_of(sold, out, by_each=spread is None)


def off(days: SalesDays, rate: float, first: int = 25) -> float:
    """How far expected wants are off on average, as a share of the true one."""
    true = rate if days.by_each[0] else PORTION_POUNDS * rate
    return float(expect_wants(days).want[:, first:-1].mean() / true - 1)


@pytest.mark.parametrize(
    ("rate", "stocks", "share"),
    [(0.3, (1.0, 2.0), 0.15), (0.8, (1.0, 1.0, 2.0), 0.43), (2.0, (1.0, 2.0, 3.0), 0.59)],
)
def test_a_few_by_each_are_not_overestimated(
    rate: float, stocks: tuple[float, ...], share: float
) -> None:
    """With a gamma of all days for counts too it is 8 to 29% too much."""
    days = small_shop(1, rate, stocks, spread=None)
    assert days.sold_out.mean() == pytest.approx(share, abs=0.03)
    assert -0.03 < off(days, rate) < 0.08


@pytest.mark.parametrize(
    ("rate", "stocks", "share"),
    [(0.3, (0.6, 1.2, 2.0), 0.16), (0.8, (0.6, 1.0, 1.6), 0.38), (2.0, (1.2, 2.0, 3.0), 0.52)],
)
def test_a_few_pounds_are_not_overestimated(
    rate: float, stocks: tuple[float, ...], share: float
) -> None:
    """With the days without a customer in the gamma it is 5 to 41% too much."""
    days = small_shop(2, rate, stocks, spread=PORTION)
    assert days.sold_out.mean() == pytest.approx(share, abs=0.03)
    assert abs(off(days, rate)) < 0.05


@pytest.mark.parametrize("spread", [0.25, 0.8])
def test_portions_more_or_less_alike_than_supposed_are_not_far_off(spread: float) -> None:
    days = small_shop(3, 0.8, (0.6, 1.0, 1.6), spread=spread)
    assert abs(off(days, 0.8)) < 0.17


@pytest.mark.parametrize("spread", [None, PORTION])
def test_where_nothing_is_sold_out_the_spread_is_the_true_one(spread: float | None) -> None:
    days = small_shop(4, 0.8, (50.0,), spread=spread)
    told = expect_wants(days)
    true = 0.8 if spread is None else PORTION_POUNDS**2 * (1 + PORTION**2) * 0.8
    assert np.median(told.spread[:, 25:-1]) == pytest.approx(np.sqrt(true), rel=0.04)
    assert abs(off(days, 0.8)) < 0.04
