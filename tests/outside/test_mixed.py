"""Blends of several species, batches, losses and rules on them: hand-worked, and spoiled."""

from __future__ import annotations

import copy

import pytest

from .changing import both, put, remove, top
from .checker import check, tie_weight
from .enumerate import best_by_enumeration
from .hand_mixed import MIXED, MIXED_PLAN, write_mixed
from .reader import read_shop
from .second_best import best_score
from .second_plan import second_plan

RULE = "  - at most 6 lb trim 70: links\n"
NO_RULE = MIXED.replace("rules:\n" + RULE, "")


def ruled(*rules: str) -> str:
    return MIXED.replace(RULE, "".join(f"  - {rule}\n" for rule in rules))


@pytest.mark.parametrize(
    ("scenario", "score", "minutes"),
    [
        (MIXED, 152.0, 13.9),
        (NO_RULE, 196.0, 15.0),
        (MIXED.replace("    batch: 5.5 lb\n", ""), 178.4, 14.56),
        # At least 65% lamb: of the hog's trim no more than 6.5 lb go with 12, so three batches.
        (NO_RULE.replace("60%", "65%"), 152.0, 13.9),
        # A tenth is lost as well: a batch takes 5.56 lb, four take 22.2 and three are left.
        (NO_RULE.replace("added: 10%", "added: 10%\n    loss: 10%"), 152.0, 13.9),
        (ruled("never trim 70: links"), 20.0, 10.6),
        # Of the 12 lb of the lamb's trim 7 stay for links: 11.6 lb can go in, two batches.
        # 5 lb of patties are binned, at 0.002 each: that is as much as 2 minutes for each.
        (ruled("at least 5 lb trim 85: patties"), 108.0, 12.8 + 2 * 5),
        (ruled("all lamb trim 85: patties"), 20.0, 10.6),
        (ruled("at most 2.5 lb leaf fat: lard"), 196.0 - 1.125 * 4, 15.0 - 1.125 * 0.2),
        # A batch takes 5 / 3 lb of the hog's trim at the least; 0.7 kg are 1.5 lb, 1 kg 2.2 lb.
        (ruled("at most 0.7 kg trim 70: links"), 20.0, 10.6),
        (ruled("at most 1 kg trim 70: links"), 64.0, 11.7),
    ],
)
def test_hand_worked_blends(tmp_path, scenario, score, minutes):
    path = write_mixed(tmp_path, scenario)
    model, tried = best_score(path, 1e-9), best_by_enumeration(path)
    assert model.score == pytest.approx(score, abs=1e-4)
    assert model.objective == pytest.approx(score - 0.001 * minutes, abs=1e-4)
    assert tried.objective == pytest.approx(score - 0.001 * minutes, abs=1e-4)
    assert check(path, second_plan(path)) == []


def test_a_rule_on_a_blend_that_nobody_can_keep(tmp_path):
    path = write_mixed(tmp_path, ruled("at least 8.5 lb trim 70: links"))
    assert not best_score(path).feasible
    assert not best_by_enumeration(path).feasible
    assert second_plan(path) is None


def test_checker_passes_the_mixed_plan(tmp_path):
    path = write_mixed(tmp_path)
    assert check(path, MIXED_PLAN) == []
    assert tie_weight(path, MIXED_PLAN) == pytest.approx(0.0139)


