"""Entries of the journal as rows of a table that `imported` makes the same entries of again."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from planner.core.units import Quantity, Units, all_digits
from planner.journal.entries import Entry, Filled, OrderTaken, Recorded, Undone, Weighed
from planner.journal.fields import fields_of
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
    entries: Iterable[Recorded], orders: Mapping[int, OrderTaken], units: Units
) -> tuple[tuple[str, ...], ...]:
    """A row for each entry under `heads`; undoings are left out, as what they undid should be.

    Parameters
    ----------
    entries : iterable of Recorded
    orders : mapping of int to OrderTaken
        All orders of the journal by their number: whether a pick-up is weighed or counted.
    units : Units
        Amounts come back to the last digit from a file in pounds, and from one in kilograms
        wherever they were entered in kilograms.
    """
    names = heads(units.unit)
    made = []
    for one in entries:
        if isinstance(one.entry, Undone):
            continue
        cells = _cells(one.entry, orders, units)
        cells |= {
            "number": str(one.number),
            "writing": str(one.writing),
            "entered": one.entered.isoformat(timespec="seconds"),
            "kind": kind_of(one.entry),
        }
        made.append(tuple(cells.get(name, "") for name in names))
    return tuple(made)


def _cells(entry: Entry, orders: Mapping[int, OrderTaken], units: Units) -> dict[str, str]:
    """What an entry says, by the heads."""
    order = orders[entry.order] if isinstance(entry, Filled) else None
    quantity = getattr(order or entry, "quantity", Quantity(0.0))
    by_each, unit = quantity.by_each, units.unit
    cells = {"what": order.cut, "buyer": order.buyer} if order else {}
    for field in fields_of(type(entry)):
        value, head = getattr(entry, field.name), field.head
        if value is None or not head:
            continue
        match field.value:
            case "amount" | "quantity":
                amount = replace(quantity, amount=value) if field.value == "amount" else value
                head, text = f"{head} ({units.by(by_each)})", units.written(amount)
            case "whole":
                head, text = f"{head} (each)", str(value)
            case "weight":
                head, text = f"{head} ({unit})", units.written(Quantity(value))
            case "weights":
                each = (units.written(Quantity(pounds)) for pounds in value)
                head, text = f"{head} ({unit})", "; ".join(each)
            case "things":
                text = _parts(value, units)
            case "rate":
                text = units.written_rate(value, by_each)
            case "money" | "number":
                text = all_digits(value)
            case "flag":
                text = "yes" if value else ""
            case _:
                text = str(value)
        cells[head] = text
    return cells


def _parts(things: Sequence[Weighed], units: Units) -> str:
    """`lamb bones: 4 lb;lamb loin: 2 weighing 7.1 lb`, names with such signs in quotes."""
    cells = []
    for each in things:
        told = [] if each.count is None else [str(each.count)]
        if each.pounds is not None:
            told.append(f"{units.written(Quantity(each.pounds))} {units.unit}")
        cells.append(f"{each.what}: {f' {WEIGHING} '.join(told)}")
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=";", lineterminator="").writerow(cells)
    return text.getvalue()
