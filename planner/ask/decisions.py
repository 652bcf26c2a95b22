"""What a plan decided, added up over the period: pieces by way, pounds by blend, what is wasted."""

from __future__ import annotations

from collections.abc import Container, Mapping

from planner.solve.plan import Plan


def cut_counts(plan: Plan) -> dict[tuple[str, str], int]:
    """Pieces cut each way, over all lots and days."""
    counts: dict[tuple[str, str], int] = {}
    for each in plan.breaks:
        counts[each.piece, each.way] = counts.get((each.piece, each.way), 0) + each.count
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
    blended: dict[tuple[str, str], float] = {}
    for batch in plan.batches:
        for cut, pounds in batch.takes.items():
            blended[cut, batch.blend] = blended.get((cut, batch.blend), 0.0) + pounds
    return blended


def fat_of(plan: Plan, blend: str) -> float | None:
    """Fat share of all that goes into a blend over the period; None where it is not known."""
    batches = [batch for batch in plan.batches if batch.blend == blend]  # none for no blend
    weight = sum(pounds for batch in batches for pounds in batch.takes.values())
    fats = [(sum(batch.takes.values()), batch.fat) for batch in batches]
    known = [pounds * fat for pounds, fat in fats if fat is not None]
    return sum(known) / weight if weight and len(known) == len(fats) else None
