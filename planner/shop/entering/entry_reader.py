"""Entries as a person says them: `sale loin chops: 3.5 lb sold out on tue`."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

from planner.core.days import read_day, without_day
from planner.core.quantities import (
    Amount,
    plain_units,
    read_money,
    read_price,
)
from planner.core.scenario import WALK_IN
from planner.core.spelling import nearest
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
from planner.shop.entering.catalog import Catalog, StockItem, printable
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
from planner.shop.entering.orders import OrderState

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
    """Reads entries that are said, with the names of a shop, and its orders by their number."""

    def __init__(self, catalog: Catalog, today: date, orders: Mapping[int, OrderState]) -> None:
        self._catalog, self._today, self._orders = catalog, today, orders
        self._units = catalog.week.units
        self._parts = PartReader(catalog)
        self._size = self._parts.size

    def read(self, text: str) -> Entry:
        """Read one entry, said as the `PATTERNS` show, or as the list of the journal has it.

        Without a day it is today's. Raises `ValueError` with a sentence for whoever said it: the
        nearest word, or how such an entry is said.
        """
        word, _, rest = " ".join(text.split()).partition(" ")
        kind = word.lower().rstrip(":")
        if kind in ELSEWHERE:
            raise ValueError(ELSEWHERE[kind])
        if kind not in PATTERNS:
            near = nearest(kind, PATTERNS) or f"; begin with one of {', '.join(PATTERNS)}"
            raise ValueError(f'no kind of entry is called "{printable(word)}"{near}')
        entry = self._entry(kind, plain_units(rest))
        check_entry(entry)
        return entry

    def _entry(self, kind: str, rest: str) -> Entry:
        if kind == "filled":
            return self._filled(*self._day(kind, rest))
        name, colon, said = (each.strip() for each in name_first(kind, rest).partition(":"))
        if not colon:
            raise self._misread(kind, "a colon is missing after the name of what it is")
        if not name or not said:
            raise self._misread(kind, "something is missing before or after the colon")
        match kind:
            case "delivery":
                return self._delivery(name, said)
            case "order":
                return self._order(self._catalog.find_cut(name), said)
            case "sale":
                return self._sale(self._catalog.find_cut(name), *self._day(kind, said))
            case "break":
                return self._break(self._catalog.find_piece(name), *self._day(kind, said))
        thing = self._catalog.find(name)
        said, day = self._day(kind, said)
        if kind == "batch":
            return self._batch(thing, said, day)
        return Wasted(day, thing.full, self._size(kind, said, thing.by_each, thing.name))

    def _misread(self, kind: str, message: str) -> ValueError:
        return misread(kind, self._units.unit, message)

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
        thing = self._catalog.find_arrival(name, word)
        if not found and _NO_WEIGHT.fullmatch(said):
            raise self._misread("delivery", "the weight is missing")
        listed = (each.strip() for each in split_weights(found[3] if found else said))
        weights = [self._size("delivery", each.removeprefix("and ")).amount for each in listed]
        head = int(found[1][:9]) if found else len(weights)
        if len(weights) not in (1, head):
            raise self._misread("delivery", f"{head} {word or 'head'} but {len(weights)} weights")
        money = None if cost is None else self._units.read_rate(cost, False, thing.name)
        return Delivery(day, thing.full, head, tuple(weights), money)

    def _order(self, thing: StockItem, said: str) -> OrderTaken:
        rest, word = without_day(said, strict=True)
        if " for " in rest and without_day(rest.partition(" for ")[0], strict=True)[1]:
            rest, word = said, None  # the buyer is called so
        said, price = _without_price(rest, _ANY_PRICE)
        size, for_, buyer = said.partition(" for ")
        day_last = bool(for_) and without_day(size)[1] is None
        rest = buyer if day_last else size
        rest, day = self._day("order", f"{rest} on {word}" if word else rest)
        size, buyer = (size, rest) if day_last else (rest, buyer)
        quantity = self._size("order", size, thing.by_each, thing.name)
        if quantity.amount == 0:
            raise ValueError(f"an order of {thing.name} that asks for nothing")
        buyer = buyer.strip() or A_CUSTOMER
        if buyer in WALK_IN:
            told = "cannot be a buyer; the plan uses that name for others"
            raise ValueError(f'"{printable(buyer)}" {told}')
        own = None if price is None else self._units.read_rate(price, thing.by_each, thing.name)
        return OrderTaken(day, thing.full, quantity, buyer, own)

    def _sale(self, thing: StockItem, said: str, day: date) -> Sold:
        sold_out = bool(_SOLD_OUT.search(said))
        said, for_, taken = _SOLD_OUT.sub("", said).strip().partition(" for ")
        sign = self._units.symbol
        paid = read_money(taken.removeprefix(sign).removesuffix(sign).strip()) if for_ else None
        quantity = self._size("sale", said, thing.by_each, thing.name)
        return Sold(day, thing.full, quantity, paid, sold_out)

    def _break(self, piece: StockItem, said: str, day: date) -> BreakDone:
        said, *gave = _GAVE.split(said, maxsplit=1)
        weighing = _WEIGHING.search(said)
        found = _BREAK.fullmatch(said[: weighing.start()] if weighing else said)
        if not found or not 1 <= int(found[1][:9]) <= 10_000:
            raise self._misread("break", "how many were cut is missing")
        ways = self._catalog.ways(piece)
        if not found[2] and len(ways) > 1:
            raise self._misread("break", f"the way is missing ({', '.join(ways)})")
        way = self._catalog.find_way(piece, found[2]) if found[2] else next(iter(ways.values()))
        count = int(found[1])
        whole = self._size("break", weighing[1]).amount if weighing else None
        given = self._parts.given(split_list(gave[0]), piece, way, count) if gave else ()
        return BreakDone(day, piece.full, way.name, count, whole, given)

    def _batch(self, blend: StockItem, said: str, day: date) -> BatchMade:
        blends = self._catalog.week.blends
        if blend.name not in blends:
            raise ValueError(f"{blend.name} is not a blend; known: {', '.join(blends) or 'none'}")
        made, from_, taken = said.partition(" from ")
        took = tuple(map(self._parts.taken, split_list(taken))) if from_ else ()
        return BatchMade(day, blend.full, self._size("batch", made, False, blend.name).amount, took)

    def _filled(self, said: str, day: date) -> Filled:
        found = filled_parts(said)
        if found is None:
            raise self._misread("filled", "the number of the order is missing")
        number, size = int(found[0][:12]), found[1]
        state = self._orders.get(number)
        if state is None:
            some = ", ".join(str(each.number) for each in self._orders.values() if each.open)
            raise ValueError(f"entry {number} is not an order; open orders are {some or 'none'}")
        if not size and not state.open:
            raise ValueError(f"order {number} has been picked up in full")
        if not size:
            return Filled(day, number, state.left)
        full, by_each = state.order.cut, state.order.quantity.by_each
        thing = self._catalog.by_full.get(full)
        picked = self._size("filled", size, by_each, thing.name if thing else full)
        return Filled(day, number, picked.amount)


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
