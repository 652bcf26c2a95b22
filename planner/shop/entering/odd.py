"""What is odd about an entry: it can be, but a slip is likelier, and it needs a yes."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    Sold,
    Wasted,
)
from planner.journal.filling import NOTHING
from planner.measures import POUNDS, show_money, show_weight
from planner.recipe import piece_shares, recipe_with
from planner.shop.entering.orders import OrderState
from planner.shop.entering.plausible import doubt_of_batch
from planner.shop.entering.things import Thing, Things
from planner.shop.entering.usual import Usual

MOST_AHEAD, MOST_BACK = 14, 60
"""Days from today within which a shop enters what happens."""

LONG_BACK = 5 * 365
"""Days back beyond which a slip in the year is likelier than a history."""

MOST_EARLY = 3
"""Days before its day on which an order may be picked up."""

MOST_POUNDS, MOST_EACH = 15.0, 10.0
"""A day's sale or waste of one cut that is never odd by itself (no source)."""

ORDER_POUNDS, ORDER_EACH = 100.0, 50.0
"""The same of an order, which may be for a feast."""

MORE = 3.0
"""How many times the most there was before is odd; a price so many times the usual, or less."""

MOST_HEAD, MOST_BREAKS = 60, 200
FEW_HEAD = 6
"""Head at once that are never odd."""

HEAVIER = 1.6
"""How far from the weights that are usual one may be, as a factor."""

USUAL_POUNDS = {
    "lamb": (25.0, 115.0),
    "goat": (15.0, 115.0),
    "hog": (60.0, 400.0),
    "veal": (40.0, 450.0),
    "beef": (60.0, 1000.0),
}
"""Pounds of what a shop buys of a species, a quarter, a side or a carcass (from memory)."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is odd about an entry: which sort it is of, to end `3 entries` with, and a sentence."""

    sort: str
    told: str


