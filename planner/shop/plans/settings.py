"""What the files of a shop say beside wants, prices, bench, rules and yields: as plain numbers."""

from __future__ import annotations

from collections import defaultdict

from planner.recipe import full_name
from planner.scenario import Scenario

BETWEEN = " | "
"""Between the parts of a name: a piece and its way, a day and what is offered."""


def settings_of(week: Scenario) -> dict[str, dict[str, float]]:
    """What the files say of a week, by group and name.

    Parameters
    ----------
    week : Scenario
        Before anything was sold or done in it.

    Returns
    -------
    dict of str to dict of str to float
        shop: overtime (minutes), overtime cost (money a minute), carry (a share), disposal (money a
        pound). keeps: days, by cut and by piece. minutes: by piece and way. markdown: its price;
        markdown want: all of the week. offer, offer cost: head, and money a pound, by day and what.
    """
    keeps = {full_name(cut.species, cut.name): float(cut.keeps) for cut in week.cuts.values()}
    minutes = {}
    for recipe in week.recipes:
        for piece, way in recipe.ways():
            name = full_name(recipe.species, piece.name)
            keeps[name] = float(piece.keeps)
            minutes[f"{name}{BETWEEN}{way.name}"] = way.minutes
    heads: dict[str, float] = defaultdict(float)
    costs: dict[str, float] = {}
    for lot in week.lots:
        if lot.up_to:
            what = full_name(lot.recipe.species, lot.piece)
            name = f"{week.date(lot.arrives).isoformat()}{BETWEEN}{what}"
            heads[name] += lot.count
            costs[name] = max(costs.get(name, 0.0), lot.cost)
    marked = {
        cut_name(week, name): each for name, each in week.demand.items() if any(each.markdown_want)
    }
    return {
        "shop": {
            "overtime": week.overtime_limit,
            "overtime cost": week.overtime_cost,
            "carry": week.carry,
            "disposal": week.disposal,
        },
        "keeps": keeps,
        "minutes": minutes,
        "markdown": {name: each.markdown_price for name, each in marked.items()},
        "markdown want": {name: sum(each.markdown_want) for name, each in marked.items()},
        "offer": dict(heads),
        "offer cost": costs,
    }


def cut_name(scenario: Scenario, cut: str) -> str:
    """The name of a cut of a scenario with its species in front."""
    return full_name(scenario.cuts[cut].species, cut)
