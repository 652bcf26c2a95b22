"""Read a recipe file: its shape, then what must hold between its parts."""

from __future__ import annotations

from pathlib import Path

from planner.errors import Problem
from planner.files.fit import fit
from planner.files.kind import stop_unless
from planner.files.recipe_checks import CHECKS, cut_of
from planner.files.recipe_shape import STAND_INS, RecipeShape, WayShape
from planner.recipe import Blend, Cut, Given, Piece, Recipe, Way
from planner.yamlfile import load


def read_recipe(path: Path, name: str) -> tuple[Recipe, list[Problem]]:
    """Read and check a recipe.

    Parameters
    ----------
    path : Path
    name : str
        What messages call the file.

    Returns
    -------
    recipe : Recipe
    oddities : list of Problem
        What is legal but odd.

    Raises
    ------
    InputError
        With every fault of the file.
    """
    document = load(path, name)
    stop_unless("recipe", document)
    shape = fit(document, RecipeShape, STAND_INS)
    for check in CHECKS:
        check(document, shape)
    document.stop_if_faulty()
    return _recipe(shape), document.oddities


def _way(shape: RecipeShape, name: str, way: WayShape) -> Way:
    given = [
        Given(thing, portion.count or 1, portion.share)
        for thing, portion in way.gives.items()
        if thing != "loss"
    ]
    loss = way.gives.get("loss")
    return Way(
        name=name,
        minutes=way.minutes,
        tool=way.tool,
        pieces=tuple(each for each in given if each.name in shape.pieces),
        cuts=tuple(each for each in given if each.name in shape.cuts),
        loss=loss.share if loss else 0.0,
    )


def _recipe(shape: RecipeShape) -> Recipe:
    pieces = {
        name: Piece(
            name,
            shape.species,
            piece.keeps,
            {way_name: _way(shape, way_name, way) for way_name, way in piece.ways.items()},
            piece.imps,
        )
        for name, piece in shape.pieces.items()
    }
    blends = {
        name: Blend(
            cut=Cut(name, shape.species, "ground", blend.keeps, imps=blend.imps),
            takes=tuple(taken for taken in blend.takes if taken),
            fat=blend.fat,
            added=blend.added,
            minutes=blend.minutes,
        )
        for name, blend in shape.blends.items()
    }
    cuts = {name: cut_of(shape, name) for name in shape.cuts}
    return Recipe(shape.species, shape.root, pieces, cuts, blends)
