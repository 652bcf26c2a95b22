"""Days and times as a person reads them."""

from __future__ import annotations

from planner.core.plan_lines import BenchDay
from planner.core.quantities import show_day
from planner.core.scenario import Scenario

HOUR = 60
DAY = 24 * HOUR


def show_date(scenario: Scenario, day: int) -> str:
    """`mon 30 nov`."""
    return show_day(scenario.date(day))


def show_time(minutes: float) -> str:
    """`6:05`: a time of the day, in minutes from midnight; `1:42 +1` on the day after."""
    days, rest = divmod(round(minutes), DAY)
    hour, minute = divmod(rest, HOUR)
    return f"{hour}:{minute:02}{f' +{days}' if days else ''}"


def show_minutes(minutes: float) -> str:
    """`16 min`, `<1 min`."""
    return "<1 min" if 0 < minutes <= 0.5 else f"{minutes:.0f} min"


def show_bench(bench: BenchDay) -> str:
    """`195 of 200 min`, with the minutes over."""
    used = f"{bench.minutes:.0f} min"
    if bench.available is not None:
        used = f"{bench.minutes:.0f} of {bench.available:.0f} min"
    over = round(bench.overtime)
    return f"{used}, {over} over" if over else used
