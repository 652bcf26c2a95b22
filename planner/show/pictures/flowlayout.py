"""Where the boxes, bands and labels of a flow picture stand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from operator import attrgetter

from planner.show.pictures.letters import fitted, width
from planner.show.pictures.picture import EDGE, WIDTH, Text
from planner.show.pictures.ranks import Band, Box, Ranked, ranked

PITCH = 17.0  # least units from one label to the next in a column
SPACE = 3.0  # least units between boxes of a column
THICK = 9.0  # units across a box

BESIDE = THICK + 4
"""Units from the left of a box to its label."""

LEAST = 420.0  # least units from top to bottom

FULL = 0.72
"""Share of the least height that all of the weight takes; the rest is space between boxes."""

HEAD = 26.0  # units above the boxes, for what the columns are called


@dataclass(frozen=True, slots=True)
class Placed:
    """A box in its place; `number` is its place among the boxes asked for."""

    number: int
    x: float
    y: float
    high: float
    label: tuple[Text, ...]


@dataclass(frozen=True, slots=True)
class Ribbon:
    """A band as a path, and the number of the box where its weight goes in the end."""

    path: str
    end: int


@dataclass(frozen=True, slots=True)
class Layout:
    """Everything of a flow picture in its place."""

    heads: tuple[Text, ...]
    boxes: tuple[Placed, ...]
    ribbons: tuple[Ribbon, ...]
    high: float


def lay_out(
    heads: Sequence[str],
    boxes: Sequence[Box],
    bands: Sequence[Band],
    labels: Sequence[tuple[str, str]],
) -> Layout:
    """Put boxes in columns, as high as they are heavy, and labels beside them.

    `heads` is what each column is called; `labels` has for each box its name, of which the end may
    be left out, and what has to stand behind it, or below it in a label of two lines.
    """
    order = ranked(boxes, bands)
    scale, high = _scale(order)
    tops = _tops(order, scale, high)
    xs = _across(len(heads))
    placed = []
    for number, label in enumerate(labels):
        box = order.boxes[number]
        x, y, tall = xs[box.column], tops[number], _tall(box, scale)
        room = (xs[box.column + 1] - 6 if box.column + 1 < len(xs) else WIDTH) - x - BESIDE
        texts = _label(label, box.lines, x + BESIDE, y + tall / 2, room)
        placed.append(Placed(number, x, y, tall, texts))
    return Layout(
        heads=tuple(Text(x + EDGE, 13, head, bold=True) for head, x in zip(heads, xs, strict=True)),
        boxes=tuple(placed),
        ribbons=_ribbons(order, scale, tops, xs),
        high=HEAD + high + 6,
    )


def _label(
    label: tuple[str, str], lines: int, x: float, middle: float, room: float
) -> tuple[Text, ...]:
    name, amount = label
    if lines == 1:
        text = f"{fitted(name, room - width(f' {amount}'))} {amount}"
        return (Text(x, middle + 4.5, text),)
    return (
        Text(x, middle - 3.5, fitted(name, room / 1.1), bold=True),
        Text(x, middle + 12.5, amount),
    )


def _across(columns: int) -> list[float]:
    """Where the columns begin: those in the middle, which have the longest names, get more."""
    shares = {
        3: (0.2, 0.55, 0.25),
        4: (0.15, 0.28, 0.37, 0.2),
        5: (0.12, 0.235, 0.255, 0.225, 0.165),
    }.get(columns, (1 / max(columns, 1),) * columns)
    return [WIDTH * sum(shares[:at]) for at in range(columns)]


def _scale(order: Ranked) -> tuple[float, float]:
    """Units for a pound, and units from top to bottom."""
    heaviest = max(
        (sum(order.boxes[at].weight for at in column) for column in order.columns), default=0.0
    )
    scale = LEAST * FULL / heaviest if heaviest else 1.0
    return scale, max([LEAST, *(_needs(order, column, scale) for column in order.columns)])


def _needs(order: Ranked, column: Sequence[int], scale: float) -> float:
    return sum(_slot(order.boxes[at], scale) for at in column)


def _slot(box: Box, scale: float) -> float:
    """Units a box takes with its label and the space below it."""
    return max(_tall(box, scale) + SPACE, PITCH * box.lines)


def _tall(box: Box, scale: float) -> float:
    return max(box.weight * scale, 1.0)


def _tops(order: Ranked, scale: float, high: float) -> dict[int, float]:
    """Top of each box: what a column does not need is shared out between its boxes."""
    tops = {}
    for column in order.columns:
        spare = high - _needs(order, column, scale)
        y = HEAD + spare / (len(column) + 1)
        for at in column:
            slot = _slot(order.boxes[at], scale)
            tops[at] = y + (slot - _tall(order.boxes[at], scale)) / 2
            y += slot + spare / (len(column) + 1)
    return tops


def _ribbons(
    order: Ranked, scale: float, tops: dict[int, float], xs: Sequence[float]
) -> tuple[Ribbon, ...]:
    """Bands from the right of one box to the left of the next, not crossing at their ends."""

    def stacked(near: Callable[[Band], int], far: Callable[[Band], int]) -> dict[int, float]:
        """Where each band meets its box, the one whose other box is highest first."""
        used, places = dict(tops), {}
        for number, band in sorted(
            enumerate(order.bands), key=lambda pair: (tops[far(pair[1])], pair[0])
        ):
            places[number] = used[near(band)]
            used[near(band)] += band.weight * scale
        return places

    source, target = attrgetter("source"), attrgetter("target")
    starts, ends = stacked(source, target), stacked(target, source)
    ribbons = []
    for number, band in enumerate(order.bands):
        one, other = order.boxes[band.source], order.boxes[band.target]
        left = xs[one.column] + (THICK if one.lines else THICK / 2)
        right = xs[other.column] + (0 if other.lines else THICK / 2)
        path = _ribbon(left, starts[number], right, ends[number], max(band.weight * scale, 0.6))
        ribbons.append(Ribbon(path, order.ends[number]))
    return tuple(ribbons)


def _ribbon(left: float, start: float, right: float, end: float, thick: float) -> str:
    middle = (left + right) / 2
    return (
        f"M{left:.1f},{start:.2f}C{middle:.1f},{start:.2f} {middle:.1f},{end:.2f} "
        f"{right:.1f},{end:.2f}V{end + thick:.2f}C{middle:.1f},{end + thick:.2f} "
        f"{middle:.1f},{start + thick:.2f} {left:.1f},{start + thick:.2f}Z"
    )
