"""An order as a person says it, `boneless leg: 9 lb on fri`, read as if it stood in the file."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from planner.core.days import without_day
from planner.core.errors import InputError
from planner.core.quantities import read_amount, read_price
from planner.core.scenario import Order, Scenario
from planner.files.context import Setting
from planner.files.fields import BUYER
from planner.files.yamlfile import Document

SOMEBODY = "an order"
"""The buyer of an order for which none is named."""

A_CUSTOMER = "a customer"
"""The same in a shop's journal: `order 12 (loin chops, for a customer)`."""

EXAMPLE = "boneless leg: 9 lb on fri"

_ORDER, _PRICE, _BUYER = "ORDER", "--price", "--for"  # what messages call the three texts


@dataclass(frozen=True, slots=True)
class WrittenOrder:
    """An order in the words it was given in; a price of None is the full price of the cut."""

    cut: str
    amount: str
    day: str
    buyer: str = SOMEBODY
    price: str | None = None

    def words(self) -> dict[str, str]:
        """What a file says of it, by the keys of the file."""
        words = {"day": self.day, "amount": self.amount}
        if self.buyer != SOMEBODY:
            words["for"] = self.buyer
        return words | ({"price": self.price} if self.price is not None else {})


def split_order(text: str, buyer: str = SOMEBODY, price: str | None = None) -> WrittenOrder:
    """Take `boneless leg: 9 lb on fri` apart; `on` may be left out.

    Raises `InputError` where one of the three is missing; whether it is right is not looked at.
    """
    cut, colon, rest = text.rpartition(":")
    words = rest.split()
    small = [word.lower() for word in words]
    _, said = without_day(" ".join(words), strict=True)
    last = len(said.split()) if said else 1
    at = small.index("on") if "on" in small else len(words) - last
    amount, day = " ".join(words[: max(at, 0)]), " ".join(words[at + ("on" in small) :])
    with suppress(ValueError):
        read_amount(rest)
        day = ""  # what stands there is an amount alone
    needed = {
        "a colon after the cut": colon,
        "the cut": cut.strip(),
        "the day": day,
        "the amount": amount,
    }
    missing = next((what for what, there in needed.items() if not there), None)
    if missing:
        document = Document(_ORDER)
        document.fault((), f'{missing} is missing in "{text}"; write an order such as "{EXAMPLE}"')
        document.stop_if_faulty()
    return WrittenOrder(
        cut.strip(), amount, day, buyer.strip(), price if price is None else " ".join(price.split())
    )


def order_of(scenario: Scenario, written: WrittenOrder, index: int | None = None) -> Order:
    """Read an order that was taken apart; its number is the next one of the scenario by default.

    Raises `InputError` with every fault, told as of a file: of ORDER, of --for and of --price.
    """
    asked, bought, paid = (
        Setting.of(scenario, Document(name)) for name in (_ORDER, _BUYER, _PRICE)
    )
    name = asked.find(asked.cut_names, (), written.cut)
    size = asked.attempt((), lambda: read_amount(written.amount))
    day = asked.one_day((), written.day)
    buyer = bought.attempt((), lambda: BUYER.read(written.buyer))
    own = None
    if written.price is not None:
        text = written.price
        own = paid.attempt((), lambda: read_price(text))
    amount, price = 0.0, 0.0
    if name is not None:
        cut, demand = asked.cuts[name], scenario.demand.get(name)
        full = demand.price if demand else None
        amount = asked.amount((), cut, size) if size else 0.0
        if size and size.number == 0:
            asked.document.fault((), f"an order for {written.amount} of {name} asks for nothing")
        if written.price is None and full is None:
            message = f"this order for {name} has no price, nor has the cut; give one with --price"
            asked.document.fault((), message)
        price = paid.price((), cut, own) if own else full or 0.0
    problems = [each for one in (asked, bought, paid) for each in one.document.problems]
    if problems or name is None or buyer is None:
        raise InputError(problems)
    return Order(
        index=len(scenario.orders) if index is None else index,
        cut=name,
        day=day,
        amount=amount,
        price=price,
        buyer=buyer,
        own_price=written.price is not None,
    )


def with_orders(scenario: Scenario, orders: Sequence[Order]) -> Scenario:
    """The scenario with these orders after its own; their numbers are the caller's to give."""
    asked = {order.cut: scenario.demand_for(order.cut) for order in orders}
    demand = {**scenario.demand, **asked}
    return replace(scenario, demand=demand, orders=(*scenario.orders, *orders))
