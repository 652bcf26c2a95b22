"""Entries that say the same: what makes two of them equal to whoever enters them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from planner.core.units import Quantity
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

Fields = Mapping[type, tuple[str, ...]]

SAME: Fields = {
    Sold: ("day", "cut", "quantity"),
    Wasted: ("day", "what", "quantity"),
    Count: ("day", "at", "what", "quantity", "made"),
    OrderTaken: ("day", "cut", "quantity", "buyer"),
    Filled: ("day", "order", "amount"),
    Delivery: ("day", "what", "head", "pounds"),
    BreakDone: ("day", "piece", "way", "count", "pounds"),
    BatchMade: ("day", "blend", "pounds"),
}
"""Day, thing and amount; a kind that is not here is the same only where all of it is."""

SAME_IN_FILE: Fields = {**SAME, Filled: ("day", "amount")}
"""In a file the orders have numbers of its own."""

JOB: Fields = {
    Count: ("day", "at", "what"),
    BreakDone: ("day", "piece", "way"),
    BatchMade: ("day", "blend"),
}
"""The same work, whatever its amount."""


def key_of(entry: Entry, fields: Fields = SAME) -> tuple[object, ...]:
    """What two entries that are the same have in common."""
    names = fields.get(type(entry))
    if names is None:
        return type(entry), entry
    return type(entry), *(_rounded(getattr(entry, name)) for name in names)


def entered_meanwhile(entries: Iterable[Entry], others: Iterable[Recorded]) -> Sequence[Recorded]:
    """Those of the others that are counts, breaks or batches of the same things and day."""
    ours = {key_of(each, JOB) for each in entries}
    return [each for each in others if type(each.entry) in JOB and key_of(each.entry, JOB) in ours]


def _rounded(value: object) -> object:
    if isinstance(value, Quantity):
        return round(value.amount, 6), value.by_each
    if isinstance(value, tuple):
        return tuple(map(_rounded, value))
    return round(value, 6) if isinstance(value, float) else value
