"""Entries as a person says them: `sale loin chops: 3.5 lb sold out on tue`."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date

from planner.core.days import read_day, without_day
from planner.core.quantities import (
    POUNDS,
    Amount,
    per_pound,
    plain_units,
    pounds,
    read_amount,
    read_money,
    read_price,
)
from planner.core.scenario import WALK_IN
from planner.core.spelling import nearest
from planner.core.units import Quantity
from planner.files.asked_order import A_CUSTOMER
from planner.journal.checks import check_entry
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
from planner.shop.entering.entry_parts import PartReader
from planner.shop.entering.entry_patterns import (
    ELSEWHERE,
    NUMBER,
    PATTERNS,
    filled_parts,
    misread,
    name_first,
    split_list,
    split_weights,
)
from planner.shop.entering.kinds import toward_of
from planner.shop.entering.naming import find_arrival, find_cut
from planner.shop.entering.orders import OrderState
from planner.shop.entering.things import Thing, Things, printable

_HEADS = re.compile(r"([0-9]+)\s*([a-z][a-z ]{0,29}?)?\s*(?:at|@)\s*(.+)", re.IGNORECASE)
_NO_WEIGHT = re.compile(r"[0-9]+(?:\s+(?!lbs?\b|kg\b|g\b|oz\b)[a-z ]+)?", re.IGNORECASE)
_END = r"(?=\s*$|\s+(?:on|for)\s)"
_RATE = r"\S*[0-9][^\s/]*(?:\s[A-Z]{1,3})?(?:\s*/\s*[a-z]+|\s+each)"
_PRICE = re.compile(rf"\s+at\s+({_RATE}){_END}", re.IGNORECASE)
_ANY_PRICE = re.compile(rf"{_PRICE.pattern}|\s+at\s+([^\w\s]?[0-9.,]+){_END}", re.IGNORECASE)
_BREAK = re.compile(r"([0-9]+)(?:\s+(?:at\s+)?(.+))?")
_GAVE = re.compile(r"\s*[;,]?\s+gave\s+", re.IGNORECASE)
_WEIGHING = re.compile(rf"\s*,?\s+(?:weighing|of)\s+({NUMBER}\s*[a-z]*)$", re.IGNORECASE)
_SOLD_OUT = re.compile(r",?\s*\bsold out\b", re.IGNORECASE)


class EntryReader:
    """Reads entries that are said.

    Parameters
    ----------
    things : Things
        What the shop has names for, and its unit.
    today : date
    orders : mapping of int to OrderState
        All orders, by the number of their entry.
    """

    def __init__(self, things: Things, today: date, orders: Mapping[int, OrderState]) -> None:
        self._things, self._today, self._orders = things, today, orders
        self._unit = things.week.unit
        self._parts = PartReader(things)
        self._readers: dict[str, Callable[[str, str], Entry]] = {
            "delivery": self._delivery,
            "order": self._order,
            "sale": self._sale,
            "waste": self._waste,
            "break": self._break,
            "batch": self._batch,
        }

    def read(self, text: str) -> Entry:
        """Read one entry.

        Parameters
        ----------
        text : str
            As the `PATTERNS` show, or as the list of the journal has it. Without a day it is
            today's.

        Raises
        ------
        ValueError
            With a sentence for whoever said it: the nearest word, or how such an entry is said.
        """
        word, _, rest = " ".join(text.split()).partition(" ")
        kind = word.lower().rstrip(":")
        if kind in ELSEWHERE:
            raise ValueError(ELSEWHERE[kind])
        if kind not in PATTERNS:
            near = nearest(kind, PATTERNS) or f"; begin with one of {', '.join(PATTERNS)}"
            raise ValueError(f'no kind of entry is called "{printable(word)}"{near}')
        rest = plain_units(rest)
        if kind == "filled":
            entry: Entry = self._filled(rest)
        else:
            name, colon, said = name_first(kind, rest).partition(":")
            if not colon:
                raise self._misread(kind, "a colon is missing after the name of what it is")
            if not name.strip() or not said.strip():
                raise self._misread(kind, "something is missing before or after the colon")
            entry = self._readers[kind](name.strip(), said.strip())
        check_entry(entry)
        return entry

    def _misread(self, kind: str, message: str) -> ValueError:
        return misread(kind, self._unit, message)

    def _day(self, kind: str, said: str) -> tuple[str, date]:
        """What is said without its day at the end, and the day; today where none is said."""
        rest, word = without_day(said)
        if word is None:
            return said, self._today
        return rest, read_day(word, self._today, toward_of(kind))

    def _delivery(self, name: str, said: str) -> Delivery:
        said, word = without_day(said, strict=True)
        said, cost = _without_price(said, _PRICE)
        said, day = self._day("delivery", f"{said} on {word}" if word else said)
        found = _HEADS.fullmatch(said)
        word = (found[2] or "") if found else ""
        thing = find_arrival(self._things, name, word)
        if not found and _NO_WEIGHT.fullmatch(said):
            raise self._misread("delivery", "the weight is missing")
        listed = split_weights(found[3] if found else said)
        weights = tuple(self._pounds("delivery", each) for each in listed)
        head = int(found[1][:9]) if found else len(weights)
        if len(weights) not in (1, head):
            raise self._misread("delivery", f"{head} {word or 'head'} but {len(weights)} weights")
        money = None if cost is None else per_pound(cost, self._unit)
        return Delivery(day, thing.full, head, weights, money)

    def _order(self, name: str, said: str) -> OrderTaken:
        thing = find_cut(self._things, name)
        rest, word = without_day(said, strict=True)
        if " for " in rest and without_day(rest.partition(" for ")[0], strict=True)[1]:
            rest, word = said, None  # the buyer is called so
        said, price = _without_price(rest, _ANY_PRICE)
        size, for_, buyer = said.partition(" for ")
        day_last = bool(for_) and without_day(size)[1] is None
        rest = buyer if day_last else size
        rest, day = self._day("order", f"{rest} on {word}" if word else rest)
        size, buyer = (size, rest) if day_last else (rest, buyer)
        amount = self._amount("order", thing, size)
        if amount == 0:
            raise ValueError(f"an order of {thing.name} that asks for nothing")
        buyer = buyer.strip() or A_CUSTOMER
        if buyer in WALK_IN:
            raise ValueError(
                f'"{printable(buyer)}" cannot be the name of a buyer; the plan uses it for others'
            )
        own = None if price is None else self._rate(thing, price)
        return OrderTaken(day, thing.full, Quantity(amount, thing.by_each), buyer, own)

    def _sale(self, name: str, said: str) -> Sold:
        thing = find_cut(self._things, name)
        said, day = self._day("sale", said)
        said, for_, taken = said.partition(" for ")
        sold_out = bool(_SOLD_OUT.search(said) or _SOLD_OUT.search(taken))
        said, taken = _SOLD_OUT.sub("", said).strip(), _SOLD_OUT.sub("", taken).strip()
        sign = self._things.week.money
        money = taken.removeprefix(sign).removesuffix(sign).strip()
        paid = read_money(money) if for_ else None
        amount = self._amount("sale", thing, said)
        return Sold(day, thing.full, Quantity(amount, thing.by_each), paid, sold_out)

    def _waste(self, name: str, said: str) -> Wasted:
        thing = self._things.find(name)
        said, day = self._day("waste", said)
        return Wasted(day, thing.full, Quantity(self._amount("waste", thing, said), thing.by_each))

    def _break(self, name: str, said: str) -> BreakDone:
        piece = self._things.find_piece(name)
        said, day = self._day("break", said)
        said, *gave = _GAVE.split(said, maxsplit=1)
        weighing = _WEIGHING.search(said)
        said = said[: weighing.start()] if weighing else said
        found = _BREAK.fullmatch(said)
        if not found or not 1 <= int(found[1][:9]) <= 10_000:
            raise self._misread("break", "how many were cut is missing")
        ways = self._things.ways(piece)
        if not found[2] and len(ways) > 1:
            raise self._misread("break", f"the way is missing ({', '.join(ways)})")
        way = self._things.find_way(piece, found[2]) if found[2] else next(iter(ways.values()))
        count = int(found[1])
        whole = self._pounds("break", weighing[1]) if weighing else None
        given = self._parts.given(split_list(gave[0]), piece, way, count) if gave else ()
        return BreakDone(day, piece.full, way.name, count, whole, given)

    def _batch(self, name: str, said: str) -> BatchMade:
        blend = self._things.find(name)
        if blend.name not in self._things.week.blends:
            raise ValueError(f"{blend.name} is no blend; blends are {self._blends()}")
        said, day = self._day("batch", said)
        made, from_, taken = said.partition(" from ")
        amount = self._amount("batch", blend, made)
        took = tuple(map(self._parts.taken, split_list(taken))) if from_ else ()
        return BatchMade(day, blend.full, amount, took)

    def _filled(self, said: str) -> Filled:
        said, day = self._day("filled", said)
        found = filled_parts(said)
        if found is None:
            raise self._misread("filled", "the number of the order is missing")
        number, size = int(found[0][:12]), found[1]
        state = self._orders.get(number)
        if state is None:
            some = ", ".join(str(each.number) for each in self._orders.values() if each.open)
            raise ValueError(f"entry {number} is no order; open orders are {some or 'none'}")
        if not size:
            if not state.open:
                raise ValueError(f"order {number} has been picked up in full")
            return Filled(day, number, state.left)
        thing = self._things.by_full.get(state.order.cut)
        name = thing.name if thing else state.order.cut
        return Filled(
            day, number, self._parts.size("filled", name, state.order.quantity.by_each, size)
        )

    def _amount(self, kind: str, thing: Thing, text: str) -> float:
        return self._parts.size(kind, thing.name, thing.by_each, text)

    def _pounds(self, kind: str, text: str) -> float:
        try:
            amount = read_amount(text.strip().removeprefix("and "))
            return pounds(amount, self._unit)
        except ValueError as error:
            raise self._misread(kind, str(error).partition(";")[0]) from None

    def _rate(self, thing: Thing, price: Amount) -> float:
        """Money a pound, or each."""
        if not thing.by_each and price.unit == "each" or thing.by_each and price.unit in POUNDS:
            such = "9/each" if thing.by_each else f"22.99/{self._unit}"
            by = "each" if thing.by_each else "weight"
            raise ValueError(f"{thing.name} is sold by {by}: write a price such as {such}")
        return price.number if thing.by_each else per_pound(price, self._unit)

    def _blends(self) -> str:
        return ", ".join(self._things.week.blends) or "none"


def day_in(text: str) -> str | None:
    """The day at the end of what is said, as it is said; None where there is none."""
    return without_day(text)[1] or without_day(_without_price(text, _PRICE)[0])[1]


def _without_price(said: str, pattern: re.Pattern[str]) -> tuple[str, Amount | None]:
    """What is said without its `at 7.10/lb`, and the price."""
    found = pattern.search(said)
    if not found:
        return said, None
    text = next(filter(None, found.groups()))
    text = re.sub(r"\s+each$", "/each", text, flags=re.IGNORECASE)
    text = re.sub(r"(?<=[0-9])\s?[A-Z]{1,3}(?=\s*/)", "", text)  # 12.34 EUR/kg
    return said[: found.start()] + said[found.end() :], read_price(text)
