"""Several recipes together: two of one species as one, shared names apart, what a lot names."""

from __future__ import annotations

import re
from dataclasses import asdict, replace
from pathlib import Path

import pytest

from planner.core.errors import InputError
from planner.core.recipe import Limit, Recipe
from planner.core.scenario import Scenario
from planner.core.species import joined, merged_names, names_apart
from planner.files.changes import Change, read_changes
from planner.files.find import find, shipped_folder
from planner.files.recipe_file import read_recipe
from planner.files.scenario_file import read_scenario

HIND = """\
species: ox
root: hindquarter
pieces:
  hindquarter:
    keeps: 5 days
    ways:
      all:
        gives: {round: 1 at 50%, trim 80: 20%, suet: 5%, bones: 25%}
  round: {keeps: 4 days, ways: {roast: {gives: {round roast: 100%}}}}
cuts:
  round roast: {kind: roast, keeps: 4 days}
  trim 80: {kind: trim, lean: 80%, keeps: 2 days}
  suet: {kind: fat, keeps: 3 days}
  bones: {kind: bone, keeps: 3 days}
blends:
  grind:
    from: [trim 80, suet]
    suet: at most 20%
    ox: at least 90%
    keeps: 2 days
"""
FORE = (
    HIND.replace("hindquarter", "forequarter")
    .replace("round roast", "chuck roast")
    .replace("  round:", "  chuck:")
    .replace("round: 1", "chuck: 1")
)
GOAT = """\
species: goat
root: carcass
pieces:
  carcass: {keeps: 5 days, ways: {all: {gives: {trim 80: 40%, suet: 10%, bones: 40%, round: 1 at 10%}}}}
  round: {keeps: 4 days, ways: {all: {gives: {round roast: 100%}}}}
cuts:
  round roast: {kind: roast, keeps: 3 days}
  trim 80: {kind: trim, lean: 80%, keeps: 2 days}
  suet: {kind: fat, keeps: 3 days}
  bones: {kind: bone, keeps: 3 days}
blends:
  goat grind: {from: [trim 80, suet], goat trim 80: at least 75%, goat: 90% to 100%, keeps: 1 day}
"""  # noqa: E501
HIND_LOT = "{ox: 1 hindquarter at 160 lb}"


def write(folder: Path, fore: str = FORE, recipes: str = "hind.yaml, fore.yaml", more: str = ""):
    (folder / "hind.yaml").write_text(HIND)
    (folder / "fore.yaml").write_text(fore)
    (folder / "goat.yaml").write_text(GOAT)
    path = folder / "week.yaml"
    path.write_text(f"starts: 2026-11-30\ndays: 2\nrecipes: [{recipes}]\nrail:\n{more}")
    return path


def week(folder: Path, *lots: str, **kinds: str) -> Scenario:
    path = write(folder, more="".join(f"  - {lot}\n" for lot in lots), **kinds)
    return read_scenario(path, "week.yaml")[0]


def told(folder: Path, *lots: str, **kinds: str) -> list[tuple[int, str]]:
    with pytest.raises(InputError) as caught:
        week(folder, *lots, **kinds)
    assert {each.file for each in caught.value.problems} == {"week.yaml"}
    return [(each.line, each.message) for each in caught.value.problems]


def recipe(text: str, folder: Path) -> Recipe:
    path = folder / "one.yaml"
    path.write_text(text)
    return read_recipe(path, "one.yaml")[0]


# ---- two of one species ----