LINKS, LARD, BONES = 0, 1, 2
FAULTS = [
    (
        put("blends", LINKS, "from", {"trim 85": 12.0, "trim 70": 3.0}),
        "fat of links of mon is 0.18",
    ),
    (put("blends", LINKS, "from", {"trim 85": 8.0, "trim 70": 7.0}), "trim 85 in links of mon is"),
    (put("blends", LINKS, "from", {"trim 85": 8.0, "trim 70": 7.0}), "is not kept: {'links': 7.0"),
    (put("blends", LINKS, "fat", 0.22), "fat of links of mon is 0.22 and should be 0.21"),
    (put("blends", LINKS, "fat", None), "fat of links of mon is None"),
    (put("blends", LINKS, "batches", 2), "2 batches are 11.0"),
    (put("blends", LINKS, "batches", 3.0), "not a whole number"),
    (remove("blends", LINKS, "batches"), "has no 'batches'"),
    (put("blends", LARD, "batches", 1), "'batches', which does not belong"),
    (
        both(
            put("blends", LINKS, "from", {"trim 85": 8.4, "trim 70": 5.6}),
            put("blends", LINKS, "made", 15.4),
        ),
        "makes 15.400000, 3 batches are 16.5",
    ),
    (put("blends", LARD, "made", 4.0), "made of lard of mon is 4.000000 and should be 3.0"),
    (put("blends", LARD, "from", {"leaf fat": 3.0}), "made of lard"),
    (put("blends", LARD, "from", {"fat": 4.0}), "does not go into 'lard'"),
    (put("blends", BONES, "fat", 0.1), "nobody knows the fat of lamb bones"),
    (put("blends", BONES, "from", {"lamb bones": 3.0, "hog bones": 5.0}), "hog bones in pot bones"),
    (put("cuts", 7, "species", "lamb"), "the species is not 'lamb'"),
    (put("cuts", 6, "species", "mixed"), "the species is not 'mixed'"),
    (put("cuts", 3, "made", 9.0), "of the hog that arrived, 20.000000 lb, 19.0"),
    (remove("cuts", 0), "of the lamb that arrived, 20.000000 lb, 8.0"),
    (put("cuts", 5, "blended", 5.0), "of the hog that was blended, 15.000000 lb, 14.0"),
    (put("cuts", 8, "made", 9.0), "of the mixed that blends made, 25.500000 lb, 24.5"),
    (remove("breaks", 1), "lot 1 weighs"),
    (put("bench", 0, "minutes", 13.3), "minutes on mon"),
    (top("score", 153.0), "score"),
]


@pytest.mark.parametrize(("change", "words"), FAULTS)
def test_checker_finds_faults_of_the_mixed_plan(tmp_path, change, words):
    plan = copy.deepcopy(MIXED_PLAN)
    change(plan)
    found = check(write_mixed(tmp_path), plan)
    assert any(words in sentence for sentence in found), found


@pytest.mark.parametrize(
    "rule",
    [
        "at most 5.9 lb trim 70: links",
        "at least 6.1 lb trim 70: links",
        "at least 2.8 kg hog trim 70: links",
        "never leaf fat: lard",
        "all trim 85: patties",
    ],
)
def test_checker_finds_broken_rules_on_blends(tmp_path, rule):
    path = write_mixed(tmp_path, ruled(rule))
    found = check(path, MIXED_PLAN)
    assert len(found) == 1 and "is not kept" in found[0]


def test_kept_rules_on_blends_are_no_faults(tmp_path):
    rules = "at least 6 lb trim 70: links", "all leaf fat: lard", "never trim 85: patties"
    assert check(write_mixed(tmp_path, ruled(*rules)), MIXED_PLAN) == []


def test_reader_of_blends(tmp_path):
    shop = read_shop(write_mixed(tmp_path))
    assert set(shop.blends()) == {"lard", "pot bones", "links", "patties"}  # no burgers: no beef
    links, lard, pot = (shop.blends()[name] for name in ("links", "lard", "pot bones"))
    assert links.trims == ("trim 85", "trim 70")
    assert (links.fat, links.batch, links.minutes) == ((0.2, 0.3), 5.5, 0.2)
    assert links.out == pytest.approx(1.1)
    (limit,) = links.limits
    assert (limit.group, limit.low, limit.high) == (("trim 85",), 0.6, 1.0)
    assert (lard.out, lard.fat, lard.batch) == (0.75, None, None)
    assert pot.trims == ("lamb bones", "hog bones")
    assert [(limit.group, limit.low, limit.high) for limit in pot.limits] == [
        (("hog bones",), 0.0, 0.5)
    ]
    species = {name: shop.cuts[name].species for name in shop.blends()}
    assert species == {"lard": "hog", "pot bones": "mixed", "links": "mixed", "patties": "lamb"}
    assert shop.cuts["lamb bones"].fat is None and shop.cuts["leaf fat"].fat == 1.0
    (rule,) = shop.blend_rules
    assert (rule.kind, rule.pounds, rule.cut, rule.blend) == ("at most", 6.0, "trim 70", "links")
    assert shop.rules == ()


