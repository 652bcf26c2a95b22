"""What cuts and pieces are worth where they are split off, at the prices and sales of a plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.ask.main_cut import BYPRODUCTS, asking_price
from planner.core.plan_lines import CutLine
from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.solve.plan import Plan


@dataclass(frozen=True, slots=True)
class Worth:
    """Value of one pound (or each) of a cut: over the counter, and through the grind."""

    counter: float
    ground: float

    @property
    def total(self) -> float:
        """Both together."""
        return self.counter + self.ground


def at_full_price(plan: Plan, cut: str) -> bool:
    """Whether a cut counts at its price, however much is made: by-products do not."""
    scenario = plan.scenario
    return scenario.cuts[cut].kind not in BYPRODUCTS and asking_price(scenario, cut) > 0


def grind_values(plan: Plan, bench_cost: float) -> dict[str, float]:
    """Net realizable value of one pound that goes into each blend.

    Sales value of what the pound makes less the separable cost: bench time of the blend at
    `bench_cost` money a minute. Never below 0. Of rendered fat and of bones, which are made to be
    used up, only what the plan sells counts.
    """
    scenario, lines = plan.scenario, {line.cut: line for line in plan.cuts}
    return {
        name: max(0.0, _price_of(scenario, lines[name]) - blend.minutes * bench_cost) * blend.gain
        for name, blend in scenario.blends.items()
    }


def _price_of(scenario: Scenario, line: CutLine) -> float:
    there = line.on_hand + line.made
    if scenario.cuts[line.cut].kind in BYPRODUCTS and there > DUST:
        return line.revenue / there
    return asking_price(scenario, line.cut)


def worths(plan: Plan, bench_cost: float) -> dict[str, Worth]:
    """Worth of every cut of the recipes.

    A cut with a price is worth its price. By-products, and cuts without a price, are worth what
    the plan takes for them over the counter and through the grind, for each pound there is;
    where there is none of them, what a pound could bring. So what nobody pays for is worth nothing.
    """
    scenario = plan.scenario
    grind = grind_values(plan, bench_cost)
    lines = {line.cut: line for line in plan.cuts}
    return {
        cut: Worth(asking_price(scenario, cut), 0.0)
        if at_full_price(plan, cut)
        else _realized(plan, lines[cut], grind)
        for recipe in scenario.recipes
        for cut in recipe.cuts
    }


def _realized(plan: Plan, line: CutLine, grind: Mapping[str, float]) -> Worth:
    there = line.on_hand + line.made
    if there > DUST:
        ground = sum(each.takes.get(line.cut, 0.0) * grind[each.blend] for each in plan.batches)
        return Worth(line.revenue / there, ground / there)
    price = asking_price(plan.scenario, line.cut)
    takers = [name for name, b in plan.scenario.blends.items() if line.cut in b.takes]
    return Worth(price, 0.0 if price else max((grind[name] for name in takers), default=0.0))
