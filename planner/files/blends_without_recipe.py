"""Blends that belong to no recipe: those of files of blends, and those of the scenario itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from planner.core.recipe import Blend, Cut, Recipe, cuts_of
from planner.files.blend_file import Book, Made, made_with
from planner.files.blends import (
    Find,
    blame_known_as,
    blame_mixture,
    blame_name,
    point_out_names,
    read_blend,
)
from planner.files.names import cut_names
from planner.files.scenario_shape import ScenarioShape
from planner.files.yamlfile import Document, Place


def read_own_blends(
    document: Document,
    shape: ScenarioShape,
    recipes: Sequence[Recipe],
    books: Iterable[tuple[Place, Book]],
) -> Made:
    """Blends by name, and why some of the files' blends cannot be made with these recipes.

    Faults in a file of blends are recorded with the scenario's. Without sound recipes nobody can
    say what a blend takes, so nothing is read.
    """
    if not recipes or document.unsure_within(("recipes",)):
        return Made({}, {})
    made: dict[str, Blend] = {}
    aside: dict[str, str] = {}
    places: dict[str, Place] = {}
    for place, book in books:
        read = made_with(book, recipes, find_in(book.document, recipes))
        if book.document.problems:
            document.problems.extend(book.document.problems)
            document.fault(place, f"the blends of {book.document.name} have faults")
            continue
        made |= read.blends
        aside |= read.aside
        for name in read.blends:
            if name in places:
                document.fault(place, f'"{name}" is a blend in another of these files already')
            places[name] = place
    cuts = cuts_of(recipes)
    find = find_in(document, recipes, [*made, *shape.blends])
    names = dict.fromkeys([*made, *shape.blends], "a blend") | {
        name: "in a recipe"
        for recipe in recipes
        for name in (recipe.species, *recipe.pieces, *recipe.cuts, *recipe.blends)
    }
    for name, each in shape.blends.items():
        place = ("blends", name)
        blame_known_as(document, (*place, "known as"), each.known_as, names)
        blend = read_blend(document, place, each, find, shape.unit)
        if blend and blame_mixture(document, place, blend, cuts):
            if name in places:
                document.fault(place, f'"{name}" is a blend in a file of blends already')
            made[name] = blend
            aside.pop(name, None)
            places[name] = place
    point_out_names(document, shape.blends)
    _names_are_new(document, places, recipes)
    return Made(made, aside)


def find_in(document: Document, recipes: Sequence[Recipe], blends: Iterable[str] = ()) -> Find:
    """Finder of the cuts of several recipes; `blends` are in none of them."""
    names = cut_names(recipes, blends)
    cuts = cuts_of(recipes)

    def find(place: Place, text: str) -> Cut | None:
        try:
            name = names.find(text)
        except ValueError as error:
            document.fault(place, str(error))
            return None
        if name not in cuts:
            document.fault(place, f"{name} is a blend; a blend takes what ways give")
        return cuts.get(name)

    return find


def _names_are_new(document: Document, places: dict[str, Place], recipes: Sequence[Recipe]) -> None:
    for name, place in places.items():
        what = _taken(name, recipes)
        if what:
            document.fault(place, f'"{name}" is {what} already; give the blend another name')
        else:
            blame_name(document, place, name)


def _taken(name: str, recipes: Sequence[Recipe]) -> str | None:
    """What of the recipes has a name already, the species in front of it or not."""
    for recipe in recipes:
        if name == recipe.species:
            return "a species"
        kinds = {"piece": recipe.pieces, "cut": recipe.cuts, "blend": recipe.blends}
        for word, things in kinds.items():
            if {name, f"{recipe.species} {name}", name.removeprefix(f"{recipe.species} ")} & {
                *things
            }:
                return f"a {word} of {recipe.species}"
    return None
