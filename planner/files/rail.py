"""The lots on the rail."""

from __future__ import annotations

from planner import measures
from planner.files.scenario_shape import LotShape
from planner.files.setting import Setting
from planner.recipe import Recipe
from planner.scenario import Lot
from planner.yamlfile import Place, nearest

MOST_WEIGHT = 5_000
"""Pounds: heavier than any carcass."""


def read_rail(setting: Setting) -> tuple[Lot, ...]:
    """Lots in the order of the file; their positions are their numbers."""
    lots: list[Lot] = []
    for place, shape in setting.present(("rail",), setting.shape.rail):
        lot = _lot(setting, place, shape, len(lots))
        if lot:
            lots.append(lot)
    return tuple(lots)


def _lot(setting: Setting, place: Place, shape: LotShape, index: int) -> Lot | None:
    names = shape.model_extra or {}
    found = {name: _what(setting, name) for name in names}
    known = [name for name, what in found.items() if what]
    if len(known) > 1:
        setting.document.fault(place, f"two things in one lot ({known[0]}, {known[1]})")
    if setting.recipes_are_known:
        _blame_unknown(setting, place, names, bool(known))
    if not known:
        return None
    recipe, piece = found[known[0]] or (setting.recipes[0], "")
    here = (*place, known[0])
    text = names[known[0]]
    if not isinstance(text, str):
        setting.document.fault(here, "write how many and the weight of one: 3 head at 58 lb")
        return None
    size = setting.attempt(here, lambda: measures.read_lot_size(text))
    if size is None:
        return None
    weight = measures.pounds(size.weight, setting.shape.unit)
    if weight > MOST_WEIGHT:
        setting.document.fault(here, f'"{text}": one weighs more than {MOST_WEIGHT} lb')
    if size.up_to and not (shape.cost and shape.cost.number):
        setting.document.odd(here, "may be bought but has no cost, so it is taken as free")
    return Lot(
        index=index,
        recipe=recipe,
        piece=piece,
        count=size.count,
        word=size.word,
        weight=weight,
        arrives=setting.one_day((*place, "arrives"), shape.arrives) if shape.arrives else 0,
        keeps=shape.keeps or recipe.pieces[piece].keeps,
        up_to=size.up_to,
        cost=setting.per_pound((*place, "cost"), shape.cost) if shape.cost else 0.0,
    )


def _what(setting: Setting, name: str) -> tuple[Recipe, str] | None:
    """The recipe and piece that a lot's key names: a species means its root."""
    for recipe in setting.recipes:
        if name == recipe.species:
            return recipe, recipe.root
    try:
        piece = setting.piece_names.find(name)
    except ValueError:
        return None
    return next((recipe, piece) for recipe in setting.recipes if piece in recipe.pieces)


def _blame_unknown(setting: Setting, place: Place, names: dict[str, object], found: bool) -> None:
    keys = ("arrives", "cost", "keeps")
    things = [recipe.species for recipe in setting.recipes]
    things += [name for recipe in setting.recipes for name in recipe.pieces]
    for name in names:
        if _what(setting, name):
            continue
        if found or nearest(name, keys):
            setting.document.fault((*place, name), f'unknown key "{name}"{nearest(name, keys)}')
        else:
            message = f'no species or piece called "{name}"{nearest(name, things)}'
            setting.document.fault((*place, name), message)
    if not names and not setting.document.faulty(place):
        setting.document.fault(place, "a lot names what arrives: lamb: 3 head at 58 lb")