def test_two_quarters_are_one_species(tmp_path):
    hind, fore = recipe(HIND, tmp_path), recipe(FORE, tmp_path)
    ox = joined(hind, fore)
    assert (ox.species, ox.roots) == ("ox", ("hindquarter", "forequarter"))
    assert list(ox.pieces) == ["hindquarter", "round", "forequarter", "chuck"]
    assert list(ox.cuts) == ["round roast", "trim 80", "suet", "bones", "chuck roast"]
    assert ox.blends == hind.blends == fore.blends
    assert {**ox.pieces} == {**hind.pieces, **fore.pieces}
    lots = week(tmp_path, HIND_LOT, "{ox: 2 forequarters at 165 lb}").lots
    assert lots[0].recipe is lots[1].recipe
    assert [lot.weights() for lot in lots] == [
        {"hindquarter": 160, "round": 80},
        {"forequarter": 165, "chuck": 82.5},
    ]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("lean: 80%", "lean: 75%", '"trim 80" is not the same as in another recipe for ox'),
        ("bone, keeps: 3", "bone, keeps: 2", '"bones" is not the same as in another recipe for ox'),
        ("bone, keeps: 3 days", "bone, keeps: 3, sold by: weight", None),
        ("fat, keeps: 3 days", 'fat, keeps: 3 days, imps: "1"', '"suet" is not the same as'),
        ("suet: at most 20%", "suet: at most 30%", '"grind" is not the same as in another recipe'),
        ("    suet: at most 20%\n", "", '"grind" is not the same as in another recipe'),
        ("[trim 80, suet]", "[suet, trim 80, chuck roast]", '"grind" is not the same as in'),
        ("    keeps: 2 days\n", "    keeps: 2 days\n    batch: 5 lb\n", '"grind" is not the same'),
        ("chuck:", "round:", 'the name "round" is in another recipe for ox too'),
        ("forequarter", "hindquarter", 'the name "hindquarter" is in another recipe for ox too'),
        ("chuck roast", "round", 'the name "round" is in another recipe for ox too'),
        ("  grind:", "  round roast:", '"round roast" is not the same as in another recipe for ox'),
    ],
)
def test_what_both_have_must_be_alike(tmp_path, old, new, words):
    fore = FORE.replace(old, new)
    assert fore != FORE
    if words is None:
        assert week(tmp_path, HIND_LOT, fore=fore).recipes[0].roots[1] == "forequarter"
        return
    ((line, message),) = told(tmp_path, HIND_LOT, fore=fore)
    assert line == 3
    assert message.startswith("fore.yaml: ") and words in message


def test_all_that_differs_is_told_at_once(tmp_path):
    fore = FORE.replace("lean: 80%", "lean: 75%").replace("bone, keeps: 3", "bone, keeps: 2")
    fore = fore.replace("chuck:", "round:")
    messages = [message for _, message in told(tmp_path, HIND_LOT, fore=fore)]
    assert len(messages) == 3
    for name in ("trim 80", "bones", "round"):
        assert any(f'"{name}"' in each for each in messages), name


def test_the_other_order_of_the_recipes_is_the_same_ox(tmp_path):
    one = week(tmp_path, HIND_LOT).recipes[0]
    other = week(tmp_path, HIND_LOT, recipes="fore.yaml, hind.yaml").recipes[0]
    assert other.roots == one.roots[::-1]
    assert asdict(other)["pieces"] == asdict(one)["pieces"]
    assert dict(other.cuts) == dict(one.cuts)


def test_the_shipped_quarters_go_together():
    quarters = [
        read_recipe(find(name, "recipes", Path())[0], name)[0]
        for name in ("beef-hind", "beef-fore")
    ]
    beef = joined(*quarters)
    assert beef.roots == ("hindquarter", "forequarter")
    shared = [name for name in quarters[0].cuts if name in quarters[1].cuts]
    assert {"trim 90", "trim 80", "trim 50", "fat", "bones"} <= set(shared)
    assert len(beef.cuts) == sum(len(each.cuts) for each in quarters) - len(shared)
    assert "ground beef" in beef.blends


# ---- names of two species ----


def test_shared_names_get_their_species_in_front_everywhere(tmp_path):
    ox, goat = names_apart([recipe(HIND, tmp_path), recipe(GOAT, tmp_path)])
    assert list(ox.pieces) == ["hindquarter", "ox round"]
    assert list(goat.pieces) == ["carcass", "goat round"]
    assert (ox.roots, goat.roots) == (("hindquarter",), ("carcass",))
    assert [cut.name for cut in goat.cuts.values()] == list(goat.cuts)
    assert list(goat.cuts) == ["goat round roast", "goat trim 80", "goat suet", "goat bones"]
    way = goat.pieces["carcass"].ways["all"]
    assert [each.name for each in way.cuts] == ["goat trim 80", "goat suet", "goat bones"]
    assert [each.name for each in way.pieces] == ["goat round"]
    grind = ox.blends["grind"]
    assert grind.takes == ("ox trim 80", "ox suet")
    assert grind.limits == (
        Limit("ox suet", ("ox suet",), 0.0, 0.2),
        Limit("ox", ("ox trim 80", "ox suet"), 0.9, 1.0),
    )
    assert goat.blends["goat grind"].limits == (
        Limit("goat trim 80", ("goat trim 80",), 0.75, 1.0),
        Limit("goat", ("goat trim 80", "goat suet"), 0.9, 1.0),
    )


