"""What every shipped recipe keeps to, with what is listed for each; and the shipped blends.

What is about one species alone, its published yields above all, stands in the test of its recipe.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from planner.core.recipe import Recipe
from planner.core.scenario import Scenario
from planner.files.find import shipped_names
from planner.files.scenario_file import read_scenario
from tests.published.test_beef_recipes_bones import CLASSIFIED as BEEF_WAYS
from tests.published.test_goat_recipe import CLASSIFIED as GOAT_WAYS
from tests.published.test_hog_recipe_meat import CLASSIFIED as HOG_WAYS
from tests.published.test_lamb_recipe import CLASSIFIED as LAMB_WAYS
from tests.published.test_veal_recipe import CLASSIFIED as VEAL_WAYS
from tests.yields import (
    ambiguous,
    cuts_of,
    fat_and_bones,
    mislabelled,
    numbers,
    off_the_chart,
    published,
    shares_by_path,
    shipped,
    total,
    ways_as_written,
    ways_of,
    written,
)

BLENDS = "blends"
NAMES = [name for name in shipped_names("recipes") if name != BLENDS]


@pytest.fixture(scope="module")
def recipes() -> dict[str, Recipe]:
    return {name: shipped(name) for name in NAMES}


def of_species(recipes: Mapping[str, Recipe], species: str) -> list[Recipe]:
    """The recipes of a species: two, where its quarters have one each."""
    return [recipe for recipe in recipes.values() if recipe.species == species]


@dataclass(frozen=True)
class Listed:
    """What is so in one recipe.

    `by_products` are the days that fat and bones keep, which are not in the chart: common practice,
    no source. `longer` are exceptions from the chart. `twice` are pieces that two ways lead to.
    """

    trims: int
    by_products: Mapping[str, int]
    twice: frozenset[str] = frozenset()
    longer: Mapping[str, int] = field(default_factory=dict)


SUET = {"fat": 3, "suet": 4, "bones": 3}
HOG_FAT = {"fat": 3, "back fat": 4, "leaf fat": 4, "skin": 3, "bones": 3}
BEEF = {"fat": 3, "bones": 3, "marrow bones": 3}
LISTED = {
    # Carcass and quarters hang whole under their fat and are cut by nobody yet: for lamb common
    # practice, no source; for beef from memory.
    "lamb": Listed(2, SUET, frozenset({"sirloin"}), {"carcass": 7}),
    "beef-hind": Listed(3, BEEF | {"suet": 4}, frozenset({"hind shin"}), {"hindquarter": 12}),
    "beef-fore": Listed(3, BEEF, longer={"forequarter": 10}),
    "hog": Listed(2, HOG_FAT, frozenset({"spareribs"})),
    "goat": Listed(2, SUET, frozenset({"leg", "saddle"})),
    "veal": Listed(2, SUET, frozenset({"hind shank"})),
}


@dataclass(frozen=True)
class Numbers:
    """What the item numbers of a species are compared by.

    Attributes
    ----------
    words : tuple of str
        A number goes to what has the same of these words in its name.
    pieces_sold : frozenset of str
        Numbers of a piece that the cut it is sold as, left whole, has too.
    all_used : bool
        Whether the published list has only numbers that are used.
    more_said : bool
        Whether the published names may say more of these words than ours.
    """

    words: tuple[str, ...]
    pieces_sold: frozenset[str] = frozenset()
    all_used: bool = True
    more_said: bool = False


# Institutional Meat Purchase Specifications, Series 100 to 400, as far as in the published lists;
# how firm those are stands in them. No number of goat is remembered for certain: it has no list.
NUMBERS = {
    "lamb": Numbers(
        ("carcass", "rack", "loin", "leg", "shoulder", "breast", "shank"),
        frozenset({"204", "207", "210", "233A"}),
        all_used=False,
    ),
    "hog": Numbers(
        ("leg", "loin", "belly", "spareribs", "back ribs", "country-style ribs", "Louis", "butt")
        + ("picnic", "neck", "inside", "boneless", "ground"),
        frozenset({"406", "408", "412", "416"}),
    ),
    "beef": Numbers(
        ("hindquarter", "forequarter", "chuck", "rib", "brisket", "plate", "shank", "round")
        + ("loin", "flank", "ground", "stew", "kebab", "short", "top", "bottom", "flat", "point")
        + ("knuckle", "clod", "roll", "tender", "outside", "inside", "back", "eye", "flap")
        + ("tri-tip", "strip"),
        more_said=True,
    ),
    "veal": Numbers(
        ("fore", "hind", "shank", "breast", "round", "rib", "loin", "chop", "cutlet", "stew"),
        frozenset({"313"}),
    ),
}
# Names in the words of the specifications. A saddle is both loins, 409 the skinned belly.
SAID = {
    "saddle": "loin",
    "bacon slab": "belly",
    "boneless fresh ham": "boneless leg",
    "ham inside": "leg, inside",
    "fore shin": "foreshank",
}

WAYS = {
    "lamb": LAMB_WAYS,
    "hog": HOG_WAYS,
    "beef": BEEF_WAYS,
    "goat": GOAT_WAYS,
    "veal": VEAL_WAYS,
}


def test_every_shipped_recipe_is_listed(recipes):
    assert set(LISTED) == set(NAMES)
    assert set(WAYS) == {recipe.species for recipe in recipes.values()}


# ---- sums ----


@pytest.mark.parametrize("name", NAMES)
def test_shares_of_a_way_add_up_to_100(recipes, name):
    ways = ways_as_written(name)
    assert [(piece, way) for piece, way, _ in ways] == ways_of(recipes[name])
    sums = {(piece, way): total(gives) for piece, way, gives in ways}
    assert {way: each for way, each in sums.items() if each != 100} == {}


@pytest.mark.parametrize("name", NAMES)
def test_a_piece_weighs_the_same_by_every_path(recipes, name):
    shares = shares_by_path(name)
    assert set(shares) == set(recipes[name].pieces)
    assert {piece: found for piece, found in shares.items() if len(set(found)) != 1} == {}
    assert {piece for piece, found in shares.items() if len(found) > 1} == LISTED[name].twice


@pytest.mark.parametrize("species", WAYS)
def test_every_way_is_classified_once(recipes, species):
    ways = [way for recipe in of_species(recipes, species) for way in ways_of(recipe)]
    assert sorted(WAYS[species]) == sorted(ways)


# ---- days kept ----


# USDA FSIS cold food storage chart: days at or below 40 F.
@pytest.mark.parametrize("name", NAMES)
def test_everything_keeps_as_long_as_the_chart_says(recipes, name):
    recipe = recipes[name]
    assert off_the_chart(cuts_of(recipe), recipe.pieces.values()) == LISTED[name].longer


@pytest.mark.parametrize("name", NAMES)
def test_fat_and_bones_keep_as_listed(recipes, name):
    assert fat_and_bones(cuts_of(recipes[name])) == LISTED[name].by_products


# ---- names and numbers ----


@pytest.mark.parametrize("name", NAMES)
def test_trims_are_as_lean_as_their_names_say(recipes, name):
    trims = {cut.name: cut.lean for cut in recipes[name].cuts.values() if cut.kind == "trim"}
    assert len(trims) == LISTED[name].trims
    assert mislabelled(trims) == {}


@pytest.mark.parametrize("species", WAYS)
def test_no_name_is_the_long_form_of_another(recipes, species):
    assert ambiguous(of_species(recipes, species)) == set()


@pytest.mark.parametrize("species", NUMBERS)
def test_item_numbers_are_those_of_the_same_cut(recipes, species):
    by, theirs = NUMBERS[species], published(f"imps-{species}")
    found = numbers(of_species(recipes, species))
    used = {number for _, number in found}
    assert used == set(theirs) if by.all_used else used and used <= set(theirs)
    off = {}
    for name, number in found:
        words = {word for word in by.words if word in SAID.get(name, name)}
        all_words = {word for word in by.words if word in theirs[number]}
        if not words or not words <= all_words or (words != all_words and not by.more_said):
            off[name] = theirs[number]
    assert off == {}


# A number stands for one thing, or for a piece and for the cut that it is sold as.
@pytest.mark.parametrize("species", NUMBERS)
def test_no_item_number_stands_for_two_cuts(recipes, species):
    pieces = {name for recipe in of_species(recipes, species) for name in recipe.pieces}
    named: dict[str, set[str]] = {}
    for name, number in numbers(of_species(recipes, species)):
        named.setdefault(number, set()).add(name)
    several = {number: names for number, names in named.items() if len(names) > 1}
    assert set(several) == NUMBERS[species].pieces_sold
    assert {(len(names), len(names & pieces)) for names in several.values()} <= {(2, 1)}


@pytest.mark.parametrize("species", sorted(set(WAYS) - set(NUMBERS)))
def test_no_item_numbers_without_a_published_list(recipes, species):
    """Nothing is printed rather than a wrong number."""
    assert numbers(of_species(recipes, species)) == []


# ---- the blends that belong to no recipe ----


def week(folder: Path, *recipes: str) -> Scenario:
    """An empty week with some recipes and the shipped blends."""
    path = folder / "week.yaml"
    named = ", ".join((*recipes, BLENDS))
    path.write_text(f"starts: 2026-11-30\ndays: 1\nrecipes: [{named}]\nrail: []\ndemand: {{}}\n")
    return read_scenario(path, path.name)[0]


def taken(scenario: Scenario) -> dict[str, set[str]]:
    """What goes into each blend that belongs to no recipe, with the species in front."""

    def full(cut: str) -> str:
        species = scenario.cuts[cut].species
        return cut if cut.startswith(f"{species} ") else f"{species} {cut}"

    return {name: set(map(full, blend.takes)) for name, blend in scenario.own_blends.items()}


def as_written(*species: str) -> dict[str, set[str]]:
    """The part of `from` that is of some species, blend by blend."""
    return {
        name: {cut for cut in blend["from"] if cut.split()[0] in species}
        for name, blend in written(BLENDS)["blends"].items()
    }


def test_with_all_recipes_every_blend_is_made(recipes, tmp_path):
    scenario = week(tmp_path, *NAMES)
    assert scenario.aside == {}
    assert set(written(BLENDS)["takes from"]) == {each.species for each in recipes.values()}
    assert taken(scenario) == as_written(*written(BLENDS)["takes from"])


def test_what_blends_are_made_from_is_a_cut_of_some_recipe():
    files = [written(name) for name in NAMES]
    known = {f"{each['species']} {cut}" for each in files for cut in each["cuts"]}
    wanted = {cut for blend in written(BLENDS)["blends"].values() for cut in blend["from"]}
    assert wanted - known == set()


# The others need beef, or are made from nothing else.
def test_with_lamb_and_hog_some_blends_are_left_aside(tmp_path):
    scenario = week(tmp_path, "lamb", "hog")
    aside = {"beef and lamb patties", "beef and pork grind", "tallow"}
    assert set(scenario.aside) == aside
    left = {"lamb and pork sausage", "stock bones", "pet bones", "lard", "lamb dripping"}
    of_these = as_written("lamb", "hog")
    assert of_these.keys() == aside | left
    assert taken(scenario) == {name: of_these[name] for name in left}


# USDA FSIS cold food storage chart, as above.
def test_blends_keep_as_long_as_the_chart_says(tmp_path):
    made = [blend.cut for blend in week(tmp_path, *NAMES).own_blends.values()]
    assert off_the_chart(made) == {}
    # Not in the chart; from memory.
    rendered = {"lard": 30, "tallow": 30, "lamb dripping": 30}
    assert fat_and_bones(made) == {"stock bones": 3, "pet bones": 3, **rendered}
