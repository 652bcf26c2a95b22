"""Entries of the journal as rows of a table that `imported` makes the same entries of again."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import assert_never

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
from planner.measures import POUNDS
from planner.shop.entering.kinds import kind_of

WEIGHING = "weighing"
"""Between a count and the weight of all: `2 weighing 12.2 lb`."""


def heads(unit: str) -> tuple[str, ...]:
    """The heads of the table, amounts by weight in this unit."""
    return (
        *("number", "writing", "entered", "day", "kind", "what", "way"),
        *(f"amount ({unit})", "amount (each)", f"weight ({unit})", f"weights ({unit})"),
        *("made", "at", "buyer", "price", "money", "sold out", "order", "parts", "tests", "plan"),
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
            "day": one.entry.day.isoformat(),
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

    def amount(value: float, by_each: bool) -> dict[str, str]:
        if by_each:
            return {"amount (each)": digits(value)}
        return {f"amount ({unit})": digits(in_unit(value, unit))}

    def weight(value: float | None) -> dict[str, str]:
        return {} if value is None else {f"weight ({unit})": digits(in_unit(value, unit))}

    def price(value: float | None, by_each: bool) -> dict[str, str]:
        if value is None:
            return {}
        each = digits(value) if by_each else digits(rate_in_unit(value, unit))
        return {"price": f"{each}/{'each' if by_each else unit}"}

    match entry:
        case Delivery(_, what, head, pounds, cost):
            each = "; ".join(digits(in_unit(one, unit)) for one in pounds)
            told = {"what": what, "amount (each)": str(head), f"weights ({unit})": each}
            return told | price(cost, False)
        case Count(_, at, what, much, by_each, made, pounds):
            day = {"made": made.isoformat()} if made else {}
            return {"what": what, "at": at} | amount(much, by_each) | day | weight(pounds)
        case BreakDone(_, piece, way, count, pounds, gave):
            told = {"what": piece, "way": way, "amount (each)": str(count)}
            return told | weight(pounds) | _parts(gave, unit)
        case BatchMade(_, blend, pounds, took):
            return {"what": blend} | amount(pounds, False) | _parts(took, unit)
        case Sold(_, cut, much, by_each, money, sold_out):
            taken = {} if money is None else {"money": digits(money)}
            out = {"sold out": "yes"} if sold_out else {}
            return {"what": cut} | amount(much, by_each) | taken | out
        case Wasted(_, what, much, by_each):
            return {"what": what} | amount(much, by_each)
        case OrderTaken(_, cut, much, by_each, buyer, own):
            return {"what": cut, "buyer": buyer} | amount(much, by_each) | price(own, by_each)
        case Filled(_, number, much):
            order = orders[number]
            told = {"what": order.cut, "buyer": order.buyer, "order": str(number)}
            return told | amount(much, order.by_each)
        case PlanKept(_, plan):
            return {"plan": plan}
        case YieldsWritten(_, piece, way, tests):
            return {"what": piece, "way": way, "tests": digits(tests)}
        case Undone():
            return {}
        case _:  # pragma: no cover
            assert_never(entry)


def _parts(things: Sequence[Weighed], unit: str) -> dict[str, str]:
    """`lamb bones: 4 lb;lamb loin: 2 weighing 7.1 lb`, names with such signs in quotes."""
    text = io.StringIO(newline="")
    cells = [f"{each.what}: {_part(each, unit)}" for each in things]
    csv.writer(text, delimiter=";", lineterminator="").writerow(cells)
    return {"parts": text.getvalue()}


def _part(thing: Weighed, unit: str) -> str:
    told = [] if thing.count is None else [str(thing.count)]
    if thing.pounds is not None:
        told.append(f"{digits(in_unit(thing.pounds, unit))} {unit}")
    return f" {WEIGHING} ".join(told)
