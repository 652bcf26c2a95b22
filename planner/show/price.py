"""Costs and margins of cuts and ways, for a person and for machines."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from itertools import groupby

from planner.ask.pricing import CutCost, Pricing
from planner.ask.yield_test import WayTest
from planner.core.quantities import show_count, show_share
from planner.show.difference import period_word
from planner.show.layout import WIDTH, clip, cut_name, paragraphs, table, wrapped
from planner.show.price_data import METHOD
from planner.show.species import Group, by_species, grouped_table, heading, inset
from planner.show.text import proof

SAME_MARGIN = (
    "Shared this way, all cuts of a lot earn the same margin{bench}: the costs above say what each "
    "cut may cost, not which one earns most. To compare ways, look at the yield tests."
)
ESTIMATES = (
    "These costs are estimates from planned yields: do not set prices by them before you weigh."
)
BRIEF = f"{ESTIMATES}\nEvery cut, and the yield test of every way: --all"
CHARGES = (
    "What was bought is charged at its price, a piece of it at its share by sales value. Bones and "
    "fat are credited at what they sell for, trim for the grind and pieces at their share of the "
    "cost. factor: cost of a usable {unit} for each {money} paid a {unit}. plan: how many are cut "
    "that way."
)
CREDITS_PAY = "a `-` under cost: its by-products alone pay for it"
ROWS = 3  # of the prices and of the ways that are told first
PENNY = 0.005

UNITS = {"lb": "pound", "kg": "kilogram"}


def price_text(pricing: Pricing, tables: bool = False) -> str:
    """Where the margin wanted is not reached, on one screen; then all cuts and ways, if wanted."""
    return paragraphs(
        clip(pricing.plan.scenario.title, WIDTH),
        wrapped(proof(pricing.plan)) if pricing.plan.status == "time limit" else "",
        wrapped(_conclusion(pricing)),
        _prices_to_raise(pricing),
        _ways_below(pricing),
        *((_cuts(pricing), _ways(pricing), _totals(pricing), ESTIMATES) if tables else (BRIEF,)),
    )


def _conclusion(pricing: Pricing) -> str:
    """What the week leaves, and whether that is what is wanted."""
    cost, taken = (_money(pricing, each) for each in (pricing.cost, pricing.plan.revenue))
    what = "head and bench cost" if pricing.bench_cost else "head costs"
    said = f"The {what} {cost} and the {period_word(pricing.plan.scenario.days)} takes {taken}"
    if pricing.margin is None:
        return f"{said}."
    verb = "more than" if pricing.margin >= pricing.target else "LESS than"
    margin = f"a gross margin of {show_share(pricing.margin)}"
    return f"{said}: {margin}, {verb} the {_target(pricing)} wanted."


def _prices_to_raise(pricing: Pricing) -> list[str]:
    """The cuts whose price would have to rise the most money for the margin, and what it brings."""
    lacking = []
    for each in pricing.cuts:
        one = each.cost_of_one
        if each.made and not each.byproduct and each.price is not None and one is not None:
            more = pricing.price_for(one) - each.price
            lacking += [(more * each.amount, each)] if more >= PENNY else []
    if not lacking:
        return ["No price has to rise for it."] if pricing.cuts else []
    lacking.sort(key=lambda pair: -pair[0])
    rows = [
        [*(_cut_row(pricing, each)[n] for n in (0, 1, 3, 4, 5, 6)), f"{more:,.2f}"]
        for more, each in lacking[:ROWS]
    ]
    heads = ("", "made", "cost of one", "price", "margin", _wanted(pricing), "worth")
    whole = _money(pricing, sum(more for more, _ in lacking))
    below = f"{show_count(len(lacking), 'cut')} below {_target(pricing)}"
    said = f"worth: what the higher price brings if as much sells as now. {below}, {whole} in all."
    shown = table(rows, heads, ("left", *["right"] * 6))
    return ["PRICES TO RAISE FIRST", shown, *wrapped(said, 2)]


def _ways_below(pricing: Pricing) -> list[str]:
    """Ways in the plan whose yield test is furthest below the margin wanted."""
    tried = [each for each in pricing.ways if each.count and each.margin is not None]
    below = [each for each in tried if (each.margin or 0.0) < pricing.target]
    if not below:
        return []
    below.sort(key=lambda each: each.margin or 0.0)
    rows = [
        [
            clip(f"{each.piece}: {each.way}", 40),
            f"{each.count}",
            _share(each.margin),
            _main(pricing, each),
            _rate(pricing, each.main, each.price),
            _rate(pricing, each.main, pricing.price_for(each.cost)),
        ]
        for each in below[:ROWS]
    ]
    heads = ("", "plan", "margin", "main cut", "price", _wanted(pricing))
    align = ("left", "right", "right", "left", "right", "right")
    piece = clip(below[0].piece, 30)
    said = f'They may still pay: `breakplan why FILE "{piece}"` says what other ways cost.'
    head = f"WAYS IN THE PLAN THAT LEAVE LESS THAN {_target(pricing)}"
    return [head, table(rows, heads, align), *wrapped(said, 2)]


def _main(pricing: Pricing, each: WayTest) -> str:
    return cut_name(clip(each.main, 22), pricing.plan.scenario.cuts[each.main].by_each)


def _money(pricing: Pricing, value: float) -> str:
    return pricing.plan.scenario.units.money(value)


def _rate(pricing: Pricing, cut: str, value: float | None) -> str:
    """Money for one of the unit or each, without its sign."""
    if value is None:
        return "-"
    scenario = pricing.plan.scenario
    return f"{scenario.units.price(value, scenario.cuts[cut].by_each):,.2f}"


def _share(share: float | None) -> str:
    return "-" if share is None else show_share(share)


def _target(pricing: Pricing) -> str:
    return f"{pricing.target * 100:.4g}%"


def _wanted(pricing: Pricing) -> str:
    return f"for {_target(pricing)}"


def _cuts(pricing: Pricing) -> list[str]:
    """What has a cost of its own; by-products that are sold, and what has none, in lines below."""
    scenario, groups = pricing.plan.scenario, []
    for species, cuts in by_species(scenario, pricing.cuts):
        own = [each for each in cuts if each.made and not each.byproduct]
        rows = [_cut_row(pricing, each) for each in own if each.cut not in pricing.free]
        groups.append(Group(species, rows, _aside(pricing, cuts)))
    if not any(group.rows for group in groups):
        return []
    heads = ("", "made", "cost", "cost of one", "price", "margin", _wanted(pricing))
    told = [group for group in groups if group.rows or group.below]
    # minutes of a blend are its own cost, those of the breaks are shared over all cuts
    same = SAME_MARGIN.format(bench=" but for bench time" if pricing.bench_cost else "")
    return [
        f"CUTS ({scenario.unit}, or each): cost of the head shared by {METHOD}",
        grouped_table(told, heads, ("left", *["right"] * 6)),
        *wrapped(same, 2),
    ]


def _cut_row(pricing: Pricing, each: CutCost) -> list[str]:
    one, scenario = each.cost_of_one, pricing.plan.scenario
    name = cut_name(each.cut, each.by_each)
    return [
        clip(name, (31 if each.by_each else 30) - inset(scenario)),
        scenario.show_amount(each.cut, each.made),
        f"{each.cost:,.2f}",
        _rate(pricing, each.cut, one),
        _rate(pricing, each.cut, each.price),
        _share(each.margin),
        _rate(pricing, each.cut, None if one is None else pricing.price_for(one)),
    ]


def _aside(pricing: Pricing, cuts: Sequence[CutCost]) -> list[str]:
    """By-products that are sold, and what is made and has no cost."""
    scenario = pricing.plan.scenario
    sold = [
        f"{clip(each.cut, 40)} {_money(pricing, each.cost)} "
        f"for {scenario.show_amount(each.cut, each.amount)} sold"
        for each in cuts
        if each.byproduct and each.cost
    ]
    free = [each.cut for each in cuts if each.cut in pricing.free]
    lines = [f"by-products: {'; '.join(sold)}"] if sold else []
    lines += [f"no cost, because nobody pays for it: {', '.join(free)}"] if free else []
    return [line for each in lines for line in wrapped(each, 2 + inset(scenario))]


def _ways(pricing: Pricing) -> list[str]:
    """Yield tests, those of a piece under a line of their own; main cuts give way to figures."""
    if not pricing.ways:
        return []
    scenario, groups = pricing.plan.scenario, []
    margin = " " * (2 + inset(scenario))
    for species, ways in by_species(scenario, pricing.ways):
        above = heading(species)
        for piece, tests in groupby(ways, key=partial(_piece, pricing)):
            rows = [_way_row(pricing, each) for each in tests]
            groups.append(Group("", rows, above=[*above, f"{margin}{piece}"]))
            above = []
    heads = ["", "plan", "usable", f"cost/{scenario.unit}", "factor", "main cut", "margin"]
    align = ("left", "right", "right", "right", "right", "left", "right", "right")
    shown = grouped_table(groups, [*heads, _wanted(pricing)], align, WIDTH, (5,))
    free = any(each.test.credits_pay for each in pricing.ways)
    charges = CHARGES.format(money=scenario.money, unit=UNITS[scenario.unit])
    return ["YIELD TESTS", shown, *(wrapped(CREDITS_PAY, 2) if free else ()), *wrapped(charges, 2)]


def _piece(pricing: Pricing, each: WayTest) -> str:
    """`shoulder of lamb, 6.4 lb, charged $8.20/lb`."""
    scenario, test = pricing.plan.scenario, each.test
    weight, rate = scenario.units.weight(test.weight), scenario.units.rate(test.price)
    several = len({way.source for way in pricing.ways}) > 1
    named = each.bought or each.piece.startswith(f"{each.source} ")  # not `lamb loin of lamb`
    source = f" of {clip(each.source, 20)}" if several and not named else ""
    paid = "bought at" if each.bought else "charged"
    return f"{clip(each.piece, 40)}{source}, {weight}, {paid} {rate}"


def _way_row(pricing: Pricing, each: WayTest) -> list[str]:
    test = each.test
    free = test.credits_pay
    return [
        clip(each.way, 22),
        f"{each.count or '-'}",
        show_share(test.usable_share),
        "-" if free else f"{pricing.plan.scenario.units.price(test.cost_per_lb):,.2f}",
        "-" if free or test.factor is None else f"{test.factor:.2f}",
        _main(pricing, each),
        _share(each.margin),
        _rate(pricing, each.main, None if free else pricing.price_for(each.cost)),
    ]


def _totals(pricing: Pricing) -> list[str]:
    """Where the cost went, what it was for, and what the week leaves."""
    plan = pricing.plan
    places = [(name, _money(pricing, value)) for name, value in pricing.places.items() if value]
    rows = [*places, ("COST", _money(pricing, pricing.cost))]
    lines = ["COST OF THE HEAD", table(rows, (), ("left", "right"))]
    for each in pricing.unshared:
        lot = plan.scenario.lots[each.lot]
        said = f"lot {lot.name}: nothing it gives has a price, so its cost is not shared"
        lines += wrapped(said, 2)
    revenue = f"revenue {_money(pricing, plan.revenue)}, gross margin {_share(pricing.margin)}"
    if pricing.bench_cost:
        revenue += f"; bench time is {_money(pricing, pricing.bench)} of the cost"
    if plan.overtime:
        revenue += f"; overtime pay of {_money(pricing, plan.overtime)} is not in it"
    return [*lines, *wrapped(revenue, 2)]
