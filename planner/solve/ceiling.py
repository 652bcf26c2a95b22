"""What no plan of a scenario can earn, told without a solver: loose, and always there."""

from __future__ import annotations

from planner.core.scenario import Lot, Scenario


def ceiling(scenario: Scenario) -> float:
    """Money that no plan's score exceeds.

    The less of two: all that there is fetches the best price anyone would pay for it, or all that
    anyone wants is sold and what there is still lies there to be carried.
    """
    best = _best_prices(scenario)
    there = sum(stock.amount * best[stock.cut] for stock in scenario.case)
    for lot in scenario.lots:
        cost = lot.weight * lot.cost if lot.up_to else 0.0
        there += lot.count * max(0.0, _value(scenario, lot, best) - cost)
    asked = sum(order.amount * order.price for order in scenario.orders)
    for demand in scenario.demand.values():
        asked += (demand.price or 0.0) * sum(demand.want)
        asked += demand.markdown_price * sum(demand.markdown_want)
    return min(there * max(1.0, scenario.carry), asked + there * scenario.carry)


def _best_prices(scenario: Scenario) -> dict[str, float]:
    """The most that a pound, or one, of each cut can fetch: as it is, or in a blend."""
    best = {name: scenario.price(name) for name in scenario.cuts}
    for order in scenario.orders:
        best[order.cut] = max(best[order.cut], order.price)
    for name, demand in scenario.demand.items():
        best[name] = max(best[name], demand.markdown_price)
    for _ in scenario.blends:  # a blend may go into another
        for name, blend in scenario.blends.items():
            for cut in blend.takes:
                best[cut] = max(best[cut], blend.gain * best[name])
    return best


def _value(scenario: Scenario, lot: Lot, best: dict[str, float]) -> float:
    """The most that one of a lot can fetch, over its ways; a piece left whole no more than that."""
    weights = lot.weights()
    values: dict[str, float] = {}
    for name in reversed(weights):  # children first
        values[name] = max(
            sum(each.count * values[each.name] for each in way.pieces)
            + sum(
                best[each.name]
                * (each.count if scenario.cuts[each.name].by_each else weights[name] * each.share)
                for each in way.cuts
            )
            for way in lot.recipe.pieces[name].ways.values()
        )
    return values[lot.piece]
