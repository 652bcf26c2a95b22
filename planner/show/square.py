"""Two trims mixed to a target, drawn as a square; and the same for machines."""

from __future__ import annotations

from typing import Any

from planner.ask.pearson_square import Square
from planner.core.quantities import POUNDS
from planner.core.scenario import Scenario
from planner.show.data import FORMAT, Data, shape
from planner.show.layout import clip, wrapped

NAME = 30

HOW = (
    "Left: fat of each. Middle: fat of the mixture. Right: parts, taken across the corners: {one} "
    "and {other}."
)
WEIGHTS = " Weights are of meat and fat; seasoning and water come on top."


def square_text(square: Square, scenario: Scenario) -> str:
    """The square with its corners, the parts, their shares, and weights where a total was given."""
    digits = _digits(square)
    names = [clip(name, NAME) for name in (square.one, square.other)]
    fats = [_points(fat, digits) + "%" for fat in (square.fat_one, square.fat_other)]
    parts = [square.parts_one, square.parts_other]
    shares = [square.share_one, square.share_other]
    rows = [*zip(parts, shares, _weights(square), strict=True), (sum(parts), 1.0, square.total)]
    told = [_row(scenario, *row, digits) for row in rows]
    wide = [max(map(len, column)) for column in zip(*told, strict=True)]
    right = ["  ".join(f"{c:>{w}}" for c, w in zip(row, wide, strict=True)) for row in told]
    left = [
        f"  {name:<{max(map(len, names))}}  {fat:>{max(map(len, fats))}}"
        for name, fat in zip(names, fats, strict=True)
    ]
    space, middle = " " * len(left[0]), f"{_points(square.target, digits)}%"
    how = HOW.format(one=_across(square, 1, digits), other=_across(square, 0, digits))
    lines = [
        f"MIX TO {middle} FAT",
        "",
        f"{left[0]} +-----------+ {right[0]}",
        rf"{space} |  \     /  |",
        f"{space} |{middle:^11}|",
        rf"{space} |  /     \  |",
        f"{left[1]} +-----------+ {right[1]}",
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


def _row(
    scenario: Scenario, parts: float, share: float, pounds: float | None, digits: int
) -> list[str]:
    row = [f"{_points(parts, digits)} parts", f"{share * 100:.1f}%"]
    if pounds is not None:
        row.append(f"{pounds / POUNDS[scenario.unit]:,.2f} {scenario.unit}")
    return row


def _digits(square: Square) -> int:
    """Digits that percent need here: one, or two where a share was given with two."""
    percents = [share * 100 for share in (square.fat_one, square.fat_other, square.target)]
    return 1 if all(abs(each - round(each, 1)) < 1e-6 for each in percents) else 2


def _points(share: float, digits: int) -> str:
    return f"{share * 100:.{digits}f}"


def _across(square: Square, corner: int, digits: int) -> str:
    """`100.0 - 20.0 = 80.0`: from a corner on the left to the target."""
    fat = (square.fat_one, square.fat_other)[corner]
    high, low = sorted((fat, square.target), reverse=True)
    return " ".join(
        (_points(high, digits), "-", _points(low, digits), "=", _points(high - low, digits))
    )
