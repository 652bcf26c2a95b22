"""The drawings by species, and which region a piece is told at."""

from __future__ import annotations

from planner.core.recipe import Recipe
from planner.show.pictures.beef import BEEF, VEAL
from planner.show.pictures.hog import HOG
from planner.show.pictures.lamb import GOAT, LAMB
from planner.show.pictures.shapes import Drawing, Region


def drawing_of(species: str) -> Drawing | None:
    """The drawing of a species; None where there is none."""
    drawings = {"lamb": LAMB, "goat": GOAT, "hog": HOG, "beef": BEEF, "veal": VEAL}
    return drawings.get(species.lower())


def told_at(recipe: Recipe, drawing: Drawing) -> dict[str, Region]:
    """The region at which each piece of a recipe is told.

    A piece without a region of its own is told where the piece is that gives it; the first, where
    several do. What is told nowhere on the drawing, as what hangs, is left out.
    """
    own = {name: region for region in drawing.regions for name in region.pieces}
    regions: dict[str, Region] = {}
    for name in recipe.pieces:
        short = name.removeprefix(f"{recipe.species} ")
        if short in own:
            regions[name] = own[short]
    waiting = [*regions]
    while waiting:
        parent = waiting.pop(0)
        for way in recipe.pieces[parent].ways.values():
            for given in way.pieces:
                if given.name not in regions:
                    regions[given.name] = regions[parent]
                    waiting.append(given.name)
    return regions
