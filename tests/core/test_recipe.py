"""Shares and names that follow from recipes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.core.recipe import piece_shares
from planner.core.species import merged_names, names_apart
from planner.core.stock_replay import Shelf, StockPortion, total
from planner.files.find import find
from planner.files.recipe_file import read_recipe
from tests.yields import composed_yield


@pytest.fixture
def goat(shop):
    return read_recipe(shop.recipe, "goat.yaml")[0]


@pytest.fixture(scope="module")
def lamb(tmp_path_factory):
    return read_recipe(*find("lamb", "recipes", tmp_path_factory.mktemp("empty")))[0]


def test_pieces_come_parents_first_with_their_share_of_the_start(lamb):
    shares = piece_shares(lamb, lamb.roots[0])
    places = {name: number for number, name in enumerate(shares)}
    for piece, way in lamb.ways():
        for given in way.pieces:
            assert places[piece.name] < places[given.name]
            assert shares[given.name] == pytest.approx(shares[piece.name] * given.share)
    assert set(shares) == set(lamb.pieces)
    assert piece_shares(lamb, "rack")["rack"] == 1.0


def test_a_composed_yield_adds_up_and_needs_a_choice(goat):
    choice = {"shoulder": "boneless roast"}
    yields = composed_yield(goat, "carcass", choice)
    assert sum(yields.values()) == pytest.approx(1)
    assert yields["shoulder roast"] == pytest.approx(2 * 0.22 * 0.70)
    assert yields["loss"] == pytest.approx(0.04 + 2 * 0.16 * 0.03)
    with pytest.raises(KeyError, match="no way chosen for shoulder"):
        composed_yield(goat, "carcass", {})


def test_shared_names_get_their_species_in_front_everywhere(goat, lamb):
    apart_goat, apart_lamb = names_apart([goat, lamb])
    assert {"goat shoulder", "goat leg", "ground goat"} <= {*apart_goat.pieces, *apart_goat.cuts,
                                                            *apart_goat.blends}  # fmt: skip
    assert "lamb bones" in apart_lamb.cuts and "bones" not in apart_lamb.cuts
    assert apart_goat.blends["ground goat"].takes == ("goat trim 85", "goat trim 70")
    for before, after in ((goat, apart_goat), (lamb, apart_lamb)):
        assert len(after.pieces) == len(before.pieces)
        for piece, way in after.ways():
            assert after.pieces[piece.name] is piece
            assert all(given.name in after.pieces for given in way.pieces)
            assert all(given.name in after.cuts for given in way.cuts)
    assert names_apart([goat]) == (goat,)


def test_a_shelf_gives_its_oldest_first_and_bins_what_is_over():
    shelf = Shelf()
    shelf.put(StockPortion(5, last_day=0))
    shelf.put(StockPortion(4, last_day=1))
    assert shelf.use(6) == [
        StockPortion(5, 0),
        StockPortion(1, 1),
    ]  # all of the old, one of the new
    assert (total(shelf.close(0)), shelf.left) == (0, 3)
    shelf.use(1)
    assert (total(shelf.close(1)), shelf.left) == (2, 0)
    with pytest.raises(ArithmeticError, match="more used than there is"):
        shelf.use(1)


def test_names_that_would_mean_two_things_are_found(goat, lamb):
    assert merged_names([goat, lamb]) == []
    bones = replace(goat.cuts["bones"], name="goat bones")
    muddled = replace(goat, cuts={**goat.cuts, "goat bones": bones})
    assert merged_names([muddled]) == []  # alone nothing has to be told apart
    assert merged_names([muddled, lamb]) == ["goat bones"]
