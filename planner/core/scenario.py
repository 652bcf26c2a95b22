"""A scenario: one planned period of one shop. Frozen objects in pounds, minutes and day numbers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cached_property
from typing import Literal, TypeAlias, TypeVar

from planner.core.quantities import WEEKDAYS
from planner.core.recipe import Blend, Cut, Piece, Recipe, Way, blends_of, cuts_of, piece_shares
from planner.core.units import Quantity, Units

WALK_IN = ("walk-in", "markdown")
"""Takers of a sale who are nobody's name: at the full price, and at the markdown."""

Verb = Literal["all", "never", "at least", "at most"]

BreakKey: TypeAlias = tuple[int, str, str, int]
"""A lot, a piece of it, a way to cut it and a day."""

BlendKey: TypeAlias = tuple[str, str, int]
"""A blend, a cut that goes into it and a day."""

Counted = TypeVar("Counted")


@dataclass(frozen=True, slots=True)
class Lot:
    """Head (or pieces) that arrive together and weigh about the same.

    Attributes
    ----------
    index : int
        Position on the rail, from 0.
    recipe : Recipe
        How it comes apart.
    piece : str
        What arrives: the recipe's root or a piece.
    count : int
        How many arrive; the most that may be bought when `up_to`.
    word : str
        The word the user counts them by, such as head or sides; may be empty.
    weight : float
        Pounds of one.
    arrives : int
        Day number.
    keeps : int
        Days it may be cut, the day of arrival counted as the first.
    up_to : bool
        Bought only if it pays.
    cost : float
        Money a pound.
    own_keeps : bool
        Whether `keeps` was said of this lot; else it is the piece's.
    """

    index: int
    recipe: Recipe
    piece: str
    count: int
    word: str
    weight: float
    arrives: int
    keeps: int
    up_to: bool
    cost: float
    own_keeps: bool = field(default=False, compare=False)

    @property
    def name(self) -> str:
        """What it is called: the species where its only root arrives, else the piece."""
        return self.recipe.species if (self.piece,) == self.recipe.roots else self.piece

    def weights(self) -> dict[str, float]:
        """Pounds of one of each piece of this lot, parents before what they give."""
        shares = piece_shares(self.recipe, self.piece)
        return {name: self.weight * share for name, share in shares.items()}

    def keeps_of(self, piece: str) -> int:
        """Days a piece of this lot may be cut from the day it arrives or is made."""
        return self.keeps if piece == self.piece else self.recipe.pieces[piece].keeps


@dataclass(frozen=True, slots=True)
class Stock:
    """A cut in the case when the period opens: pounds or each, usable on days 0..keeps-1.

    `own_keeps` says whether `keeps` was said of this stock; else it is the cut's.
    """

    cut: str
    amount: float
    keeps: int
    own_keeps: bool = field(default=False, compare=False)


@dataclass(frozen=True, slots=True)
class Demand:
    """What walk-in customers would buy of a cut: pounds or each, by day; prices per pound or each.

    `price` is None where only orders with a price of their own ask for the cut.
    """

    cut: str
    price: float | None
    want: tuple[float, ...]
    markdown_price: float
    markdown_want: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Order:
    """A promise to a named buyer for a day; `price` per pound or each.

    `own_price` says whether the price was agreed with the buyer; else it is the cut's full price.
    """

    index: int
    cut: str
    day: int
    amount: float
    price: float
    buyer: str
    own_price: bool = field(default=False, compare=False)


@dataclass(frozen=True, slots=True)
class Held:
    """An order for a day after the period: not planned yet, but what it takes can be held for it.

    Attributes
    ----------
    order : Order
        Its day is beyond the period; its index is its place in `Scenario.held`.
    cut_on : int or None
        The first day after the period on which the shop may cut for it, so that the cut is in date
        on its day; None where it cannot.
    kept : bool
        Whether all of it has to be held.
    """

    order: Order
    cut_on: int | None
    kept: bool = False


