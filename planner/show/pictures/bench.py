"""Minutes on the bench, a bar for each day."""

from __future__ import annotations

from dataclasses import dataclass

from planner.core.plan_lines import BenchDay
from planner.show.dates import show_bench
from planner.show.pictures.letters import width
from planner.show.pictures.picture import EDGE, WIDTH, Picture, Text, drawn
from planner.solve.plan import Plan

TITLE = "Minutes on the bench, by day"

PITCH = 28.0  # units from one bar to the next
TALL = 20.0  # units from top to bottom of a bar
SPACE = 10.0  # units between a bar and what is written beside it


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
    texts: tuple[Text, Text]


def bench_picture(plan: Plan, prefix: str = "bench") -> Picture:
    """The bench of a plan: bars below each other, days before them, minutes behind them."""
    days = plan.scenario.day_labels
    told = [(each, day, _told(each)) for each, day in zip(plan.bench, days, strict=True)]
    left = EDGE + max((width(day) for _, day, _ in told), default=0.0) + SPACE
    right = WIDTH - max((width(text) for _, _, text in told), default=0.0) - SPACE
    longest = max((max(each.minutes, each.available or 0.0) for each in plan.bench), default=0.0)
    scale = (right - left) / longest if longest else 0.0
    bars = []
    for at, (each, day, text) in enumerate(told):
        y = at * PITCH + (PITCH - TALL) / 2
        base = y + TALL / 2 + 4.5
        available = each.available * scale if each.available is not None else None
        over = each.overtime * scale if round(each.overtime) else 0.0
        texts = (Text(EDGE, base, day), Text(right + SPACE, base, text))
        bars.append(Bar(y, each.minutes * scale, available, over, texts))
    high = PITCH * len(bars)
    svg = drawn("bench", prefix, TITLE, high, bars=bars, begins=left, tall=TALL)
    return Picture(TITLE, svg, tuple(f"{day}: {text}" for _, day, text in told))


def _told(day: BenchDay) -> str:
    """`191 of 200 min`, `660 of 570 min, 90 over`, `191 min` without a limit, or `no bench`."""
    return show_bench(day) if day.minutes or day.available != 0 else "no bench"
