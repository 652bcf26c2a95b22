"""What a drawing consists of: regions, outlines, light lines; and curves through points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

Point = tuple[float, float]
Polygon = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Region:
    """A part of a side, in the units of its drawing.

    Attributes
    ----------
    pieces : tuple of str
        Names of the pieces told here, without their species. The first is what it is called.
    shapes : tuple of Polygon
        Where it lies; what is outside the outline of the body is not seen.
    dot : Point
        Where the line from its label ends.
    above : bool
        Whether its label stands above the animal; else below.
    """

    pieces: tuple[str, ...]
    shapes: tuple[Polygon, ...]
    dot: Point
    above: bool


@dataclass(frozen=True, slots=True)
class Drawing:
    """The side of an animal that faces left.

    `box` is what it lies in: left, top, right, bottom. `body` are the points of its outline,
    through which a curve is drawn; `behind` and `before` are curves drawn lightly below and over
    it (head, feet, tail), in the words of an SVG path.
    """

    box: tuple[float, float, float, float]
    body: Polygon
    behind: tuple[str, ...]
    before: tuple[str, ...]
    regions: tuple[Region, ...]


def points(text: str) -> Polygon:
    """`12,30 14,32` as points."""
    pairs = (pair.split(",") for pair in text.split())
    return tuple((float(x), float(y)) for x, y in pairs)


def curve(through: Sequence[Point]) -> str:
    """A closed SVG path through points: Catmull-Rom, as cubic curves."""
    number = len(through)
    path = f"M{_show(through[0])}"
    for at in range(number):
        before, start = through[at - 1], through[at]
        end, after = through[(at + 1) % number], through[(at + 2) % number]
        first = (start[0] + (end[0] - before[0]) / 6, start[1] + (end[1] - before[1]) / 6)
        second = (end[0] - (after[0] - start[0]) / 6, end[1] - (after[1] - start[1]) / 6)
        path += f"C{_show(first)} {_show(second)} {_show(end)}"
    return f"{path}Z"


def straight(polygon: Sequence[Point]) -> str:
    """A closed SVG path along the edges of a polygon."""
    return f"M{' L'.join(_show(point) for point in polygon)}Z"


def _show(point: Point) -> str:
    return f"{point[0]:.1f},{point[1]:.1f}"