def test_names_that_nobody_shares_stay_and_one_recipe_alone_does_too(tmp_path):
    ox, goat = recipe(HIND, tmp_path), recipe(GOAT, tmp_path)
    assert names_apart([ox]) == (ox,)
    both = names_apart([ox, goat])
    assert "grind" in both[0].blends and "goat grind" in both[1].blends
    assert both[0].blends["grind"].cut.name == "grind"
    named_alike = replace(goat, blends={"grind": goat.blends["goat grind"]})
    assert list(names_apart([ox, named_alike])[0].blends) == ["ox grind"]


def test_two_things_that_would_have_one_name(tmp_path):
    ox, goat = recipe(HIND, tmp_path), recipe(GOAT, tmp_path)
    assert merged_names([ox, goat]) == []
    goat_text = GOAT.replace("goat grind:", "goat bones:")
    assert merged_names([ox, recipe(goat_text, tmp_path)]) == ["goat bones"]
    write(tmp_path, recipes="hind.yaml, goat.yaml", more=f"  - {HIND_LOT}\n")
    (tmp_path / "goat.yaml").write_text(goat_text)
    with pytest.raises(InputError) as caught:
        read_scenario(tmp_path / "week.yaml", "week.yaml")
    (problem,) = caught.value.problems
    assert (problem.line, problem.message) == (
        3,
        '"goat bones" would be the name of two things in these recipes; rename one of them',
    )


@pytest.mark.parametrize("recipes", ["hind.yaml", "hind.yaml, goat.yaml", "hind.yaml, fore.yaml"])
def test_the_longer_form_is_always_understood(tmp_path, recipes):
    lots = "  - {ox: 1 hindquarter at 160 lb}\n"
    more = "demand: {ox trim 80: {price: 3/lb, want: 4 lb}}\nrules: [never ox trim 80: grind]\n"
    scenario = read_scenario(write(tmp_path, recipes=recipes, more=lots + more), "week.yaml")[0]
    name = "ox trim 80" if "goat" in recipes else "trim 80"
    assert list(scenario.demand) == [name]
    assert [str(rule) for rule in scenario.rules] == [f"never {name}: grind"]


# ---- what a lot names ----


@pytest.mark.parametrize(
    ("lot", "piece", "count"),
    [
        ("{ox: 1 hindquarter at 160 lb}", "hindquarter", 1),
        ("{ox: 2 hindquarters at 160 lb}", "hindquarter", 2),
        ("{ox: 1 forequarter at 160 lb}", "forequarter", 1),
        ("{ox: 1 Forequarter at 160 lb}", "forequarter", 1),
        ("{ox: up to 2 FOREQUARTERS at 160 lb, cost: 3/lb}", "forequarter", 2),
        ("{hindquarter: 1 at 160 lb}", "hindquarter", 1),
        ("{ox forequarter: 2 at 160 lb}", "forequarter", 2),
        ("{hindquarter: 3 head at 160 lb}", "hindquarter", 3),
        ("{chuck: 2 at 80 lb}", "chuck", 2),
    ],
)
def test_a_lot_of_two_quarters(tmp_path, lot, piece, count):
    (read,) = week(tmp_path, lot).lots
    assert (read.piece, read.count, read.weight) == (piece, count, 80 if piece == "chuck" else 160)
    assert read.name == piece, "the species would not tell which quarter it is"


@pytest.mark.parametrize("word", ["", "head ", "sides ", "hindqarter ", "quarters ", "round "])
def test_a_lot_that_does_not_say_which_quarter(tmp_path, word):
    ((line, message),) = told(tmp_path, f"{{ox: 2 {word}at 160 lb}}")
    assert line == 5
    assert message.startswith("ox comes as hindquarter or forequarter")


@pytest.mark.parametrize(
    ("lot", "words"),
    [
        ("{hindquarters: 1 at 160 lb}", 'called "hindquarters"; did you mean "hindquarter"?'),
        ("{oxen: 1 hindquarter at 160 lb}", 'no species or piece called "oxen"'),
        ("{ox: 1 hindquarter}", "write a lot such as 3 head at 58 lb"),
        ("{ox: 160 lb}", "write a lot such as 3 head at 58 lb"),
        ("{ox: 1 hindquarter at 160 lb, round: 1 at 70 lb}", "two things in one lot (ox, round)"),
    ],
)
def test_a_lot_that_cannot_be_read(tmp_path, lot, words):
    ((line, message),) = told(tmp_path, lot)
    assert line == 5 and words in message


