"""Entries as a person says them: `sale loin chops: 3.5 lb sold out on tue`."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date

from planner.files.asked_order import SOMEBODY
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
    Weighed,
)
from planner.measures import (
    POUNDS,
    Amount,
    per_pound,
    pounds,
    read_amount,
    read_money,
    read_price,
)
from planner.scenario import WALK_IN
from planner.shop.entering.daysaid import is_day, read_said_day
from planner.shop.entering.naming import find_arrival, find_cut
from planner.shop.entering.orders import OrderState
from planner.shop.entering.things import Thing, Things, printable
from planner.yamlfile import nearest

PATTERNS = {
    "delivery": "delivery lamb: 3 head at 57.5 lb on wed at 7.10/lb",
    "order": "order boneless leg: 9 lb on fri for the corner bistro at 15.99/lb",
    "filled": "filled 12: 5 lb on fri",
    "sale": "sale loin chops: 3.5 lb sold out on tue",
    "waste": "waste stew meat: 1.2 lb on tue",
    "break": "break shoulder: 4 boneless roast on tue",
    "batch": "batch ground lamb: 8 lb from trim 85 6 lb, trim 70 2 lb",
}
"""An entry of each kind that can be said."""

ELSEWHERE = {
    "count": "what is in the case is entered with: breakplan counts",
    "weigh-in": "weights are entered with: breakplan weigh-in",
    "plan": "plans are kept by: breakplan week",
    "yields": "yields are written by: breakplan yields --write",
}
"""Where other entries come from."""

COMING = ("delivery", "order")
"""Kinds of which a weekday is the next of its name; of the others it is the last."""

_NUMBER = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_SIZE = rf"{_NUMBER}\s*[a-z]*"
_HEADS = re.compile(r"([0-9]+)\s*([a-z][a-z ]{0,29}?)?\s*(?:at|@)\s*(.+)", re.IGNORECASE)
_NAME_FIRST = re.compile(rf"(.*\S)\s*[\s:]\s*({_SIZE})", re.IGNORECASE)
_SIZE_FIRST = re.compile(rf"({_NUMBER}\s*(?:lbs?|kg|g|oz|each)|[0-9]+)\s+(.+)", re.IGNORECASE)
_END = r"(?=\s*$|\s+(?:on|for)\s)"
_PRICE = re.compile(rf"\s+at\s+(\S*[0-9][^\s/]*\s*/\s*[a-z]+){_END}", re.IGNORECASE)
_ANY_PRICE = re.compile(rf"{_PRICE.pattern}|\s+at\s+([^\w\s]?[0-9.,]+){_END}", re.IGNORECASE)
_BREAK = re.compile(r"([0-9]+)(?:\s+(?:at\s+)?(.+))?")


class Reader:
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
            As the `PATTERNS` show. Without a day it is today's.

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
        if kind == "filled":
            entry: Entry = self._filled(rest)
        else:
            name, colon, said = rest.partition(":")
            if not colon:
                raise _misread(kind, "a colon is missing after the name of what it is")
            if not name.strip() or not said.strip():
                raise _misread(kind, "something is missing before or after the colon")
            entry = self._readers[kind](name.strip(), said.strip())
        check_entry(entry)
        return entry

    def _day(self, kind: str, said: str) -> tuple[str, date]:
        """What is said without its last `on DAY`, and the day; today where none is said."""
        rest, on, word = f" {said}".rpartition(" on ")
        if not on or not is_day(word):
            return said, self._today
        return rest.strip(), read_said_day(word, self._today, coming=kind in COMING)

    def _delivery(self, name: str, said: str) -> Delivery:
        said, cost = _without_price(said, _PRICE)
        said, day = self._day("delivery", said)
        found = _HEADS.fullmatch(said)
        word = (found[2] or "") if found else ""
        thing = find_arrival(self._things, name, word)
        listed = found[3] if found else said
        if not found and re.fullmatch(r"[0-9]+(?:\s+(?!lbs?\b|kg\b|g\b|oz\b)[a-z ]+)?", said, re.I):
            raise _misread("delivery", "the weight is missing")
        weights = tuple(self._pounds("delivery", each) for each in listed.split(","))
        head = int(found[1][:9]) if found else len(weights)
        if len(weights) not in (1, head):
            raise _misread("delivery", f"{head} {word or 'head'} but {len(weights)} weights")
        money = None if cost is None else per_pound(cost, self._unit)
        return Delivery(day, thing.full, head, weights, money)

    def _order(self, name: str, said: str) -> OrderTaken:
        thing = find_cut(self._things, name)
        said, price = _without_price(said, _ANY_PRICE)
        size, for_, buyer = said.partition(" for ")
        day_last = bool(for_) and " on " not in f" {size}"
        rest, day = self._day("order", buyer if day_last else size)
        size, buyer = (size, rest) if day_last else (rest, buyer)
        amount = self._amount("order", thing, size)
        if amount == 0:
            raise ValueError(f"an order of {thing.name} that asks for nothing")
        buyer = buyer.strip() or SOMEBODY
        if buyer in WALK_IN:
            raise ValueError(
                f'"{printable(buyer)}" cannot be the name of a buyer; the plan uses it for others'
            )
        own = None if price is None else self._rate(thing, price)
        return OrderTaken(day, thing.full, amount, thing.by_each, buyer, own)

    def _sale(self, name: str, said: str) -> Sold:
        thing = find_cut(self._things, name)
        said, day = self._day("sale", said)
        said, for_, taken = said.partition(" for ")
        out = re.compile(r",?\s*\bsold out\b", re.IGNORECASE)
        sold_out = bool(out.search(said) or out.search(taken))
        said, taken = out.sub("", said).strip(), out.sub("", taken).strip()
        money = read_money(taken.removeprefix(self._things.week.money)) if for_ else None
        amount = self._amount("sale", thing, said)
        return Sold(day, thing.full, amount, thing.by_each, money, sold_out)

    def _waste(self, name: str, said: str) -> Wasted:
        thing = self._things.find(name)
        said, day = self._day("waste", said)
        return Wasted(day, thing.full, self._amount("waste", thing, said), thing.by_each)

    def _break(self, name: str, said: str) -> BreakDone:
        piece = self._things.find_piece(name)
        said, day = self._day("break", said)
        found = _BREAK.fullmatch(said)
        if not found or not 1 <= int(found[1][:9]) <= 10_000:
            raise _misread("break", "how many were cut is missing")
        ways = self._things.ways(piece)
        if not found[2] and len(ways) > 1:
            raise _misread("break", f"the way is missing ({', '.join(ways)})")
        way = self._things.find_way(piece, found[2]).name if found[2] else next(iter(ways))
        return BreakDone(day, piece.full, way, int(found[1]))

    def _batch(self, name: str, said: str) -> BatchMade:
        blend = self._things.find(name)
        if blend.name not in self._things.week.blends:
            raise ValueError(f"{blend.name} is no blend; blends are {self._blends()}")
        said, day = self._day("batch", said)
        made, from_, taken = said.partition(" from ")
        amount = self._amount("batch", blend, made)
        took = tuple(self._part(each.strip()) for each in taken.split(",")) if from_ else ()
        return BatchMade(day, blend.full, amount, took)

    def _filled(self, said: str) -> Filled:
        head, colon, size = said.partition(":")
        if colon:
            size, day = self._day("filled", size.strip())
        else:
            head, day = self._day("filled", head)
        if not re.fullmatch(r"\s*#?\s*[0-9]{1,12}\s*", head):
            raise _misread("filled", "the number of the order is missing")
        number = int(re.sub(r"\D", "", head))
        state = self._orders.get(number)
        if state is None:
            some = ", ".join(str(each.number) for each in self._orders.values() if each.open)
            raise ValueError(f"entry {number} is no order; open orders are {some or 'none'}")
        if not size.strip():
            if not state.open:
                raise ValueError(f"order {number} has been picked up in full")
            return Filled(day, number, state.left)
        thing = self._things.by_full.get(state.order.cut)
        name = thing.name if thing else state.order.cut
        amount = self._size("filled", name, state.order.by_each, size.strip())
        return Filled(day, number, amount)

    def _part(self, text: str) -> Weighed:
        """`trim 85 6 lb`, `trim 85: 6 lb` or `6 lb trim 85`."""
        first, other = _NAME_FIRST.fullmatch(text), _SIZE_FIRST.fullmatch(text)
        tried = [(found[1].rstrip(": "), found[2]) for found in (first,) if found]
        tried += [(found[2].removeprefix("of "), found[1]) for found in (other,) if found]
        if not tried or self._is_thing(text):
            raise _misread("batch", f'how much it took is not clear in "{printable(text)}"')
        faults: list[ValueError] = []
        for name, size in tried:
            try:
                thing = self._things.find(name)
            except ValueError as error:
                faults.append(error)
                continue
            amount = self._amount("batch", thing, size)
            if thing.by_each:
                return Weighed(thing.full, int(amount), None)
            return Weighed(thing.full, None, amount)
        raise faults[0]

    def _is_thing(self, text: str) -> bool:
        try:
            return bool(self._things.find(text))
        except ValueError:
            return False

    def _amount(self, kind: str, thing: Thing, text: str) -> float:
        return self._size(kind, thing.name, thing.by_each, text)

    def _size(self, kind: str, name: str, by_each: bool, text: str) -> float:
        """Pounds, or whole numbers of what is counted."""
        if not text:
            raise _misread(kind, "the amount is missing")
        try:
            amount = read_amount(text)
        except ValueError as error:
            raise _misread(kind, str(error).partition(";")[0]) from None
        if not by_each:
            if amount.unit == "each":
                raise ValueError(f"{name} is weighed: write a weight such as 6 {self._unit}")
            return pounds(amount, self._unit)
        if amount.unit not in (None, "each") or amount.number != round(amount.number):
            raise ValueError(f"{name} is counted: write a whole number such as 3")
        return amount.number

    def _pounds(self, kind: str, text: str) -> float:
        try:
            return pounds(read_amount(text.removeprefix(" and ")), self._unit)
        except ValueError as error:
            raise _misread(kind, str(error).partition(";")[0]) from None

    def _rate(self, thing: Thing, price: Amount) -> float:
        """Money a pound, or each."""
        if not thing.by_each and price.unit == "each" or thing.by_each and price.unit in POUNDS:
            such = "9/each" if thing.by_each else f"22.99/{self._unit}"
            by = "each" if thing.by_each else "weight"
            raise ValueError(f"{thing.name} is sold by {by}: write a price such as {such}")
        return price.number if thing.by_each else per_pound(price, self._unit)

    def _blends(self) -> str:
        return ", ".join(self._things.week.blends) or "none"


def _without_price(said: str, pattern: re.Pattern[str]) -> tuple[str, Amount | None]:
    """What is said without its `at 7.10/lb`, and the price."""
    found = pattern.search(said)
    if not found:
        return said, None
    return said[: found.start()] + said[found.end() :], read_price(
        next(filter(None, found.groups()))
    )


def _misread(kind: str, message: str) -> ValueError:
    return ValueError(f'{message}; write it such as "{PATTERNS[kind]}"')
