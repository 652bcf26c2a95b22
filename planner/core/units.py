"""Amounts and prices at the edges: what a shop weighs or counts, and how it reads and writes that.

Inside the program weights are pounds and rates are money a pound; what is counted is by each.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from planner.core import quantities
from planner.core.quantities import POUNDS, Amount, read_amount, read_price


@dataclass(frozen=True, slots=True)
class Quantity:
    """So much of a thing: pounds, or how many of what is counted (`by_each`)."""

    amount: float
    by_each: bool = False


@dataclass(frozen=True)
class Units:
    """How a shop reads and writes amounts and prices.

    `unit` is lb or kg, `symbol` that of its money, such as $ or EUR.
    """

    unit: str
    symbol: str

    @cached_property
    def pounds(self) -> float:
        """Pounds in one of the unit."""
        return POUNDS[self.unit]

    # for people

    def weight(self, weight: float) -> str:
        """`26.1 lb`: pounds with one digit."""
        return f"{weight / self.pounds:,.1f} {self.unit}"

    def shows(self, weight: float) -> bool:
        """Whether pounds show as more than nothing: half an ounce is no work for anyone."""
        return self.weight(weight) != self.weight(0.0)

    def show(self, quantity: Quantity) -> str:
        """`4.2 lb`; `3` of what is counted."""
        if quantity.by_each:
            return f"{quantity.amount:.0f}"
        if not self.shows(quantity.amount):
            return f"less than 0.1 {self.unit}"
        return self.weight(quantity.amount)

    def exact(self, quantity: Quantity) -> str:
        """`3.25 lb`, with up to three decimals, none that say nothing; `2` of what is counted."""
        if quantity.by_each:
            return f"{quantity.amount:,.0f}"
        value = quantity.amount / self.pounds
        if 0 < value < 0.0005:
            return f"less than 0.001 {self.unit}"
        return f"{value:,.3f}".rstrip("0").rstrip(".") + f" {self.unit}"

    def money(self, value: float) -> str:
        """`$1,234.50`; a symbol of letters stands behind: `1,234.50 EUR`."""
        number = f"{abs(value):,.2f}"
        sign = "-" if value < 0 and float(number.replace(",", "")) else ""
        if self.symbol.isalpha():
            return f"{sign}{number} {self.symbol}"
        return f"{sign}{self.symbol}{number}"

    def between(self, least: float, most: float) -> str:
        """`$41.00 to $43.10`, or one figure where both are shown alike."""
        return " to ".join(dict.fromkeys(map(self.money, (least, most))))

    def rate(self, price: float, by_each: bool = False) -> str:
        """Money a pound as `$22.99/lb`, or `$9.00 each`."""
        if by_each:
            return f"{self.money(price)} each"
        return f"{self.money(price * self.pounds)}/{self.unit}"

    # for machines

    def by(self, by_each: bool) -> str:
        """The unit of an amount: `each`, or that of weights."""
        return "each" if by_each else self.unit

    def number(self, quantity: Quantity) -> float:
        """In the unit, or how many: nine digits, no negative zero."""
        return figure(quantity.amount / (1.0 if quantity.by_each else self.pounds))

    def price(self, price: float, by_each: bool = False) -> float:
        """Money a pound as money for one of the unit, or for each, likewise."""
        return figure(price if by_each else price * self.pounds)

    # for files that are read again

    def written(self, quantity: Quantity) -> str:
        """In the unit, or how many: the fewest decimals that give the same again, if any do."""
        if quantity.by_each:
            return all_digits(quantity.amount)
        value = quantity.amount / self.pounds
        short = (round(value, places) for places in (3, 6, 9, 12))
        alike = (each for each in short if each * self.pounds == quantity.amount)
        return all_digits(next(alike, value))

    def written_rate(self, price: float, by_each: bool = False) -> str:
        """Money a pound as `22.99/lb`, or `9/each`, likewise."""
        if by_each:
            return f"{all_digits(price)}/each"
        value = price * self.pounds
        short = (round(value, places) for places in (2, 4, 6, 9, 12))
        alike = (each for each in short if each / self.pounds == price)
        return f"{all_digits(next(alike, value))}/{self.unit}"

    # what people wrote

    def read(self, text: str | Amount, by_each: bool, name: str = "it") -> Quantity:
        """`6 lb`, or `3` of what is counted; a bare number takes the unit.

        Raises `ValueError`, with the name of what it is an amount of.
        """
        amount = read_amount(text) if isinstance(text, str) else text
        if not by_each and amount.unit == "each":
            raise ValueError(f"{name} is weighed: write a weight such as 6 {self.unit}")
        if not by_each:
            return Quantity(quantities.pounds(amount, self.unit))
        if amount.unit not in (None, "each") or amount.number != round(amount.number):
            raise ValueError(f"{name} is counted: write a whole number such as 3")
        return Quantity(amount.number, by_each)

    def read_rate(self, text: str | Amount, by_each: bool, name: str = "it") -> float:
        """`22.99/lb` as money a pound, `9/each` as money for each; likewise."""
        price = read_price(text) if isinstance(text, str) else text
        if by_each and price.unit not in (None, "each"):
            raise ValueError(f"{name} is sold by each: write a price such as 9/each")
        if not by_each and price.unit == "each":
            raise ValueError(f"{name} is sold by weight: write a price such as 22.99/{self.unit}")
        return price.number if by_each else quantities.per_pound(price, self.unit)


def figure(value: float) -> float:
    """A figure for machines: rounded to nine digits, and no negative zero."""
    return round(value, 9) + 0.0


def all_digits(value: float) -> str:
    """A number with all its digits and without an exponent: the shortest that reads the same."""
    return format(Decimal(repr(float(value))), "f").removesuffix(".0")
