"""What no plan of a scenario can earn, told without a solver: loose, and always there."""

from __future__ import annotations

from planner.core.scenario import Scenario


def ceiling(scenario: Scenario) -> float:
    """Money that no plan's score exceeds.

    The less of two: all that there is fetches the best price anyone would pay for it, or all that
    anyone wants is sold and what there is still lies there to be carried.
    """
    best = _best_prices(scenario)
    there = sum(stock.amount * best[stock.cut] for stock in scenario.case)
    for lot in scenario.lots:
        cost = lot.weight * lot.cost if lot.up_to else 0.0
        # a piece left whole fetches no more than the best of its ways
        there += lot.count * max(0.0, scenario.full_values(lot, best)[lot.piece] - cost)
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
