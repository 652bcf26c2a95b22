"""What walk-in customers would buy at full price."""

from __future__ import annotations

import math
from dataclasses import replace

from planner.core.quantities import read_amount
from planner.core.recipe import Cut
from planner.core.scenario import Demand, Scenario
from planner.files.change.words import is_step, moved, name_and_day, parted
from planner.files.context import Setting
from planner.files.days import spread
from planner.files.yamlfile import Place

PRICES: Place = ("prices",)
"""Where prices stand beside wants: with a fault there no want is blamed for having no price."""


def change_want(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`ground lamb: 12 lb`, `ground lamb: +20%`, `ground lamb fri: 6 lb`: the want of a cut.

    An amount for the period is spread by traffic. A step keeps the proportions of the days, or
    spreads by traffic where there is no want yet. A day changes alone; a weekday means every such
    day.
    """
    parts = parted(setting, place, text, "ground lamb: 12 lb")
    if parts is None:
        return scenario
    head, value = parts
    name, day = name_and_day(head, setting.cut_names.known)
    found = setting.find(setting.cut_names, place, name)
    if found is None:
        return scenario
    cut = setting.cuts[found]
    demand = scenario.demand.get(found)
    if demand is None or demand.price is None:
        example = "9/each" if cut.by_each else f"22.99/{scenario.unit}"
        message = f"{found} is wanted but has no price; give it a price as well, such as {example}"
        if not setting.document.unsure_within((*place[:1], *PRICES)):
            setting.document.fault(place, message)
        return scenario

    def new(now: float) -> float:
        amount = moved(text, value, now, lambda each: _amount(setting, place, cut, each))
        return float(math.floor(amount + 0.5 + 1e-9)) if cut.by_each else amount

    def want() -> tuple[float, ...]:
        if day is None:
            return _spread(demand, new(sum(demand.want)), is_step(value), scenario, cut)
        named = setting.period.matching(day)
        return tuple(new(each) if n in named else each for n, each in enumerate(demand.want))

    changed = setting.attempt(place, want) or demand.want
    return replace(scenario, demand={**scenario.demand, found: replace(demand, want=changed)})


def _amount(setting: Setting, place: Place, cut: Cut, text: str) -> float:
    return setting.amount(place, cut, read_amount(text))


def _spread(
    demand: Demand, amount: float, in_proportion: bool, scenario: Scenario, cut: Cut
) -> tuple[float, ...]:
    by = demand.want if in_proportion and any(demand.want) else scenario.traffic
    return spread(amount, by, whole=cut.by_each)
