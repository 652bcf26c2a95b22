"""The shipped goat recipe against published figures, each with its source beside it."""

from __future__ import annotations

import re

import pytest

from planner.core.recipe import Recipe
from tests.yields import (
    Ways,
    bones,
    every_choice,
    listed,
    meat,
    path_of,
    published,
    shipped,
)

GOAT = path_of("goat")
LOVEDAY = published("goat-fabrication")

BLOCK: Ways = {"carcass": ["block break"]}
BONE_IN: Ways = {
    "carcass": ["curry break", "cubes"],
    "leg": ["whole", "steaks", "cubes"],
    "saddle": ["whole", "chops"],
    "rack": ["frenched", "chops"],
    "shoulder": ["whole", "chops", "cubes"],
    "breast": ["riblets"],
    "foreshank": ["whole"],
    "neck": ["slices"],
}
BONELESS: Ways = {
    "leg": ["boneless"],
    "saddle": ["boneless"],
    "rack": ["trim"],
    "shoulder": ["boneless", "stew"],
    "breast": ["trim"],
    "foreshank": ["trim"],
    "neck": ["trim"],
}
# Sold as it hangs: nothing is cut.
UNCUT: Ways = {"carcass": ["spit"]}
CLASSIFIED = listed(BLOCK, BONE_IN, BONELESS, UNCUT)

WHOLE_CARCASS = {
    "bone-in": {**BONE_IN, "carcass": [*BLOCK["carcass"], *BONE_IN["carcass"]]},
    "boneless": {**BONELESS, **BLOCK},
}


@pytest.fixture(scope="module")
def goat() -> Recipe:
    return shipped("goat")


def least_and_most(goat: Recipe, kind: str) -> tuple[float, float]:
    """Percent of the carcass that is meat, over every choice of bone-in or of boneless ways."""
    found = [meat(goat, "carcass", choice) for choice in every_choice(WHOLE_CARCASS[kind])]
    return min(found), max(found)


# ---- yields ----


# Loveday, University of Tennessee: bone-in and boneless yield, percent of the carcass. Holds for
# every choice of ways, and whether the carcass there is weighed cold, as here, or hot: then up to
# the most shrink of the cooler has to come off ours.
@pytest.mark.parametrize("kind", WHOLE_CARCASS)
def test_yield_of_a_carcass(goat, kind):
    least, most = LOVEDAY["of_carcass"][kind]
    ours = least_and_most(goat, kind)
    left = 1 - LOVEDAY["cooler_shrink"][1] / 100
    assert least <= ours[0] * left
    assert ours[1] <= most


# An exception: sold whole, a goat is more than Loveday's yield of one cut up, for its bones,
# cover and sawdust are sold with it.
@pytest.mark.parametrize(("piece", "way"), listed(UNCUT))
def test_whole_goat_is_an_exception(goat, piece, way):
    assert meat(goat, piece, {piece: way}) > LOVEDAY["of_carcass"]["bone-in"][1]


# The recipe's own comment, to the nearest percent.
@pytest.mark.parametrize("kind", WHOLE_CARCASS)
def test_head_of_the_file_says_what_it_yields(goat, kind):
    said = re.search(
        r"with the bone in any way below, this carcass gives (?P<bone_in>\d+ to \d+) of meat .*"
        r"boned (?P<boneless>\d+)\.",
        GOAT.read_text(),
    )
    assert said
    figures = {int(each) for each in said[kind.replace("-", "_")].split(" to ")}
    assert figures == {round(each) for each in least_and_most(goat, kind)}


# Follows from the words: bone left in is sold, bone taken out is not. A fifth of a piece, at the
# least, is bone in the boneless ways and not in the bone-in ones. No source.
@pytest.mark.parametrize(
    ("piece", "bone_in", "boned"),
    [(piece, kept, way) for piece, way in listed(BONELESS) for kept in BONE_IN[piece]],
)
def test_bone_is_sold_or_comes_off(goat, piece, bone_in, boned):
    assert bones(goat, piece, {piece: boned}) >= bones(goat, piece, {piece: bone_in}) + 20
    assert meat(goat, piece, {piece: bone_in}) >= meat(goat, piece, {piece: boned}) + 20


# Follows from the words: boned for a roast or for stew, a shoulder has the same bones. No source.
def test_a_shoulder_has_the_same_bones_however_it_is_boned(goat):
    found = [bones(goat, "shoulder", {"shoulder": way}) for way in BONELESS["shoulder"]]
    assert max(found) - min(found) <= 1


# What is sawn into cubes has cut faces all round: as stew meat, the bone changes nothing.
def test_cubes_keep_no_longer_than_stew(goat):
    assert goat.cuts["goat cubes"].kind == goat.cuts["goat stew"].kind == "stew"
