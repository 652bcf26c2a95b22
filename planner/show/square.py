"""Two trims mixed to a target, drawn as a square; and the same for machines."""

from __future__ import annotations

from typing import Any

from planner.ask.pearson_square import Square
from planner.core.scenario import Scenario
from planner.show.data import FORMAT, Data, shape
from planner.show.layout import clip, table, wrapped

NAME = 30

HOW = (
    "Left: fat of each. Middle: fat of the mixture. Right: parts, taken across the corners: {one} "
    "and {other}."
)
WEIGHTS = " Weights are of meat and fat; seasoning and water come on top."


def square_text(square: Square, scenario: Scenario) -> str:
    """The square with its corners, the parts, their shares, and weights where a total was given."""
    percents = [100 * share for share in (square.fat_one, square.fat_other, square.target)]
    # one digit, or two where a share was given with two
    digits = 1 if all(abs(each - round(each, 1)) < 1e-6 for each in percents) else 2
    one, other, target = (f"{each:.{digits}f}" for each in percents)

    def row(parts: float, share: float, pounds: float | None) -> list[str]:
        told = [f"{100 * parts:.{digits}f} parts", f"{share * 100:.1f}%"]
        if pounds is not None:
            told.append(f"{pounds / scenario.units.pounds:,.2f} {scenario.unit}")
        return told

    def across(fat: float) -> str:
        """`100.0 - 20.0 = 80.0`: from a corner on the left to the target."""
        high, low = max(fat, square.target) * 100, min(fat, square.target) * 100
        return f"{high:.{digits}f} - {low:.{digits}f} = {high - low:.{digits}f}"

    weights = _weights(square)
    rows = [
        row(square.parts_one, square.share_one, weights[0]),
        row(square.parts_other, square.share_other, weights[1]),
        row(square.parts_one + square.parts_other, 1.0, square.total),
    ]
    align = ("right", "right", "right")[: len(rows[0])]
    right = [line.removeprefix("  ") for line in table(rows, (), align).split("\n")]
    names = [clip(name, NAME) for name in (square.one, square.other)]
    left = table([(names[0], f"{one}%"), (names[1], f"{other}%")], (), ("left", "right"))
    left_one, left_other = left.split("\n")
    space, middle = " " * len(left_one), f"{target}%"
    how = HOW.format(one=across(square.fat_other), other=across(square.fat_one))
    lines = [
        f"MIX TO {middle} FAT",
        "",
        f"{left_one} +-----------+ {right[0]}",
        rf"{space} |  \     /  |",
        f"{space} |{middle:^11}|",
        rf"{space} |  /     \  |",
        f"{left_other} +-----------+ {right[1]}",
        f"{space}               {right[2]}",
        "",
        *wrapped(how if square.total is None else how + WEIGHTS),
    ]
    return "\n".join(line.rstrip() for line in lines)


def square_data(square: Square, scenario: Scenario) -> dict[str, Any]:
    """The square; parts are percentage points of fat, weights null without a total."""
    data = Data(scenario)
    one, other = _weights(square)
    mix = (
        (square.one, square.fat_one, square.parts_one * 100, square.share_one, one),
        (square.other, square.fat_other, square.parts_other * 100, square.share_other, other),
    )
    return {
        "format": FORMAT,
        "unit": scenario.unit,
        "fat": data.number(square.target),
        "total": None if square.total is None else data.weight(square.total),
        "mix": data.all(_MIXED, mix),
    }


_MIXED = shape("of = 0, fat = 1: number, parts = 2: number, share = 3: number, weight = 4: weight")


def _weights(square: Square) -> tuple[float | None, float | None]:
    return (None, None) if square.total is None else square.weights(square.total)
