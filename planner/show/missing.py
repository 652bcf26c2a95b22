"""What has to be entered before there is anything to plan, and the commands that enter it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.core.recipe import full_name
from planner.core.scenario import Scenario


def missing_words(scenario: Scenario) -> tuple[str, ...]:
    """What is missing, a few sentences; none where something can be cut or sold, and is wanted."""
    return (*_to_cut(scenario), *_wanted(scenario))


def _to_cut(scenario: Scenario) -> Iterator[str]:
    if any(lot.count for lot in scenario.lots) or any(each.amount for each in scenario.case):
        return
    yield "Nothing is on the rail, in the cooler or in the case, so there is nothing to plan."
    recipe, unit = scenario.recipes[0], scenario.unit
    if scenario.of_shop:
        root = full_name(recipe.species, recipe.roots[0])
        price = f"at 7.10/{unit}"
        yield f'Enter what arrives: breakplan journal add "delivery {root}: 58 {unit} {price}"'
        yield "Count what is there already: breakplan counts"
    else:
        yield (
            f"Write what arrives under rail: - {{{recipe.species}: 2 head at 58 {unit}, "
            f"arrives: {scenario.day_labels[0]}}}; and what is there already under case."
        )


def _wanted(scenario: Scenario) -> Iterator[str]:
    wants = (
        amount for each in scenario.demand.values() for amount in (*each.want, *each.markdown_want)
    )
    if scenario.orders or scenario.held or any(wants):
        return
    chops = [cut.name for cut in scenario.cuts.values() if cut.kind == "chop"]
    cut = [*scenario.demand, *chops, *scenario.cuts][0]
    amount = "2" if scenario.cuts[cut].by_each else f"2 {scenario.unit}"
    price = f"20/{'each' if scenario.cuts[cut].by_each else scenario.unit}"
    last = scenario.day_labels[-1]
    yield "Nothing is wanted on these days, so nothing is worth cutting."
    wanted = f"demand: {cut}: {{price: {price}, want: {amount}}}"
    if scenario.of_shop:
        yield f"Write what customers want into shop.yaml: {wanted}"
        order = f"order {cut}: {amount} on {last} at {price}"
        yield f'Enter orders: breakplan journal add "{order}"'
    else:
        yield f"Write what customers want into the file: {wanted}"