@dataclass(frozen=True, slots=True)
class Rule:
    """A decision made by the butcher that the plan has to respect.

    `count` is the number in `at least` and `at most`, else 0. `line` is where it stands.
    """

    verb: Verb
    count: int
    piece: str
    way: str
    line: int = 0

    @property
    def number(self) -> float:
        """What is counted at least or at most; 0 where nothing may be."""
        return self.count

    def counted(
        self, breaks: Mapping[BreakKey, Counted], blended: Mapping[BlendKey, Counted]
    ) -> list[Counted]:
        """Of all breaks those that it counts: pieces cut its way; where it is on all, another."""
        other = self.verb == "all"
        return [
            count
            for (_, piece, way, _), count in breaks.items()
            if piece == self.piece and (way == self.way) != other
        ]

    def __str__(self) -> str:
        number = f" {self.count}" if self.verb.startswith("at") else ""
        return f"{self.verb}{number} {self.piece}: {self.way}"


@dataclass(frozen=True, slots=True)
class GrindRule:
    """A decision about what goes into a blend: pounds of a cut over the whole period.

    `all`: whatever of the cut goes into blends goes into this one. `written` is the amount as it
    stands in the file, for messages.
    """

    verb: Verb
    pounds: float
    cut: str
    blend: str
    written: str = field(default="", compare=False)
    line: int = 0

    @property
    def number(self) -> float:
        """What is counted at least or at most; 0 where nothing may be."""
        return self.pounds

    def counted(
        self, breaks: Mapping[BreakKey, Counted], blended: Mapping[BlendKey, Counted]
    ) -> list[Counted]:
        """Of all that is ground what it counts: its cut in its blend; where on all, in another."""
        other = self.verb == "all"
        return [
            pounds
            for (blend, cut, _), pounds in blended.items()
            if cut == self.cut and (blend == self.blend) != other
        ]

    def __str__(self) -> str:
        amount = f" {self.written}" if self.verb.startswith("at") else ""
        return f"{self.verb}{amount} {self.cut}: {self.blend}"


