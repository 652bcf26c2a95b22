"""Sales to learn from: simulated shops, whose truth is known, and the days of a restaurant."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from planner.core.units import Quantity
from planner.journal.entries import Count, Entry, Recorded, Sold
from planner.learn.wants import SalesDays

Floats = NDArray[np.float64]

PATTERN = np.array([0.5, 0.7, 0.8, 1.0, 1.6, 2.0, 0.4])
"""An invented week, relative; its mean is 1."""

KINDS = ("stable", "trend", "step", "holiday", "seldom", "sold out", "often sold out")
"""Kinds of simulated shops."""

STOCK = {"sold out": 1.3, "often sold out": 0.9}
"""What is in the case of a day, as a multiple of what is wanted on average."""

DAYS = Path(__file__).parent / "published" / "restaurant-days.csv"


@dataclass(frozen=True)
class Simulated:
    """A shop with the truth about it, all arrays of (cuts, weeks, 7).

    `mean` is the expected want of each day, `wanted` what customers came for, and `days` what
    its journal knows of that.
    """

    mean: Floats
    wanted: Floats
    days: SalesDays


def simulated(
    kind: str, seed: int, *, cuts: int = 100, weeks: int = 60, by_each: bool = False
) -> Simulated:
    """An invented shop.

    Customers come one by one, their number scattered beyond chance from day to day (a gamma with a
    spread of 35%), and each takes one, or a portion of 1.2 lb on average, half of that its spread.
    """
    rng = np.random.default_rng(seed)
    base = rng.uniform(0.15, 0.8, cuts) if kind == "seldom" else rng.lognormal(np.log(6), 0.7, cuts)
    pattern = PATTERN * rng.lognormal(0.0, 0.15, (cuts, 7))
    pattern /= pattern.mean(axis=1, keepdims=True)
    mean = base[:, None, None] * pattern[:, None, :] * np.ones((1, weeks, 1))
    week = np.arange(weeks)
    if kind == "trend":  # 1.2% a week up or down, 86% or -46% in a year
        mean *= np.exp(rng.choice([-0.012, 0.012], cuts))[:, None, None] ** week[None, :, None]
    if kind == "step":
        mean *= np.where(week >= weeks // 2, 1.6, 1.0)[None, :, None]
    usual = mean.copy()
    if kind == "holiday":
        mean[:, weeks // 3 :: weeks // 3, 4:6] *= 3
    scatter = rng.gamma(8, 1 / 8, mean.shape)
    number = rng.poisson(mean * scatter / (1.0 if by_each else 1.2))
    portions = rng.gamma(4.0 * np.maximum(number, 1), 0.3)
    wanted = number.astype(float) if by_each else np.where(number > 0, portions, 0.0)
    sold, out = wanted, np.zeros(wanted.shape, dtype=bool)
    if kind in STOCK:
        stock = STOCK[kind] * mean * rng.uniform(0.6, 1.4, mean.shape)
        stock = np.ceil(stock) if by_each else stock
        sold, out = np.minimum(wanted, stock), wanted >= stock
    return Simulated(usual, wanted, days_of(sold, out, by_each=by_each))


def days_of(
    sold: Floats,
    sold_out: NDArray[np.bool_] | None = None,
    *,
    by_each: bool = False,
    guess: Floats | None = None,
) -> SalesDays:
    """Arrays as they are learned from, without a guess unless there is one."""
    return SalesDays(
        sold=sold,
        sold_out=np.zeros(sold.shape, dtype=bool) if sold_out is None else sold_out,
        by_each=np.full(len(sold), by_each),
        guess=np.full((len(sold), 7), np.nan) if guess is None else guess,
        pattern=np.ones(7),
    )


def restaurant() -> tuple[tuple[str, ...], SalesDays]:
    """Portions of seven ingredients that a restaurant served in two years; closed days not known.

    Source and licence (BSD 3-Clause) stand in the file.
    """
    lines = [each for each in DAYS.read_text(encoding="utf-8").splitlines() if each[0] != "#"]
    rows = list(csv.DictReader(lines))
    names = tuple(rows[0])[2:]
    first = date.fromisoformat(rows[0]["date"])
    monday = first - timedelta(days=first.weekday())
    weeks = (date.fromisoformat(rows[-1]["date"]) - monday).days // 7 + 1
    sold = np.full((len(names), weeks, 7), np.nan)
    for row in rows:
        if row["closed"] == "0":
            week, day = divmod((date.fromisoformat(row["date"]) - monday).days, 7)
            sold[:, week, day] = [float(row[name]) for name in names]
    return names, days_of(sold, by_each=True)


def recorded(entries: Iterator[Entry] | list[Entry]) -> tuple[Recorded, ...]:
    """Entries as they stand in a journal, each a writing of its own."""
    moment = datetime(2026, 1, 1, tzinfo=UTC)
    return tuple(Recorded(at, at, moment, each) for at, each in enumerate(entries, 1))


def sales_entries(
    cuts: dict[str, Floats],
    monday: date,
    *,
    by_each: tuple[str, ...] = (),
    stock: dict[str, Floats] | None = None,
    open_days: range = range(6),
) -> Iterator[Entry]:
    """A journal of sales: of each cut amounts by week and weekday, from a Monday on.

    With `stock`, that is counted as the day opens, and no more than that is sold.
    """
    weeks = max((len(each) for each in cuts.values()), default=0)
    for week in range(weeks):
        for weekday in open_days:
            day = monday + timedelta(days=7 * week + weekday)
            for cut, amounts in cuts.items():
                each = cut in by_each
                there = float(stock[cut][week, weekday]) if stock else np.inf
                if stock:
                    yield Count(day, "open", cut, Quantity(there, each))
                sold = min(float(amounts[week, weekday]), there)
                if sold > 0:
                    yield Sold(day, cut, Quantity(round(sold, 2), each))
