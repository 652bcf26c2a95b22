"""Costs and margins of cuts and ways, for a person and for machines."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from planner.ask.pricing import CutCost, Pricing
from planner.ask.yieldtest import WayTest
from planner.measures import POUNDS, show_money, show_share, show_weight
from planner.show.amounts import Figures, show_amount
from planner.show.json import FORMAT
from planner.show.layout import WIDTH, clip, table, wrapped
from planner.show.species import Group, by_species, grouped_table, heading, inset
from planner.show.text import proof

METHOD = "sales value at split-off"
SAME_MARGIN = (
    "Shared so, all cuts of a lot earn the same margin{bench}, whatever they are: the costs above "
    "say what each cut may cost, not which one earns. The yield tests tell the ways apart."
)
ESTIMATES = (
    "These costs are estimates from planned yields, and set no prices: weigh-ins correct them."
)
CHARGES = (
    "What was bought is charged at its price, a piece of it at its part by sales value. Bones and "
    "fat are credited at what the week takes for them, trim for the grind and pieces at their part "
    "of the cost. factor: cost of a usable {unit} for each {money} paid a {unit}. plan: how many "
    "are cut so."
)
CREDITS_PAY = "a `-` under cost: its by-products alone pay for it"
MAIN = "main cut"

UNITS = {"lb": "pound", "kg": "kilogram"}


def price_text(pricing: Pricing) -> str:
    """What was paid, the cuts, the ways, and what holds for all of it."""
    parts = [
        clip(pricing.plan.scenario.title, WIDTH),
        "\n".join(wrapped(proof(pricing.plan))) if pricing.plan.status == "time limit" else "",
        _cuts(pricing),
        _ways(pricing),
        _totals(pricing),
        ESTIMATES,
    ]
    return "\n\n".join(part for part in parts if part)


def _money(pricing: Pricing, value: float) -> str:
    return show_money(value, pricing.plan.scenario.money)


def _rate(pricing: Pricing, cut: str, value: float | None) -> str:
    """Money for one of the unit or each, without its sign."""
    if value is None:
        return "-"
    return f"{Figures(pricing.plan.scenario).price(cut, value):,.2f}"


def _share(share: float | None) -> str:
    return "-" if share is None else show_share(share)


def _wanted(pricing: Pricing) -> str:
    return f"for {pricing.target * 100:.4g}%"


def _cuts(pricing: Pricing) -> str:
    scenario = pricing.plan.scenario
    groups = [
        _cut_group(pricing, species, cuts)
        for species, cuts in by_species(scenario, pricing.cuts, lambda each: each.species)
    ]
    if not any(group.rows for group in groups):
        return ""
    heads = ("", "made", "cost", "cost of one", "price", "margin", _wanted(pricing))
    told = [group for group in groups if group.rows or group.below]
    lines = [
        f"CUTS ({scenario.unit}, or each): cost of the head shared by {METHOD}",
        grouped_table(told, heads, ("left", *["right"] * 6)),
    ]
    # minutes of a blend are its own cost, those of the breaks are shared over all cuts
    same = SAME_MARGIN.format(bench=" but for bench time" if pricing.bench_cost else "")
    return "\n".join([*lines, *wrapped(same, 2)])


def _cut_group(pricing: Pricing, species: str, cuts: Sequence[CutCost]) -> Group:
    """What has a cost of its own; by-products that are sold, and what has none, in lines below."""
    free = pricing.free
    rows = [
        _cut_row(pricing, each)
        for each in cuts
        if each.made and not each.byproduct and each.cut not in free
    ]
    return Group(species, rows, _aside(pricing, cuts))


def _name(cut: str, width: int, by_each: bool) -> str:
    return f"{clip(cut, width)}{' (each)' if by_each else ''}"


def _cut_row(pricing: Pricing, each: CutCost) -> list[str]:
    one = each.cost_of_one
    made = show_amount(pricing.plan.scenario, each.cut, each.made)
    width = 24 if each.by_each else 30
    return [
        _name(each.cut, width - inset(pricing.plan.scenario), each.by_each),
        made,
        f"{each.cost:,.2f}",
        _rate(pricing, each.cut, one),
        _rate(pricing, each.cut, each.price),
        _share(each.margin),
        _rate(pricing, each.cut, None if one is None else pricing.price_for(one)),
    ]


def _aside(pricing: Pricing, cuts: Sequence[CutCost]) -> list[str]:
    """By-products that are sold, and what is made and has no cost."""
    scenario = pricing.plan.scenario
    lines, margin = [], 2 + inset(scenario)
    sold = [each for each in cuts if each.byproduct and each.cost]
    if sold:
        said = "; ".join(
            f"{clip(each.cut, 40)} {_money(pricing, each.cost)} "
            f"for {show_amount(scenario, each.cut, each.amount)} sold"
            for each in sold
        )
        lines += wrapped(f"by-products: {said}", margin)
    free = [each.cut for each in cuts if each.cut in pricing.free]
    if free:
        lines += wrapped(f"no cost, for nobody pays for it: {', '.join(free)}", margin)
    return lines


def _ways(pricing: Pricing) -> str:
    """Yield tests, those of a piece under a line of their own."""
    if not pricing.ways:
        return ""
    scenario = pricing.plan.scenario
    groups = by_species(scenario, pricing.ways, lambda each: each.species)
    space = " " * inset(scenario)
    shown = _ways_table(pricing, [each for _, group in groups for each in group])
    head, *lines = (f"{space}{line}" for line in shown.split("\n"))
    text, said = ["YIELD TESTS", head], ""
    for species, group in groups:
        text += heading(species)
        for each in group:
            piece = f"{space}  {_piece(pricing, each)}"
            text += [lines.pop(0)] if piece == said else [piece, lines.pop(0)]
            said = piece
    if any(each.test.credits_pay for each in pricing.ways):
        text += wrapped(CREDITS_PAY, 2)
    charges = CHARGES.format(money=scenario.money, unit=UNITS[scenario.unit])
    return "\n".join([*text, *wrapped(charges, 2)])


def _ways_table(pricing: Pricing, ways: Sequence[WayTest]) -> str:
    """A line for the heads and one for each way; main cuts are clipped to what figures leave."""
    scenario = pricing.plan.scenario
    heads = ["", "plan", "usable", f"cost/{scenario.unit}", "factor", MAIN, "margin"]
    heads.append(_wanted(pricing))
    align = ("left", "right", "right", "right", "right", "left", "right", "right")
    rows, margin, at = (
        [_way_row(pricing, each) for each in ways],
        inset(scenario),
        heads.index(MAIN),
    )
    padded = heads if margin else [f"  {head}" for head in heads]  # as tables have their heads
    widths = [2 + max(map(len, column)) for column in zip(padded, *rows, strict=True)]
    room = WIDTH - margin - sum(widths) + widths[at] - 2
    for each, row in zip(ways, rows, strict=True):
        by_each = scenario.cuts[each.main].by_each
        row[at] = _name(each.main, min(22, room - len(_name("", 0, by_each))), by_each)
    return table([heads, *rows], (), align) if margin else table(rows, heads, align)


def _piece(pricing: Pricing, each: WayTest) -> str:
    """`shoulder of lamb, 6.4 lb, charged $8.20/lb`."""
    scenario, test = pricing.plan.scenario, each.test
    weight, rate = show_weight(test.weight, scenario.unit), _per_weight(pricing, test.price)
    paid = f"{_money(pricing, rate)}/{scenario.unit}"
    if each.bought:
        return f"{clip(each.piece, 40)}, {weight}, bought at {paid}"
    several = len({way.source for way in pricing.ways}) > 1
    named = each.piece.startswith(f"{each.source} ")  # not `lamb loin of lamb`
    source = f" of {clip(each.source, 20)}" if several and not named else ""
    return f"{clip(each.piece, 40)}{source}, {weight}, charged {paid}"


def _per_weight(pricing: Pricing, value: float) -> float:
    """Money a pound as money for one of the unit."""
    return value * POUNDS[pricing.plan.scenario.unit]


def _way_row(pricing: Pricing, each: WayTest) -> list[str]:
    test = each.test
    free = test.credits_pay
    return [
        clip(each.way, 22),
        f"{each.count or '-'}",
        show_share(test.usable_share),
        "-" if free else f"{_per_weight(pricing, test.cost_per_lb):,.2f}",
        "-" if free or test.factor is None else f"{test.factor:.2f}",
        "",
        _share(each.margin),
        _rate(pricing, each.main, None if free else pricing.price_for(each.cost)),
    ]


def _totals(pricing: Pricing) -> str:
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
    return "\n".join([*lines, *wrapped(revenue, 2)])


def price_json(pricing: Pricing) -> str:
    """The costs as JSON text; weights and rates in the scenario's unit.

    `cost of one`, `price` and `price for margin` are for one of the unit or each. What has no
    price, and what no amount bears, is null.
    """
    return json.dumps(price_data(pricing), indent=1, ensure_ascii=False)


def price_data(pricing: Pricing) -> dict[str, Any]:
    """The costs as the maps and lists of their JSON."""
    plan, figures = pricing.plan, Figures(pricing.plan.scenario)
    number = figures.number
    return {
        "format": FORMAT,
        "title": plan.scenario.title,
        "unit": plan.scenario.unit,
        "money": plan.scenario.money,
        "method": METHOD,
        "target": number(pricing.target),
        "bench cost": number(pricing.bench_cost),
        "score": number(plan.score),
        "within": number(plan.within),
        "status": plan.status,
        "revenue": number(plan.revenue),
        "margin": _optional(pricing.margin),
        "cost": number(pricing.cost),
        "places": {name: number(value) for name, value in pricing.places.items()},
        "lots": [
            {
                "lot": each.lot,
                "name": plan.scenario.lots[each.lot].name,
                "head": each.head,
                "paid": number(each.paid),
                "bench": number(each.bench),
                "value": number(each.value),
            }
            for each in pricing.lots
        ],
        "cuts": [_cut_data(pricing, each) for each in pricing.cuts if each.made or each.cost],
        "whole": [
            {
                "lot": each.uncut.lot,
                "piece": each.uncut.piece,
                "count": each.uncut.count,
                "state": "wasted" if each.uncut.wasted else "left",
                "cost": number(each.cost),
            }
            for each in pricing.uncut
        ],
        "ways": [_way_data(pricing, each) for each in pricing.ways],
    }


def _optional(value: float | None) -> float | None:
    return None if value is None else Figures.number(value)


def _price(pricing: Pricing, cut: str, value: float | None) -> float | None:
    return None if value is None else Figures(pricing.plan.scenario).price(cut, value)


def _cut_data(pricing: Pricing, each: CutCost) -> dict[str, Any]:
    scenario, one = pricing.plan.scenario, each.cost_of_one
    figures = Figures(scenario)
    return {
        "cut": each.cut,
        "species": each.species,
        "sold by": "each" if each.by_each else scenario.unit,
        "by-product": each.byproduct,
        "made": figures.amount(each.cut, each.made),
        "bears": figures.amount(each.cut, each.amount),
        "value": figures.number(each.value),
        "cost": figures.number(each.cost),
        "cost of one": _price(pricing, each.cut, one),
        "price": _price(pricing, each.cut, each.price),
        "margin": _optional(each.margin),
        "price for margin": _price(pricing, each.cut, one and pricing.price_for(one)),
    }


def _way_data(pricing: Pricing, each: WayTest) -> dict[str, Any]:
    test, figures = each.test, Figures(pricing.plan.scenario)
    return {
        "species": each.species,
        "bought": each.source,
        "piece": each.piece,
        "way": each.way,
        "count": each.count,
        "weight": figures.weight(test.weight),
        "charge": figures.number(test.cost),
        "labour": figures.number(test.labour),
        "credits": {name: figures.number(money) for name, money in test.credits.items()},
        "usable": figures.weight(test.usable),
        "cost per usable": figures.number(_per_weight(pricing, test.cost_per_lb)),
        "factor": _optional(test.factor),
        "main cut": each.main,
        "cost of one": _price(pricing, each.main, each.cost),
        "price": _price(pricing, each.main, each.price),
        "margin": _optional(each.margin),
        "price for margin": _price(pricing, each.main, pricing.price_for(each.cost)),
    }
