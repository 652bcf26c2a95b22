"""Blends of recipes and scenarios: read, every fault on its line, and as a plan makes them."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.core.errors import InputError, Problem
from planner.core.recipe import Limit
from planner.core.scenario import Scenario
from planner.files.check import check
from planner.files.scenario_file import read_scenario
from tests.files.test_grind_rules import HOG, LAMB
from tests.planning import json_of

# of two sides of 100 lb: 30 lb of trim 90, 20 of trim 50, 10 of fat, 36 of lamb bones, a tongue;
# 60 lb of trim 80, 40 of hog bones
WEEK = """\
starts: 2026-11-30
days: 1
recipes: [{recipes}]
rail:
  - {{lamb: 1 side at 100 lb}}
  - {{hog: 1 side at 100 lb}}
demand: {demand}
"""
MIX = """\
  mix:
    from: [trim 90, trim 80, fat]
    lamb: at least 60%
    fat: 10% to 20%
    keeps: 2 days
"""
TWO = "lamb.yaml, hog.yaml"


def shop(folder: Path, blends: str = "", book: str | None = None, **kinds: str) -> Path:
    """A week with blends of its own and, if given, a file of blends; demand on its line 7."""
    (folder / "lamb.yaml").write_text(kinds.get("lamb", LAMB))
    (folder / "hog.yaml").write_text(HOG)
    recipes = kinds.get("recipes", TWO if book is None else f"{TWO}, book.yaml")
    if book is not None:
        (folder / "book.yaml").write_text(book)
    path = folder / "week.yaml"
    week = WEEK.format(recipes=recipes, demand=kinds.get("demand", "{}"))
    path.write_text(week + (f"blends:\n{blends}" if blends else ""))
    return path


def read(path: Path) -> Scenario:
    return read_scenario(path, "week.yaml")[0]


def told(path: Path) -> list[Problem]:
    with pytest.raises(InputError) as caught:
        read_scenario(path, "week.yaml")
    return list(caught.value.problems)


# ---- read ----


def test_a_blend_of_a_scenario_is_read_whole(tmp_path):
    more = (
        "    hog trim 80: 20% to 30%\n    fat: at most 25%\n    added: 4%\n    loss: 1%\n"
        "    batch: 80 oz\n    minutes: 1 per kg\n    imps: 12\n"
    )
    path = shop(tmp_path, MIX.replace("    fat: 10% to 20%\n", more))
    blend = read(path).blends["mix"]
    assert blend.takes == ("trim 90", "trim 80", "fat")
    assert blend.limits == (
        Limit("lamb", ("trim 90", "fat"), 0.6, 1.0),
        Limit("trim 80", ("trim 80",), 0.2, 0.3),
    )
    assert (blend.fat, blend.batch, blend.standard) == ((0.0, 0.25), 5.0, "")
    assert blend.minutes == pytest.approx(0.45359237)
    assert blend.gain == pytest.approx(1.04 * 0.99)
    assert (blend.cut.keeps, blend.cut.imps, blend.cut.species) == (2, "12", "mixed")


@pytest.mark.parametrize(
    ("takes", "kind", "species"),
    [
        ("[lamb bones, hog bones]", "bone", "mixed"),
        ("[lamb bones]", "bone", "lamb"),
        ("[fat]", "fat", "lamb"),
        ("[fat, lamb bones]", "ground", "lamb"),
        ("[trim 80]", "ground", "hog"),
        ("[trim 90, trim 80]", "ground", "mixed"),
    ],
)
def test_kind_and_species_of_what_is_made(tmp_path, takes, kind, species):
    made = read(shop(tmp_path, f"  it: {{from: {takes}, keeps: 1 day}}\n")).cuts["it"]
    assert (made.kind, made.species, made.by_each) == (kind, species, False)


def test_a_cut_called_fat_has_its_limit_in_the_longer_form(tmp_path):
    blends = "  it: {from: [trim 90, fat], fat: 25%, lamb fat: at most 10%, keeps: 1 day}\n"
    blend = read(shop(tmp_path, blends)).blends["it"]
    assert (blend.fat, blend.limits) == ((0.0, 0.25), (Limit("fat", ("fat",), 0.0, 0.1),))


# ---- faults ----

KEEPS = "    keeps: 2 days\n"
SLIPS = [
    # limits
    ("lamb: at least 60%", "lamb: 60%", "lamb:", "write at least 60%, at most 60%, or two limits"),
    ("lamb: at least 60%", "lamb: 60", "lamb:", "write at least 60%, at most 60%, or two limits"),
    ("lamb: at least 60%", "lamb: at least 60", "lamb:", "no % sign: write at least 60%"),
    ("lamb: at least 60%", "lamb: least 60%", "lamb:", 'cannot read "least 60%"'),
    ("lamb: at least 60%", "lamb: 60% to 40%", "lamb:", "the limits are crossed"),
    ("lamb: at least 60%", "lamb: at least 160%", "lamb:", "more than a share can be"),
    ("lamb: at least 60%", "lamb: {at least: 60%}", "lamb:", "write a limit such as at least 60%"),
    ("lamb: at least 60%", "lamb: [60%]", "lamb:", "write a limit such as at least 60%"),
    ("lamb: at least 60%", "lamb:", "lamb:", "nothing is written here"),
    ("lamb: at least 60%", "lamp: at least 60%", "lamp:", 'key "lamp"; did you mean "lamb"?'),
    ("lamb: at least 60%", "LAMB: at least 60%", "LAMB:", 'did you mean "lamb"?'),
    ("lamb: at least 60%", "beef: at least 60%", "beef:", "and what stands in `from`)"),
    ("lamb: at least 60%", "trim80: at most 20%", "trim80:", 'did you mean "trim 80"?'),
    ("lamb: at least 60%", "trim 50: at most 20%", "trim 50:", 'unknown key "trim 50"'),
    ("lamb: at least 60%", "lamb at least 60%", "lamb at", "a colon is missing"),
    ("lamb: at least 60%", "lamb:at least 60%", "lamb:at", "a colon is missing"),
    (KEEPS, f"{KEEPS}    lamb: at most 90%\n", "lamb: at most", "listed twice (first on line 11)"),
    (KEEPS, f"{KEEPS}    hog: at least 50%\n", "  mix:", "no mixture for mix keeps all limits"),
    ("10% to 20%", "5% to 9%", "fat: 5%", "reaches 5% to 9% of fat: its trims have 10% to 100%"),
    # the other keys
    (KEEPS, f"{KEEPS}    bacth: 5 lb\n", "bacth", 'unknown key "bacth"; did you mean "batch"?'),
    (KEEPS, f"{KEEPS}    batch: 0\n", "batch", "write the weight of one batch, such as 10 lb"),
    (KEEPS, f"{KEEPS}    batch: 4 each\n", "batch", "write the weight of one batch, such as 10"),
    (KEEPS, f"{KEEPS}    batch: ten\n", "batch", 'cannot read "ten"'),
    (KEEPS, f"{KEEPS}    loss: 5\n", "loss", 'write 5%'),
    (KEEPS, f"{KEEPS}    water: 1%\n", "water", "water is part of `added`, but is more"),
    (KEEPS, f"{KEEPS}    added: 2%\n    water: 3%\n", "water", "water is part of `added`"),
    (KEEPS, f"{KEEPS}    minutes: 5\n", "minutes", "such as 0.3 per lb"),
    (KEEPS, f"{KEEPS}\t  batch: 5 lb\n", "batch", "a tab at the start of the line"),
    (KEEPS, "", "mix:", 'mix: "keeps" is missing'),
    # what goes in
    ("[trim 90, trim 80, fat]", "trim 90", "from", "a list is expected here"),
    ("[trim 90, trim 80, fat]", "{trim 90: 60%}", "from", "a list is expected here"),
    ("[trim 90, trim 80, fat]", "[]", "from", "mix is made from nothing"),
    ("[trim 90, trim 80, fat]", "", "from", "nothing is written here"),
    ("[trim 90,", "[trim90,", "from", 'no cut called "trim90" in lamb or hog; did you mean "trim'),
    ("[trim 90,", "[lamb side,", "from", "lamb side is a piece, not a cut; its ways give"),
    ("[trim 90,", "[tongue, trim 90,", "from", "sold by each; a blend takes cuts by weight"),
    ("[trim 90,", "[lamb bones, trim 90,", "from", "lamb bones needs a lean share"),
    ("[trim 90,", "[mince, trim 90,", "from", "mince is a blend; a blend takes what ways give"),
    ("[trim 90,", "[trim 90, trim 90,", "from", '"trim 90" is listed twice'),
    ("[trim 90,", "[trim 90, lamb trim 90,", "from", '"lamb trim 90" is listed twice'),
    # its name and its form
    ("  mix:", "  mince:", "mince:", '"mince" is a blend of lamb already; give the blend another'),
    ("  mix:", "  tongue:", "tongue:", '"tongue" is a cut of lamb already'),
    ("  mix:", "  hog side:", "hog side:", '"hog side" is a piece of hog already'),
    ("  mix:", "  lamb:", "  lamb:\n", '"lamb" is a species already'),
    ("  mix:", f"  {'x' * 61}:", "xxx", "the name has 61 characters, 60 at most"),
    ("  mix:", "  mix: {from: [fat], keeps: 1}\n  mix:", "  mix:\n", "is listed twice"),
    ("  mix:\n", "  - mix:\n  ", "blends:", "lines of names and values are expected here"),
    # and these were told by another word, on another line, or not at all
    (KEEPS, "    kepes: 2 days\n", "kepes", 'unknown key "kepes"; did you mean "keeps"?'),
    ("from:", "form:", "form:", 'unknown key "form"; did you mean "from"?'),
    (KEEPS, f"{KEEPS}    loss: 100%\n", "loss", "nothing is left of what goes in"),
    ("[trim 90,", "[mix, trim 90,", "from", "mix is a blend; a blend takes what ways give"),
    ("  mix:", "  loss:", "loss:", '"loss" is reserved for weight that is lost'),
    ("  mix:", "  bones:", "bones:", '"bones" is a cut of lamb already'),
    ("  mix:", "  hog trim 80:", "hog trim 80:", '"hog trim 80" is a cut of hog already'),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "at", "words"), SLIPS)
def test_a_fault_is_told_once_on_its_line(tmp_path, old, new, at, words):
    assert MIX.count(old) == 1
    path = shop(tmp_path, MIX.replace(old, new), demand="{lamb bones: {price: 2/lb, want: 3 lb}}")
    (problem,) = told(path)
    lines = path.read_text().splitlines(keepends=True)
    last = max(number for number, line in enumerate(lines, 1) if at in line)
    assert (problem.file, problem.line) == ("week.yaml", last)
    assert words in problem.message


@pytest.mark.parametrize(
    "change",
    [
        ("[trim 90,", "[trim90,"),
        ("10% to 20%", "5% to 9%"),
        ("lamb: at least 60%", "lamb: 60%"),
        ("  mix:\n", "  mix: [fat]\n  it:\n"),
        ("  mix:", "  mix: {from: [fat], keeps: 1 day}\n  mix:"),
        ("  mix:\n", "  - mix:\n  "),
        ("blends:", "blend:"),
    ],
)
def test_a_fault_of_a_blend_is_not_told_where_the_blend_is_named(tmp_path, change):
    path = shop(tmp_path, MIX, demand="{mix: {price: 9/lb, want: 4 lb}}")
    text = path.read_text().replace(*change) + "rules: [at least 2.5 lb trim 80: mix]\n"
    path.write_text(text)
    (problem,) = told(path)
    assert 8 <= problem.line < len(text.splitlines()), "neither in the demand nor in the rules"


def test_a_blend_is_named_by_the_nearest_word(tmp_path):
    path = shop(tmp_path, MIX.replace("mix:", "house mix:"), demand="{huose mix: {price: 9/lb}}")
    (problem,) = told(path)
    assert problem.message.endswith('; did you mean "house mix"?')


def test_faults_in_a_blend_of_a_recipe(tmp_path):
    mince = "{from: [trim 90, trim 50, fat], fat: at most 30%, keeps: 2 days}"
    for new, words in [
        ("{from: [trim 90, mince], keeps: 2 days}", "mince is a blend; a blend takes what ways"),
        ("{from: [trim 90, side], keeps: 2 days}", "side is a piece, not a cut"),
        ("{from: [trim 90], lamp: at least 9%, keeps: 2 days}", 'did you mean "lamb"?'),
        ("{from: [trim 90], lamb: at most 90%, keeps: 2 days}", "keeps all limits on what goes in"),
        ("{from: [trim 90], keep: 2 days}", 'unknown key "keep"; did you mean "keeps"?'),
        ("{from: [trim 90], trim 90 at least 9%, keeps: 2 days}", "is a colon, or the space after"),
        ("{from: [trim 90], keeps: 2 days}\n  mince: {from: [fat], keeps: 1}", "listed twice"),
    ]:
        assert LAMB.count(mince) == 1
        (tmp_path / "lamb.yaml").write_text(LAMB.replace(mince, new))
        found = check(str(tmp_path / "lamb.yaml"))
        assert [words in each.message for each in found.problems] == [True], (new, found.problems)


# ---- planned ----


@pytest.mark.parametrize(
    ("blend", "made", "takes", "fat"),
    [
        # 30 lb of lamb are 60% of 50 lb; (30 x 10% + 20 x 20%) / 50 = 14%
        ("lamb: at least 60%", 50, {"trim 90": 30, "trim 80": 20}, 0.14),
        # 60 lb of pork are 80% of 75 lb; (15 x 10% + 60 x 20%) / 75 = 18%
        ("trim 90: at most 20%", 75, {"trim 90": 15, "trim 80": 60}, 0.18),
        # 30 lb of lamb are 40% of 75 lb: (3 + 9) / 75 = 16%
        ("hog: 50% to 60%", 75, {"trim 90": 30, "trim 80": 45}, 0.16),
        # 30 lb at 10% and x at 20% are 15% fat: x = 30
        ("fat: at most 15%", 60, {"trim 90": 30, "trim 80": 30}, 0.15),
        # 90 lb x 1.1 x 0.9
        ("added: 10%, loss: 10%", 89.1, {"trim 90": 30, "trim 80": 60}, 1 / 6),
    ],
)
def test_shares_fat_and_loss_of_a_plan(tmp_path, blend, made, takes, fat):
    demand = "{mix: {price: 9/lb, want: 200 lb}}"
    own = f"  mix: {{from: [trim 90, trim 80], {blend}, keeps: 2 days}}\n"
    (row,) = json_of(shop(tmp_path, own, demand=demand))["blends"]
    assert row["made"] == pytest.approx(made, abs=1e-5)
    assert row["from"] == pytest.approx(takes, abs=1e-5)
    assert row["fat"] == pytest.approx(fat, abs=1e-6)
    assert "batches" not in row


def test_only_whole_batches_are_made(tmp_path):
    """90 lb in are 99 lb out: 8 batches of 12 lb. Each takes 12 / 1.1 lb in, and 2 minutes a lb."""
    own = (
        "  mix: {from: [trim 90, trim 80], added: 10%, batch: 12 lb, minutes: 2 per lb, keeps: 2}\n"
    )
    plan = json_of(shop(tmp_path, own, demand="{mix: {price: 9/lb, want: 200 lb}}"))
    (row,) = plan["blends"]
    assert (row["batches"], row["made"]) == (8, pytest.approx(96))
    assert sum(row["from"].values()) == pytest.approx(96 / 1.1, abs=1e-5)
    assert plan["bench"][0]["minutes"] == pytest.approx(10 + 2 * 96)
    assert plan["revenue"] == pytest.approx(96 * 9)
    big = own.replace("12 lb", "100 lb")
    none = json_of(shop(tmp_path, big, demand="{mix: {price: 9/lb, want: 200 lb}}"))
    assert none["blends"] == [] and none["revenue"] == 0


def test_bones_have_no_fat_and_rendered_fat_is_all_of_it(tmp_path):
    own = (
        "  stock: {from: [lamb bones, hog bones], keeps: 3 days}\n"
        "  dripping: {from: [fat], loss: 30%, keeps: 9 days}\n"
        "  pet food: {from: [trim 50, lamb bones], lamb bones: at most 0%, keeps: 1 day}\n"
    )
    wants = "{stock: {price: 2/lb, want: 99}, dripping: {price: 4/lb, want: 99}, "
    plan = json_of(shop(tmp_path, own, demand=f"{wants}pet food: {{price: 1/lb, want: 99}}}}"))
    rows = {row["blend"]: row for row in plan["blends"]}
    assert (rows["stock"]["made"], rows["stock"]["fat"]) == (pytest.approx(76), None)
    assert (rows["dripping"]["made"], rows["dripping"]["fat"]) == (pytest.approx(7), 1)
    assert rows["pet food"]["fat"] == pytest.approx(0.5), "no bones went in, so it is known"
    species = {line["cut"]: line["species"] for line in plan["cuts"]}
    assert (species["stock"], species["dripping"]) == ("mixed", "lamb")
    for line in plan["cuts"]:
        came = line["on hand"] + line["made"]
        gone = line["sold"] + line["blended"] + line["wasted"] + line["left"]
        assert came == pytest.approx(gone, abs=1e-5), line["cut"]
