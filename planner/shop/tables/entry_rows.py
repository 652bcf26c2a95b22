"""Entries of the journal as rows of a table that `imported` makes the same entries of again."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from planner.core.quantities import POUNDS
from planner.journal.entries import Entry, Filled, OrderTaken, Recorded, Undone, Weighed
from planner.journal.fields import ValueKind, fields_of
from planner.shop.entering.kinds import kind_of
from planner.shop.tables.columns import FIELDS

WEIGHING = "weighing"
"""Between a count and the weight of all: `2 weighing 12.2 lb`."""


def heads(unit: str) -> tuple[str, ...]:
    """The heads of the table, amounts by weight in this unit."""
    units = {"unit": (), "amount": (unit, "each"), "weight": (unit,), "weights": (unit,)}
    return tuple(
        f"{name} ({each})" if each else name for name in FIELDS for each in units.get(name, ("",))
    )


def rows(
    entries: Iterable[Recorded], orders: Mapping[int, OrderTaken], unit: str
) -> tuple[tuple[str, ...], ...]:
    """A row for each entry under `heads`; undoings are left out, as what they undid should be.

    Parameters
    ----------
    entries : iterable of Recorded
    orders : mapping of int to OrderTaken
        All orders of the journal by their number: whether a pick-up is weighed or counted.
    unit : str
        lb or kg. Amounts come back to the last digit from a file in pounds, and from one in
        kilograms wherever they were entered in kilograms.
    """
    names = heads(unit)
    made = []
    for one in entries:
        if isinstance(one.entry, Undone):
            continue
        cells = _cells(one.entry, orders, unit)
        cells |= {
            "number": str(one.number),
            "writing": str(one.writing),
            "entered": one.entered.isoformat(timespec="seconds"),
            "kind": kind_of(one.entry),
        }
        made.append(tuple(cells.get(name, "") for name in names))
    return tuple(made)


def digits(value: float) -> str:
    """A number with all its digits and without an exponent: the shortest that reads the same."""
    text = format(Decimal(repr(float(value))), "f")
    return text.removesuffix(".0")


def in_unit(pounds: float, unit: str) -> float:
    """A weight in a unit, by the fewest decimals that give the same pounds again, if any do."""
    value = pounds / POUNDS[unit]
    short = (round(value, places) for places in (3, 6, 9, 12))
    return next((each for each in short if each * POUNDS[unit] == pounds), value)


def rate_in_unit(per_pound: float, unit: str) -> float:
    """Money for a pound as money for one of a unit, likewise."""
    value = per_pound * POUNDS[unit]
    short = (round(value, places) for places in (2, 4, 6, 9, 12))
    return next((each for each in short if each / POUNDS[unit] == per_pound), value)


def _cells(entry: Entry, orders: Mapping[int, OrderTaken], unit: str) -> dict[str, str]:
    """What an entry says, by the heads."""
    order = orders[entry.order] if isinstance(entry, Filled) else None
    quantity = getattr(order or entry, "quantity", None)
    by = "each" if quantity and quantity.by_each else unit
    cells = {"what": order.cut, "buyer": order.buyer} if order else {}
    for field in fields_of(type(entry)):
        value = getattr(entry, field.name)
        if value is None or not field.head:
            continue
        within = {"whole": "each", "amount": by, "quantity": by, "rate": by}.get(field.value, unit)
        head = f"{field.head} ({within})" if field.head in _WITH_UNIT else field.head
        cells[head] = _CELLS.get(field.value, _plainly)(value, within)
    return cells


_WITH_UNIT = ("amount", "weight", "weights")


def _plainly(value: object, _: str) -> str:
    return str(value)


def _weight(pounds: float, unit: str) -> str:
    return digits(in_unit(pounds, unit))


def _rate(money: float, by: str) -> str:
    """Money a pound as money for one of the unit; `9/each`."""
    return f"{digits(money if by == 'each' else rate_in_unit(money, by))}/{by}"


def _parts(things: Sequence[Weighed], unit: str) -> str:
    """`lamb bones: 4 lb;lamb loin: 2 weighing 7.1 lb`, names with such signs in quotes."""
    text = io.StringIO(newline="")
    cells = [f"{each.what}: {_part(each, unit)}" for each in things]
    csv.writer(text, delimiter=";", lineterminator="").writerow(cells)
    return text.getvalue()


def _part(thing: Weighed, unit: str) -> str:
    told = [] if thing.count is None else [str(thing.count)]
    if thing.pounds is not None:
        told.append(f"{_weight(thing.pounds, unit)} {unit}")
    return f" {WEIGHING} ".join(told)


_CELLS: Mapping[ValueKind, Callable[[Any, str], str]] = {
    "day": lambda day, _: day.isoformat(),
    "amount": lambda amount, by: digits(amount) if by == "each" else _weight(amount, by),
    "quantity": lambda quantity, by: _CELLS["amount"](quantity.amount, by),
    "weight": _weight,
    "weights": lambda weights, unit: "; ".join(_weight(each, unit) for each in weights),
    "things": _parts,
    "rate": _rate,
    "money": lambda money, _: digits(money),
    "number": lambda number, _: digits(number),
    "flag": lambda flag, _: "yes" if flag else "",
}
"""How a value is written in a unit, where it is not as it is."""
