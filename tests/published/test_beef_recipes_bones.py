"""Bones of the shipped beef recipes: which ways leave them in, and what comes off in the others."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from planner.core.recipe import Recipe, Way
from tests.yields import listed, shipped


@pytest.fixture(scope="module")
def quarters() -> dict[str, Recipe]:
    return {name: shipped(name) for name in ("beef-hind", "beef-fore")}


BONE_IN_CUTS = {
    "porterhouse steaks",
    "T-bone steaks",
    "bone-in strip steaks",
    "bone-in sirloin steaks",
    "round steaks",
    "steamship round",
    "shank crosscuts",
    "blade roasts",
    "arm roasts",
    "cross rib roast",
    "chuck short ribs",
    "standing rib roast",
    "rib steaks",
    "beef back ribs",
    "short ribs",
    "plate short ribs",
}
BONE_IN = {
    "hindquarter": ["break"],
    "short loin": ["bone-in steaks", "bone-in strip"],
    "loin end": ["bone-in steaks"],
    "round": ["seam out", "full-cut steaks", "steamship"],
    "hind shin": ["crosscut"],
    "forequarter": ["break"],
    "chuck": ["bone-in roasts", "bone out"],
    "rib": ["standing roast", "bone-in steaks", "ribeye steaks", "ribeye roast"],
    "plate": ["short ribs"],
    "fore shin": ["crosscut"],
}
# Boned out: what they give has no bone in it but the bones.
BONED = {
    "short loin": ["boneless strip", "strip roast"],
    "loin end": ["steaks", "roast", "kebab"],
    "hind shin": ["trim"],
    "brisket": ["whole", "flat and point", "trim"],
    "plate": ["navel", "trim"],
    "fore shin": ["trim"],
}
# Nothing to bone out.
NO_BONE = {
    "top round": ["roast", "steaks", "trim"],
    "bottom round": ["roasts", "cube steaks", "stew", "trim"],
    "knuckle": ["roast", "steaks", "kebab"],
    "flank": ["steak"],
    "chuck roll": ["roast", "steaks", "stew", "trim"],
    "shoulder clod": ["roast", "steaks", "stew", "trim"],
}
CLASSIFIED = listed(BONE_IN, BONED, NO_BONE)


def bones(recipe: Recipe, way: Way) -> float:
    """Percent of a piece that a way gives as bare bones."""
    return 100 * sum(cut.share for cut in way.cuts if recipe.cuts[cut.name].kind == "bone")


def bone_left_in(recipe: Recipe, way: Way) -> bool:
    """Whether something that a way gives still has its bone."""
    return any(cut.name in BONE_IN_CUTS for cut in way.cuts) or any(
        bones(recipe, inner) > 0 or bone_left_in(recipe, inner)
        for given in way.pieces
        for inner in recipe.pieces[given.name].ways.values()
    )


def ways_where(
    quarters: Mapping[str, Recipe], matches: Callable[[Recipe, Way], bool]
) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for recipe in quarters.values():
        for piece, way in recipe.ways():
            if matches(recipe, way):
                found.setdefault(piece.name, []).append(way.name)
    return found


def test_every_way_leaves_the_bone_in_or_takes_it_out(quarters):
    made = {cut for recipe in quarters.values() for cut in recipe.cuts}
    assert made >= BONE_IN_CUTS
    assert ways_where(quarters, bone_left_in) == BONE_IN
    boned = ways_where(quarters, lambda *way: not bone_left_in(*way) and bones(*way) > 0)
    assert boned == BONED
    assert ways_where(quarters, lambda *way: not bone_left_in(*way) and bones(*way) == 0) == NO_BONE


# Not quite bare, but the bones of the back are out.
BARER = {"chuck": ["bone out"], "rib": ["ribeye steaks", "ribeye roast"]}


# A piece has as many bones whichever way it is boned, and fewer come off where some stay in. Its
# fat is the same too: within 5 points.
@pytest.mark.parametrize("piece", {**BONED, **BARER})
def test_bone_and_fat_of_a_piece_are_the_same_by_every_way(quarters, piece):
    (recipe,) = [each for each in quarters.values() if piece in each.pieces]
    ways = recipe.pieces[piece].ways
    names = {**BONED, **BARER}[piece]
    boned = {bones(recipe, ways[name]) for name in names}
    assert max(boned) == pytest.approx(min(boned))
    left = {name: bones(recipe, ways[name]) for name in BONE_IN.get(piece, []) if name not in names}
    assert {name: each for name, each in left.items() if each >= min(boned)} == {}
    fats = [100 * cut.share for name in names for cut in ways[name].cuts if cut.name == "fat"]
    assert len(fats) == len(names)
    assert max(fats) - min(fats) <= 5


# From memory: half of a shank is bone; within 3 points.
@pytest.mark.parametrize("piece", ["hind shin", "fore shin"])
def test_half_of_a_shank_is_bone(quarters, piece):
    (recipe,) = [each for each in quarters.values() if piece in each.pieces]
    assert bones(recipe, recipe.pieces[piece].ways["trim"]) == pytest.approx(50, abs=3)


# The skirts, the tri-tip, the tenderloin come off whole before the rest is cut, so as heavy.
@pytest.mark.parametrize(
    ("piece", "cut"),
    [
        ("plate", "outside skirt"),
        ("plate", "inside skirt"),
        ("loin end", "tri-tip"),
        ("loin end", "flap steaks"),
        ("loin end", "beef tenderloin"),
        ("short loin", "beef tenderloin"),
        ("bottom round", "eye round roast"),
        ("rib", "short ribs"),
        ("rib", "beef back ribs"),
    ],
)
def test_a_muscle_weighs_the_same_by_every_way(quarters, piece, cut):
    (recipe,) = [each for each in quarters.values() if piece in each.pieces]
    ways = recipe.pieces[piece].ways.values()
    shares = [given.share for way in ways for given in way.cuts if given.name == cut]
    assert len(shares) > 1
    assert max(shares) == pytest.approx(min(shares))
