"""Minutes of cutting time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.core.quantities import read_minutes
from planner.core.scenario import Scenario
from planner.files.change.words import is_step, moved, parted
from planner.files.context import Setting
from planner.files.yamlfile import Place


def change_bench(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`fri: 360`, `fri: +30`, `all: 240`: the minutes of a day, or of every day.

    A step for every day leaves those on which nobody cuts as they are.
    """
    parts = parted(setting, place, text, "fri: 360")
    if parts is None:
        return scenario
    head, value = parts
    every = head.lower() == "all"
    days: Sequence[int] = range(scenario.days)
    if not every:
        days = setting.attempt(place, lambda: setting.period.matching(head)) or ()
    if scenario.bench is None and days and (not every or is_step(value)):
        message = f'"{text}": the bench has no limit yet; set every day first, such as all: 240'
        setting.document.fault(place, message)
    bench = list(scenario.bench or (0.0,) * scenario.days)

    def change() -> None:
        for day in days:
            if not every or bench[day] or not is_step(value):
                bench[day] = moved(text, value, bench[day], read_minutes)

    setting.attempt(place, change)
    return replace(scenario, bench=tuple(bench))
