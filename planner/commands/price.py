"""`breakplan price`: what each cut costs, its margin, and the price for the margin wanted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import common
from planner.commands.common import given, options_within, tell_warnings, wrong
from planner.commands.starting import start_of
from planner.core.errors import InputError, Problem

if TYPE_CHECKING:
    from planner.commands.replan import InShop
    from planner.core.scenario import Scenario

EXAMPLE = "Example: breakplan price corner-shop --margin 45%"


def price(
    file: common.ScenarioFile,
    margin: Annotated[
        str, typer.Option(metavar="SHARE", help="Gross margin wanted, as a share of the price.")
    ] = "40%",
    cost: Annotated[
        list[str] | None,
        typer.Option(
            metavar="COST",
            help="Cost of the lots that have none: 7.10/lb, or `lamb: 7.10/lb`. Repeatable.",
        ),
    ] = None,
    bench_cost: Annotated[
        str, typer.Option(metavar="MONEY", help="What a minute at the bench costs.")
    ] = "0",
    everything: common.All = False,
    json: common.Json = False,
    within: common.Within = None,
    seconds: common.Seconds = 60.0,
    solver: common.Solver = "highs",
) -> None:
    """The gross margin of the week, and which prices and ways leave less than the margin wanted.

    With --all also the cost and margin of every cut, and the yield test of every way.
    """
    from planner.ask.lot_cost import read_costs, with_costs
    from planner.ask.price import price_week
    from planner.core.quantities import read_money, read_share
    from planner.show.data import json_text
    from planner.show.price import price_text
    from planner.show.price_data import price_data
    from planner.show.progress import progress_line

    options = options_within(within, seconds, solver)
    target, wage = (
        given("--margin", margin, read_share),
        given("--bench-cost", bench_cost, read_money),
    )
    if target >= 1:
        raise wrong("--margin", f'no price leaves "{margin}": a margin is a share of the price')
    start = start_of(file)
    scenario = start.scenario
    costs = read_costs(scenario, cost or ())
    if start.found:
        scenario, costs = _costs_in_shop(start.found, scenario, costs)
    scenario = with_costs(scenario, costs)
    shown = start.plan(options)
    with progress_line(scenario.units) as progress:
        pricing = price_week(scenario, target, wage, options, progress, shown)
    typer.echo(json_text(price_data(pricing)) if json else price_text(pricing, everything))


def _costs_in_shop(
    found: InShop, scenario: Scenario, costs: Mapping[str, float]
) -> tuple[Scenario, dict[str, float]]:
    """The scenario with the costs that the journal tells, and what it has none for at nothing.

    Where that is said on standard error. Costs that are given count before those of the journal.
    """
    from planner.shop.week.costs import costs_now, no_price_words, shared_words, unknown_words

    costed = costs_now(scenario, found.state.recorded, costs)
    messages = [no_price_words(lot, free, scenario.units) for lot, free in costed.unpriced]
    if messages:
        raise InputError([Problem("--cost", 0, each) for each in dict.fromkeys(messages)])
    for told in shared_words(costed.shared, scenario.units):
        typer.echo(told, err=True)
    tell_warnings(unknown_words(costed.unknown, scenario.units))
    needed = {lot.name for lot in costed.scenario.lots if not lot.cost}
    used = {source.name for _, source in costed.shared} - needed  # of head that are cut already
    left = {name: money for name, money in costs.items() if name not in used}
    return costed.scenario, {**left, **{lot.name: 0.0 for lot in costed.unknown}}
