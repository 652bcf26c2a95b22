"""What the tests of shipped recipes share: yields over every choice, keeps, shares as written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from itertools import product
from pathlib import Path
from typing import Any

import yaml

from planner.core.recipe import LOSS, Cut, Piece, Recipe
from planner.files.find import shipped_folder
from planner.files.recipe_file import read_recipe

Ways = Mapping[str, Sequence[str]]
"""Some ways of each piece, by name."""

NO_MEAT = ("fat", "bone", "offal")
PORTION = re.compile(r"(?:(\d+) at )?([\d.]+)%")

CHART = {
    "roast": "roasts",
    "chop": "chops",
    "steak": "steaks",
    "braise": "roasts",  # not in the chart by name: whole muscles, bone in, and ribs, as roasts
    "stew": "ground and stew meat",
    "trim": "ground and stew meat",
    "ground": "ground and stew meat",
    "offal": "variety meats",
}
"""Lines of the cold storage chart, by kind of cut; fat and bones are not in the chart."""

OFFAL = ("foot",)
"""Pieces that are variety meats before they are cut, too; all others are taken as roasts."""


def composed_yield(recipe: Recipe, start: str, choice: Mapping[str, str]) -> dict[str, float]:
    """Share of each cut, and of `loss`, when every piece is cut the way chosen for it.

    Parameters
    ----------
    recipe : Recipe
    start : str
        The piece to begin with.
    choice : mapping of str to str
        A way for each piece that comes up; a piece with one way needs none.

    Returns
    -------
    dict of str to float
        Shares of the weight of `start`; they add up to 1.
    """
    yields = {LOSS: 0.0}
    waiting = [(start, 1.0)]
    while waiting:
        name, weight = waiting.pop()
        ways = recipe.pieces[name].ways
        way = ways[choice[name]] if name in choice else next(iter(ways.values()))
        if name not in choice and len(ways) > 1:
            raise KeyError(f"no way chosen for {name}")
        yields[LOSS] += weight * way.loss
        for given in way.cuts:
            share = weight * given.count * given.share
            yields[given.name] = yields.get(given.name, 0.0) + share
        for given in way.pieces:
            waiting.extend([(given.name, weight * given.share)] * given.count)
    return yields


def published(name: str) -> Any:
    """Figures from outside."""
    return yaml.safe_load((Path(__file__).parent / "published" / f"{name}.yaml").read_text())


def path_of(name: str) -> Path:
    """Where a shipped recipe lies."""
    return shipped_folder("recipes") / f"{name}.yaml"


def shipped(name: str) -> Recipe:
    """A shipped recipe."""
    return read_recipe(path_of(name), name)[0]


# ---- yields ----


def every_choice(ways: Ways) -> Iterator[dict[str, str]]:
    """Every way to choose one of the given ways for each piece."""
    return (dict(zip(ways, chosen, strict=True)) for chosen in product(*ways.values()))


def meat(recipe: Recipe, piece: str, choice: Mapping[str, str]) -> float:
    """Percent of a piece that is sold or ground as meat, bone-in or not: no fat, bones or loss."""
    yields = composed_yield(recipe, piece, choice)
    return 100 * sum(
        share
        for name, share in yields.items()
        if name != "loss" and recipe.cuts[name].kind not in NO_MEAT
    )


def bones(recipe: Recipe, piece: str, choice: Mapping[str, str]) -> float:
    """Percent of a piece that comes off as bones."""
    yields = composed_yield(recipe, piece, choice)
    return 100 * sum(
        share
        for name, share in yields.items()
        if name != "loss" and recipe.cuts[name].kind == "bone"
    )


def ways_of(recipe: Recipe) -> list[tuple[str, str]]:
    """Every way of a recipe with its piece."""
    return [(piece.name, way.name) for piece, way in recipe.ways()]


def listed(*groups: Ways) -> list[tuple[str, str]]:
    """Every way of some groups with its piece."""
    return [(piece, way) for group in groups for piece, ways in group.items() for way in ways]


def percent_given(recipe: Recipe, piece: str, way: str, names: Iterable[str]) -> float:
    """Percent of a piece that all pieces of these names weigh when it is cut this way."""
    given = {each.name: each for each in recipe.pieces[piece].ways[way].pieces}
    return 100 * sum(given[name].count * given[name].share for name in names)


# ---- days kept ----


def cuts_of(recipe: Recipe) -> list[Cut]:
    """Cuts, and what the blends make."""
    return [*recipe.cuts.values(), *(blend.cut for blend in recipe.blends.values())]


def off_the_chart(cuts: Iterable[Cut], pieces: Iterable[Piece] = ()) -> dict[str, int]:
    """Days kept by cuts and pieces outside the cold storage chart; fat and bones left out."""
    chart = published("cold-storage-days")
    lines = [
        (cut.name, cut.keeps, "raw sausage" if "sausage" in cut.name else CHART[cut.kind])
        for cut in cuts
        if cut.kind not in ("fat", "bone")
    ]
    lines += [
        (piece.name, piece.keeps, "variety meats" if piece.name in OFFAL else "roasts")
        for piece in pieces
    ]
    return {
        name: keeps for name, keeps, line in lines if not chart[line][0] <= keeps <= chart[line][1]
    }


def fat_and_bones(cuts: Iterable[Cut]) -> dict[str, int]:
    """Days kept by the cuts that the chart leaves out."""
    return {cut.name: cut.keeps for cut in cuts if cut.kind in ("fat", "bone")}


# ---- names ----


def numbers(recipes: Iterable[Recipe]) -> list[tuple[str, str]]:
    """Every name of some recipes that has an item number, with the number."""
    named = [each for recipe in recipes for each in (*recipe.pieces.values(), *cuts_of(recipe))]
    return [(each.name, each.imps) for each in named if each.imps]


def mislabelled(trims: Mapping[str, float | None]) -> dict[str, float | None]:
    """Trims, with their lean shares, that are not as lean as their names say."""
    return {
        name: lean
        for name, lean in trims.items()
        if lean is None or not 0 < lean < 1 or name != f"trim {100 * lean:g}"
    }


def ambiguous(recipes: Iterable[Recipe]) -> set[str]:
    """Names that are also the long form of another name (`goat leg` beside the goat's `leg`)."""
    names = {
        (recipe.species, name)
        for recipe in recipes
        for name in (*recipe.pieces, *recipe.cuts, *recipe.blends)
    }
    return {name for _, name in names} & {" ".join(name) for name in names}


# ---- the file read by another reader than the program's ----


def written(name: str) -> Any:
    """A shipped file as it stands."""
    return yaml.safe_load(path_of(name).read_text())


def ways_as_written(name: str) -> list[tuple[str, str, dict[str, str]]]:
    """Every way of a shipped recipe with its piece and what it gives, as text."""
    return [
        (piece, way, parts["gives"])
        for piece, each in written(name)["pieces"].items()
        for way, parts in each["ways"].items()
    ]


def portion(text: str) -> tuple[int, Decimal]:
    """How many are given and how many percent each weighs, exactly."""
    found = PORTION.fullmatch(text)
    assert found, text
    return int(found[1] or 1), Decimal(found[2])


def total(gives: Mapping[str, str]) -> Decimal:
    """Percent that a way gives in all, exactly."""
    return sum((count * share for count, share in map(portion, gives.values())), Decimal())


def shares_by_path(name: str) -> dict[str, list[Decimal]]:
    """Percent of the root that one of each piece weighs, once for every path that leads to it."""
    ways = ways_as_written(name)
    found: dict[str, list[Decimal]] = {piece: [] for piece, _, _ in ways}
    waiting: list[tuple[str, Decimal]] = [(written(name)["root"], Decimal(100))]
    while waiting:
        whole, share = waiting.pop()
        found[whole].append(share)
        waiting += [
            (given, share * portion(text)[1] / 100)
            for piece, _, gives in ways
            if piece == whole
            for given, text in gives.items()
            if given in found
        ]
    return found
