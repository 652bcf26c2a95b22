"""Trim, grind and bones in balance: where each goes, what is short, what would mend it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Literal

from planner.ask.comparison import closer
from planner.ask.main_cut import asking_price
from planner.ask.remedies import WORTH, Imbalance
from planner.ask.remedy_search import CLOSELY, RemedySearch
from planner.ask.trim_flow import (
    BlendDay,
    BlendWeek,
    Flow,
    TrimWeek,
    blend_days,
    blend_weeks,
    flows,
    trim_weeks,
)
from planner.core.recipe import Blend
from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.solve import Options
from planner.solve.engine import Progress
from planner.solve.plan import Plan, plan_week

Count = Callable[[int, int], None]

WORKERS = 2
"""Shortages and surpluses that are looked into at once."""

FOR_THE_PLAN = 1 / 3
"""Part of the time that a closer plan may take."""

PART = 0.25
"""Part of what the dearest of its blends brings that a pound of trim too much may cost to mend."""

LEAST = 1.0
"""Money a pound of fat or bones may cost to mend, beside what it costs to be rid of it."""

TRIFLE = 0.03
"""Part of what is wanted of a blend: less than that missing is no shortage."""

LITTLE = 0.2
"""Part of what is short: less than that lying unused is nothing to grind."""


@dataclass(frozen=True, slots=True)
class TrimAnswer:
    """The balance of trim, fat, bones and blends in a plan, and what would mend it."""

    plan: Plan
    imbalances: tuple[Imbalance, ...]

    @property
    def flows(self) -> tuple[Flow, ...]:
        """Trim, fat and bones by day."""
        return flows(self.plan)

    @property
    def weeks(self) -> tuple[TrimWeek, ...]:
        """The same over the period."""
        return trim_weeks(self.plan)

    @property
    def blend_days(self) -> tuple[BlendDay, ...]:
        """Blends by day."""
        return blend_days(self.plan)

    @property
    def blend_weeks(self) -> tuple[BlendWeek, ...]:
        """Blends over the period."""
        return blend_weeks(self.plan)

    @property
    def settled(self) -> bool:
        """Whether time was enough to ask about everything; nothing is asked of a plan in parts."""
        return self.plan.parts <= 1 and all(each.asked for each in self.imbalances)


def trim_balance(
    scenario: Scenario,
    options: Options | None = None,
    progress: Progress | None = None,
    count: Count | None = None,
    *,
    advice: bool = True,
    shown: Plan | None = None,
) -> TrimAnswer:
    """Balance the trim of a plan.

    `options.seconds` is for all of it; what has no turn in that time is not asked. `progress` is
    told of the search for a plan, `count` how many shortages and surpluses are looked into. With
    `advice` what would mend them is asked; not of a plan in parts. `shown` is the plan that was
    told; else the one that planning the week tells.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        As planning the week does.
    """
    asked = options or Options()
    ends = time.perf_counter() + asked.seconds
    plan = shown or plan_week(scenario, asked, progress)
    if not advice or plan.parts > 1:
        return TrimAnswer(plan, ())
    close = closer(plan, replace(CLOSELY, seconds=asked.seconds * FOR_THE_PLAN), progress)
    return TrimAnswer(plan, tuple(_looked_into(plan, close, ends, count)))


def _looked_into(plan: Plan, close: Plan, ends: float, count: Count | None) -> Iterator[Imbalance]:
    """Every shortage and surplus with what would mend it, as far as the time goes.

    Two are looked into at once, each by itself, so that the answers do not depend on it.
    """
    flow = flows(plan)
    found = [*_shortages(plan, flow), *_surpluses(plan, flow)]
    stop = threading.Event()

    def over() -> bool:
        return stop.is_set() or time.perf_counter() > ends

    with ThreadPoolExecutor(WORKERS) as pool:
        try:
            searches = [RemedySearch(plan, close, each, over) for each in found]
            for done, answer in enumerate(pool.map(RemedySearch.answer, searches), start=1):
                if count:
                    count(done, len(found))
                yield answer
        finally:
            stop.set()  # interrupted: the others end too


def _shortages(plan: Plan, flow: Sequence[Flow]) -> list[Imbalance]:
    """Blends of which less is there than is wanted, the dearest shortage first."""
    found = []
    for week in blend_weeks(plan):
        name, short = week.line.cut, week.unmet_by_day
        if week.unmet >= max(WORTH, TRIFLE * week.wanted):
            lacks = _lacks(plan, flow, plan.scenario.blends[name], short)
            ordered = sum(each.short for each in plan.short if each.cut == name)
            worth = asking_price(plan.scenario, name)
            found.append(Imbalance("short", name, short, worth, lacks, ordered=ordered))
    return sorted(found, key=lambda each: -each.pounds * each.worth)


def _lacks(
    plan: Plan, flow: Sequence[Flow], blend: Blend, short: Sequence[tuple[int, float]]
) -> Literal["lean", "fat", "trim", ""]:
    """What is missing for more of a blend: told by what lies there unused of what it takes.

    Where that is little beside what is short, trim as such is missing.
    """
    days = {day for day, _ in short}
    over: dict[str, float] = {}
    for each in flow:
        if each.day in days and each.cut in blend.takes:
            over[each.cut] = max(over.get(each.cut, 0.0), each.left + each.wasted)
    if sum(over.values()) < LITTLE * sum(pounds for _, pounds in short):
        return "trim"
    least, most = blend.fat
    fats = [plan.scenario.cuts[name].fat or 0.0 for name, pounds in over.items() if pounds >= WORTH]
    if min(fats, default=0.0) > most:
        return "lean"
    return "fat" if max(fats, default=1.0) < least else ""


def _surpluses(plan: Plan, flow: Sequence[Flow]) -> list[Imbalance]:
    """Trim, fat and bones that go out of date, the dearest first."""
    found: dict[str, list[tuple[int, float]]] = {}
    for each in flow:
        if each.wasted > DUST:
            found.setdefault(each.cut, []).append((each.day, each.wasted))
    surpluses = [
        Imbalance("surplus", cut, tuple(days), _worth(plan.scenario, cut))
        for cut, days in found.items()
        if sum(pounds for _, pounds in days) >= WORTH
    ]
    return sorted(surpluses, key=lambda each: -each.pounds * each.worth)


def _worth(scenario: Scenario, cut: str) -> float:
    """What a pound of surplus may cost to mend: more for trim, which could be a part of a blend."""
    takers = [name for name, blend in scenario.blends.items() if cut in blend.takes]
    dearest = max((scenario.price(name) for name in takers), default=0.0)
    part = PART * dearest if scenario.cuts[cut].kind == "trim" else 0.0
    return scenario.disposal + max(part, LEAST)