class Judge:
    """Tells what is odd about entries by themselves, whatever lies in the case.

    Parameters
    ----------
    things : Things
    usual : Usual
    orders : mapping of int to OrderState
    today : date
    open_days : collection of int
        Weekdays the shop is open, 0 for Monday.
    """

    def __init__(
        self,
        things: Things,
        usual: Usual,
        orders: Mapping[int, OrderState],
        today: date,
        open_days: Collection[int] = range(7),
    ) -> None:
        self._things, self._usual, self._orders = things, usual, orders
        self._today, self._open = today, open_days
        self._unit, self._money = things.week.unit, things.week.money

    def doubts(self, entry: Entry) -> tuple[Doubt, ...]:
        """What is odd about an entry, each a sentence that begins with what it is about."""
        return (*self._of_day(entry), *self._of_kind(entry))

    def _of_kind(self, entry: Entry) -> Iterator[Doubt]:
        match entry:
            case Sold():
                yield from self._of_amount(entry.cut, entry.amount, entry.by_each)
                yield from self._of_money(entry)
            case OrderTaken():
                yield from self._of_order(entry)
            case Wasted():
                yield from self._of_amount(entry.what, entry.amount, entry.by_each)
            case Delivery():
                yield from self._of_delivery(entry)
            case BreakDone() if entry.count > MOST_BREAKS:
                told = f"{entry.count} {self.short(entry.piece)} is many to cut in a day"
                yield Doubt("of more pieces than one cuts in a day", told)
            case BatchMade():
                yield from self._of_batch(entry)
            case Filled():
                yield from self._of_filled(entry)

    def _of_day(self, entry: Entry) -> Iterator[Doubt]:
        ahead = (entry.day - self._today).days
        when = entry.day.isoformat()
        coming = isinstance(entry, Delivery | OrderTaken)
        if ahead > MOST_AHEAD:
            yield Doubt(f"more than {MOST_AHEAD} days ahead", f"{when} is {ahead} days ahead")
        elif ahead < -LONG_BACK:
            yield Doubt("of more than five years ago", f"{when} is {-ahead} days ago")
        elif ahead < -MOST_BACK:
            yield Doubt(f"of more than {MOST_BACK} days ago", f"{when} is {-ahead} days ago")
        elif ahead > 0 and not coming:
            yield Doubt("of a day that has not come yet", f"{when} has not come yet")
        elif ahead < 0 and isinstance(entry, OrderTaken):
            told = f"{when} is over, and this is an order for it"
            yield Doubt("of a day that is over", told)
        sells = isinstance(entry, Sold | OrderTaken | Filled)
        if sells and entry.day.weekday() not in self._open:
            told = f"{when} is a {entry.day:%A}, and the shop is closed then"
            yield Doubt("on a day the shop is closed", told)

    def _of_amount(self, name: str, amount: float, by_each: bool) -> Iterator[Doubt]:
        floor = MOST_EACH if by_each else MOST_POUNDS
        usual = self._usual
        most = max(floor, usual.want.get(name, 0.0), MORE * usual.most.get(name, 0.0))
        yield from self._more_than(most, name, amount, by_each)

    def _of_order(self, entry: OrderTaken) -> Iterator[Doubt]:
        floor = ORDER_EACH if entry.by_each else ORDER_POUNDS
        usual = max(self._usual.want.get(entry.cut, 0.0), self._usual.most.get(entry.cut, 0.0))
        yield from self._more_than(max(floor, MORE * usual), entry.cut, entry.amount, entry.by_each)
        if entry.price is not None:
            yield from self._of_price(entry.cut, entry.price, entry.by_each)

    def _more_than(self, most: float, name: str, amount: float, by_each: bool) -> Iterator[Doubt]:
        if amount > most:
            much, limit = self.amount(amount, by_each), self.amount(most, by_each)
            told = f"{much} of {self.short(name)} is a lot for this shop (more than {limit})"
            yield Doubt("of more than is usual here", told)

    def _of_money(self, entry: Sold) -> Iterator[Doubt]:
        if entry.money is not None and entry.amount > NOTHING:
            yield from self._of_price(entry.cut, entry.money / entry.amount, entry.by_each)
        elif entry.money and abs(entry.amount) <= NOTHING and not entry.sold_out:
            told = f"{show_money(entry.money, self._money)} for nothing of {self.short(entry.cut)}"
            yield Doubt("with money for nothing", told)

    def _of_price(self, name: str, price: float, by_each: bool) -> Iterator[Doubt]:
        thing = self._things.by_full.get(name)
        full = self._things.price(thing) if thing else None
        if thing and full and not full / MORE <= price <= full * MORE:
            told = f"{thing.name} at {self._rate(price, by_each)}"
            usual = self._rate(full, by_each)
            yield Doubt("at a price far from the full one", f"{told}: {usual} is the full price")

    def _of_delivery(self, entry: Delivery) -> Iterator[Doubt]:
        name = self.short(entry.what)
        most = self._usual.head.get(entry.what)
        limit = MOST_HEAD if most is None else max(FEW_HEAD, MORE * most)
        if entry.head > limit:
            least = "" if most is None else f"; at most {most} came at once or are on offer"
            told = f"{entry.head} head of {name} is many for this shop{least}"
            yield Doubt("of many head", told)
        bounds = self._bounds(entry.what)
        off = [each for each in entry.pounds if bounds and not bounds[0] <= each <= bounds[1]]
        if bounds and off:
            told = (
                f"{name} of {show_weight(off[0], self._unit)}: {self._range(*bounds)} is expected"
            )
            mixed = _mixed_up(off[0], *bounds, self._unit)
            yield Doubt("of weights that are not usual", f"{told}{mixed}")
        if entry.cost is not None:
            yield from self._of_cost(entry.what, entry.cost)

    def _of_cost(self, what: str, cost: float) -> Iterator[Doubt]:
        name = self.short(what)
        if what in self._usual.costs:
            least, most = self._usual.costs[what]
            least, most = least / MORE, most * MORE
            if not least <= cost <= most:
                expected = f"{self._rate(least)} to {self._rate(most)} is expected"
                told = f"{name} at {self._rate(cost)}: {expected}"
                yield Doubt("at a cost that is not usual", told)
            return
        thing = self._things.by_full.get(what)
        cuts = recipe_with(self._things.week.recipes, thing.name).cuts if thing else {}
        prices = [
            self._things.price(self._things.cuts[each]) or 0.0
            for each in cuts
            if not self._things.cuts[each].by_each
        ]
        if prices and cost > max(prices) > 0:
            told = f"{name} at {self._rate(cost)}: no cut of it sells for more than"
            yield Doubt("at a cost that is not usual", f"{told} {self._rate(max(prices))}")

    def _bounds(self, name: str) -> tuple[float, float] | None:
        """Least and most pounds expected of one: by what came before, else by the species."""
        if name in self._usual.weights:
            least, most = self._usual.weights[name]
            return least / HEAVIER, most * HEAVIER
        thing = self._things.by_full.get(name)
        if thing is None:
            return None
        recipe = recipe_with(self._things.week.recipes, thing.name)
        if recipe.species not in USUAL_POUNDS:
            return None
        least, most = USUAL_POUNDS[recipe.species]
        for root in recipe.roots:
            share = piece_shares(recipe, root).get(thing.name)
            if share:
                return least * share, most * share
        return None

    def _of_batch(self, entry: BatchMade) -> Iterator[Doubt]:
        thing = self._things.by_full.get(entry.blend)
        blend = self._things.week.blends.get(thing.name) if thing else None
        if thing is None or blend is None or not entry.took:
            return
        weights = [each.pounds for each in entry.took if each.pounds is not None]
        whole = sum(weights) if len(weights) == len(entry.took) else None
        told = doubt_of_batch(thing.name, blend.gain, entry.pounds, whole, self._unit)
        if told:
            yield Doubt("of more or less than went in", told)
        for each in entry.took:
            part = self._things.by_full.get(each.what)
            if part and part.name not in blend.takes:
                takes = ", ".join(blend.takes)
                told = f"{part.name} does not go into {thing.name} (only {takes})"
                yield Doubt("of what does not go in", told)

    def _of_filled(self, entry: Filled) -> Iterator[Doubt]:
        state = self._orders.get(entry.order)
        if state is None:
            return
        order = state.order
        early = (order.day - entry.day).days
        if early > MOST_EARLY:
            told = f"order {entry.order} is for {order.day}, {early} days after {entry.day}"
            yield Doubt("long before the day of the order", told)
        if entry.amount > state.left + NOTHING:
            of = f"{self.amount(order.amount, order.by_each)} of {self.short(order.cut)}"
            left = self.amount(state.left, order.by_each) if state.left > NOTHING else "nothing"
            more = f"{self.amount(entry.amount, order.by_each)} is more"
            told = f"order {entry.order} is for {of}, of which {left} is left; {more}"
            yield Doubt("of more than is left of the order", told)

    # -- words -------------------------------------------------------------------------------------

    def short(self, name: str) -> str:
        """What a thing of the journal is called here."""
        thing: Thing | None = self._things.by_full.get(name)
        return thing.name if thing else name

    def amount(self, amount: float, by_each: bool) -> str:
        """`3.5 lb`, or `3` of what is counted."""
        return f"{amount:g}" if by_each else show_weight(amount, self._unit)

    def _rate(self, price: float, by_each: bool = False) -> str:
        if by_each:
            return f"{show_money(price, self._money)} each"
        return f"{show_money(price * POUNDS[self._unit], self._money)}/{self._unit}"

    def _range(self, least: float, most: float) -> str:
        low = show_weight(least, self._unit).removesuffix(f" {self._unit}")
        return f"{low} to {show_weight(most, self._unit)}"


def _mixed_up(weight: float, least: float, most: float, unit: str) -> str:
    """`; did you mean kg?` where the same figure would do in the other unit."""
    other = "kg" if unit == "lb" else "lb"
    swapped = weight / POUNDS[unit] * POUNDS[other]
    return f"; did you mean {other}?" if least <= swapped <= most else ""
