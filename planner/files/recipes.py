"""The recipes and files of blends that a scenario names, and what blends can be made with them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from planner.core.errors import InputError, Problem
from planner.core.recipe import Blend, Cut, Recipe, cuts_of
from planner.core.species import joined, merged_names, names_apart
from planner.files.blend_file import Book, Made, book_of, made_with
from planner.files.blends import (
    Find,
    blame_known_as,
    blame_mixture,
    blame_name,
    point_out_names,
    read_blend,
)
from planner.files.file_kind import kind_of
from planner.files.find import find
from planner.files.names import cut_names
from planner.files.recipe_file import recipe_of
from planner.files.scenario_shape import ScenarioShape
from planner.files.yamlfile import Document, Place, load


@dataclass(frozen=True, slots=True)
class Named:
    """Recipes with their names told apart, blends that are in none of them, and warnings."""

    recipes: tuple[Recipe, ...]
    own: Made
    warnings: tuple[Problem, ...]


def read_recipes(document: Document, shape: ScenarioShape, folder: Path) -> Named:
    """Read what stands under `recipes` and `blends`.

    Faults of the files named are recorded with the scenario's.
    """
    found: dict[str, Recipe] = {}
    books: list[tuple[Place, Book]] = []
    warnings: list[Problem] = []
    files: set[Path] = set()
    for number, text in enumerate(shape.recipes):
        place = ("recipes", number)
        if text is None:
            continue
        try:
            path, name = find(text, "recipes", folder)
            if path.resolve() in files:
                document.fault(place, f"{text} is listed twice")
                continue
            files.add(path.resolve())
            named = load(path, name)
            read: Recipe | Book
            read, unlikely = (book_of if kind_of(named) == "blends" else recipe_of)(named)
        except InputError as error:
            if any(problem.line for problem in error.problems):
                document.problems.extend(error.problems)
                document.fault(place, f"the recipe {text} has faults")
            else:  # nothing in it could be read
                document.fault(place, f"{text}: {error.problems[0].message}")
            continue
        warnings.extend(unlikely)
        if isinstance(read, Book):
            books.append((place, read))
            continue
        try:
            other = found.get(read.species)
            found[read.species] = joined(other, read) if other else read
        except ValueError as error:
            for message in error.args:
                document.fault(place, f"{text}: {message}")
    recipes = list(found.values())
    if not recipes and not document.unsure_within(("recipes",)):
        document.fault(("recipes",), "no recipe is named; write recipes: [lamb]")
    for name in merged_names(recipes):
        message = f'"{name}" would be the name of two things in these recipes; rename one of them'
        document.fault(("recipes",), message)
    apart = names_apart(recipes)
    return Named(apart, _own_blends(document, shape, apart, books), tuple(warnings))


def _own_blends(
    document: Document,
    shape: ScenarioShape,
    recipes: Sequence[Recipe],
    books: Iterable[tuple[Place, Book]],
) -> Made:
    """Blends by name, and why some of the files' blends cannot be made with these recipes.

    Without sound recipes nobody can say what a blend takes, so nothing is read.
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
    for name, place in places.items():
        if what := _taken(name, recipes):
            document.fault(place, f'"{name}" is {what} already; give the blend another name')
        else:
            blame_name(document, place, name)
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
