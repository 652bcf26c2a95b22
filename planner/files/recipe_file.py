"""Read a recipe file: its shape, then what must hold between its parts."""

from __future__ import annotations

from pathlib import Path

from planner.core.errors import Problem
from planner.core.recipe import LOSS, Blend, Given, Piece, Recipe, Way
from planner.files.fields import synonyms
from planner.files.file_kind import stop_unless
from planner.files.recipe_checks import CHECKS, cut_of, read_blends
from planner.files.recipe_shape import RecipeShape, WayShape
from planner.files.shape_check import fit
from planner.files.yamlfile import Document, load


def read_recipe(path: Path, name: str) -> tuple[Recipe, list[Problem]]:
    """Read and check a recipe; the second is what is legal but unlikely.

    Raises `InputError` with every fault of the file, which messages call by the name.
    """
    return recipe_of(load(path, name))


def recipe_of(document: Document) -> tuple[Recipe, list[Problem]]:
    """Read and check the recipe in a document, as `read_recipe`."""
    stop_unless("recipe", document)
    shape = fit(document, RecipeShape)
    for check in CHECKS:
        check(document, shape)
    blends = read_blends(document, shape)
    document.stop_if_faulty()
    return _recipe(shape, blends), document.warnings


def _way(shape: RecipeShape, name: str, way: WayShape) -> Way:
    given = [
        Given(thing, portion.count or 1, portion.share)
        for thing, portion in way.gives.items()
        if thing != LOSS
    ]
    loss = way.gives.get(LOSS)
    return Way(
        name=name,
        minutes=way.minutes,
        tool=way.tool,
        pieces=tuple(each for each in given if each.name in shape.pieces),
        cuts=tuple(each for each in given if each.name in shape.cuts),
        loss=loss.share if loss else 0.0,
    )


def _recipe(shape: RecipeShape, blends: dict[str, Blend]) -> Recipe:
    pieces = {
        name: Piece(
            name,
            shape.species,
            piece.keeps,
            {way_name: _way(shape, way_name, way) for way_name, way in piece.ways.items()},
            piece.imps,
            piece.weighs,
            synonyms(piece.known_as),
        )
        for name, piece in shape.pieces.items()
    }
    cuts = {name: cut_of(shape, name) for name in shape.cuts}
    known_as = synonyms(shape.known_as)
    return Recipe(shape.species, (shape.root,), pieces, cuts, blends, known_as)
