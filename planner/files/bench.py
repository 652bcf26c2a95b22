"""The days' minutes and traffic."""

from __future__ import annotations

from planner.files.context import Setting


def read_bench(setting: Setting) -> tuple[float, ...] | None:
    """Minutes of each day; a day not named has none; None is no limit."""
    bench = setting.shape.bench
    if bench is None:
        return None
    if not isinstance(bench, dict):
        return (bench,) * len(setting.period)
    days = setting.by_day(("bench",), bench)
    return tuple(days.get(day, 0.0) for day in range(len(setting.period)))


def read_traffic(setting: Setting) -> tuple[float, ...]:
    """Relative weight of each day; even where nothing is said."""
    even = (1.0,) * len(setting.period)
    if setting.shape.traffic is None:
        return even
    days = setting.by_day(("traffic",), setting.shape.traffic)
    weights = tuple(days.get(day, 0.0) for day in range(len(setting.period)))
    if sum(weights) > 0:
        return weights
    if not setting.document.unsure_within(("traffic",)) and setting.period_is_known:
        setting.document.fault(("traffic",), "no day has any traffic")
    return even
