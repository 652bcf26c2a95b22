"""Labels in a row above or below a drawing, each with a line to what it is about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.show.pictures.letters import SIZE, fitted, width
from planner.show.pictures.picture import WIDTH, Text
from planner.show.pictures.shapes import Point

LINE = 17.0  # units from one line of text to the next
BREAK = 5.0  # units more before a bold line that is not the first
GAP = 14.0  # units between labels side by side
HEAD = 14.0  # size of the bold lines


@dataclass(frozen=True, slots=True)
class Label:
    """Lines about one place: whether each is bold, and its text."""

    dot: Point
    lines: tuple[tuple[bool, str], ...]


@dataclass(frozen=True, slots=True)
class Callout:
    """A label set: its texts, and its line from `start` to `dot`."""

    texts: tuple[Text, ...]
    start: Point
    dot: Point


def row_height(labels: Sequence[Label]) -> float:
    """Units that the highest of the labels takes."""
    return max((_high(label) for label in labels), default=0.0)


def _high(label: Label) -> float:
    return LINE * len(label.lines) + BREAK * sum(bold for bold, _ in label.lines[1:])


def set_in_row(labels: Sequence[Label], top: float, *, above: bool) -> tuple[Callout, ...]:
    """Labels side by side in the order of their dots, none over another.

    Above the drawing they stand on a common foot, below it they hang from a common head.
    """
    if not labels:
        return ()
    ordered = sorted(labels, key=lambda label: label.dot)
    most = _most_each([_wide(label) for label in ordered])
    wides = [min(_wide(label), most) for label in ordered]
    high = row_height(ordered)
    lefts = _apart([label.dot[0] for label in ordered], wides)
    return tuple(
        _set(label, left, top + high - _high(label) if above else top, wide, above)
        for label, left, wide in zip(ordered, lefts, wides, strict=True)
    )


def _set(label: Label, left: float, top: float, wide: float, above: bool) -> Callout:
    texts: list[Text] = []
    foot = top
    for at, (bold, line) in enumerate(label.lines):
        foot += LINE + (BREAK if bold and at else 0)
        texts.append(Text(left, foot - 4, fitted(line, wide, _size(bold)), bold=bold))
    middle = min(max(label.dot[0], left + 4), left + wide - 4)
    start = (middle, top + _high(label) + 3 if above else top - 3)
    return Callout(tuple(texts), start, label.dot)


def _size(bold: bool) -> float:
    return HEAD * 1.08 if bold else SIZE  # bold letters are wider


def _wide(label: Label) -> float:
    return max(width(line, _size(bold)) for bold, line in label.lines) + 2


def _most_each(wides: Sequence[float]) -> float:
    """The widest that one may be for all to stand side by side: only the widest give way."""
    room = WIDTH - GAP * (len(wides) - 1)
    for number, wide in enumerate(sorted(wides)):
        if wide * (len(wides) - number) > room:
            return room / (len(wides) - number)
        room -= wide
    return max(wides)


def _apart(middles: Sequence[float], wides: Sequence[float]) -> list[float]:
    """Where each begins so that all stand apart, and as close to their middles as can be.

    Least squares under an order: neighbours that would overlap are pooled and share their shift.
    """
    before = [sum(wides[:at]) + GAP * at for at in range(len(wides))]
    room = WIDTH - before[-1] - wides[-1]
    pools: list[tuple[float, int]] = []  # the mean of what they want, and how many
    for middle, wide, shift in zip(middles, wides, before, strict=True):
        pools.append((middle - wide / 2 - shift, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (one, few), (other, more) = pools[-2:]
            pools[-2:] = [((one * few + other * more) / (few + more), few + more)]
    shifts = [want for want, number in pools for _ in range(number)]
    return [max(0.0, min(shift, room)) + along for shift, along in zip(shifts, before, strict=True)]
