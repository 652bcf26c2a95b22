"""The recipes and files of blends that a scenario names."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from planner.core.errors import InputError, Problem
from planner.core.recipe import Recipe
from planner.core.species import joined, merged_names, names_apart
from planner.files.blend_file import Book, book_of
from planner.files.file_kind import kind_of
from planner.files.find import find
from planner.files.recipe_file import recipe_of
from planner.files.scenario_shape import ScenarioShape
from planner.files.yamlfile import Document, Place, load


@dataclass(frozen=True, slots=True)
class Named:
    """Recipes with their names told apart, files of blends with their places, what is odd."""

    recipes: tuple[Recipe, ...]
    books: tuple[tuple[Place, Book], ...]
    oddities: tuple[Problem, ...]


def read_recipes(document: Document, shape: ScenarioShape, folder: Path) -> Named:
    """Read what stands under `recipes`; faults of those files are recorded with the scenario's."""
    found: dict[str, Recipe] = {}
    books: list[tuple[Place, Book]] = []
    oddities: list[Problem] = []
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
            read, odd = _read(load(path, name))
        except InputError as error:
            if any(problem.line for problem in error.problems):
                document.problems.extend(error.problems)
                document.fault(place, f"the recipe {text} has faults")
            else:  # nothing in it could be read
                document.fault(place, f"{text}: {error.problems[0].message}")
            continue
        oddities.extend(odd)
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
    return Named(names_apart(recipes), tuple(books), tuple(oddities))


def _read(document: Document) -> tuple[Recipe | Book, list[Problem]]:
    return book_of(document) if kind_of(document) == "blends" else recipe_of(document)
