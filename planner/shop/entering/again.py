"""The same entry once more: said twice, or out of a file that was imported before."""

from __future__ import annotations

from collections.abc import Iterable

from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    Recorded,
    Sold,
    Wasted,
)


def key_of(entry: Entry) -> tuple[object, ...]:
    """What makes two entries the same to whoever enters them: kind, day, thing and amount."""
    match entry:
        case Sold(day, name, amount) | Wasted(day, name, amount):
            return type(entry), day, name, round(amount, 6)
        case Count(day, at, name, amount, made=made):
            return type(entry), day, at, name, round(amount, 6), made
        case OrderTaken(day, name, amount, buyer=buyer):
            return type(entry), day, name, round(amount, 6), buyer
        case Filled(day, order, amount):
            return type(entry), day, order, round(amount, 6)
        case Delivery(day, name, head, pounds):
            return type(entry), day, name, head, tuple(round(each, 6) for each in pounds)
        case BreakDone(day, name, way, count, pounds):
            return type(entry), day, name, way, count, pounds
        case BatchMade(day, name, amount):
            return type(entry), day, name, round(amount, 6)
        case _:
            return type(entry), entry


def said_before(entry: Entry, recorded: Iterable[Recorded], before: Iterable[Entry]) -> str | None:
    """What to ask where the very same stands in the journal, or is entered along with it."""
    key = key_of(entry)
    number = next((one.number for one in recorded if key_of(one.entry) == key), None)
    if number is not None:
        return f"entry {number} says the very same: this would be once more"
    if any(key_of(each) == key for each in before):
        return "the very same is said twice"
    return None
