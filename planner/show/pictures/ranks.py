"""Boxes in columns with bands between them: what stands where, and in which order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

SWEEPS = 12  # times the columns are put in order, to the right and back


@dataclass(frozen=True, slots=True)
class Box:
    """Something in a column; `weight` tells its height.

    `held` boxes keep the order in which they are given. `lines` are those of its label, which need
    room.
    """

    column: int
    weight: float
    lines: int = 1
    held: bool = False


@dataclass(frozen=True, slots=True)
class Band:
    """Weight that goes from a box to one in the next column."""

    source: int
    target: int
    weight: float


@dataclass(frozen=True, slots=True)
class Ranked:
    """Boxes and bands, every band now between neighbours, and each column from top to bottom.

    `ends` has, for each band, the box where its weight goes in the end.
    """

    boxes: tuple[Box, ...]
    bands: tuple[Band, ...]
    ends: tuple[int, ...]
    columns: tuple[tuple[int, ...], ...]


def ranked(boxes: Sequence[Box], bands: Sequence[Band]) -> Ranked:
    """Lead bands that pass columns by through boxes without a label, and put columns in order.

    All that goes to the same box passes a column by in the same place. A column is ordered by the
    mean place of what each box is joined to in the column before, then in the one after
    (barycentre method, Sugiyama, Tagawa and Toda 1981); the order with the fewest crossings by
    weight is kept.
    """
    all_boxes = list(boxes)
    passing: dict[tuple[int, int], int] = {}
    weights: dict[tuple[int, int], float] = {}
    ends: dict[tuple[int, int], int] = {}
    for band in bands:
        at = band.source
        for column in range(boxes[band.source].column + 1, boxes[band.target].column):
            key = (column, band.target)
            if key not in passing:
                passing[key] = len(all_boxes)
                all_boxes.append(Box(column, 0.0, lines=0))
            via = passing[key]
            old = all_boxes[via]
            all_boxes[via] = Box(column, old.weight + band.weight, lines=0)
            weights[at, via] = weights.get((at, via), 0.0) + band.weight
            ends[at, via] = band.target
            at = via
        weights[at, band.target] = weights.get((at, band.target), 0.0) + band.weight
        ends[at, band.target] = band.target
    short = tuple(Band(*pair, weight) for pair, weight in weights.items())
    return Ranked(tuple(all_boxes), short, tuple(ends.values()), _ordered(all_boxes, short))


def _ordered(boxes: Sequence[Box], bands: Sequence[Band]) -> tuple[tuple[int, ...], ...]:
    count = max((box.column for box in boxes), default=-1) + 1
    columns = [[at for at, box in enumerate(boxes) if box.column == c] for c in range(count)]
    best, fewest = [list(column) for column in columns], _crossed(columns, boxes, bands)
    for _ in range(SWEEPS):
        for order, forward in ((range(1, count), True), (range(count - 2, -1, -1), False)):
            for column in order:
                _sort(columns, column, boxes, bands, forward)
            crossed = _crossed(columns, boxes, bands)
            if crossed < fewest - 1e-9:
                best, fewest = [list(each) for each in columns], crossed
    return tuple(tuple(column) for column in best)


def _sort(
    columns: list[list[int]],
    column: int,
    boxes: Sequence[Box],
    bands: Sequence[Band],
    forward: bool,
) -> None:
    """Order a column by where its boxes are joined to; held ones keep their order."""
    middles = _middles(columns[column - 1 if forward else column + 1], boxes)
    own = _middles(columns[column], boxes)
    sums = dict.fromkeys(columns[column], (0.0, 0.0))
    for band in bands:
        mine, other = (band.target, band.source) if forward else (band.source, band.target)
        if mine in sums and other in middles:
            total, weight = sums[mine]
            sums[mine] = total + band.weight * middles[other], weight + band.weight
    place = {at: total / weight if weight else own[at] for at, (total, weight) in sums.items()}
    ordered = sorted(columns[column], key=lambda at: (place[at], at))
    held = iter(sorted(at for at in ordered if boxes[at].held))
    columns[column] = [next(held) if boxes[at].held else at for at in ordered]


def _middles(column: Sequence[int], boxes: Sequence[Box]) -> dict[int, float]:
    """Where the middle of each box is, as a share of its column."""
    middles, above = {}, 0.0
    total = sum(boxes[at].weight for at in column) or 1.0
    for at in column:
        middles[at] = (above + boxes[at].weight / 2) / total
        above += boxes[at].weight
    return middles


def _crossed(
    columns: Sequence[Sequence[int]], boxes: Sequence[Box], bands: Sequence[Band]
) -> float:
    """Crossings of bands, each counted by the narrower of the two."""
    place = {at: number for column in columns for number, at in enumerate(column)}
    crossed = 0.0
    for column in range(len(columns) - 1):
        here = [band for band in bands if boxes[band.source].column == column]
        for number, one in enumerate(here):
            for other in here[:number]:
                left = place[one.source] - place[other.source]
                right = place[one.target] - place[other.target]
                if left * right < 0:
                    crossed += min(one.weight, other.weight)
    return crossed
