"""Standardized products: their published limits, and what a blend is told that breaks one.

Fat and water: Title 9, Code of Federal Regulations, part 319, as in `published/fat-limits.yaml`.
That a product takes one species, and that ground beef takes no water, is from memory.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from planner.core.errors import InputError, Problem
from planner.core.standards import STANDARDS
from planner.files.blend_file import read_book
from planner.files.find import find
from planner.files.recipe_file import read_recipe
from planner.files.scenario_file import read_scenario

PUBLISHED = yaml.safe_load(
    (Path(__file__).parent.parent / "published" / "fat-limits.yaml").read_text(encoding="utf-8")
)
TAKES = {
    "ground beef": "beef",
    "fresh pork sausage": "hog",
    "fresh beef sausage": "beef",
    "whole hog sausage": "hog",
}
WITH_WATER = [name for name, limits in PUBLISHED.items() if "water" in limits]
SIDE = """\
species: {species}
root: side
pieces:
  side:
    keeps: 5 days
    ways: {{all: {{gives: {{trim 90: 40%, trim 50: 20%, bones: 30%, trim 10: 10%}}}}}}
cuts:
  trim 90: {{kind: trim, lean: 90%, keeps: 3 days}}
  trim 50: {{kind: trim, lean: 50%, keeps: 3 days}}
  trim 10: {{kind: trim, lean: 10%, keeps: 3 days}}
  bones: {{kind: bone, keeps: 3 days}}
blends:
  house grind:
    from: [trim 90, trim 50, trim 10]
    keeps: 2 days
