"""An entry of the journal in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import assert_never

from planner.core.quantities import show_count, show_day
from planner.core.signs import shown_line
from planner.core.units import Quantity, Units
from planner.files.asked_order import SOMEBODY
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    PlanKept,
    Recorded,
    Sold,
    Undone,
    Wasted,
    Weighed,
    YieldsWritten,
)
from planner.shop.entering.orders import OrderState


class EntryWords:
    """Puts entries into words.

    `names` is what things of the journal are called here, others keep the journal's name; `orders`
    are all orders by their number, `writings` the numbers of the entries of each writing.
    """

    def __init__(
        self,
        units: Units,
        names: Mapping[str, str],
        orders: Mapping[int, OrderState],
        writings: Mapping[int, Sequence[int]],
    ) -> None:
        self.units, self._names, self._orders = units, names, orders
        self._writings = writings

    def words(self, entry: Entry) -> str:
        """What an entry says, without its kind and day; safe to print on a terminal."""
        return shown_line(self._words(entry))

    def name(self, full: str) -> str:
        """What a thing of the journal is called here."""
        return self._names.get(full, full)

    def weight(self, pounds: float) -> str:
        """`57.5 lb`: with all that was entered."""
        return self.units.exact(Quantity(pounds))

    def _words(self, entry: Entry) -> str:
        match entry:
            case Delivery(_, what, head, pounds, cost):
                weights = self._weights(head, pounds)
                return f"{self._many(head, what)} {weights}{self._at(cost)}"
            case Count(_, at, what, much, made, pounds):
                whole = "" if pounds is None else f", {self.weight(pounds)} in all"
                old = f", made {short_day(made)}" if made else ""
                when = "at opening" if at == "open" else "at closing"
                return f"{self._much(much, what)}{whole}{old}, {when}"
            case BreakDone(_, piece, way, count, pounds, gave):
                weighing = "" if pounds is None else f" weighing {self.weight(pounds)}"
                given = f"; gave {self._parts(gave)}" if gave else ""
                return f"{self._many(count, piece)}: {way}{weighing}{given}"
            case BatchMade(_, blend, pounds, took):
                taken = f" from {self._parts(took)}" if took else ""
                return f"{self.weight(pounds)} {self.name(blend)}{taken}"
            case Sold(_, cut, much, money, sold_out):
                taken_in = "" if money is None else f" for {self.units.money(money)}"
                out = ", sold out" if sold_out else ""
                return f"{self._much(much, cut)}{taken_in}{out}"
            case Wasted(_, what, much):
                return self._much(much, what)
            case OrderTaken(_, cut, much, buyer, price):
                rate = self._at(price, much.by_each)
                return f"{self._much(much, cut)}{_for(buyer)}{rate}"
            case Filled(_, number, much):
                return self._filled(number, much)
            case PlanKept():
                return f"a plan from {short_day(entry.day)}"
            case YieldsWritten(_, piece, way, tests):
                worth = show_count(round(tests, 1), "test")
                return f"{self.name(piece)}: {way}, shares worth {worth}"
            case Undone(_, writing):
                return self._undone(self._writings.get(writing, ()))
            case _:  # pragma: no cover
                assert_never(entry)

    def _much(self, quantity: Quantity, full: str) -> str:
        """`3.25 lb loin chops`, `2 frenched racks`."""
        if quantity.by_each:
            return self._many(quantity.amount, full)
        return f"{self.units.exact(quantity)} {self.name(full)}"

    def _many(self, count: float, full: str) -> str:
        name = self.name(full)
        return f"{count:,.0f} {name if count == 1 else plural(name)}"

    @staticmethod
    def _undone(numbers: Sequence[int]) -> str:
        if len(numbers) > 1:
            return f"entries {numbers[0]} to {numbers[-1]} do not count"
        return f"entry {', '.join(map(str, numbers)) or '?'} does not count"

    def _filled(self, number: int, much: float) -> str:
        state = self._orders.get(number)
        if state is None:
            return f"{much:g} of order {number}"
        order = state.order
        told = self._much(replace(order.quantity, amount=much), order.cut)
        return f"order {number}: {told}{_for(order.buyer)}"

    def _weights(self, head: int, pounds: Sequence[float]) -> str:
        if len(set(pounds)) == 1:
            each = self.weight(pounds[0])
            return f"at {each}" if head > 1 else f"of {each}"
        unit = f" {self.units.unit}"
        listed = ", ".join(self.weight(one).removesuffix(unit) for one in pounds)
        return f"of {listed}{unit}, {self.weight(sum(pounds))} in all"

    def _at(self, price: float | None, by_each: bool = False) -> str:
        return "" if price is None else f" at {self.units.rate(price, by_each)}"

    def _parts(self, things: Sequence[Weighed]) -> str:
        return ", ".join(map(self._part, things))

    def _part(self, thing: Weighed) -> str:
        if thing.count is None:
            return f"{self.name(thing.what)} {self.weight(thing.pounds or 0.0)}"
        of = "" if thing.pounds is None else f" of {self.weight(thing.pounds)} in all"
        return f"{self._many(thing.count, thing.what)}{of}"


def plural(name: str) -> str:
    """Several of what is called so: `legs`, `carcasses`; a name that is a plural stays."""
    if name.endswith("foot"):
        return f"{name.removesuffix('foot')}feet"
    if name.endswith(("ss", "x", "z", "ch", "sh")):
        return f"{name}es"
    if name.endswith("y") and name[-2:-1] not in "aeou":
        return f"{name[:-1]}ies"
    return name if name.endswith("s") else f"{name}s"


def _for(buyer: str) -> str:
    return "" if buyer == SOMEBODY else f" for {buyer}"


def numbers_of(entries: Iterable[Recorded]) -> dict[int, list[int]]:
    """The numbers of the entries of each writing."""
    numbers: dict[int, list[int]] = {}
    for one in entries:
        numbers.setdefault(one.writing, []).append(one.number)
    return numbers


def short_day(day: date, this_year: int | None = None) -> str:
    """`wed 2 dec 2026`; without the year where it is this one."""
    year = "" if day.year == this_year else f" {day.year}"
    return f"{show_day(day)}{year}"
