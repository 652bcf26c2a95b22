"""How long things keep."""

from __future__ import annotations

from dataclasses import replace

from planner.core.quantities import read_days
from planner.core.recipe import Blend, Recipe, trade_names
from planner.core.scenario import Scenario, Stock
from planner.core.spelling import plain
from planner.files.change.words import moved, parted
from planner.files.context import Setting
from planner.files.names import Names
from planner.files.rail import blame_name, what
from planner.files.yamlfile import Place


def change_keeps(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`rib chops: 3 days`, `rack: +1 day`: how long a cut, a blend or a piece keeps.

    Lots and case stock follow, but for those with days left of their own.
    """
    parts = parted(setting, place, text, "rib chops: 3 days")
    found = _find(setting, place, parts[0]) if parts else None
    if parts is None or found is None:
        return scenario
    before, name = found
    now = _keeps(before, name) if before else scenario.own_blends[name].cut.keeps

    def read() -> int:
        days = moved(text, parts[1], now, lambda each: float(read_days(each)))
        return read_days(f"{days:g} days")

    def case(days: int) -> tuple[Stock, ...]:
        return tuple(
            replace(stock, keeps=days) if stock.cut == name and not stock.own_keeps else stock
            for stock in scenario.case
        )

    days = setting.attempt(place, read) or now
    if before is None:
        blend = _kept(scenario.own_blends[name], days)
        return replace(scenario, own_blends={**scenario.own_blends, name: blend}, case=case(days))
    after = _with_keeps(before, name, days)
    return replace(
        scenario,
        recipes=tuple(after if each is before else each for each in scenario.recipes),
        lots=tuple(
            replace(
                lot,
                recipe=after,
                keeps=days if lot.piece == name and not lot.own_keeps else lot.keeps,
            )
            if lot.recipe.species == before.species
            else lot
            for lot in scenario.lots
        ),
        case=case(days),
    )


def _find(setting: Setting, place: Place, text: str) -> tuple[Recipe | None, str] | None:
    """The recipe with a cut, a blend or a piece, and its name; a species means its root.

    No recipe where the blend belongs to none.
    """
    names = Names(
        "cut, blend or piece",
        {each.species: [*each.cuts, *each.blends, *each.pieces] for each in setting.recipes},
        {},
        setting.own_blends,
        known_as=trade_names(setting.recipes, setting.own_blends),
    )
    if not names.known(text) and (lot := what(setting, text)):
        return lot
    species = [one for each in setting.recipes for one in (each.species, *each.known_as)]
    if plain(text) in map(plain, species) and not names.known(text):
        blame_name(setting, place, text)
        return None
    name = setting.find(names, place, text)
    if name is None:
        return None
    for each in setting.recipes:
        if name in each.cuts or name in each.blends or name in each.pieces:
            return each, name
    return None, name


def _keeps(recipe: Recipe, name: str) -> int:
    if name in recipe.pieces:
        return recipe.pieces[name].keeps
    return recipe.cuts[name].keeps if name in recipe.cuts else recipe.blends[name].cut.keeps


def _with_keeps(recipe: Recipe, name: str, days: int) -> Recipe:
    if name in recipe.pieces:
        piece = replace(recipe.pieces[name], keeps=days)
        return replace(recipe, pieces={**recipe.pieces, name: piece})
    if name in recipe.cuts:
        cut = replace(recipe.cuts[name], keeps=days)
        return replace(recipe, cuts={**recipe.cuts, name: cut})
    blend = _kept(recipe.blends[name], days)
    return replace(recipe, blends={**recipe.blends, name: blend})


def _kept(blend: Blend, days: int) -> Blend:
    return replace(blend, cut=replace(blend.cut, keeps=days))
