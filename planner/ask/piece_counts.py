"""How many pieces of each kind a plan has, and what becomes of them."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from planner.ask.decisions import cut_counts
from planner.core.recipe import Recipe
from planner.solve.plan import Plan


@dataclass(frozen=True, slots=True)
class PieceCount:
    """Pieces of one kind over the period and all lots.

    Attributes
    ----------
    piece : str
    ways : tuple of (str, int)
        Ways used, in the order of the recipe, and how many were cut so.
    left, wasted : int
        Whole pieces that are in date at the end, and that went out of date.
    """

    piece: str
    ways: tuple[tuple[str, int], ...]
    left: int
    wasted: int

    @property
    def total(self) -> int:
        """All that came up."""
        return sum(count for _, count in self.ways) + self.left + self.wasted


def piece_counts(plan: Plan, recipe: Recipe) -> tuple[PieceCount, ...]:
    """Every piece of a recipe in its order, those that did not come up with a total of 0."""
    cut = cut_counts(plan)
    whole: dict[tuple[str, bool], int] = defaultdict(int)
    for uncut in plan.uncut:
        whole[uncut.piece, uncut.wasted] += uncut.count
    return tuple(
        PieceCount(
            piece=name,
            ways=tuple((way, cut[name, way]) for way in piece.ways if (name, way) in cut),
            left=whole[name, False],
            wasted=whole[name, True],
        )
        for name, piece in recipe.pieces.items()
    )
