"""Costs and margins of cuts and ways for machines."""

from __future__ import annotations

import json
from typing import Any

from planner.ask.pricing import CutCost, Pricing
from planner.ask.yieldtest import WayTest
from planner.measures import POUNDS
from planner.show.amounts import Figures
from planner.show.json import FORMAT

METHOD = "sales value at split-off"


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
    unit = pricing.plan.scenario.unit
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
        "cost per usable": figures.number(test.cost_per_lb * POUNDS[unit]),
        "factor": _optional(test.factor),
        "main cut": each.main,
        "cost of one": _price(pricing, each.main, each.cost),
        "price": _price(pricing, each.main, each.price),
        "margin": _optional(each.margin),
        "price for margin": _price(pricing, each.main, pricing.price_for(each.cost)),
    }
