"""Which blends are short, and of what; which trim, fat and bones are too much."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from planner.ask.blend_limits import unmet_of, wanted_of
from planner.ask.main_cut import asking_price
from planner.ask.remedies import WORTH, Imbalance
from planner.ask.trim_flow import Flow
from planner.core.recipe import Blend
from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.solve.plan import Plan

PART = 0.25
"""Part of what the dearest of its blends brings that a pound of trim too much may cost to mend."""

LEAST = 1.0
"""Money a pound of fat or bones may cost to mend, beside what it costs to be rid of it."""

TRIFLE = 0.03
"""Part of what is wanted of a blend: less than that missing is no shortage."""

LITTLE = 0.2
"""Part of what is short: less than that lying unused is nothing to grind."""


def shortages(plan: Plan, flow: Sequence[Flow]) -> list[Imbalance]:
    """Blends of which less is there than is wanted, the dearest shortage first."""
    found = []
    for name, blend in plan.scenario.blends.items():
        short = tuple((day, pounds) for day, pounds in enumerate(unmet_of(plan, name)) if pounds)
        wanted = sum(wanted_of(plan, name))
        if sum(pounds for _, pounds in short) >= max(WORTH, TRIFLE * wanted):
            lacks = _lacks(plan, flow, blend, short)
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


def surpluses(plan: Plan, flow: Sequence[Flow]) -> list[Imbalance]:
    """Trim, fat and bones that go out of date, the dearest first."""
    found: dict[str, list[tuple[int, float]]] = {}
    for each in flow:
        if each.wasted > DUST:
            found.setdefault(each.cut, []).append((each.day, each.wasted))
    too_much = [
        Imbalance("surplus", cut, tuple(days), _worth(plan.scenario, cut))
        for cut, days in found.items()
    ]
    found_much = [mend for mend in too_much if mend.pounds >= WORTH]
    return sorted(found_much, key=lambda mend: -mend.pounds * mend.worth)


def _worth(scenario: Scenario, cut: str) -> float:
    """What a pound of surplus may cost to mend: more for trim, which could be a part of a blend."""
    takers = [name for name, blend in scenario.blends.items() if cut in blend.takes]
    dearest = max((scenario.price(name) for name in takers), default=0.0)
    part = PART * dearest if scenario.cuts[cut].kind == "trim" else 0.0
    return scenario.disposal + max(part, LEAST)
