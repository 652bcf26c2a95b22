"""New figures, or steps from the present ones: prices, wants, minutes, days that things keep."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

from planner.core.quantities import read_amount, read_days, read_minutes, read_price
from planner.core.recipe import Blend, Cut, Piece, Recipe, trade_names
from planner.core.scenario import Scenario, with_price
from planner.core.spelling import plain
from planner.files.change.words import is_step, moved, name_and_day, parted
from planner.files.context import Setting
from planner.files.days import spread
from planner.files.names import Names
from planner.files.rail import unknown, what
from planner.files.yamlfile import Place

PRICES: Place = ("prices",)
"""Where prices stand beside wants: with a fault there no want is blamed for having no price."""

Kept = TypeVar("Kept", Piece, Cut, Blend)


def change_price(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`loin chops: 24.99/lb`, `loin chops: +10%`: the full price of a cut.

    Orders without a price of their own follow it. A cut that nobody has asked for yet gets a price
    and no demand.
    """
    head, value = parted(text, "loin chops: 24.99/lb")
    cut = setting.cuts[setting.named(setting.cut_names, head)]

    def read(written: str) -> float:
        return setting.price(place, cut, read_price(written))

    now = scenario.demand_for(cut.name).price
    return with_price(scenario, cut.name, moved(text, value, now, read))


def change_want(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`ground lamb: 12 lb`, `ground lamb: +20%`, `ground lamb fri: 6 lb`: the want of a cut.

    An amount for the period is spread by traffic. A step keeps the proportions of the days, or
    spreads by traffic where there is no want yet. A day changes alone; a weekday means every such
    day.
    """
    head, value = parted(text, "ground lamb: 12 lb")
    name, day = name_and_day(head, setting.cut_names.known)
    cut = setting.cuts[setting.named(setting.cut_names, name)]
    demand = scenario.demand.get(cut.name)
    if demand is None or demand.price is None:
        if setting.document.unsure_within((*place[:1], *PRICES)):
            return scenario
        example = "9/each" if cut.by_each else f"22.99/{scenario.unit}"
        message = f"{cut.name} is wanted but has no price; give it a price as well, such as"
        raise ValueError(f"{message} {example}")

    def new(now: float) -> float:
        amount = moved(text, value, now, lambda each: setting.amount(place, cut, read_amount(each)))
        return float(math.floor(amount + 0.5 + 1e-9)) if cut.by_each else amount

    if day is None:
        by = demand.want if is_step(value) and any(demand.want) else scenario.traffic
        want = spread(new(sum(demand.want)), by, whole=cut.by_each)
    else:
        named = setting.period.matching(day)
        want = tuple(new(each) if n in named else each for n, each in enumerate(demand.want))
    return replace(scenario, demand={**scenario.demand, cut.name: replace(demand, want=want)})


def change_bench(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`fri: 360`, `fri: +30`, `all: 240`: the minutes of a day, or of every day.

    A step for every day leaves those on which nobody cuts as they are.
    """
    head, value = parted(text, "fri: 360")
    every = head.lower() == "all"
    days = range(scenario.days) if every else setting.period.matching(head)
    if scenario.bench is None and (not every or is_step(value)):
        if setting.document.unsure_within(place[:-1]):  # the bench of every day was faulty
            return scenario
        message = "the bench has no limit yet; set every day first, such as all: 240"
        raise ValueError(f'"{text}": {message}')
    bench = list(scenario.bench or (0.0,) * scenario.days)
    for day in days:
        if not every or bench[day] or not is_step(value):
            bench[day] = moved(text, value, bench[day], read_minutes)
    return replace(scenario, bench=tuple(bench))


def change_keeps(setting: Setting, scenario: Scenario, _: Place, text: str) -> Scenario:
    """`rib chops: 3 days`, `rack: +1 day`: how long a cut, a blend or a piece keeps.

    Lots and case stock follow, but for those with days left of their own.
    """
    head, value = parted(text, "rib chops: 3 days")
    name = _kept_thing(setting, head)
    kept: dict[str, Piece | Cut] = {**scenario.cuts}
    for recipe in setting.recipes:
        kept |= recipe.pieces
    moved_days = moved(text, value, kept[name].keeps, lambda each: float(read_days(each)))
    days = read_days(f"{moved_days:g} days")
    recipes = {each.species: _recipe_keeping(each, name, days) for each in scenario.recipes}
    return replace(
        scenario,
        recipes=tuple(recipes.values()),
        own_blends=_keeping(scenario.own_blends, name, days),
        lots=tuple(
            replace(
                lot,
                recipe=recipes[lot.recipe.species],
                keeps=days if lot.piece == name and not lot.own_keeps else lot.keeps,
            )
            for lot in scenario.lots
        ),
        case=tuple(
            replace(stock, keeps=days) if stock.cut == name and not stock.own_keeps else stock
            for stock in scenario.case
        ),
    )


def _kept_thing(setting: Setting, text: str) -> str:
    """The cut, blend or piece that a text names; a species means its root."""
    names = Names(
        "cut, blend or piece",
        {each.species: [*each.cuts, *each.blends, *each.pieces] for each in setting.recipes},
        {},
        {name: name for name in setting.own_blends},
        trade_names(setting.recipes, setting.own_blends),
    )
    if not names.known(text):
        if lot := what(setting, text):
            return lot[1]
        species = [one for each in setting.recipes for one in (each.species, *each.known_as)]
        if plain(text) in map(plain, species):
            raise ValueError(unknown(setting, text))
    return setting.named(names, text)


def _keeping(things: Mapping[str, Kept], name: str, days: int) -> dict[str, Kept]:
    """These things by name, the one that is named with other days."""

    def changed(thing: Kept) -> Kept:
        if isinstance(thing, Blend):
            return replace(thing, cut=replace(thing.cut, keeps=days))
        return replace(thing, keeps=days)

    return {each: changed(thing) if each == name else thing for each, thing in things.items()}


def _recipe_keeping(recipe: Recipe, name: str, days: int) -> Recipe:
    if name not in {*recipe.pieces, *recipe.cuts, *recipe.blends}:
        return recipe
    return replace(
        recipe,
        pieces=_keeping(recipe.pieces, name, days),
        cuts=_keeping(recipe.cuts, name, days),
        blends=_keeping(recipe.blends, name, days),
    )
