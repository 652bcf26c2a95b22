"""What is typical of a shop, out of shop.yaml and its journal: amounts, weights, head, prices."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from planner.core.recipe import piece_shares, recipe_with
from planner.journal.entries import Delivery, OrderTaken, Recorded, Sold
from planner.shop.entering.catalog import Catalog, StockItem
from planner.shop.entering.plausible import WeightRange

HEAVIER = 1.6
"""How far from the weights of before one may be, as a factor."""

TYPICAL_POUNDS = {
    "lamb": (25.0, 115.0),
    "goat": (15.0, 115.0),
    "hog": (60.0, 400.0),
    "veal": (40.0, 450.0),
    "beef": (60.0, 1000.0),
}
"""Pounds of what a shop buys of a species, a quarter, a side or a carcass (from memory)."""


@dataclass(frozen=True)
class Typical:
    """What is typical of a shop, by the journal's names.

    The `most` of a cut that was sold on a day, or ordered, in pounds or each; of what arrives the
    least and most pounds of one (`weights`), the most `head` at once or on offer, and the least and
    most money for a pound (`costs`).
    """

    catalog: Catalog
    most: Mapping[str, float]
    weights: Mapping[str, tuple[float, float]]
    head: Mapping[str, int]
    costs: Mapping[str, tuple[float, float]]

    @cached_property
    def want(self) -> Mapping[str, float]:
        """What a week wants of a cut, at any price: pounds or each."""
        return {
            self.catalog.cuts[name].full: sum(demand.want) + sum(demand.markdown_want)
            for name, demand in self.catalog.week.demand.items()
            if name in self.catalog.cuts
        }

    @cached_property
    def sold(self) -> Mapping[str, float]:
        """What a week sells of a cut by the shop's name, orders too: pounds or each."""
        found = {name: sum(each.want) for name, each in self.catalog.week.demand.items()}
        for order in self.catalog.week.orders:
            found[order.cut] = found.get(order.cut, 0.0) + order.amount
        return found

    @cached_property
    def sold_of_species(self) -> Mapping[str, float]:
        """Pounds a week sells of a species; what is sold by each at the most that one can weigh."""
        heaviest: dict[str, float] = {}
        for piece in self.catalog.pieces.values():
            found = self.by_species(piece)
            for way in self.catalog.ways(piece).values():
                for given in way.cuts:
                    if found and self.catalog.cuts[given.name].by_each:
                        most = found.most * given.share
                        heaviest[given.name] = max(heaviest.get(given.name, 0.0), most)
        sold: dict[str, float] = {}
        for name, amount in self.sold.items():
            cut = self.catalog.week.cuts.get(name)
            if cut is not None:
                pounds = amount * heaviest.get(name, 0.0) if cut.by_each else amount
                sold[cut.species] = sold.get(cut.species, 0.0) + pounds
        return sold

    def weight(self, name: str) -> WeightRange | None:
        """What one of a piece weighs: by what came before, else by its species."""
        if name in self.weights:
            least, most = self.weights[name]
            return WeightRange(least / HEAVIER, most * HEAVIER)
        thing = self.catalog.by_full.get(name)
        return self.by_species(thing) if thing else None

    def by_species(self, piece: StockItem) -> WeightRange | None:
        """Its share of `TYPICAL_POUNDS`; None where they tell nothing."""
        recipe = recipe_with(self.catalog.week.recipes, piece.name)
        for root in recipe.roots:
            share = piece_shares(recipe, root).get(piece.name)
            if share and recipe.species in TYPICAL_POUNDS:
                least, most = TYPICAL_POUNDS[recipe.species]
                return WeightRange(least * share, most * share)
        return None


def typical_of(catalog: Catalog, recorded: Iterable[Recorded]) -> Typical:
    """What is typical, out of shop.yaml and of what counts of the journal."""
    entries = [one.entry for one in recorded]
    most: dict[str, float] = {}
    for entry in entries:
        if isinstance(entry, Sold | OrderTaken):
            most[entry.cut] = max(most.get(entry.cut, 0.0), entry.quantity.amount)
    weights: dict[str, tuple[float, float]] = {}
    costs: dict[str, tuple[float, float]] = {}
    heads: dict[str, int] = {}
    lots = catalog.week.lots
    arrivals = [(catalog.pieces[e.piece].full, e.count, (e.weight,), e.cost) for e in lots]
    came = [each for each in entries if isinstance(each, Delivery)]
    for what, head, pounds, cost in arrivals + [(e.what, e.head, e.pounds, e.cost) for e in came]:
        heads[what] = max(heads.get(what, 0), head)
        known = (*weights.get(what, ()), *pounds)
        if known:  # of a journal that somebody else wrote to, weights may be gone
            weights[what] = min(known), max(known)
        if cost:
            paid = (*costs.get(what, ()), cost)
            costs[what] = min(paid), max(paid)
    return Typical(catalog, most, weights, heads, costs)
