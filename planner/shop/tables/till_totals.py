"""Sales as a till lists them, sale by sale with refunds, as one sale of each cut and day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.core.units import Units
from planner.journal.entries import Entry, Sold

NEAR = 1e-9


@dataclass(frozen=True, slots=True)
class Line:
    """An entry and the line on which it stands, its number and writing where the file has them."""

    line: int
    entry: Entry
    number: int | None = None
    writing: int | None = None


def summed_sales(
    lines: Sequence[Line], units: Units
) -> tuple[list[Line], tuple[tuple[int, str], ...]]:
    """The lines with the sales of a cut on a day put together, each sum where its first sale was.

    Also the lines of sums of which more was refunded than sold, and a sentence: what is too much
    is left out.
    """
    made: dict[object, Line] = {}
    for place, line in enumerate(lines):
        sold = line.entry
        key = (sold.day, sold.cut) if isinstance(sold, Sold) else place
        if isinstance(sold, Sold) and key in made:
            line = replace(made[key], entry=_both(made[key].entry, sold))
        made[key] = line
    found = [_freed(line, units) for line in made.values()]
    return [line for line, _ in found], tuple((line.line, told) for line, told in found if told)


def is_nothing(entry: Entry) -> bool:
    """Whether a sale came to nothing, and does not say that it was sold out."""
    figures = (entry.quantity.amount, entry.money or 0.0) if isinstance(entry, Sold) else ()
    return isinstance(entry, Sold) and not entry.sold_out and max(map(abs, figures)) < NEAR


def _both(one: Entry, other: Sold) -> Sold:
    assert isinstance(one, Sold)
    known = [each.money for each in (one, other) if each.money is not None]
    both = replace(one.quantity, amount=one.quantity.amount + other.quantity.amount)
    money, sold_out = sum(known) if known else None, one.sold_out or other.sold_out
    return replace(one, quantity=both, money=money, sold_out=sold_out)


def _freed(line: Line, units: Units) -> tuple[Line, str]:
    """The line with its figures freed from what adding leaves behind, and none below nothing."""
    sold = line.entry
    if not isinstance(sold, Sold):
        return line, ""
    amount = round(sold.quantity.amount, 9)
    money, told = None if sold.money is None else round(sold.money, 9), ""
    if amount < 0:
        much = f"{-amount:g}" if sold.quantity.by_each else units.weight(-amount)
        told = f"{much} more was refunded than sold: nothing was sold then, and it is left out"
    elif money is not None and money < 0:
        told = "more money was refunded than sold: the money is left out"
    rounded = replace(sold.quantity, amount=max(amount, 0.0))
    line = replace(line, entry=replace(sold, quantity=rounded, money=None if told else money))
    return line, told and f"of {sold.cut} on {sold.day} {told}"
