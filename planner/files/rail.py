"""The lots on the rail."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.core import quantities as measures
from planner.core.quantities import MOST_WEIGHT, LotSize
from planner.core.recipe import Recipe, is_called, recipe_with, trade_names
from planner.core.scenario import Lot
from planner.core.spelling import nearest
from planner.files.context import Setting
from planner.files.scenario_shape import LotShape
from planner.files.yamlfile import Place

STATES = {
    "head": "whole",
    "carcass": "whole",
    "side": "half",
    "half": "half",
    "quarter": "quarter",
    "hindquarter": "hindquarter",
    "forequarter": "forequarter",
}
"""Words for how much of an animal one of a lot is."""


def read_rail(setting: Setting) -> tuple[Lot, ...]:
    """Lots in the order of the file; their positions are their numbers."""
    lots: list[Lot] = []
    for place, shape in setting.present((setting.lots_under,), setting.shape.rail):
        lot = _lot(setting, place, shape, len(lots))
        if lot:
            lots.append(lot)
    return tuple(lots)


def _lot(setting: Setting, place: Place, shape: LotShape, index: int) -> Lot | None:
    names = shape.model_extra or {}
    known = [name for name in names if _species(setting, name) or what(setting, name)]
    if len(known) > 1:
        setting.document.fault(place, f"two things in one lot ({known[0]}, {known[1]})")
    if setting.recipes_are_known:
        _blame_unknown(setting, place, names, known)
    arrives = setting.one_day((*place, "arrives"), shape.arrives) if shape.arrives else 0
    cost = setting.per_pound((*place, "cost"), shape.cost) if shape.cost else 0.0
    if not known and len(names) != 1:
        return None  # nobody can say which of them is the lot
    name = known[0] if known else next(iter(names))
    here = (*place, name)
    size = _size(setting, here, names[name])
    if size is None:
        return None
    found = what(setting, name, size.word)
    if found is None:
        if known and setting.recipes_are_known:
            setting.document.fault(here, unknown(setting, name))
        return None
    if size.up_to and not cost:
        setting.document.warn(here, "may be bought but has no cost, so it is taken as free")
    recipe, piece = found
    plain = piece.removeprefix(f"{recipe.species} ")
    word = size.word.lower()
    state = next((STATES[each] for each in STATES if is_called(word, each)), None)
    if recipe.species == name and state not in (None, STATES.get(plain, plain)):
        message = f"counted in {word}, but the recipe begins with a {plain}: is one of these meant?"
        setting.document.warn(here, message)
    lot = Lot(
        index=index,
        recipe=recipe,
        piece=piece,
        count=size.count,
        word=size.word,
        weight=measures.pounds(size.weight, setting.shape.unit),
        arrives=arrives,
        keeps=shape.keeps or recipe.pieces[piece].keeps,
        up_to=size.up_to,
        cost=cost,
        own_keeps=shape.keeps is not None,
    )
    share, thing = setting.lightest(recipe, piece)
    if measures.too_light(lot.weight * share):  # a share, or the weight of the lot, is wrong
        weight = f"{lot.weight * share:.7f} lb"
        message = f"the {thing} of one {piece} here weighs less than a scale can weigh ({weight})"
        setting.document.fault(here, message)
    return lot


def _size(setting: Setting, place: Place, text: object) -> LotSize | None:
    if not isinstance(text, str):
        if not setting.document.blamed_around(place):
            message = "write how many and the weight of one: 3 head at 58 lb"
            setting.document.fault(place, message)
        return None

    def read() -> LotSize:
        size = measures.read_lot_size(text)
        if measures.pounds(size.weight, setting.shape.unit) > MOST_WEIGHT:
            raise ValueError(f'"{text}": one weighs more than {MOST_WEIGHT} lb')
        return size

    return setting.attempt(place, read)


def what(setting: Setting, name: str, word: str = "") -> tuple[Recipe, str] | None:
    """The recipe and piece that a lot's key names: a species means its root.

    Where a species has several roots, such as two quarters, `word` tells which: what the lot is
    counted by.
    """
    recipe = _species(setting, name)
    if recipe:
        roots = recipe.roots
        if len(roots) > 1:
            roots = tuple(each for each in roots if recipe.calls(word, each))
        return (recipe, roots[0]) if roots else None
    try:
        piece = setting.piece_names.find(name)
    except ValueError:
        return None
    return recipe_with(setting.recipes, piece), piece


def _species(setting: Setting, name: str) -> Recipe | None:
    return next((recipe for recipe in setting.recipes if name == recipe.species), None)


def _blame_unknown(
    setting: Setting, place: Place, names: Mapping[str, object], known: Sequence[str]
) -> None:
    keys = ("arrives", "cost", "keeps")
    for name in names:
        if name in known or setting.document.blamed_around((*place, name)):
            continue
        message = unknown(setting, name)
        if (known or nearest(name, keys)) and not _misnamed(setting, name):
            message = f'unknown key "{name}"{nearest(name, keys)}'
        setting.document.fault((*place, name), message)
    if not names and not setting.document.unsure_within(place):
        setting.document.fault(place, "a lot names what arrives: lamb: 3 head at 58 lb")


def unknown(setting: Setting, name: str) -> str:
    """What to say to a name that is neither a species nor a piece, or leaves open which."""
    if _misnamed(setting, name):
        try:
            setting.piece_names.find(name)
        except ValueError as error:
            return str(error)
    recipe = _species(setting, name)
    if recipe:
        return f"{name} comes as {' or '.join(recipe.roots)} here: write one of these"
    things = [recipe.species for recipe in setting.recipes]
    things += [piece for recipe in setting.recipes for piece in recipe.pieces]
    near = nearest(name, things, trade_names(setting.recipes))
    return f'no species or piece called "{name}"{near}'


def _misnamed(setting: Setting, name: str) -> bool:
    """Whether it is the name of pieces of several species, or of something else."""
    return setting.piece_names.ambiguous(name) or setting.piece_names.mistaken(name)
