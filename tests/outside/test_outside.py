"""The checks of this folder checked: by hand-worked shops, by spoiled plans, against each other."""

from __future__ import annotations

import copy
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from .changing import both, put, remove, top
from .checker import check, tie_weight
from .enumerate import best_by_enumeration, tiny_enough
from .hand_worked import (
    BLOCK,
    BLOCK_PLAN,
    BLOCK_RECIPE,
    SIDES,
    SIDES_PLAN,
    SIDES_RECIPE,
    write,
)
from .reader import read_shop
from .second_best import best_score
from .second_plan import second_plan
from .shops import mixed_shops, shops, tiny_mixed_shops, tiny_shops, write_shop

ONE_RACK = "rules: [{at most 1 side: rack}]\n"


@pytest.mark.parametrize(
    ("recipe", "scenario", "score", "minutes", "filled"),
    [
        (BLOCK_RECIPE, BLOCK, 171.0, 25.0, 0.0),
        (SIDES_RECIPE, SIDES, 110.0, 16.0, 60.0),
        (SIDES_RECIPE, SIDES + ONE_RACK, 150.5, 10.0, 30.0),
    ],
)
def test_hand_worked_shops(tmp_path, recipe, scenario, score, minutes, filled):
    path = write(tmp_path, recipe, scenario)
    # Trim of the block lies over no night inside the period, so minutes are the only ties.
    model, tried = best_score(path, 1e-9), best_by_enumeration(path)
    assert model.score == pytest.approx(score, abs=1e-5)
    assert model.objective == pytest.approx(score - 0.001 * minutes, abs=1e-5)
    assert model.bound == pytest.approx(score - 0.001 * minutes, abs=1e-4)
    assert model.filled == pytest.approx(filled, abs=1e-5)
    assert tried.objective == pytest.approx(score - 0.001 * minutes, abs=1e-5)
    assert tried.filled == pytest.approx(filled, abs=1e-5)


def test_rules_nobody_can_keep(tmp_path):
    path = write(tmp_path, SIDES_RECIPE, SIDES + "rules: [{at least 4 side: rack}]\n")
    assert not best_score(path).feasible
    assert not best_by_enumeration(path).feasible


