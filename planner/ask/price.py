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

from planner.ask.main_cut import BYPRODUCTS, amount_of, asking_price
from planner.ask.pricing import CutCost, LotCost, Pricing, UncutCost
from planner.ask.split_off import Worth, at_full_price, grind_values, piece_values, worths
from planner.ask.yield_test import head_of, way_tests
from planner.core.plan_lines import CutLine, way_cut
from planner.core.scenario import Lot, Scenario
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

    Parameters
    ----------
    scenario : Scenario
        A lot of cost 0 is taken as free: see `lotcost.with_costs`.
    target : float
        Gross margin wanted, at least 0 and below 1.
    bench_cost : float
        Money a minute. Minutes of breaks are shared like the cost of their lot, those of a blend
        are its separable cost. Overtime pay comes on top and is not shared.
    shown : Plan, optional
        The plan that was told, of the scenario but for costs; where head that may be bought cost
        the same it holds. Else the one that planning the week tells.
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
    worth = worths(plan, bench_cost)
    made = _made(plan)
    pieces = {lot.index: _values(plan, lot, worth) for lot in plan.scenario.lots}
    lots = tuple(
        _lot_cost(plan, lot, bench_cost, made[lot.index], pieces[lot.index], worth)
        for lot in plan.scenario.lots
    )
    cost: dict[str, float] = defaultdict(float)
    value: dict[str, float] = defaultdict(float)
    for lot in lots:
        for cut, amount in made[lot.lot].items():
            value[cut] += amount * worth[cut].total
            cost[cut] += lot.rate * amount * worth[cut].total
    rates = {lot.lot: lot.rate for lot in lots}
    return Pricing(
        plan=plan,
        target=target,
        bench_cost=bench_cost,
        lots=lots,
        cuts=_cut_costs(plan, cost, value, bench_cost),
        uncut=tuple(
            UncutCost(each, rates[each.lot] * each.count * pieces[each.lot][each.piece])
            for each in plan.uncut
        ),
        ways=way_tests(plan, worth, bench_cost),
    )


def _made(plan: Plan) -> dict[int, dict[str, float]]:
    """Amount of each cut made of each lot."""
    made: dict[int, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for each in plan.breaks:
        way = way_cut(plan.scenario, each)
        for given in way.cuts:
            of_one = amount_of(plan.scenario, given, each.weight / each.count)
            made[each.lot][given.name] += each.count * of_one
    return made


def _values(plan: Plan, lot: Lot, worth: Mapping[str, Worth]) -> dict[str, float]:
    return piece_values(plan.scenario, lot.recipe, lot.weights(), worth)


def _lot_cost(
    plan: Plan,
    lot: Lot,
    bench_cost: float,
    made: Mapping[str, float],
    pieces: Mapping[str, float],
    worth: Mapping[str, Worth],
) -> LotCost:
    head = head_of(plan, lot)
    minutes = sum(each.minutes for each in plan.breaks if each.lot == lot.index)
    value = sum(amount * worth[cut].total for cut, amount in made.items())
    value += sum(each.count * pieces[each.piece] for each in plan.uncut if each.lot == lot.index)
    return LotCost(lot.index, head, head * lot.weight * lot.cost, bench_cost * minutes, value)


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