@dataclass(frozen=True)
class Scenario:
    """One planned period: everything the model needs.

    Attributes
    ----------
    starts : date
    days : int
    unit : str
        lb or kg: what amounts are shown in.
    bench : tuple of float or None
        Minutes of cutting time by day; None is no limit.
    overtime_limit, overtime_cost : float
        Minutes a day beyond the bench, money a minute; none on a day without bench.
    traffic : tuple of float
        Relative weight of each day: how an amount for the period is spread.
    carry : float
        What something in date after the last day is worth, as a share of its full price.
    disposal : float
        Money a pound of what goes out of date.
    own_blends : mapping of str to Blend
        Blends that are in none of the recipes, by name.
    aside : mapping of str to str
        Blends that cannot be made with these recipes, and why.
    held : tuple of Held
        Orders for days after the period; of shop folders only.
    of_shop : bool
        Whether it is the week of a shop folder, in which things are entered by commands.
    """

    title: str
    starts: date
    days: int
    recipes: tuple[Recipe, ...]
    unit: str
    money: str
    lots: tuple[Lot, ...]
    bench: tuple[float, ...] | None
    overtime_limit: float
    overtime_cost: float
    case: tuple[Stock, ...]
    demand: Mapping[str, Demand]
    orders: tuple[Order, ...]
    rules: tuple[Rule | GrindRule, ...]
    traffic: tuple[float, ...]
    carry: float
    disposal: float
    own_blends: Mapping[str, Blend] = field(default_factory=dict)
    aside: Mapping[str, str] = field(default_factory=dict, compare=False)
    held: tuple[Held, ...] = ()
    of_shop: bool = field(default=False, compare=False, repr=False)

    @cached_property
    def units(self) -> Units:
        """How its amounts and prices are read and written."""
        return Units(self.unit, self.money)

    @cached_property
    def blends(self) -> dict[str, Blend]:
        """All blends by name: those of the recipes, then those that belong to no recipe."""
        return {**blends_of(self.recipes), **self.own_blends}

    @cached_property
    def cuts(self) -> dict[str, Cut]:
        """All that can lie in the case, by name: the cuts of the recipes, then what blends make."""
        return {**cuts_of(self.recipes), **{name: blend.cut for name, blend in self.blends.items()}}

    @cached_property
    def day_labels(self) -> tuple[str, ...]:
        """`mon`..`sun`, or ISO dates where a weekday would come twice."""
        dates = [self.date(day) for day in range(self.days)]
        if self.days > len(WEEKDAYS):
            return tuple(each.isoformat() for each in dates)
        return tuple(WEEKDAYS[each.weekday()] for each in dates)

    def date(self, day: int) -> date:
        """The date of a day of the period, or beyond it."""
        return self.starts + timedelta(days=day)

    def quantity(self, cut: str, amount: float) -> Quantity:
        """So much of a cut: pounds, or each of one sold by each."""
        return Quantity(amount, self.cuts[cut].by_each)

    def show_amount(self, cut: str, amount: float) -> str:
        """`4.2 lb`, or `3` of a cut sold by each."""
        return self.units.show(self.quantity(cut, amount))

    def show_rate(self, cut: str, price: float) -> str:
        """`$22.99/lb`, or `$9.00 each`."""
        return self.units.rate(price, self.cuts[cut].by_each)

    def price(self, cut: str) -> float:
        """Full price of a cut, 0 where it has none."""
        demand = self.demand.get(cut)
        return demand.price or 0.0 if demand else 0.0

    def demand_for(self, cut: str) -> Demand:
        """Demand for a cut: without a price and for nothing where nobody has asked for it yet."""
        nothing = (0.0,) * self.days
        return self.demand.get(cut, Demand(cut, None, nothing, 0.0, nothing))

    def most_overtime(self, day: int) -> float:
        """Most overtime of a day: none where there is no bench to run over."""
        return self.overtime_limit if self.bench is not None and self.bench[day] > 0 else 0.0

    def ways(self, lot: Lot) -> Iterator[tuple[Piece, Way]]:
        """Every piece of a lot with every way to cut it, parents before what they give."""
        for name in piece_shares(lot.recipe, lot.piece):
            piece = lot.recipe.pieces[name]
            for way in piece.ways.values():
                yield piece, way

    def gives(self, way: Way, weight: float, count: int = 1) -> Iterator[tuple[Cut, float]]:
        """The cuts that so many pieces, of a weight in all, give: pounds, or each."""
        for given in way.cuts:
            cut = self.cuts[given.name]
            yield cut, float(count * given.count) if cut.by_each else weight * given.share

    def full_values(self, lot: Lot, prices: Mapping[str, float] | None = None) -> dict[str, float]:
        """Best value of one of each whole piece of a lot, over its ways, at full or other prices.

        The cuts that a way gives count at their price, the pieces among it at their own best value.
        """
        weights = lot.weights()
        values: dict[str, float] = {}
        for name in reversed(weights):  # children first
            values[name] = max(
                sum(each.count * values[each.name] for each in way.pieces)
                + sum(
                    (self.price(cut.name) if prices is None else prices[cut.name]) * amount
                    for cut, amount in self.gives(way, weights[name])
                )
                for way in lot.recipe.pieces[name].ways.values()
            )
        return values


def with_price(scenario: Scenario, cut: str, price: float) -> Scenario:
    """The scenario with another full price of a cut, which orders without an own price follow."""
    demand = replace(scenario.demand_for(cut), price=price)
    orders = tuple(
        replace(order, price=price) if order.cut == cut and not order.own_price else order
        for order in scenario.orders
    )
    return replace(scenario, demand={**scenario.demand, cut: demand}, orders=orders)