SHOPS = settings(
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


@settings(SHOPS, max_examples=60)
@given(st.one_of(tiny_shops(), tiny_mixed_shops()))
def test_second_model_agrees_with_enumeration(shop):
    with tempfile.TemporaryDirectory() as folder:
        path = write_shop(shop, Path(folder))
        assume(tiny_enough(path, 150))
        model, tried = best_score(path, 1e-9), best_by_enumeration(path)
    assert model.feasible == tried.feasible
    # Order value is held to 1e-6 by the solver; what that slack buys elsewhere is below 1e-4.
    assert model.filled == pytest.approx(tried.filled, abs=1e-4)
    assert model.objective == pytest.approx(tried.objective, rel=1e-6, abs=2e-4)


@settings(SHOPS, max_examples=60)
@given(st.one_of(shops(), mixed_shops()))
def test_plans_of_the_second_model_pass_the_checker(shop):
    with tempfile.TemporaryDirectory() as folder:
        path = write_shop(shop, Path(folder))
        plan = second_plan(path)
        assert plan is None or check(path, plan) == []


@pytest.mark.parametrize(
    ("recipe", "scenario", "plan", "ties"),
    [(BLOCK_RECIPE, BLOCK, BLOCK_PLAN, 0.025), (SIDES_RECIPE, SIDES, SIDES_PLAN, 0.016)],
)
def test_checker_passes_sound_plans(tmp_path, recipe, scenario, plan, ties):
    path = write(tmp_path, recipe, scenario)
    assert check(path, plan) == []
    assert tie_weight(path, plan) == pytest.approx(ties)


BLOCK_FAULTS = [
    (top("format", "breakplan/2"), "format"),
    (top("extra", 1), "does not belong"),
    (remove("carry"), "has no 'carry'"),
    (remove("blends", 0, "fat"), "has no 'fat'"),
    (top("status", "best"), "status"),
    (top("score", 172.0), "score"),
    (both(top("bound", 170.0), top("within", -1.0)), "below the score"),
    (top("within", 0.5), "within"),
    (put("breaks", 0, "count", 2), "carcass"),
    (put("breaks", 0, "count", 1.0), "whole number"),
    (put("breaks", 0, "way", "saw"), "no way"),
    (put("breaks", 1, "weight", 11.0), "weight"),
    (put("breaks", 1, "minutes", 4.0), "minutes"),
    (put("breaks", 1, "day", "tue"), "not in the period"),
    (put("breaks", 1, "species", "hog"), "species"),
    (put("breaks", 2, "way", "roast"), "'made' of roast"),
    (remove("breaks", 2), "shoulder of lot 0: 0 left"),
    (remove("breaks", 2), "lot 0 weighs"),
    (put("cuts", 1, "left", 4.0), "'left' of trim 80"),
    (put("cuts", 2, "wasted", 0.0), "'wasted' of fat"),
    (put("cuts", 0, "sold by", "each"), "sold by"),
    (put("sales", 0, "amount", 9.0), "more than is wanted"),
    (put("sales", 0, "price", 11.0), "nobody"),
    (put("sales", 1, "amount", 20.0), "more than is in date"),
    (put("blends", 0, "fat", 0.22), "fat of ground lamb"),
    (put("blends", 0, "from", {"trim 80": 11.0, "fat": 5.0}), "outside its limits"),
    (put("blends", 0, "from", {"roast": 16.0}), "does not go into"),
    (put("blends", 0, "made", 17.0), "made of ground lamb"),
    (put("bench", 0, "overtime", 4.0), "overtime"),
    (put("bench", 0, "available", 25.0), "bench on mon"),
    (top("spend", {"overtime": 4.0, "buying": 0.0, "disposal": 0.0}), "spend on overtime"),
    (
        top("whole", [{"lot": 0, "piece": "shoulder", "count": 1, "weight": 10, "state": "left"}]),
        "should be 0",
    ),
]
SIDES_FAULTS = [
    (put("breaks", 0, "day", "tue"), "tue cuts 1 side of lot 0 more than are in date"),
    (put("breaks", 1, "day", "mon"), "mon cuts 2 side of lot 1 more than are in date"),
    (put("sales", 0, "day", "tue"), "more than is wanted"),
    # Monday has 4 lb of stew to spare, which keeps one day and is no help on Tuesday.
    (remove("breaks", 1), "tue uses 6.000000 of stew"),
    (put("sales", 2, "amount", 1.5), "not a whole number"),
    (put("sales", 2, "amount", 1), "short of"),
    (put("sales", 2, "to", "the school"), "nobody"),
    (put("sales", 2, "to", "walk-in"), "nobody"),
    (put("bought", 0, "head", 3), "there are 2"),
    (put("bought", 0, "cost", 70.0), "cost of lot 1"),
    (put("bought", 0, "lot", 0), "not for sale"),
    (put("bench", 0, "available", 240.0), "no limit"),
    (remove("bought", 0), "more than are in date"),
    (remove("bench", 1), "every day"),
    (top("carry", 5.0), "carry"),
    (
        top("short", [{"day": "tue", "cut": "rack", "for": "the inn", "ordered": 2, "short": 1}]),
        "short of",
    ),
    (top("spend", {"overtime": 0.0, "buying": 80.0, "disposal": 7.0}), "spend on disposal"),
]


@pytest.mark.parametrize(("change", "words"), BLOCK_FAULTS)
def test_checker_finds_faults_of_the_block(tmp_path, change, words):
    plan = copy.deepcopy(BLOCK_PLAN)
    change(plan)
    found = check(write(tmp_path, BLOCK_RECIPE, BLOCK), plan)
    assert any(words in sentence for sentence in found), found


@pytest.mark.parametrize(("change", "words"), SIDES_FAULTS)
def test_checker_finds_faults_of_the_sides(tmp_path, change, words):
    plan = copy.deepcopy(SIDES_PLAN)
    change(plan)
    found = check(write(tmp_path, SIDES_RECIPE, SIDES), plan)
    assert any(words in sentence for sentence in found), found


@pytest.mark.parametrize(
    "rule", ["all side: stew", "never side: rack", "at most 1 side: rack", "at least 3 side: rack"]
)
def test_checker_finds_broken_rules(tmp_path, rule):
    path = write(tmp_path, SIDES_RECIPE, SIDES + f"rules: [{{{rule}}}]\n")
    assert any("is not kept" in sentence for sentence in check(path, SIDES_PLAN))


def test_units_of_weight_are_the_same_shop(tmp_path):
    pounds = best_score(write(tmp_path, SIDES_RECIPE, SIDES)).score
    metric = (
        SIDES.replace("20 lb", "9.0718474 kg")
        .replace("12 lb", "192 oz")
        .replace("2026-12-01: 6}", "tue: 2721.55422 g}")
    )
    assert best_score(write(tmp_path, SIDES_RECIPE, metric)).score == pytest.approx(pounds)
    # In a file of kg the bare price and want of stew are per kg and kg.
    other = SIDES.replace("price: 8,", "price: 17.6369809748,").replace("6}", "2.72155422}")
    path = write(tmp_path, SIDES_RECIPE, other + "unit: kg\n")
    assert best_score(path).score == pytest.approx(pounds)


TWO = """
starts: 2026-11-30
days: 9
recipes: [recipe.yaml, hog.yaml]
rail:
  - {goat: 2 sides at 20 lb, arrives: 2026-12-07}
  - {hog: 1 hindquarter at 40 lb, arrives: fri, cost: 3/lb}
bench: 240
traffic: {mon: 5%, tue: 10%, fri: 10%}
demand:
  goat bones: {price: 1, want: {mon: 2 lb, 2026-12-07: 3 lb}}
  rack: {price: 9/each, want: 5}
  ham: {price: 4, want: 9 lb, orders: [{day: 2026-12-08, amount: 8 oz}]}
rules: [{at least 2 goat side: stew}, {never hog side: ham}, {all hog side: bone out}]
"""
HOG = """
species: hog
root: side
pieces:
  side:
    keeps: 4 days
    ways:
      ham: {gives: {ham: 80%, bones: 20%}}
      bone out: {minutes: 3, gives: {ham: 70%, bones: 30%}}
cuts:
  ham: {kind: roast, keeps: 3 days}
  bones: {kind: bone, keeps: 1 day}
"""


def test_reader_dates_names_and_spreads(tmp_path):
    path = write(tmp_path, SIDES_RECIPE, TWO)
    (tmp_path / "hog.yaml").write_text(HOG, encoding="utf-8")
    shop = read_shop(path)
    assert shop.days[0] == "2026-11-30" and len(shop.days) == 9
    assert set(shop.pieces) == {"goat side", "hog side"}
    assert set(shop.cuts) == {"rack", "stew", "goat bones", "ham", "hog bones"}
    assert [(lot.piece, lot.arrives) for lot in shop.lots] == [("goat side", 7), ("hog side", 4)]
    assert shop.bench == (240.0,) * 9
    # Mon 30 Nov and 7 Dec, Tue 1 and 8 Dec, Fri 4 Dec: weights 5, 5, 10, 10, 10 of 40.
    assert shop.demand["ham"].want == pytest.approx([1.125, 2.25, 0, 0, 2.25, 0, 0, 1.125, 2.25])
    # 5 racks: 0.625 each Monday, 1.25 on the other three; the two spare go to the Mondays.
    assert shop.demand["rack"].want == (1, 1, 0, 0, 1, 0, 0, 1, 1)
    # A date goes before its weekday.
    assert shop.demand["goat bones"].want == (2, 0, 0, 0, 0, 0, 0, 3, 0)
    (order,) = shop.orders
    assert (order.day, order.amount, order.price, order.buyer) == (8, 0.5, 4.0, "an order")
    assert [(r.kind, r.number, r.piece, r.way) for r in shop.rules] == [
        ("at least", 2, "goat side", "stew"),
        ("never", 0, "hog side", "ham"),
        ("all", 0, "hog side", "bone out"),
    ]