@pytest.mark.parametrize("word", ["hindquarter", "head", "beasts", ""])
def test_with_one_root_any_word_will_do(tmp_path, word):
    (lot,) = week(tmp_path, f"{{ox: 1 {word} at 160 lb}}", recipes="hind.yaml").lots
    assert (lot.piece, lot.name, lot.word) == ("hindquarter", "ox", word)


def test_a_name_of_a_shipped_recipe_that_is_not_in_use(tmp_path):
    """Said where the word is known elsewhere; not of a shop's own copy of a recipe."""
    week = tmp_path / "week.yaml"
    week.write_text(
        "starts: 2026-11-30\ndays: 1\nrecipes: [lamb, beef-hind]\n"
        "rail: [{lamb: 1 head at 58 lb}]\ndemand:\n"
        "  chuck roast: {price: 9/lb, want: 3 lb}\n"
        "  goat cubes: {price: 9/lb, want: 3 lb}\n"
        "  lion chops: {price: 9/lb, want: 3 lb}\n"
        "rules: [all chuck: bone out]\n"
    )
    with pytest.raises(InputError) as caught:
        read_scenario(week, "week.yaml")
    told = {problem.line: problem.message for problem in caught.value.problems}
    where = "is in the shipped recipe {}, which is not among the recipes here"
    assert told == {
        6: f'"chuck roast" {where.format("beef-fore")}',
        7: f'"goat cubes" {where.format("goat")}',
        8: 'no cut called "lion chops" in lamb or beef; did you mean "loin chops"?',
        9: f'"chuck" {where.format("beef-fore")}',
    }


def sound(folder: Path, text: str) -> list[str]:
    """What is unlikely about a scenario without faults."""
    week = folder / "week.yaml"
    week.write_text(f"starts: 2026-11-30\ndays: 1\ncarry: 0%\n{text}")
    return [problem.message for problem in read_scenario(week, "week.yaml")[1]]


@pytest.mark.parametrize(
    "text",
    [
        "recipes: [beef-fore, blends]\nrail: [{beef: 1 forequarter at 185 lb}]\n",  # has no suet
        "recipes: [lamb, goat]\nrail: [{lamb: 2 head at 58 lb}, {goat: 1 carcass at 35 lb}]\n",
        "recipes: [hog, veal]\nrail: [{hog: 2 sides at 92 lb}, {veal: 1 side at 90 lb}]\n",
    ],
)
def test_a_part_of_a_species_and_shared_roots_are_nothing_odd(tmp_path, text):
    assert sound(tmp_path, text) == []


@pytest.mark.parametrize(
    ("lot", "word"),
    [("hog: 1 head at 184 lb", "head"), ("hog: 1 carcass at 184 lb", "carcass")],
)
def test_a_lot_counted_in_something_else_than_the_recipe_begins_with(tmp_path, lot, word):
    (odd,) = sound(tmp_path, f"recipes: [hog]\nrail: [{{{lot}}}]\n")
    assert odd == f"counted in {word}, but the recipe begins with a side: is one of these meant?"


def test_a_shop_without_suet_makes_dripping_of_fat_alone(tmp_path):
    """Its own recipe: what the shipped one has besides is no fault of the shipped blends."""
    text = (shipped_folder("recipes") / "lamb.yaml").read_text()
    own = text.replace("suet: 1%", "fat: 1%").replace("fat: 1%\n          fat: 0.5%", "fat: 1.5%")
    own = re.sub(r"(?m)^  suet: \{[^}]*\}$", "", own)
    (tmp_path / "own.yaml").write_text(own)
    week = tmp_path / "week.yaml"
    week.write_text(
        "starts: 2026-11-30\ndays: 1\nrecipes: [own.yaml, blends]\n"
        "rail: [{lamb: 1 head at 58 lb}]\n"
    )
    scenario = read_scenario(week, "week.yaml")[0]
    assert scenario.blends["lamb dripping"].takes == ("fat",)


def test_a_change_of_head_names_a_quarter_as_the_file_does(tmp_path):
    week = tmp_path / "week.yaml"
    week.write_text(
        "starts: 2026-11-30\ndays: 1\nrecipes: [beef-hind, beef-fore]\n"
        "rail: [{beef: 1 hindquarter at 170 lb}, {forequarter: 1 at 185 lb}]\n"
    )
    scenario = read_scenario(week, "week.yaml")[0]
    changed = read_changes(scenario, [Change("head", "beef mon: 2 hindquarters")])
    assert [lot.count for lot in changed.lots] == [2, 1]
    with pytest.raises(InputError, match="hindquarter or forequarter"):
        read_changes(scenario, [Change("head", "beef mon: 2 head")])
