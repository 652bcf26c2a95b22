"""What keeps an order from being filled: lift limits one by one, and try the order again."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import replace

from planner.core.errors import TooLargeError
from planner.core.recipe import Blend, Recipe
from planner.core.scenario import Order, Scenario
from planner.core.stock_replay import DUST
from planner.solve import Options, Search, Solution
from planner.solve.conflict import none_to_spare
from planner.solve.linear import total
from planner.solve.model import BreakModel

Lift = Callable[[Scenario], Scenario]

ENOUGH = 50
"""Times the head on the rail: more than any order asks for."""

WORTH = 0.01
"""More of an order is only more from this share of it on."""

NOTHING = "head: nothing on the rail gives more of it"
"""Where no limit lifted helps at all."""

FREE = "its price: what earns nothing is filled last"
"""Where an order at no price could be filled as things are."""

QUESTION = 2.0
"""Seconds for one question; a wrong `no` only makes the answer less helpful."""


def binding_limits(
    scenario: Scenario, solution: Solution, seconds: float
) -> dict[int, tuple[str, ...]]:
    """For each order that falls short, what would let more of it be filled if it alone were lifted.

    Where nothing alone would, the limits that have to be lifted together. Nothing for the orders
    that are left when the time is over.
    """
    short = [order for order in scenario.orders if solution.filled[order.index] < order.amount]
    ends = time.perf_counter() + seconds
    return {order.index: _binds(scenario, order, solution.filled, ends) for order in short}


def _binds(
    scenario: Scenario, order: Order, filled: Mapping[int, float], ends: float
) -> tuple[str, ...]:
    lifts = _lifts(scenario, order)
    others = {number: least for number, least in filled.items() if number != order.index}
    wanted = min(order.amount, filled[order.index] + WORTH * order.amount)

    def helps(names: list[str]) -> bool:
        left = min(QUESTION, ends - time.perf_counter())
        lifted = scenario
        for name in names:
            lifted = lifts[name](lifted)
        return left > 0 and _can_fill(lifted, order, others, wanted, left)

    if order.price == 0 and helps([]):
        return (FREE,)
    alone = [name for name in lifts if helps([name])]
    if alone:
        return tuple(alone)
    if not helps(list(lifts)):
        return (NOTHING,) if time.perf_counter() < ends else ()
    return tuple(none_to_spare(list(lifts), helps))


def _can_fill(
    scenario: Scenario, order: Order, others: Mapping[int, float], amount: float, seconds: float
) -> bool:
    """Whether an amount of an order can be filled while the other orders keep what they have."""
    try:
        model = BreakModel(scenario)
    except TooLargeError:  # with a limit lifted; then nobody can tell
        return False
    search = Search(model, Options(seconds=seconds))
    floors = {each.index: others[each.index] for each in scenario.orders if each != order}
    most = search.most(total([(model.filled[order.index], 1.0)]), floors, amount - DUST)
    return most is not None and most >= amount - DUST


def _lifts(scenario: Scenario, order: Order) -> dict[str, Lift]:
    lifts: dict[str, Lift] = {
        "head": lambda s: replace(
            s, lots=tuple(replace(lot, count=lot.count * ENOUGH) for lot in s.lots)
        ),
        "day of delivery": lambda s: replace(
            s, lots=tuple(replace(lot, arrives=0, keeps=lot.keeps + lot.arrives) for lot in s.lots)
        ),
        "bench time": lambda s: replace(s, bench=None),
        "shelf life": _nothing_spoils,
    }
    for rule in scenario.rules:
        lifts[f'the rule "{rule}"'] = lambda s, rule=rule: replace(  # type: ignore[misc]
            s, rules=tuple(each for each in s.rules if each != rule)
        )
    if len(scenario.orders) > 1:
        lifts["other orders"] = lambda s: replace(s, orders=(order,))
    return lifts


def _nothing_spoils(scenario: Scenario) -> Scenario:
    days = scenario.days

    def kept(blends: Mapping[str, Blend]) -> dict[str, Blend]:
        return {
            name: replace(each, cut=replace(each.cut, keeps=days)) for name, each in blends.items()
        }

    def fresh(recipe: Recipe) -> Recipe:
        return replace(
            recipe,
            pieces={name: replace(each, keeps=days) for name, each in recipe.pieces.items()},
            cuts={name: replace(each, keeps=days) for name, each in recipe.cuts.items()},
            blends=kept(recipe.blends),
        )

    return replace(
        scenario,
        recipes=tuple(fresh(recipe) for recipe in scenario.recipes),
        own_blends=kept(scenario.own_blends),
        lots=tuple(
            replace(lot, recipe=fresh(lot.recipe), keeps=max(days, lot.keeps))
            for lot in scenario.lots
        ),
        case=tuple(replace(stock, keeps=max(days, stock.keeps)) for stock in scenario.case),
    )
