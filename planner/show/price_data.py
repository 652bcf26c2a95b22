"""Costs and margins of cuts and ways for machines."""

from __future__ import annotations

from typing import Any

from planner.ask.pricing import Pricing
from planner.show.data import Data, head, shape

METHOD = "sales value at split-off"

_COSTS = shape(
    "target: number, bench cost: number, score = plan.score: number,"
    "within = plan.within: number, status = plan.status, revenue = plan.revenue: number,"
    "margin: number, cost: number, places: number"
)
_LOT = shape("head, paid: number, bench: number, value: number")
_CUT = shape(
    "cut, species, sold by = by_each: sold, by-product = byproduct, made: amount,"
    "bears = amount: amount, value: number, cost: number, cost of one: price, price: price,"
    "margin: number"
)
_WHOLE = shape(
    "lot = uncut.lot, piece = uncut.piece, count = uncut.count, state = uncut.wasted: state,"
    "cost: number"
)
_WAY = shape(
    "species, bought = source, piece, way, count, weight = test.weight: weight,"
    "charge = test.cost: number, labour = test.labour: number, credits = test.credits: number,"
    "usable = test.usable: weight, cost per usable = test.cost_per_lb: rate,"
    "factor = test.factor: number, main cut = main, cost of one = cost: price of main,"
    "price: price of main, margin: number"
)


def price_data(pricing: Pricing) -> dict[str, Any]:
    """The costs; weights and rates in the scenario's unit.

    `cost of one`, `price` and `price for margin` are for one of the unit or each. What has no
    price, and what no amount bears, is null.
    """
    plan, data = pricing.plan, Data(pricing.plan.scenario)

    def for_margin(cut: str, cost: float | None) -> float | None:
        price = cost and pricing.price_for(cost)
        return None if price is None else data.price(cut, price)

    return {
        **head(plan.scenario),
        "method": METHOD,
        **data.one(_COSTS, pricing),
        "lots": [
            {"lot": each.lot, "name": plan.scenario.lots[each.lot].name, **data.one(_LOT, each)}
            for each in pricing.lots
        ],
        "cuts": [
            {**data.one(_CUT, each), "price for margin": for_margin(each.cut, each.cost_of_one)}
            for each in pricing.cuts
            if each.made or each.cost
        ],
        "whole": data.all(_WHOLE, pricing.uncut),
        "ways": [
            {**data.one(_WAY, each), "price for margin": for_margin(each.main, each.cost)}
            for each in pricing.ways
        ],
    }
