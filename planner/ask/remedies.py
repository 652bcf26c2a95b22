"""What is short of a blend, what of trim, fat or bones is too much, and what would mend it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.files.changes import Change

WORTH = 0.1
"""Pounds below which nothing is called short or too much, and nothing is moved."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to mend, carried out by its changes.

    Attributes
    ----------
    changes : tuple of Change
        Rules to put to `whatif`.
    more, fewer : tuple of (piece, way, count)
        How many more, and fewer, pieces are cut so.
    moved : tuple of (cut, blend, pounds)
        How much more of a cut goes into a blend; less where negative.
    into : str
        The blend that a surplus is moved into, where that is what the changes ask for; else empty.
    fat : float or None
        Fat share of that blend's weight in, over the period.
    robbed : tuple of (blend, pounds)
        Blends of which more is then missing, and how much more.
    mended : float
        Pounds of the shortage or surplus that are done away with; of a surplus only what does not
        go out of date as something else instead.
    least, most : float
        Money it costs, by proof; negative where it earns.
    """

    changes: tuple[Change, ...]
    more: tuple[tuple[str, str, int], ...]
    fewer: tuple[tuple[str, str, int], ...]
    moved: tuple[tuple[str, str, float], ...]
    into: str
    fat: float | None
    robbed: tuple[tuple[str, float], ...]
    mended: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Imbalance:
    """A shortage or a surplus, and what would mend it.

    Attributes
    ----------
    what : str
        The blend that is short, or the cut of which too much is there.
    by_day : tuple of (day, pounds)
        Wanted and not to be had, or out of date at the end of the day.
    lacks : {"lean", "fat", "trim", ""}
        What a blend lacks that is short; empty where what it takes lies there.
    worth : float
        Money a pound up to which it is worth mending: what a pound short would bring once more, or
        what one of surplus could bring.
    remedies : tuple of Remedy
        The cheapest first.
    asked : bool
        False where time was over before any was found.
    ordered : float
        Pounds of a shortage that are promised.
    """

    kind: Literal["short", "surplus"]
    what: str
    by_day: tuple[tuple[int, float], ...]
    worth: float
    lacks: Literal["lean", "fat", "trim", ""] = ""
    remedies: tuple[Remedy, ...] = ()
    asked: bool = True
    ordered: float = 0.0

    @property
    def pounds(self) -> float:
        """In all."""
        return sum(pounds for _, pounds in self.by_day)
