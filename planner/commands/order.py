"""`breakplan order`: how many head to order of each delivery."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import common
from planner.commands.common import given, options_within
from planner.commands.starting import start_of
from planner.core.errors import InputError, Problem

if TYPE_CHECKING:
    from planner.commands.replan import InShop
    from planner.core.scenario import Scenario

EXAMPLE = "Example: breakplan order corner-shop --species lamb --up-to 8"


def order(
    file: common.ScenarioFile,
    species: Annotated[
        str | None, typer.Option(metavar="NAME", help="Deliveries of this species, or piece, only.")
    ] = None,
    up_to: Annotated[
        int, typer.Option(min=1, max=60, metavar="N", help="The most head to try.")
    ] = 12,
    cost: Annotated[
        str | None,
        typer.Option(
            metavar="COST", help="Cost of the head, such as 7.10/lb, instead of that in the file."
        ),
    ] = None,
    json: common.Json = False,
    within: common.Within = None,
    seconds: common.Seconds = 20.0,
    solver: common.Solver = "highs",
) -> None:
    """Say how many head earn the most: the score against the number of head of each delivery.

    One delivery at a time is planned with 0 to N head, all else as in the file. The time is for
    each of these plans.
    """
    from planner.ask.comparison import Comparer
    from planner.ask.order import order as order_curve
    from planner.core.quantities import per_pound, read_price
    from planner.show.data import json_text
    from planner.show.order import order_data, order_text
    from planner.show.progress import counted_line

    start = start_of(file)
    scenario = start.scenario
    if cost is None and start.found:
        scenario = _costed(start.found, scenario, species)
    price = None
    if cost is not None:
        price = given("--cost", cost, lambda text: per_pound(read_price(text), scenario.unit))
    options = options_within(within, seconds, solver)
    comparer = Comparer(
        scenario, options, None, lambda: replace(start.plan(options), scenario=scenario)
    )
    with counted_line("numbers of head") as told:
        curve = order_curve(comparer, species, up_to, price, told)
    typer.echo(json_text(order_data(curve)) if json else order_text(curve))


def _costed(shop: InShop, scenario: Scenario, species: str | None) -> Scenario:
    """A shop's scenario with the costs that its journal tells."""
    from planner.shop.week.costs import costs_now, no_price_words

    found = costs_now(scenario, shop.state.recorded)
    messages = [
        no_price_words(lot, free, scenario.units, all_of=True)
        for lot, free in found.unpriced
        if lot.piece in lot.recipe.roots and species in (None, lot.recipe.species, lot.name)
    ]
    if messages:
        raise InputError([Problem("--cost", 0, each) for each in dict.fromkeys(messages)])
    return found.scenario
