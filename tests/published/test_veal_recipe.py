"""The shipped veal recipe against outside figures, each with its source beside it.

How firm they are: the shares of the primals are remembered from a named book, not copied from it.
"""

from __future__ import annotations

import pytest

from planner.core.recipe import Recipe
from tests.yields import (
    Ways,
    bones,
    every_choice,
    listed,
    meat,
    percent_given,
    published,
    shipped,
)

PRIMALS = published("veal-primals")["percent_of_carcass"]

BREAKS: Ways = {"side": ["block break"]}
BONE_IN: Ways = {
    "leg": ["bone-in"],
    "hind shank": ["crosscuts", "whole"],
    "loin": ["roast", "chops"],
    "rib": ["frenched", "chops"],
    "shoulder": ["chops"],
    "breast": ["whole"],
    "foreshank": ["crosscuts"],
    "neck": ["slices"],
}
BONELESS: Ways = {
    "leg": ["seam out", "cutlets", "roasts"],
    "hind shank": ["trim"],
    "loin": ["boneless"],
    "rib": ["boneless"],
    "shoulder": ["boneless roast", "stew", "trim"],
    "breast": ["boned and rolled", "stew"],
    "foreshank": ["trim"],
    "neck": ["trim"],
}
CLASSIFIED = listed(BREAKS, BONE_IN, BONELESS)


@pytest.fixture(scope="module")
def veal() -> Recipe:
    return shipped("veal")


# ---- primals ----

OURS = {
    "leg": ["leg"],
    "shoulder": ["shoulder", "neck"],
    "foreshank and breast": ["foreshank", "breast"],
    "loin": ["loin"],
    "rib": ["rib"],
}


# Labensky and Hause, On Cooking, chapter on veal: shares of the carcass, from memory (see the file
# of figures). Within 3 points, and for the small ones within a tenth of the figure. No exceptions.
@pytest.mark.parametrize("primal", PRIMALS)
def test_shares_of_primals(veal, primal):
    expected = PRIMALS[primal]
    ours = percent_given(veal, "side", "block break", OURS[primal])
    assert ours == pytest.approx(expected, abs=min(3, expected / 10))


# The same: what the five leave of the carcass. Here it is suet, fat and what the saw takes.
def test_what_is_no_primal(veal):
    pieces = [piece for part in OURS.values() for piece in part]
    ours = percent_given(veal, "side", "block break", pieces)
    assert 100 - ours == pytest.approx(100 - sum(PRIMALS.values()), abs=1)


# ---- bone-in and boneless ----


def shank_as(piece: str, ways: Ways) -> Ways:
    """The hind shank comes with a leg, and is boned when that is."""
    return {"hind shank": ways["hind shank"]} if piece == "leg" else {}


# Follows from the words: bone left in is sold, bone taken out is not. A tenth of a piece, at the
# least, is bone in the boneless ways and not in the bone-in ones. No source.
@pytest.mark.parametrize("piece", BONELESS)
def test_bone_is_sold_or_comes_off(veal, piece):
    kept = list(every_choice({piece: BONE_IN[piece], **shank_as(piece, BONE_IN)}))
    out = list(every_choice({piece: BONELESS[piece], **shank_as(piece, BONELESS)}))
    most, least = (
        max(bones(veal, piece, c) for c in kept),
        min(bones(veal, piece, c) for c in out),
    )
    assert least >= most + 10
    least, most = (min(meat(veal, piece, c) for c in kept), max(meat(veal, piece, c) for c in out))
    assert least >= most + 10


# Follows from the words: a piece has the same bones however it is boned. No source.
@pytest.mark.parametrize("piece", BONELESS)
def test_a_piece_has_the_same_bones_however_it_is_boned(veal, piece):
    ways = {piece: BONELESS[piece], **shank_as(piece, BONELESS)}
    found = [bones(veal, piece, choice) for choice in every_choice(ways)]
    assert max(found) - min(found) <= 1
