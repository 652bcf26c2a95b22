"""Files of blends: checked alone, and what of them the recipes in use can make."""

from __future__ import annotations

import pytest
import yaml
from jsonschema import Draft202012Validator

from planner.files.check import check, schema
from planner.files.find import shipped_folder
from tests.files.test_blends import MIX, read, shop, told

BOOK = """\
takes from: [lamb, hog, beef]
unit: lb
blends:
  sausage:
    from: [lamb trim 90, hog trim 80, beef trim 80]
    beef: at most 30%
    batch: 5 kg
    keeps: 2 days
  patties:
    from: [lamb trim 90, beef trim 80]
    beef: at least 50%
    keeps: 2 days
  tallow: {from: [beef suet], loss: 30%, keeps: 9 days}
  crown grind: {from: [hog trim 80, beef suet], fat: at least 30%, keeps: 1 day}
"""


def test_bare_batches_take_the_unit_of_their_own_file(tmp_path):
    book = BOOK.replace("unit: lb", "unit: kg").replace("batch: 5 kg", "batch: 5")
    blends = read(shop(tmp_path, MIX + "    batch: 5\n", book)).blends
    assert blends["sausage"].batch == pytest.approx(5 / 0.45359237)
    assert blends["mix"].batch == 5


def test_a_blend_uses_what_is_there_and_others_are_left_aside(tmp_path):
    blends = read(shop(tmp_path, book=BOOK)).blends
    assert set(blends) == {"mince", "sausage"}
    assert blends["sausage"].takes == ("trim 90", "trim 80")
    assert blends["sausage"].limits == (), "a most of what is not there"


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        ("patties", "patties cannot be made: it needs beef, and no recipe for beef is in use"),
        (
            "tallow",
            "tallow cannot be made: nothing of what it takes is there, and no recipe for beef",
        ),
        ("crown grind", "crown grind cannot be made: no recipe for beef is in use; no mixture for"),
        ("patites", 'no cut called "patites" in lamb or hog'),
    ],
)
def test_what_is_left_aside_and_wanted_says_why(tmp_path, wanted, words):
    (problem,) = told(
        shop(tmp_path, book=BOOK, demand=f"{{{wanted}: {{price: 9/lb, want: 4 lb}}}}")
    )
    assert problem.line == 7 and problem.message.startswith(words)


def test_what_is_left_aside_may_be_a_blend_of_the_scenario(tmp_path):
    own = "  patties: {from: [trim 90], keeps: 2 days}\n"
    assert read(shop(tmp_path, own, BOOK)).blends["patties"].takes == ("trim 90",)
    (problem,) = told(shop(tmp_path, own.replace("patties", "sausage"), BOOK))
    assert (problem.line, problem.message) == (
        9,
        '"sausage" is a blend in a file of blends already',
    )


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("hog trim 80, beef trim", "hog trim80, beef trim", 5, 'did you mean "trim 80"?'),
        ("hog trim 80, beef trim", "lamb tongue, beef trim", 5, "is sold by each"),
        ("hog trim 80, beef trim", "lamb mince, beef trim", 5, "mince is a blend"),
        ("  sausage:", "  mince:", None, '"mince" is a blend of lamb already'),
        ("  sausage:", "  lamb bones:", None, '"lamb bones" is a cut of lamb already'),
        ("  sausage:", "  bones:", None, '"bones" is a cut of lamb already'),
    ],
)
def test_what_only_shows_with_the_recipes(tmp_path, old, new, line, words):
    assert BOOK.count(old) == 1
    path = shop(
        tmp_path, book=BOOK.replace(old, new), demand="{sausage: {price: 9/lb, want: 1 lb}}"
    )
    assert not check(str(tmp_path / "book.yaml")).problems
    problems = told(path)
    assert words in problems[0].message
    files = [(each.file.rsplit("/", 1)[-1], each.line) for each in problems]
    assert files == ([("book.yaml", line)] if line else []) + [("week.yaml", 3)]


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("takes from: [lamb, hog, beef]", "takes from: []", 1, "write takes from: [lamb, hog]"),
        ("takes from: [lamb, hog, beef]", "takes from: lamb", 1, "a list is expected here"),
        ("takes from: [lamb, hog, beef]\n", "", 1, '"takes from" is missing'),
        ("lamb trim 90, hog", "lam trim 90, hog", 5, '(lamb, hog, beef); did you mean "lamb"?'),
        (
            "lamb trim 90, hog",
            "trim 90, hog",
            5,
            '"trim 90" does not begin with one of the species',
        ),
        ("beef: at most", "beaf: at most", 6, 'unknown key "beaf"; did you mean "beef"?'),
        ("beef: at most 30%", "beef: 30%", 6, "write at least 30%, at most 30%, or two limits"),
        ("batch: 5 kg", "batch: 0", 7, "write the weight of one batch"),
        ("  patties:", "  sausage:", 9, "is listed twice (first on line 4)"),
        ("loss: 30%", "loss: 30", 13, "write 30%"),
        ("blends:", "blend:", 3, 'unknown key "blend"; did you mean "blends"?'),
        ("takes from:", "takes_from:", 1, 'unknown key "takes_from"; did you mean "takes from"?'),
        ("  patties:", "  lamb:", 9, '"lamb" is a species already'),
        ("  patties:", "  loss:", 9, '"loss" is reserved'),
        ("beef: at least 50%", "beef: at least 50%\n    lamb: at least 60%", 9, "keeps all limits"),
        ("[beef suet], l", "[beef], l", 13, '"beef" does not begin with one of the species'),
    ],
)
def test_a_file_of_blends_is_checked_alone(tmp_path, old, new, line, words):
    assert BOOK.count(old) == 1
    path = tmp_path / "book.yaml"
    path.write_text(BOOK.replace(old, new))
    found = check(str(path))
    assert found.kind == "blends"
    assert [(each.line, words in each.message) for each in found.problems] == [(line, True)]


def test_the_shipped_file_is_sound_and_fits_its_schema():
    path = shipped_folder("recipes") / "blends.yaml"
    found = check("blends")
    assert (found.kind, found.problems, found.warnings) == ("blends", (), ())
    validator = Draft202012Validator(schema("blends"))
    written = yaml.safe_load(path.read_text())
    validator.validate(written)
    for spoiled in ({"lamb": "60%"}, {"batch": "ten"}, {"from": "lamb trim 85"}, {"loss": 5}):
        one = {**written["blends"]["lard"], **spoiled}
        assert not validator.is_valid({**written, "blends": {"lard": one}}), spoiled
    assert not validator.is_valid({"blends": written["blends"]})
    Draft202012Validator.check_schema(schema("blends"))
