"""Recipes and blends to be listed: of a species, a file, or a shop."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from functools import reduce
from pathlib import Path

from planner.core.errors import InputError, Problem
from planner.core.recipe import Blend, Recipe
from planner.core.scenario import Scenario
from planner.core.species import joined, names_apart
from planner.core.spelling import Vocabulary, plain
from planner.files.blend_file import Book, made_with
from planner.files.check import READERS
from planner.files.file_kind import kind_of
from planner.files.find import FOLDERS, find, shipped_folder, shipped_known_as, shipped_names
from planner.files.recipe_file import read_recipe
from planner.files.recipes import find_in
from planner.files.shop_file import Shop
from planner.files.yamlfile import load


@dataclass(frozen=True, slots=True)
class Listed:
    """Recipes, one a species, and blends that are in none of them.

    `source` is what they were read from, as messages call it.
    """

    source: str
    recipes: tuple[Recipe, ...]
    blends: Mapping[str, Blend] = field(default_factory=dict)


def shipped_listed() -> Listed:
    """Every species that there are shipped recipes for."""
    species = dict.fromkeys(one for one, *_ in shipped_known_as().values())
    return Listed("the shipped recipes", tuple(map(_shipped, species)))


def listed_of(shop: Shop | None, text: str) -> Listed:
    """What a text names: a file, a species of the shop, a shipped species, or a shipped file.

    Raises `InputError` where it names nothing, with the nearest right word, or with the faults of
    the file.
    """
    with suppress(OSError, ValueError):  # a name too long, or with a null byte
        if not Path(text).is_file():
            for recipe in shop.usual.recipes if shop else ():
                if shop and _is_called(text, (recipe.species, *recipe.known_as)):
                    return Listed(str(shop.folder / "shop.yaml"), (recipe,))
            for species, *known_as in shipped_known_as().values():
                if _is_called(text, (species, *known_as)):
                    return Listed("the shipped recipes", (_shipped(species),))
    try:
        path, name = find(text, None, Path())
    except InputError:
        raise InputError([Problem("SPECIES", 0, _unknown(shop, text))]) from None
    kind = kind_of(load(path, name)) or "scenario"
    read, _ = READERS[kind](path, name)
    if isinstance(read, Recipe):
        return Listed(name, (read,))
    if isinstance(read, Book):
        return Listed(name, (), _made(read))
    week = read.usual if isinstance(read, Shop) else read
    assert isinstance(week, Scenario)
    return Listed(name, week.recipes, week.own_blends)


def _is_called(text: str, names: Iterable[str]) -> bool:
    return plain(text) in map(plain, names)


def _shipped(species: str) -> Recipe:
    """The shipped recipes of a species, as one."""
    folder = shipped_folder("recipes")
    names = [name for name, (one, *_) in shipped_known_as().items() if one == species]
    return reduce(joined, (read_recipe(folder / f"{name}.yaml", name)[0] for name in names))


def _made(book: Book) -> Mapping[str, Blend]:
    """What the shipped recipes can make of a file of blends."""
    shipped = {one for one, *_ in shipped_known_as().values()}
    recipes = names_apart([_shipped(each) for each in book.species if each in shipped])
    made = made_with(book, recipes, find_in(book.document, recipes)).blends
    book.document.stop_if_faulty()
    return made


def _unknown(shop: Shop | None, text: str) -> str:
    """What to say to a text that names nothing."""
    there = {recipe.species: recipe.known_as for recipe in (shop.usual.recipes if shop else ())}
    there |= {one: tuple(known_as) for one, *known_as in shipped_known_as().values()}
    names = [name for folder in FOLDERS for name in shipped_names(folder)]
    near = Vocabulary(dict.fromkeys([*there, *names]), there).nearest(text)
    return f'no species, recipe, scenario or shop folder is called "{text}"{near}'
