"""What a plan decided, added up over the period: pieces by way, pounds by blend, what is wasted."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Mapping
from dataclasses import dataclass

from planner.core.recipe import Recipe
from planner.solve.plan import Plan

FATES = ("left", "wasted")
"""Of a piece that is not cut: in date at the end, or out of date."""


def cut_counts(plan: Plan) -> Counter[tuple[str, str]]:
    """Pieces cut each way, over all lots and days."""
    counts: Counter[tuple[str, str]] = Counter()
    for each in plan.breaks:
        counts[each.piece, each.way] += each.count
    return counts


def uncut_counts(plan: Plan) -> Counter[tuple[str, str]]:
    """Pieces not cut by their fate, over all lots."""
    counts: Counter[tuple[str, str]] = Counter()
    for each in plan.uncut:
        counts[each.piece, FATES[each.wasted]] += each.count
    return counts


def waste_of(plan: Plan, cuts: Container[str]) -> float:
    """Pounds of some cuts that go out of date."""
    return sum(line.wasted for line in plan.cuts if line.cut in cuts)


def short_value(plan: Plan) -> float:
    """Money of the orders that fall short."""
    return sum(plan.scenario.orders[each.order].price * each.short for each in plan.short)


def grown(
    one: Mapping[tuple[str, str], int], other: Mapping[tuple[str, str], int]
) -> tuple[tuple[str, str, int], ...]:
    """Ways of which the second has more, and how many more."""
    more = {key: count - one.get(key, 0) for key, count in other.items()}
    return tuple((*key, count) for key, count in more.items() if count > 0)


def blended_in(plan: Plan) -> dict[tuple[str, str], float]:
    """Pounds of each cut that go into each blend over the period."""
    blended: dict[tuple[str, str], float] = defaultdict(float)
    for batch in plan.batches:
        for cut, pounds in batch.takes.items():
            blended[cut, batch.blend] += pounds
    return dict(blended)


def fat_of(plan: Plan, blend: str) -> float | None:
    """Fat share of all that goes into a blend over the period; None where it is not known."""
    batches = [batch for batch in plan.batches if batch.blend == blend]  # none for no blend
    weight = sum(pounds for batch in batches for pounds in batch.takes.values())
    fats = [(sum(batch.takes.values()), batch.fat) for batch in batches]
    known = [pounds * fat for pounds, fat in fats if fat is not None]
    return sum(known) / weight if weight and len(known) == len(fats) else None


@dataclass(frozen=True, slots=True)
class PieceCount:
    """Pieces of one kind over the period and all lots.

    `ways` are those used, in the order of the recipe, and how many were cut so; `left` and `wasted`
    the whole pieces that are in date at the end, and that went out of date.
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
    cut, whole = cut_counts(plan), uncut_counts(plan)
    return tuple(
        PieceCount(
            piece=name,
            ways=tuple((way, cut[name, way]) for way in piece.ways if (name, way) in cut),
            left=whole[name, "left"],
            wasted=whole[name, "wasted"],
        )
        for name, piece in recipe.pieces.items()
    )
