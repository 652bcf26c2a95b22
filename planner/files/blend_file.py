"""A file of blends that belong to no single recipe, and what of it the recipes in use can make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from planner.core.errors import Problem
from planner.core.quantities import read_share_limits
from planner.core.recipe import Blend, Cut, Recipe, cuts_of
from planner.core.spelling import nearest
from planner.files.blend_shape import BookShape
from planner.files.blends import (
    Find,
    blame_known_as,
    blame_mixture,
    blame_name,
    point_out_names,
    read_blend,
)
from planner.files.fat_range import impossible, limits_clash
from planner.files.file_kind import stop_unless
from planner.files.find import shipped_recipes
from planner.files.names import cut_names
from planner.files.shape_check import fit
from planner.files.yamlfile import Document, Place, load


@dataclass(frozen=True)
class Book:
    """A file of blends, checked as far as it can be without the recipes."""

    document: Document
    shape: BookShape

    @property
    def species(self) -> tuple[str, ...]:
        """Species whose cuts its blends take."""
        return tuple(each for each in self.shape.takes_from if each)


@dataclass(frozen=True)
class Made:
    """What of a book can be made with some recipes, and why the rest cannot."""

    blends: dict[str, Blend]
    aside: dict[str, str]


def read_book(path: Path, name: str) -> tuple[Book, list[Problem]]:
    """Read and check a file of blends; raises `InputError` with every fault of it."""
    return book_of(load(path, name))


def book_of(document: Document) -> tuple[Book, list[Problem]]:
    """The same from a document."""
    stop_unless("blends", document)
    shape = fit(document, BookShape)
    book = Book(document, shape)
    if not book.species and not document.unsure_within(("takes from",)):
        document.fault(("takes from",), "no species is named; write takes from: [lamb, hog]")
    names = dict.fromkeys(shape.blends, "a blend") | dict.fromkeys(book.species, "a species")
    stand_ins = _stand_ins(book)

    def find(place: Place, text: str) -> Cut | None:
        if text not in stand_ins and not document.unsure_within(("takes from",)):
            near = nearest(text.partition(" ")[0], book.species)
            message = f'"{text}" does not begin with one of the species this file takes from'
            document.fault(place, f"{message} ({', '.join(book.species)}){near}")
        return stand_ins.get(text)

    for name, each in shape.blends.items():
        place = ("blends", name)
        blame_known_as(document, (*place, "known as"), each.known_as, names)
        blend = read_blend(document, place, each, find, shape.unit)
        if name in book.species:
            document.fault(place, f'"{name}" is a species already; give the blend another name')
        else:
            blame_name(document, place, name)
        if blend and limits_clash(blend, stand_ins):
            document.fault(place, f"no mixture for {name} keeps all limits on what goes in")
    point_out_names(document, shape.blends)
    document.stop_if_faulty()
    return book, document.warnings


def _stand_ins(book: Book) -> dict[str, Cut]:
    """Stand-ins for cuts that are not known yet, by their names: only their species is known."""
    written = {
        text: _species(book, text)
        for each in book.shape.blends.values()
        for text in each.takes
        if text
    }
    return {
        text: Cut(text, species, "trim", 1, lean=0.0)
        for text, species in written.items()
        if species and text != species
    }


def _species(book: Book, text: str) -> str | None:
    """The species that a name begins with, the longest where several would do."""
    fitting = [each for each in book.species if text.startswith(f"{each} ") or text == each]
    return max(fitting, key=len, default=None)


def made_with(book: Book, recipes: Sequence[Recipe], find: Find) -> Made:
    """The blends that some recipes have something for; faults go to the book's document.

    A blend uses what is loaded of its `from`: not the cuts of other species, nor those that only
    another shipped recipe of the species has. It is left aside where nothing is left, or where its
    limits cannot be kept with what is. Recipes have their names as the scenario has them; `find`
    finds their cuts.
    """
    loaded = {recipe.species for recipe in recipes}
    cuts = cuts_of(recipes)
    elsewhere = _elsewhere(book, recipes)
    made: dict[str, Blend] = {}
    aside: dict[str, str] = {}
    for name, shape in book.shape.blends.items():
        place = ("blends", name)
        written = {text: _species(book, text) or "" for text in shape.takes if text}
        absent = sorted({*written.values()} - loaded)
        missing = [
            text for text, species in written.items() if species in loaded and text in elsewhere
        ]
        there = {text for text, species in written.items() if species in loaded} - {*missing}
        gone = {key for key in shape.limits if _species(book, key) in absent or key in missing}
        needed = [key for key in gone if read_share_limits(shape.limits[key])[0] > 0]
        nowhere = " or ".join([f"recipe for {each}" for each in absent] or missing)
        lacking = f"no {nowhere} is in use"
        if needed or not there:
            wanted = f"it needs {needed[0]}" if needed else "nothing of what it takes is there"
            aside[name] = f"{name} cannot be made: {wanted}, and {lacking}"
            continue
        takes = [text if text in there else None for text in shape.takes]
        blend = read_blend(
            book.document,
            place,
            shape.model_copy(update={"takes": takes}),
            find,
            book.shape.unit,
            {key: value for key, value in shape.limits.items() if key not in gone},
        )
        why = blend and impossible(blend, cuts)
        if why and (absent or missing):
            aside[name] = f"{name} cannot be made: {lacking}; {why}"
        elif blend and blame_mixture(book.document, place, blend, cuts):
            made[name] = blend
    return Made(made, aside)


def _elsewhere(book: Book, recipes: Sequence[Recipe]) -> set[str]:
    """What blends take that these recipes do not have, but shipped ones do."""
    names = cut_names(recipes)
    taken = {text for shape in book.shape.blends.values() for text in shape.takes if text}
    unknown = {text for text in taken if not names.known(text)}
    if not unknown:
        return set()
    shipped = ((each.data.get("species"), each.keys("cuts")) for each in shipped_recipes())
    return {f"{species} {cut}" for species, cuts in shipped for cut in cuts} & unknown
