"""What is usual at a shop, out of shop.yaml and of the journal: amounts, weights, head, prices."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from planner.journal.entries import Delivery, OrderTaken, Recorded, Sold
from planner.shop.entering.things import Things


@dataclass(frozen=True, slots=True)
class Usual:
    """What is usual at a shop, by the journal's names.

    Attributes
    ----------
    want : mapping of str to float
        What a week wants of a cut: pounds or each.
    most : mapping of str to float
        The most of it that was sold on a day, or ordered: pounds or each.
    weights : mapping of str to tuple of float
        Least and most pounds of one of what arrives.
    head : mapping of str to int
        The most of it that arrived at once, or is offered.
    costs : mapping of str to tuple of float
        Least and most money for a pound of what arrives.
    """

    want: Mapping[str, float]
    most: Mapping[str, float]
    weights: Mapping[str, tuple[float, float]]
    head: Mapping[str, int]
    costs: Mapping[str, tuple[float, float]]


def usual_of(things: Things, entries: Iterable[Recorded]) -> Usual:
    """What is usual, out of shop.yaml and of what counts of the journal."""
    want = {
        things.cuts[name].full: sum(demand.want) + sum(demand.markdown_want)
        for name, demand in things.week.demand.items()
        if name in things.cuts
    }
    most: dict[str, float] = {}
    weights: dict[str, tuple[float, float]] = {}
    costs: dict[str, tuple[float, float]] = {}
    head: dict[str, int] = {}
    for lot in things.week.lots:
        full = things.pieces[lot.piece].full
        _widen(weights, full, (lot.weight,))
        head[full] = max(head.get(full, 0), lot.count)
        if lot.cost:
            _widen(costs, full, (lot.cost,))
    for one in entries:
        entry = one.entry
        if isinstance(entry, Sold | OrderTaken):
            most[entry.cut] = max(most.get(entry.cut, 0.0), entry.amount)
        elif isinstance(entry, Delivery):
            _widen(weights, entry.what, entry.pounds)
            head[entry.what] = max(head.get(entry.what, 0), entry.head)
            if entry.cost:
                _widen(costs, entry.what, (entry.cost,))
    return Usual(want, most, weights, head, costs)


def _widen(bounds: dict[str, tuple[float, float]], name: str, values: Iterable[float]) -> None:
    each = (*bounds.get(name, ()), *values)
    if each:  # of a journal that somebody else wrote to, weights may be gone
        bounds[name] = min(each), max(each)
