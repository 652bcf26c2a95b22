"""Which blends are short, and of what; which trim, fat and bones are too much."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from planner.ask.blendbinds import unmet_of, wanted_of
from planner.ask.mend import WORTH, Mend
from planner.ask.trimflow import Flow
from planner.ledger import DUST
from planner.plan import Plan
from planner.recipe import Blend
from planner.scenario import Scenario

PART = 0.25
"""Part of what the dearest blend brings that a pound of surplus may cost to mend, if nobody pays
for anything of its kind alone."""

LEAST = 1.0
"""Money a pound of surplus may cost to mend where no blend has a price."""

TRIFLE = 0.03
"""Part of what is wanted of a blend: less than that missing is no shortage."""

LITTLE = 0.2
"""Part of what is short: less than that lying unused is nothing to grind."""


def shortages(plan: Plan, flow: Sequence[Flow]) -> list[Mend]:
    """Blends of which less is there than is wanted, the largest shortage first."""
    found = []
    for name, blend in plan.scenario.blends.items():
        short = tuple((day, pounds) for day, pounds in enumerate(unmet_of(plan, name)) if pounds)
        wanted = sum(wanted_of(plan, name))
        if sum(pounds for _, pounds in short) >= max(WORTH, TRIFLE * wanted):
            lacks = _lacks(plan, flow, blend, short)
            found.append(Mend("short", name, short, plan.scenario.price(name), lacks))
    return sorted(found, key=lambda each: -each.pounds)


def _lacks(
    plan: Plan, flow: Sequence[Flow], blend: Blend, short: Sequence[tuple[int, float]]
) -> Literal["lean", "fat", "trim", ""]:
    """What is missing for more of a blend: told by what lies there unused of what it takes.

    Where that is little beside what is short, trim as such is missing.
    """
    days = {day for day, _ in short}
    over = {
        each.cut: each.left + each.wasted
        for each in flow
        if each.day in days and each.cut in blend.takes
    }
    if sum(over.values()) < LITTLE * sum(pounds for _, pounds in short):
        return "trim"
    least, most = blend.fat
    fats = [plan.scenario.cuts[name].fat or 0.0 for name, pounds in over.items() if pounds >= WORTH]
    if min(fats, default=0.0) > most:
        return "lean"
    return "fat" if max(fats, default=1.0) < least else ""


def surpluses(plan: Plan, flow: Sequence[Flow]) -> list[Mend]:
    """Trim, fat and bones that go out of date, the most first."""
    found: dict[str, list[tuple[int, float]]] = {}
    for each in flow:
        if each.wasted > DUST:
            found.setdefault(each.cut, []).append((each.day, each.wasted))
    too_much = [
        Mend("surplus", cut, tuple(days), _worth(plan.scenario, cut)) for cut, days in found.items()
    ]
    return sorted(
        (mend for mend in too_much if mend.pounds >= WORTH), key=lambda mend: -mend.pounds
    )


def _worth(scenario: Scenario, cut: str) -> float:
    """What a pound of surplus could bring: its own price, or that of a blend of its kind alone."""
    kind = scenario.cuts[cut].kind
    blends = scenario.blends.items()
    alone = [name for name, blend in blends if cut in blend.takes and blend.cut.kind == kind]
    worth = max(scenario.price(name) for name in (cut, *alone))
    dearest = max((scenario.price(name) for name, _ in blends), default=0.0)
    return worth or PART * dearest or LEAST
