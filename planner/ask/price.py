"""What each cut costs: the cost of the head shared over what the week makes of it.

Joint products are costed by the sales value at split-off method: the cost of a lot is shared over
what was made of it in proportion to amount x price. What has no sales value there, trim for the
grind, takes part at its net realizable value: sales value of the blend less the separable cost of
making it. Of by-products (bones, fat, trim, offal) only what is paid for counts, so what has no
price has no cost.
Source: Horngren, Datar, Rajan, Cost Accounting: A Managerial Emphasis, the chapter on joint
products and byproducts (from memory).

Everything made bears its part, sold or wasted, and so does a piece not cut, at the value of its
best way: waste is not hidden in the cost of what was sold. The case of last week bears nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from planner.ask.main_cut import BYPRODUCTS, asking_price
from planner.ask.pricing import CutCost, LotCost, Pricing, UncutCost
from planner.ask.split_off import at_full_price, grind_values, worths
from planner.ask.yield_test import way_tests
from planner.core.plan_lines import CutLine, way_cut
from planner.core.scenario import Scenario
from planner.solve import Options
from planner.solve.engine import Progress
from planner.solve.plan import Plan, plan_week


def price_week(
    scenario: Scenario,
    target: float,
    bench_cost: float = 0.0,
    options: Options | None = None,
    progress: Progress | None = None,
    shown: Plan | None = None,
) -> Pricing:
    """Cost what the plan of a period makes.

    A lot of cost 0 is taken as free: see `lot_cost.with_costs`. `target` is the gross margin
    wanted, at least 0 and below 1. `bench_cost` is money a minute: minutes of breaks are shared
    like the cost of their lot, those of a blend are its separable cost. Overtime pay comes on top
    and is not shared. `shown` is the plan that was told, of the scenario but for costs; where head
    that may be bought cost the same it holds. Else the one that planning the week tells.
    """
    if shown is None or any(
        one.cost != other.cost
        for one, other in zip(shown.scenario.lots, scenario.lots, strict=True)
        if one.up_to
    ):
        shown = plan_week(scenario, options, progress)
    return price_plan(replace(shown, scenario=scenario), target, bench_cost)


def price_plan(plan: Plan, target: float, bench_cost: float = 0.0) -> Pricing:
    """Cost what a plan makes; as `price_week`."""
    scenario, worth = plan.scenario, worths(plan, bench_cost)
    totals = {cut: each.total for cut, each in worth.items()}
    cost: dict[str, float] = defaultdict(float)
    value: dict[str, float] = defaultdict(float)
    lots, uncut = [], []
    for lot in scenario.lots:
        breaks = [each for each in plan.breaks if each.lot == lot.index]
        whole = [each for each in plan.uncut if each.lot == lot.index]
        of_one = scenario.full_values(lot, totals)
        made: dict[str, float] = defaultdict(float)
        for each in breaks:
            for cut, amount in scenario.gives(way_cut(scenario, each), each.weight, each.count):
                made[cut.name] += amount
        head, minutes = plan.head(lot), sum(each.minutes for each in breaks)
        of_all = sum(amount * totals[name] for name, amount in made.items())
        of_all += sum(left.count * of_one[left.piece] for left in whole)
        paid = head * lot.weight * lot.cost
        found = LotCost(lot.index, head, paid, bench_cost * minutes, of_all)
        lots.append(found)
        for name, amount in made.items():
            value[name] += amount * totals[name]
            cost[name] += found.rate * amount * totals[name]
        uncut += [UncutCost(x, found.rate * x.count * of_one[x.piece]) for x in whole]
    return Pricing(
        plan=plan,
        target=target,
        bench_cost=bench_cost,
        lots=tuple(lots),
        cuts=_cut_costs(plan, cost, value, bench_cost),
        uncut=tuple(uncut),
        ways=way_tests(plan, worth, bench_cost),
    )


def _cut_costs(
    plan: Plan, cost: Mapping[str, float], value: Mapping[str, float], bench_cost: float
) -> tuple[CutCost, ...]:
    """Costs of cuts and blends, those of what is ground handed on to the blends."""
    borne: dict[str, float] = defaultdict(float)
    for batch in plan.batches:
        borne[batch.blend] += bench_cost * batch.minutes
    grind = grind_values(plan, bench_cost)
    for line in plan.cuts:
        parts = _uses(plan, line, grind)
        whole = sum(parts.values())
        for name, part in parts.items():
            borne[name] += cost.get(line.cut, 0.0) * part / whole if whole else 0.0
    return tuple(
        _cut_cost(plan, line, value.get(line.cut, 0.0), borne[line.cut]) for line in plan.cuts
    )


def _uses(plan: Plan, line: CutLine, grind: Mapping[str, float]) -> dict[str, float]:
    """What bears the cost of a cut: the cut itself, and blends, in parts of any size.

    A cut at its price hands on its cost by weight, any other by what is taken through each blend.
    """
    full = at_full_price(plan, line.cut)
    own = max(0.0, line.on_hand + line.made - line.blended) if full else line.revenue
    parts: dict[str, float] = defaultdict(float, {line.cut: own})
    for batch in plan.batches:
        parts[batch.blend] += batch.takes.get(line.cut, 0.0) * (1 if full else grind[batch.blend])
    return parts


def _cut_cost(plan: Plan, line: CutLine, value: float, cost: float) -> CutCost:
    scenario = plan.scenario
    there = line.on_hand + line.made
    full = line.cut in scenario.blends or at_full_price(plan, line.cut)
    bearing = there - line.blended if full else line.sold
    return CutCost(
        cut=line.cut,
        species=line.species,
        by_each=line.by_each,
        byproduct=line.cut not in scenario.blends and scenario.cuts[line.cut].kind in BYPRODUCTS,
        made=line.made,
        amount=line.made * bearing / there if there else 0.0,
        price=asking_price(scenario, line.cut) or None,
        value=value,
        cost=cost,
    )
