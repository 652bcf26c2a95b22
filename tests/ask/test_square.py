"""Two trims mixed to a target: worked by hand, drawn, and as the optimizer mixes them.

The figures are worked by hand beside each case. Parts across the corners: common practice, no
source.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.ask.pearson_square import Square, square_of
from planner.core.errors import InputError
from planner.core.scenario import Scenario
from planner.show.data import json_text
from planner.show.square import square_data, square_text
from tests.planning import plan_of, read
from tests.solve.test_properties import SHOPS

KG = 0.45359237

# fat of one, of the other, target: parts of one, parts of the other, share of one
HAND = [
    # 90 lean and 50 lean to 80 lean: 50 - 20 = 30 parts, 20 - 10 = 10 parts; 30 of 40
    (0.10, 0.50, 0.20, 30, 10, 0.75),
    # 85 lean and clear fat to 20% fat: 100 - 20 = 80 parts, 20 - 15 = 5 parts; 80 of 85
    (0.15, 1.00, 0.20, 80, 5, 80 / 85),
    # the fatter first: 20 - 10 = 10 parts of it, 50 - 20 = 30 parts of the leaner
    (0.50, 0.10, 0.20, 10, 30, 0.25),
    # 95 lean and 65 lean to 15% fat: 35 - 15 = 20 parts, 15 - 5 = 10 parts; 2 of 3
    (0.05, 0.35, 0.15, 20, 10, 2 / 3),
    # 80 lean and 70 lean to 27.5% fat: 30 - 27.5 = 2.5 parts, 27.5 - 20 = 7.5 parts; 1 of 4
    (0.20, 0.30, 0.275, 2.5, 7.5, 0.25),
    # the target is one of the two: all of it, none of the other
    (0.15, 0.30, 0.15, 15, 0, 1.0),
    (0.15, 0.30, 0.30, 0, 15, 0.0),
]


@pytest.mark.parametrize(("one", "other", "target", "parts_one", "parts_other", "share"), HAND)
def test_squares_worked_by_hand(one, other, target, parts_one, parts_other, share):
    square = Square("one", "other", one, other, target)
    assert 100 * square.parts_one == pytest.approx(parts_one)
    assert 100 * square.parts_other == pytest.approx(parts_other)
    assert square.share_one == pytest.approx(share)
    assert square.share_other == pytest.approx(1 - share)


def test_weights_worked_by_hand():
    """40 lb of 80 lean from 90s and 50s: 3 of 4 parts are 30 lb, 1 of 4 is 10 lb.

    Fat: 30 x 0.10 + 10 x 0.50 = 3 + 5 = 8 lb of 40 lb, which is 20%.
    """
    assert Square("90s", "50s", 0.10, 0.50, 0.20).weights(40) == pytest.approx((30, 10))


shares = st.integers(0, 1000).map(lambda n: n / 1000)


@settings(SHOPS, max_examples=200)
@given(shares, shares, shares, st.floats(0.1, 1000))
def test_every_mixture_is_as_fat_as_its_target(one, other, part, total):
    if one == other:
        return
    target = one + (other - one) * part
    square = Square("one", "other", one, other, target)
    first, second = square.weights(total)
    assert first + second == pytest.approx(total)
    assert first * one + second * other == pytest.approx(total * target, abs=1e-9 * total)
    turned = Square("other", "one", other, one, target)
    assert (turned.share_one, turned.parts_one) == (square.share_other, square.parts_other)


@pytest.mark.parametrize(
    ("one", "other", "target", "message"),
    [
        (0.15, 0.30, 0.14, "no mixture of a and b is 14% fat: they are 15% and 30% fat"),
        (0.15, 0.30, 0.31, "no mixture of a and b is 31% fat: they are 15% and 30% fat"),
        (0.20, 0.20, 0.20, "a and b are 20% fat both, and so is whatever is mixed of them"),
    ],
)
def test_targets_that_no_mixture_reaches(one, other, target, message):
    with pytest.raises(ValueError, match=f"^{re.escape(message)}$"):
        Square("a", "b", one, other, target)


# -- read from a text ------------------------------------------------------------------------------


def shop(folder: Path, fat: str = "0% to 100%", want: str = "9 lb", **gives: str) -> Path:
    """A side of 100 lb with two trims, fat and bones, and a blend of the two trims only."""
    shares = gives or {"trim 85": "20%", "trim 50": "30%"}
    recipe = {
        "species": "lamb",
        "root": "side",
        "pieces": {
            "side": {
                "keeps": 2,
                "ways": {"bone out": {"gives": shares | {"fat": "10%", "bones": "40%"}}},
            }
        },
        "cuts": {
            **{
                name: {"kind": "trim", "lean": f"{name.split()[1]}%", "keeps": 2} for name in shares
            },
            "fat": {"kind": "fat", "keeps": 2},
            "bones": {"kind": "bone", "keeps": 2},
        },
        "blends": {"mince": {"from": list(shares), "fat": fat, "keeps": 2}},
    }
    scenario: dict[str, Any] = {
        "title": "An invented block",
        "starts": "2026-11-30",
        "days": 1,
        "recipes": ["lamb.yaml"],
        "rail": [{"lamb": "1 side at 100 lb"}],
        "demand": {"mince": {"price": "10/lb", "want": want}},
    }
    (folder / "lamb.yaml").write_text(yaml.safe_dump(recipe, sort_keys=False))
    path = folder / "shop.yaml"
    path.write_text(yaml.safe_dump(scenario, sort_keys=False))
    return path


@pytest.fixture
def scenario(tmp_path: Path) -> Scenario:
    return read(shop(tmp_path))


@pytest.mark.parametrize(
    ("text", "names", "fats", "target", "total"),
    [
        ("trim 85, fat: 20%", ("trim 85", "fat"), (0.15, 1.0), 0.20, None),
        ("lamb trim 85 ,  trim 50 :20% fat", ("trim 85", "trim 50"), (0.15, 0.5), 0.20, None),
        ("trim 85, fat: 80% lean", ("trim 85", "fat"), (0.15, 1.0), 0.20, None),
        ("trim 85, fat: 10 lb at 20%", ("trim 85", "fat"), (0.15, 1.0), 0.20, 10.0),
        ("trim 85, fat: 10 at 80% lean", ("trim 85", "fat"), (0.15, 1.0), 0.20, 10.0),
        ("trim 85, fat: 2 kg at 20%", ("trim 85", "fat"), (0.15, 1.0), 0.20, 2 / KG),
        ("90% lean, 50% lean: 20% fat", ("90% lean", "50% lean"), (0.1, 0.5), 0.20, None),
        ("trim 85, 70% fat: 20%", ("trim 85", "70% fat"), (0.15, 0.7), 0.20, None),
    ],
)
def test_a_text_is_read(scenario, text, names, fats, target, total):
    square = square_of(scenario, text)
    assert (square.one, square.other) == names
    assert (square.fat_one, square.fat_other) == pytest.approx(fats)
    assert square.target == pytest.approx(target)
    assert square.total == (None if total is None else pytest.approx(total))


WRONG = [
    ("trim 85, fat 20%", 'a colon before the target is missing in "trim 85, fat 20%"; write it'),
    ("trim 85: 20%", 'two things to mix, with a comma between, are wanted in "trim 85: 20%"'),
    ("trim 85, : 20%", "two things to mix, with a comma between, are wanted"),
    ("trim 85, fat, trim 50: 20%", "two things to mix, with a comma between, are wanted"),
    ("trim 85, fut: 20%", 'no cut called "fut" in lamb; did you mean "fat"?'),
    ("trim 85, side: 20%", "side is a piece, not a cut; its ways give"),
    ("trim 85, bones: 20%", "bones has no lean share, so its fat is not known"),
    ("trim 85, fat: 10%", "no mixture of trim 85 and fat is 10% fat: they are 15% and 100% fat"),
    ("trim 85, fat: 20", '"20" has no % sign: write 20%'),
    ("trim 85, fat: ", 'cannot read ""; write a share such as 11.25%'),
    ("trim 85, fat: 0 lb at 20%", "0 lb of a mixture is nothing"),
    ("trim 85, fat: 3 each at 20%", "a weight is expected here, such as 6 lb"),
    ("trim 85, fat: some at 20%", 'cannot read "some"; write an amount such as'),
]


@pytest.mark.parametrize(("text", "message"), WRONG)
def test_what_is_wrong_with_a_text_is_told(scenario, text, message):
    with pytest.raises(InputError) as error:
        square_of(scenario, text)
    assert str(error.value).startswith(f"--square: {message}")


def test_all_faults_are_told_at_once(scenario):
    with pytest.raises(InputError) as error:
        square_of(scenario, "trim 84, fut: 3 each at 20")
    assert len(error.value.problems) == 4


# -- drawn -----------------------------------------------------------------------------------------


def test_the_square_is_drawn_with_parts_across_the_corners(scenario):
    text = square_text(square_of(scenario, "trim 85, fat: 17 lb at 20%"), scenario)
    assert text.split("\n\n")[1].splitlines() == [
        "  trim 85   15.0% +-----------+ 80.0 parts   94.1%  16.00 lb",
        r"                  |  \     /  |",
        "                  |   20.0%   |",
        r"                  |  /     \  |",
        "  fat      100.0% +-----------+  5.0 parts    5.9%   1.00 lb",
        "                                85.0 parts  100.0%  17.00 lb",
    ]
    said = " ".join(text.split())
    assert "across the corners: 100.0 - 20.0 = 80.0 and 20.0 - 15.0 = 5.0." in said
    assert "seasoning and water come on top" in said
    bare = square_text(square_of(scenario, "trim 85, fat: 20%"), scenario)
    assert " lb" not in bare and "seasoning" not in bare


def test_shares_with_two_digits_are_drawn_with_two(scenario):
    text = square_text(square_of(scenario, "trim 85, fat: 17.25%"), scenario)
    assert "82.75 parts" in text and "17.25 - 15.00 = 2.25" in " ".join(text.split())


def test_long_names_stay_within_100_columns(scenario):
    square = Square("lamb " * 30, "fat " * 30, 0.1, 1.0, 0.2, 100_000.0)
    assert max(map(len, square_text(square, scenario).splitlines())) <= 100


def test_the_square_for_machines(scenario):
    square = square_of(scenario, "trim 85, fat: 17 lb at 20%")
    data = json.loads(json_text(square_data(square, scenario)))
    assert data == square_data(square, scenario)
    assert (data["format"], data["fat"], data["total"]) == ("breakplan/1", 0.2, 17.0)
    one, other = data["mix"]
    assert (one["of"], one["parts"], one["weight"]) == ("trim 85", 80.0, 16.0)
    assert (other["of"], other["parts"], other["weight"]) == ("fat", 5.0, 1.0)
    assert one["share"] + other["share"] == pytest.approx(1)


# -- the optimizer mixes two trims as the square does ----------------------------------------------


@pytest.mark.parametrize(
    ("one", "other", "fat"),
    [(85, 50, 20), (85, 50, 40), (90, 50, 20), (80, 70, 23), (95, 65, 15), (70, 90, 12)],
)
def test_the_optimizer_and_the_square_agree_where_all_is_wanted(tmp_path, one, other, fat):
    """Of the one that runs out first all is used, and of the other its share."""
    names = (f"trim {one}", f"trim {other}")
    path = shop(tmp_path, f"{fat}% to {fat}%", "90 lb", **{names[0]: "20%", names[1]: "30%"})
    square = square_of(read(path), f"{names[0]}, {names[1]}: {fat}%")
    [batch] = plan_of(path).batches
    made = min(20 / square.share_one, 30 / square.share_other)  # 20 and 30 lb are there
    assert batch.made == pytest.approx(made, rel=1e-6)
    for name, share in zip(names, (square.share_one, square.share_other), strict=True):
        assert batch.takes[name] / batch.made == pytest.approx(share, abs=1e-6)
    assert batch.takes == pytest.approx(dict(zip(names, square.weights(made), strict=True)))


def test_the_optimizer_and_the_square_agree_where_little_is_wanted(tmp_path):
    path = shop(tmp_path, "20% to 20%", "7 lb")
    square = square_of(read(path), "trim 85, trim 50: 7 lb at 20%")
    [batch] = plan_of(path).batches
    assert tuple(batch.takes.values()) == pytest.approx(square.weights(7.0), abs=1e-5)


def test_a_limit_that_binds_gives_the_square_of_its_end(tmp_path):
    """All 20 lb of trim 85 are stretched with as much trim 50 as 15% to 24% of fat let in."""
    path = shop(tmp_path, "15% to 24%", "90 lb")
    square = square_of(read(path), "trim 85, trim 50: 24%")
    [batch] = plan_of(path).batches
    assert batch.takes["trim 85"] == pytest.approx(20)
    assert batch.takes["trim 50"] == pytest.approx(20 * square.parts_other / square.parts_one)