"""
FROM, FIRST = 14, 16  # lines of `from`, and of the first key added


def percent(text: str) -> float:
    return float(text.removesuffix("%"))


def told(folder: Path, species: str, *keys: str) -> list[Problem]:
    """What a recipe with these keys of its blend is told."""
    path = folder / "side.yaml"
    lines = "".join(f"    {key}\n" for key in keys)
    path.write_text(SIDE.format(species=species) + lines)
    try:
        read_recipe(path, "side.yaml")
    except InputError as error:
        return list(error.problems)
    return []


def test_the_figures_are_the_published_ones():
    assert set(STANDARDS) == set(PUBLISHED) == set(TAKES)
    for name, limits in PUBLISHED.items():
        standard = STANDARDS[name]
        assert (standard.name, standard.section) == (name, limits["section"])
        assert standard.fat == pytest.approx(percent(limits["fat"]) / 100)
        assert standard.water == pytest.approx(percent(limits.get("water", "0%")) / 100)
        assert TAKES[name] in standard.species


@pytest.mark.parametrize("name", TAKES)
def test_at_the_limit_of_fat_it_is_one_and_above_it_is_none(tmp_path, name):
    limit, section = percent(PUBLISHED[name]["fat"]), PUBLISHED[name]["section"]
    said = f"standard: {name}"
    for fat in (f"{limit:g}%", f"at most {limit:g}%", f"15% to {limit:g}%"):
        assert told(tmp_path, TAKES[name], said, f"fat: {fat}") == []
    for fat, most in [
        (f"{limit + 0.1:g}%", f"{limit + 0.1:g}%"),
        (f"15% to {limit + 5:g}%", f"{limit + 5:g}%"),
        ("at least 15%", "100%"),
    ]:
        (problem,) = told(tmp_path, TAKES[name], said, f"fat: {fat}")
        assert problem.line == FIRST + 1
        assert problem.message == (
            f"{name} (9 CFR {section}) may have at most {limit:g}% fat, and this up to {most}"
        )


@pytest.mark.parametrize("name", TAKES)
def test_fat_left_out_is_the_fat_of_the_standard(tmp_path, name):
    assert told(tmp_path, TAKES[name], f"standard: {name}") == []
    blend = read_recipe(tmp_path / "side.yaml", "side.yaml")[0].blends["house grind"]
    limit = percent(PUBLISHED[name]["fat"]) / 100
    assert (blend.standard, blend.fat) == (name, (0.0, pytest.approx(limit)))
    assert told(tmp_path, TAKES[name], f"standard: {name}", "fat: 10% to 15%") == []
    blend = read_recipe(tmp_path / "side.yaml", "side.yaml")[0].blends["house grind"]
    assert blend.fat == pytest.approx((0.10, 0.15)), "a stricter limit of one's own stays"


@pytest.mark.parametrize("name", WITH_WATER)
@pytest.mark.parametrize(
    ("keys", "share"),
    [
        (["added: 3%"], None),  # 3 of 103 that go in: 2.91%
        (["added: 3.09%"], None),  # 3.09 of 103.09: 2.997%
        (["added: 3.1%"], "3.007%"),  # 3.1 of 103.1
        (["added: 8%"], "7.407%"),  # 8 of 108
        (["added: 8%", "water: 3.24%"], None),  # 3.24 of 108: just 3%
        (["added: 8%", "water: 3.25%"], "3.009%"),  # 3.25 of 108
        (["added: 8%", "water: 0%"], None),
    ],
)
def test_water_is_counted_of_all_that_goes_in(tmp_path, name, keys, share):
    problems = told(tmp_path, TAKES[name], f"standard: {name}", *keys)
    if share is None:
        assert problems == []
        return
    (problem,) = problems
    assert problem.line == FIRST + len(keys), "where the water is written"
    assert problem.message.startswith(
        f"{name} (9 CFR {PUBLISHED[name]['section']}) may have at most 3% water or ice, "
        f"and this has {share}"
    )
    assert ("write the water alone" in problem.message) == (len(keys) == 1)


def test_ground_beef_takes_seasoning_but_no_water(tmp_path):
    said = "standard: ground beef"
    assert told(tmp_path, "beef", said, "added: 2%", "water: 0%") == []
    (problem,) = told(tmp_path, "beef", said, "added: 1%")
    assert problem.line == FIRST + 1
    assert "ground beef (9 CFR 319.15(a)) may have no water or ice, and this" in problem.message
    (problem,) = told(tmp_path, "beef", said, "added: 2%", "water: 0.1%")
    assert problem.line == FIRST + 2


@pytest.mark.parametrize("name", TAKES)
@pytest.mark.parametrize("species", ["beef", "hog", "lamb"])
def test_a_standard_takes_its_species_only(tmp_path, name, species):
    problems = told(tmp_path, species, f"standard: {name}")
    if species == TAKES[name]:
        assert problems == []
        return
    (problem,) = problems
    assert problem.line == FROM, "where it is said what goes in"
    assert problem.message.startswith(
        f"{name} (9 CFR {PUBLISHED[name]['section']}) takes {TAKES[name]} only, and trim 90"
    )
    assert problem.message.endswith(f" {species}")


@pytest.mark.parametrize("name", TAKES)
def test_ground_beef_takes_no_fat_as_such(tmp_path, name):
    """From memory of 9 CFR 319.15(a): without the addition of beef fat as such."""
    path = tmp_path / "side.yaml"
    text = SIDE.format(species=TAKES[name])
    text = text.replace("trim 10: {kind: trim, lean: 10%", "trim 10: {kind: fat, lean: 10%")
    path.write_text(text + f"    standard: {name}\n")
    if name != "ground beef":
        assert read_recipe(path, "side.yaml")[1] == []
        return
    with pytest.raises(InputError) as caught:
        read_recipe(path, "side.yaml")
    (problem,) = caught.value.problems
    assert problem.line == FROM
    assert "319.15(a)) takes no fat as such" in problem.message and "trim 10" in problem.message


def test_nothing_is_lost_in_making_a_standardized_product(tmp_path):
    (problem,) = told(tmp_path, "hog", "standard: fresh pork sausage", "loss: 5%")
    assert problem.line == FIRST + 1
    assert "319.141" in problem.message and "lost in the making" in problem.message


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("Ground Beef", None),
        ("GROUND BEEF", None),
        ("grond beef", 'no standardized product called "grond beef"; did you mean "ground beef"?'),
        ("pork", 'no standardized product called "pork"; did you mean "fresh pork sausage"?'),
        ("yes", 'no standardized product called "yes" (known here: ground beef,'),
    ],
)
def test_the_name_of_a_standard(tmp_path, written, words):
    problems = told(tmp_path, "beef", f"standard: {written}")
    if words is None:
        assert problems == []
        blend = read_recipe(tmp_path / "side.yaml", "side.yaml")[0].blends["house grind"]
        assert blend.standard == "ground beef"
    else:
        (problem,) = problems
        assert problem.line == FIRST
        assert words in problem.message


def test_a_trim_without_a_lean_share_cannot_go_in(tmp_path):
    """As of bones: whether the standard is met could not be said."""
    text = SIDE.replace("from: [trim 90,", "from: [bones, trim 90,").format(species="beef")
    path = tmp_path / "side.yaml"
    path.write_text(text + "    standard: ground beef\n")
    with pytest.raises(InputError) as caught:
        read_recipe(path, "side.yaml")
    (problem,) = caught.value.problems
    assert (problem.line, problem.message.split(" (")[0]) == (FROM, "bones needs a lean share")


@pytest.mark.parametrize("name", TAKES)
def test_the_name_of_a_standard_without_the_word_is_odd(tmp_path, name):
    text = SIDE.format(species="lamb").replace("house grind", name)
    path = tmp_path / "side.yaml"
    path.write_text(text)
    (odd,) = read_recipe(path, "side.yaml")[1]
    assert (odd.line, odd.message) == (
        FROM - 1,
        f"{name} has the name of a standardized product; with `standard: {name}` its limits are "
        f"checked (9 CFR {PUBLISHED[name]['section']})",
    )
    book = tmp_path / "book.yaml"
    book.write_text(
        f"takes from: [lamb]\nblends:\n  {name}: {{from: [lamb trim 90], keeps: 2 days}}\n"
    )
    (odd,) = read_book(book, "book.yaml")[1]
    assert odd.line == 3 and f"with `standard: {name}` its limits" in odd.message
    week = tmp_path / "week.yaml"
    week.write_text(
        "starts: 2026-11-30\ndays: 1\ncarry: 0%\nrecipes: [other.yaml]\n"
        "rail: [{lamb: 1 side at 90 lb}]\n"
        f"blends:\n  {name}: {{from: [trim 90], keeps: 2 days}}\n"
    )
    (tmp_path / "other.yaml").write_text(SIDE.format(species="lamb"))
    (odd,) = read_scenario(week, "week.yaml")[1]
    assert odd.line == 7 and f"with `standard: {name}` its limits" in odd.message


def test_with_the_word_it_is_not_odd(tmp_path):
    path = tmp_path / "side.yaml"
    text = SIDE.format(species="beef").replace("house grind", "ground beef")
    path.write_text(text + "    standard: ground beef\n")
    assert read_recipe(path, "side.yaml")[1] == []


@pytest.mark.parametrize("shipped", ["hog", "beef-hind", "beef-fore"])
def test_the_shipped_grind_is_held_to_a_standard(shipped):
    blends = read_recipe(find(shipped, "recipes", Path())[0], shipped)[0].blends
    held = {each.standard: each for each in blends.values() if each.standard}
    assert held
    for name, blend in held.items():
        assert blend.fat[1] <= percent(PUBLISHED[name]["fat"]) / 100 + 1e-12
    assert all(blends[name].standard == name for name in set(blends) & set(PUBLISHED))
