"""Minutes on the bench, a bar for each day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.core.plan_lines import BenchDay
from planner.show.dates import show_bench
from planner.show.pictures.letters import width
from planner.show.pictures.picture import EDGE, WIDTH, Picture, Text, drawn
from planner.solve.plan import Plan

TITLE = "Minutes on the bench, by day"

PITCH = 28.0
"""Units from one bar to the next."""

TALL = 20.0
"""Units from top to bottom of a bar."""

SPACE = 10.0
"""Units between a bar and what is written beside it."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A day in its place.

    `used`, `available` and `over` are units across; `over` is the part of `used` beyond the bench,
    and `available` is None where there is no limit.
    """

    y: float
    used: float
    available: float | None
    over: float
    day: Text
    told: Text


@dataclass(frozen=True, slots=True)
class Bench:
    """Everything of a bench picture in its place; `left` is where the bars begin."""

    bars: tuple[Bar, ...]
    left: float
    high: float


def bench_picture(plan: Plan, prefix: str = "bench") -> Picture:
    """The bench of a plan."""
    labels = plan.scenario.day_labels
    bench = lay_out(plan.bench, labels)
    svg = drawn("bench.svg.jinja", prefix=prefix, title=TITLE, bench=bench, tall=TALL)
    words = tuple(f"{labels[each.day]}: {told(each)}" for each in plan.bench)
    return Picture(TITLE, svg, words)


def told(day: BenchDay) -> str:
    """`191 of 200 min`, `660 of 570 min, 90 over`, `191 min` without a limit, or `no bench`."""
    return show_bench(day) if day.minutes or day.available != 0 else "no bench"


def lay_out(days: Sequence[BenchDay], labels: Sequence[str]) -> Bench:
    """Bars below each other, days before them, minutes behind them."""
    left = EDGE + max((width(label) for label in labels), default=0.0) + SPACE
    right = WIDTH - max((width(told(each)) for each in days), default=0.0) - SPACE
    longest = max((max(each.minutes, each.available or 0.0) for each in days), default=0.0)
    scale = (right - left) / longest if longest else 0.0
    bars = []
    for at, each in enumerate(days):
        y = at * PITCH + (PITCH - TALL) / 2
        base = y + TALL / 2 + 4.5
        bars.append(
            Bar(
                y=y,
                used=each.minutes * scale,
                available=each.available * scale if each.available is not None else None,
                over=each.overtime * scale if round(each.overtime) else 0.0,
                day=Text(EDGE, base, labels[each.day]),
                told=Text(right + SPACE, base, told(each)),
            )
        )
    return Bench(tuple(bars), left, PITCH * len(days))