@pytest.mark.parametrize(
    ("standard", "most"),
    [
        ("ground beef", 0.3),  # 9 CFR 319.15(a)
        ("fresh pork sausage", 0.5),  # 9 CFR 319.141
        ("fresh beef sausage", 0.3),  # 9 CFR 319.142
        ("whole hog sausage", 0.5),  # 9 CFR 319.144
    ],
)
def test_a_standard_limits_the_fat_that_is_left_out(tmp_path, standard, most):
    named = MIXED.replace("    fat: 20% to 30%\n", f"    standard: {standard}\n")
    assert read_shop(write_mixed(tmp_path, named)).blends()["links"].fat == (0.0, most)
    own = MIXED.replace("20% to 30%", f"at most 25%\n    standard: {standard}")
    assert read_shop(write_mixed(tmp_path, own)).blends()["links"].fat == (0.0, 0.25)


@pytest.mark.parametrize(
    ("text", "limits"),
    [
        ("25%", (0.0, 0.25)),
        ("22% to 22%", (0.22, 0.22)),
        ("at least 22.5%", (0.225, 1.0)),
        ("at most 30%", (0.0, 0.3)),
    ],
)
def test_ways_to_write_a_fat(tmp_path, text, limits):
    path = write_mixed(tmp_path, MIXED.replace("20% to 30%", text).replace("60%", "1%"))
    assert read_shop(path).blends()["links"].fat == pytest.approx(limits)


QUARTERS = """
starts: 2026-11-30
days: 2
recipes: [hind.yaml, fore.yaml]
unit: kg
rail:
  - {beef: 2 hindquarters at 10 kg}
  - {beef: up to 1 forequarter at 12 kg, cost: 3/kg}
  - {chuck: 1 at 4 kg}
blends: {pet bones: {from: [beef bones], batch: 2, minutes: 1 per kg, keeps: 1 day}}
rules: [{at most 3 beef chuck: grind}, {at least 1.5 beef trim 80: ground beef}]
"""
QUARTER = """
species: beef
root: {root}
pieces:
  {root}: {{keeps: 3 days, ways: {{split: {{gives: {{{piece}: 60%, bones: 40%}}}}}}}}
  {piece}: {{keeps: 2 days, ways: {{grind: {{gives: {{trim 80: 90%, bones: 10%}}}}}}}}
cuts:
  trim 80: {{kind: trim, lean: 80%, keeps: 2 days}}
  bones: {{kind: bone, keeps: 1 day}}
blends:
  ground beef: {{from: [trim 80], standard: ground beef, keeps: 1 day}}
"""


def test_two_recipes_of_one_species_are_one(tmp_path):
    (tmp_path / "hind.yaml").write_text(QUARTER.format(root="hindquarter", piece="round"))
    (tmp_path / "fore.yaml").write_text(QUARTER.format(root="forequarter", piece="chuck"))
    (tmp_path / "shop.yaml").write_text(QUARTERS)
    shop = read_shop(tmp_path / "shop.yaml")
    assert set(shop.pieces) == {"hindquarter", "round", "forequarter", "chuck"}
    assert set(shop.cuts) == {"trim 80", "bones", "ground beef", "pet bones"}
    assert {piece.species for piece in shop.pieces.values()} == {"beef"}
    assert [(lot.piece, lot.count, lot.up_to) for lot in shop.lots] == [
        ("hindquarter", 2, False),
        ("forequarter", 1, True),
        ("chuck", 1, False),
    ]
    assert shop.blends()["pet bones"].batch == pytest.approx(2 / 0.45359237)
    assert shop.blends()["pet bones"].minutes == pytest.approx(0.45359237)
    (rule,), (blended,) = shop.rules, shop.blend_rules
    assert (rule.piece, rule.number) == ("chuck", 3)
    assert (blended.cut, blended.blend) == ("trim 80", "ground beef")
    assert blended.pounds == pytest.approx(1.5 / 0.45359237)
