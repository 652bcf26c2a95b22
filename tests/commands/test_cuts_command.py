"""`breakplan cuts`: the names there are, as text and for machines, of all that it takes."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
import yaml

from planner.files.find import shipped_folder
from planner.shop.new_shop import lay_out, new_shop
from planner.show.layout import columns_of

MON = date(2026, 11, 30)


@pytest.fixture
def away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that is no shop's, nor below one."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def shop_of_hogs(away: Path, clock_at) -> Path:
    clock_at(MON)
    lay_out(away / "shop", new_shop(("hog",), MON))
    recipe = away / "shop" / "recipes" / "hog.yaml"
    text = recipe.read_text()
    assert text.count("known as: [pork, pig,") == 1
    recipe.write_text(text.replace("known as: [pork, pig,", "known as: [our pigs, pork, pig,"))
    return away / "shop"


def written(name: str):
    """A shipped file as a YAML reader of its own has it."""
    return yaml.safe_load((shipped_folder("recipes") / f"{name}.yaml").read_text())


def test_the_text_says_names_numbers_trade_names_and_where_from(away, breakplan):
    ran = breakplan("cuts", "lamb")
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[2] == "LAMB, known as sheep, spring lamb"
    at = lines.index("    cap-off rack (IMPS 204C), from rack")
    assert lines[at + 1] == "      known as cap-off French rack, rack cap off"
    assert "        split: 2 x rack" in lines
    assert "    carcass (IMPS 200), bought whole" in lines
    assert "    lamb sausage, from trim 85, trim 70, fat" in lines


@pytest.mark.parametrize("name", ["lamb", "hog", "goat", "veal", "beef-fore"])
def test_the_json_has_all_that_stands_in_the_recipe(away, breakplan, name):
    [species] = json.loads(breakplan("cuts", name, "--json").out)["species"]
    recipe = written(name)
    assert species["species"] == recipe["species"]
    assert species["known_as"] == recipe["known as"]
    assert species["bought_as"] == [recipe["root"]]
    for section in ("pieces", "cuts", "blends"):
        assert {each["name"]: (each["known_as"], each["imps"]) for each in species[section]} == {
            one: (each.get("known as", []), each.get("imps"))
            for one, each in recipe[section].items()
        }
    for kind in ("pieces", "cuts"):
        for each in species[kind]:
            assert [(one["piece"], one["way"]) for one in each["cut_from"]] == [
                (piece, way)
                for piece, parts in recipe["pieces"].items()
                for way, given in parts["ways"].items()
                if each["name"] in given["gives"]
            ]
    for piece in species["pieces"]:
        for way in piece["ways"]:
            gives = recipe["pieces"][piece["name"]]["ways"][way["way"]]["gives"]
            assert {each["name"] for each in way["gives"]} == {*gives} - {"loss"}
            for each in way["gives"]:
                text = str(gives[each["name"]])
                count, _, share = text.rpartition(" at ")
                assert each["count"] == (int(count) if count else None)
                assert each["share"] == pytest.approx(float(share.rstrip("%")) / 100)
    for blend in species["blends"]:
        assert blend["made_from"] == recipe["blends"][blend["name"]]["from"]


@pytest.mark.parametrize("word", ["hog", "pork", "Pig", "swine"])
def test_a_species_is_found_by_its_trade_names(away, breakplan, word):
    assert breakplan("cuts", word).out == breakplan("cuts", "hog").out


def test_a_species_of_two_recipes_is_listed_as_one(away, breakplan):
    [beef] = json.loads(breakplan("cuts", "cow", "--json").out)["species"]
    assert beef["bought_as"] == ["forequarter", "hindquarter"]
    assert beef["known_as"] == written("beef-fore")["known as"]
    [ground] = beef["blends"]
    assert "beef mince" in ground["known_as"]


def test_what_either_of_two_recipes_says_is_known(away, breakplan):
    for name, words in {"fore": "[ox]", "hind": "[ox, cow]"}.items():
        recipe = written(f"beef-{name}")
        recipe["known as"] = yaml.safe_load(words)
        recipe["cuts"]["bones"]["known as"] = [f"{name} bones"]
        (away / f"{name}.yaml").write_text(yaml.safe_dump(recipe, sort_keys=False))
    (away / "week.yaml").write_text(
        "starts: 2026-11-30\ndays: 1\nrecipes: [fore.yaml, hind.yaml]\nrail: []\n"
    )
    [beef] = json.loads(breakplan("cuts", "week.yaml", "--json").out)["species"]
    assert beef["known_as"] == ["ox", "cow"]
    bones = next(each for each in beef["cuts"] if each["name"] == "bones")
    assert bones["known_as"] == ["fore bones", "hind bones"]


def test_a_scenario_lists_its_species_and_the_blends_of_several(away, breakplan):
    data = json.loads(breakplan("cuts", "whole-animal", "--json").out)
    assert [each["species"] for each in data["species"]] == ["lamb", "hog", "beef"]
    burgers = next(each for each in data["blends"] if each["name"] == "beef and lamb patties")
    assert "burgers" in burgers["known_as"] and burgers["species"] == "mixed"
    text = breakplan("cuts", "whole-animal").out
    assert "\nHOG, known as pork, pig, " in text and "\n  Blends of no single recipe\n" in text


def test_a_file_of_blends_is_listed_with_the_shipped_recipes(away, breakplan):
    data = json.loads(breakplan("cuts", "blends", "--json").out)
    assert data["species"] == []
    assert {each["name"] for each in data["blends"]} == {*written("blends")["blends"]}


def test_without_a_species_the_shipped_ones_are_told(away, breakplan):
    ran = breakplan("cuts")
    assert "  hog, known as pork, pig, " in ran.out and ran.out.startswith("Species of the shipped")
    found = json.loads(breakplan("cuts", "--json").out)["species"]
    assert {each["species"] for each in found} == {"lamb", "hog", "beef", "veal", "goat"}


def test_in_a_shop_folder_its_own_recipes_come_first(shop_of_hogs, breakplan, monkeypatch):
    assert "our pigs" in breakplan("cuts", "shop").out
    assert "our pigs" not in breakplan("cuts", "hog").out
    monkeypatch.chdir(shop_of_hogs / "recipes")
    told = json.loads(breakplan("cuts", "--json").out)
    assert [each["known_as"][0] for each in told["species"]] == ["our pigs"]
    assert "our pigs" in breakplan("cuts", "pork").out
    assert "our pigs" in breakplan("cuts", "our pig").out
    assert "our pigs" in breakplan("cuts", "hog.yaml").out
    assert breakplan("cuts", "lamb").out.startswith("Names in the shipped recipes\n\nLAMB")


@pytest.mark.parametrize("columns", [60, 80, 100, 300])
@pytest.mark.parametrize("what", [(), ("hog",), ("whole-animal",), ("long.yaml",)])
def test_no_line_is_wider_than_the_terminal(away, breakplan, monkeypatch, columns, what):
    recipe = written("goat")
    long = "肉" * 25 + " very long name"
    recipe["known as"] = [long]
    recipe["cuts"]["goat cubes"]["known as"] = [long, long[::-1].strip()]
    (away / "long.yaml").write_text(yaml.safe_dump(recipe, allow_unicode=True))
    monkeypatch.setenv("COLUMNS", str(columns))
    out = breakplan("cuts", *what).out
    assert columns_of(out) <= min(columns, 100)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("prok", '"prok"; did you mean "hog"?'),
        ("lamn", '"lamn"; did you mean "lamb"?'),
        ("corner shop", '"corner shop"; did you mean "corner-shop"?'),
        ("no/such.yaml", 'SPECIES: no species, recipe, scenario or shop folder is called "no/such'),
        ("", "this is a folder; name a file in it"),
    ],
)
def test_what_is_nothing_is_told_with_what_it_may_be(away, breakplan, text, told):
    ran = breakplan("cuts", text)
    assert (ran.code, ran.out) == (2, "")
    assert told in ran.err and "\n" not in ran.err


def test_faults_of_a_file_are_told_with_their_lines(away, breakplan):
    text = (shipped_folder("recipes") / "goat.yaml").read_text()
    assert "known as: [spit goat," in text
    (away / "own.yaml").write_text(text.replace("known as: [spit goat,", "known as: [suet,"))
    line = text[: text.index("known as: [spit goat,")].count("\n") + 1
    ran = breakplan("cuts", "own.yaml")
    assert (ran.code, ran.err) == (2, f'own.yaml:{line}: known as: "suet" is a cut already')


def test_the_help_has_an_example(breakplan):
    assert "Example: breakplan cuts lamb" in breakplan("cuts", "--help").out
