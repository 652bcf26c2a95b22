"""What can be cut from now on: pieces in the cooler, deliveries to come, offers still open."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import chain

from planner.core.recipe import Recipe, recipe_with
from planner.core.scenario import Lot, Scenario
from planner.files.rail import STATES
from planner.journal.entries import Delivery, Recorded
from planner.shop.stock.on_hand import InCooler
from planner.shop.stock.stocks import Stocks

CLOSE = 0.25
"""Pieces whose weights differ by no more than this share are one lot of their mean weight.

Nobody at the block tells shoulders of 6.0 and 7.0 lb apart by their number, and every lot more
makes a plan slower to find and longer to read. What they weigh together is kept. Common practice,
no source.
"""

CLOSE_HEAD = 0.1
"""The same of whole head, which have tags: one of 48 and one of 60 lb are told apart.

Common practice, no source.
"""


@dataclass(frozen=True, slots=True, order=True)
class _Alike:
    """What pieces of one lot have in common; `own` says that `keeps` is not the recipe's."""

    arrives: int
    piece: str
    keeps: int
    cost: float
    own: bool


def lots_now(
    scenario: Scenario,
    cooler: Sequence[InCooler],
    coming: Iterable[tuple[str, Delivery]],
    close: float | None = None,
) -> tuple[Lot, ...]:
    """Lots of a scenario's days: what is in the cooler on its first, and what is to come.

    The cost of what is in the cooler is sunk; it is told of what arrived on the first day, and of
    whole head, for questions about their price. `close` is how far weights of one lot may differ,
    as a share of the lightest; `CLOSE`, and of whole head `CLOSE_HEAD`, where nothing is said.
    """
    roots = {root for recipe in scenario.recipes for root in recipe.roots}
    weights: dict[_Alike, list[float]] = {}
    for each in cooler:
        keeps = (each.last - scenario.starts).days + 1
        cost = each.cost if each.made == scenario.starts or each.piece in roots else 0.0
        alike = _Alike(0, each.piece, keeps, cost, own=True)
        weights.setdefault(alike, []).extend([each.pounds] * each.count)
    for piece, entry in coming:
        if entry.day <= scenario.starts:  # it is in the cooler
            continue
        keeps = recipe_with(scenario.recipes, piece).pieces[piece].keeps
        arrives = (entry.day - scenario.starts).days
        alike = _Alike(arrives, piece, keeps, entry.cost or 0.0, own=False)
        weights.setdefault(alike, []).extend(entry.each)
    order = {
        name: at for at, name in enumerate(chain.from_iterable(e.pieces for e in scenario.recipes))
    }
    lots: list[Lot] = []
    for alike in sorted(weights, key=lambda each: (each.arrives, order[each.piece], each)):
        usual = CLOSE_HEAD if alike.piece in roots else CLOSE
        for group in _groups(sorted(weights[alike]), usual if close is None else close):
            lots.append(_lot(scenario, len(lots), alike, group))
    return tuple(lots)


def _groups(weights: Sequence[float], close: float) -> list[list[float]]:
    """Weights in order, those together that lie close to the lightest of them."""
    groups: list[list[float]] = []
    for weight in weights:
        if groups and weight <= groups[-1][0] * (1 + close):
            groups[-1].append(weight)
        else:
            groups.append([weight])
    return groups


def _lot(scenario: Scenario, index: int, alike: _Alike, weights: Sequence[float]) -> Lot:
    recipe = recipe_with(scenario.recipes, alike.piece)
    return Lot(
        index=index,
        recipe=recipe,
        piece=alike.piece,
        count=len(weights),
        word=_word(recipe, alike.piece, len(weights)),
        weight=sum(weights) / len(weights),
        arrives=alike.arrives,
        keeps=alike.keeps,
        up_to=False,
        cost=alike.cost,
        own_keeps=alike.own,
    )


def _word(recipe: Recipe, piece: str, count: int) -> str:
    """What so many of a piece are counted by: head, `sides` where a root is a part of one."""
    if piece not in recipe.roots:
        return ""
    plain = piece.removeprefix(f"{recipe.species} ")
    if STATES.get(plain, "whole") == "whole":
        return "head"
    return plain if count == 1 else "halves" if plain == "half" else f"{plain}s"


def arriving(
    stocks: Stocks, recorded: Iterable[Recorded], first: date, last: date
) -> list[tuple[str, Delivery]]:
    """Deliveries from the first day to the last, with today's names."""
    found = []
    for each in recorded:
        entry = each.entry
        if isinstance(entry, Delivery) and first <= entry.day <= last:
            piece = stocks.piece_named(entry.what, entry.day)
            if piece is not None:
                found.append((piece.name, entry))
    return found


def open_offers(
    week: Scenario, arriving: Iterable[tuple[str, Delivery]], first: date, last: date
) -> list[Lot]:
    """Lots of a week that may still be bought, their days counted from `first`.

    An offer that has been delivered, or is sure to be, is none any more: its delivery is in the
    journal.
    """
    delivered = {(entry.day, piece) for piece, entry in arriving}
    return [
        replace(lot, arrives=(week.date(lot.arrives) - first).days)
        for lot in week.lots
        if first <= week.date(lot.arrives) <= last
        and (week.date(lot.arrives), lot.piece) not in delivered
    ]
