"""What a way is cut for: its main cut, and what only comes along with it."""

from __future__ import annotations

from planner.core.recipe import BY_PRODUCTS, Given, Way
from planner.core.scenario import Scenario

BYPRODUCTS = (*BY_PRODUCTS, "offal")
"""Kinds that come along whatever a piece is cut for."""


def asking_price(scenario: Scenario, cut: str) -> float:
    """Full price of a cut; where it has none what its orders pay on average; else 0."""
    price = scenario.price(cut)
    orders = [order for order in scenario.orders if order.cut == cut]
    ordered = sum(order.amount for order in orders)
    if price or not ordered:
        return price
    return sum(order.amount * order.price for order in orders) / ordered


def amount_of(scenario: Scenario, given: Given, weight: float) -> float:
    """How much of a cut comes from `weight` pounds of its piece: pounds, or each for one piece."""
    return given.count if scenario.cuts[given.name].by_each else weight * given.share


def cut_for(scenario: Scenario, way: Way) -> tuple[Given, ...]:
    """The cuts a way is cut for: by-products aside.

    A way that gives by-products alone is cut for its trim and offal; never for bones or fat.
    """
    kinds = {given.name: scenario.cuts[given.name].kind for given in way.cuts}
    found = tuple(given for given in way.cuts if kinds[given.name] not in BYPRODUCTS)
    if found or way.pieces:
        return found
    return tuple(given for given in way.cuts if kinds[given.name] in ("trim", "offal"))


def main_cut(scenario: Scenario, way: Way, weight: float | None = None) -> str | None:
    """The cut that brings the most of those a way is cut for, at the asking prices.

    Where none has a price, such as trim, the heaviest. Pieces that the way gives are not followed.
    Of equals the first of the recipe is meant.

    Parameters
    ----------
    scenario : Scenario
    way : Way
    weight : float, optional
        Pounds of one piece, to weigh cuts sold by each against others; default: as on the rail.

    Returns
    -------
    str or None
        None where it is cut for nothing.
    """
    pounds = _weight_on_the_rail(scenario, way) if weight is None else weight

    def value(each: Given) -> float:
        return asking_price(scenario, each.name) * amount_of(scenario, each, pounds)

    def heft(each: Given) -> float:
        return each.count * each.share

    cuts = cut_for(scenario, way)
    best = max(cuts, key=value if any(map(value, cuts)) else heft, default=None)
    return best.name if best else None


def _weight_on_the_rail(scenario: Scenario, way: Way) -> float:
    """Pounds of a piece that is cut so, in the first lot that has it; 1 where none has."""
    for lot in scenario.lots:
        for name, weight in lot.weights().items():
            if way in lot.recipe.pieces[name].ways.values():
                return weight
    return 1.0
