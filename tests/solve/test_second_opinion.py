"""The plan against a second model, a checker, plain enumeration, and PuLP's own solver.

The second model has explicit ages of stock and is solved by scipy's milp; like the checker it was
written from the meaning of a plan alone and shares no code with the planner.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from planner.core.errors import InputError
from tests.outside.compare import disagreements
from tests.outside.enumerate import best_by_enumeration, tiny_enough
from tests.outside.hand_mixed import LOOSE, write_mixed
from tests.outside.random_blends import loose_blends
from tests.outside.reader import read_shop
from tests.outside.shops import (
    mixed_shops,
    plain_yaml,
    shops,
    tiny_mixed_shops,
    tiny_shops,
    write_shop,
)
from tests.planning import TIGHT, json_of, read

Shop = tuple[dict[str, Any], ...]
SHOPS = settings(
    deadline=None,
    suppress_health_check=list(HealthCheck),
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],  # a shop is small enough to be read unshrunk
)


def agree(shop: Shop) -> None:
    with TemporaryDirectory() as folder:
        path = write_shop(shop, Path(folder))
        assert disagreements(path, json_of(path), asked=TIGHT.amount) == []


def agree_with_enumeration(shop: Shop) -> None:
    with TemporaryDirectory() as folder:
        path = write_shop(shop, Path(folder))
        if not tiny_enough(path, 500):
            return
        best, plan = best_by_enumeration(path), json_of(path)
        assert (plan is not None) == best.feasible
        if plan:
            assert plan["bound"] >= best.objective - 1e-3
            assert plan["score"] >= best.objective - 2e-3


@settings(SHOPS, max_examples=150)
@given(shops())
def test_small_shops_agree_with_the_second_model_and_the_checker(pair):
    agree(pair)


@pytest.mark.thorough
@settings(SHOPS, max_examples=150)
@given(mixed_shops())
def test_mixed_shops_agree_with_the_second_model_and_the_checker(shop):
    agree(shop)


@settings(SHOPS, max_examples=60)
@given(tiny_shops())
def test_tiny_shops_agree_with_plain_enumeration(pair):
    agree_with_enumeration(pair)


@pytest.mark.thorough
@settings(SHOPS, max_examples=60)
@given(tiny_mixed_shops())
def test_tiny_mixed_shops_agree_with_plain_enumeration(shop):
    agree_with_enumeration(shop)


@settings(SHOPS, max_examples=30)
@given(st.one_of(shops(), mixed_shops()))
def test_small_shops_agree_with_the_bundled_solver(shop):
    with TemporaryDirectory() as folder:
        path = write_shop(shop, Path(folder))
        plan, other = json_of(path), json_of(path, replace(TIGHT, bundled=True))
        if plan is None or other is None:
            assert plan is other
        else:
            assert other["score"] == pytest.approx(plan["score"], abs=0.03, rel=1e-5)
            assert disagreements(path, other, asked=TIGHT.amount) == []


@settings(SHOPS, max_examples=60)
@given(
    st.lists(loose_blends(["lamb trim 85", "lamb fat", "hog trim 70", "hog leaf fat"]), max_size=6)
)
def test_blends_are_left_aside_that_a_linear_program_cannot_mix(blends):
    shared: dict[str, Any] = {"takes from": ["lamb", "hog", "beef"]}
    shared["blends"] = {f"mix {i}": entry for i, entry in enumerate(blends)}
    with TemporaryDirectory() as folder:
        path = write_mixed(Path(folder), LOOSE, plain_yaml(shared))
        for name in clashing(path):  # a fault of the file, whatever is loaded
            assert name not in read_shop(path).blends()
            del shared["blends"][name]
        path = write_mixed(Path(folder), LOOSE, plain_yaml(shared))
        assert set(read(path).blends) == set(read_shop(path).blends())


def clashing(path: Path) -> list[str]:
    """Blends whose limits no mixture keeps, as the planner tells them."""
    try:
        read(path)
    except InputError as error:
        told = [re.match(r"no mixture for (.+) keeps", each.message) for each in error.problems]
        return [found[1] for found in told if found]
    return []


@pytest.mark.parametrize(
    ("more", "score"),
    [
        # Of the 5 lb of bones a batch takes 2, of which 1 lb sells.
        ("blends: {stock: {from: [lamb bones], batch: 2 lb, keeps: 1 day}}", 6.0),
        # The butcher wants 4 lb in the pot.
        (
            "blends: {stock: {from: [lamb bones], keeps: 1 day}}\n"
            "rules: [at least 4 lb lamb bones: stock]",
            6.0,
        ),
        # Thrown away are 4 lb bones, and of 2 lb fat 1.4 once it is rendered.
        (
            "blends: {stock: {from: [lamb bones], keeps: 1 day}, "
            "dripping: {from: [fat], loss: 30%, keeps: 1 day}}\ndisposal: 0.1/lb",
            6.0 - 0.54,
        ),
    ],
)
def test_blends_may_go_out_of_date(more, score):
    scenario = f"{LOOSE}demand: {{stock: {{price: 6, want: 1 lb}}}}\n{more}\n"
    with TemporaryDirectory() as folder:
        path = write_mixed(Path(folder), scenario)
        plan = json_of(path)
        assert disagreements(path, plan, asked=TIGHT.amount) == []
        assert plan is not None and plan["score"] == pytest.approx(score)
