"""The same entry once more: said twice, or out of a file that was imported before."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

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


@dataclass(frozen=True, slots=True)
class Again:
    """A job that the journal has already for that day, and the numbers of its entries."""

    what: str
    numbers: tuple[int, ...]

    @property
    def told(self) -> str:
        """`leg: boneless is entered already (entry 3)`."""
        first, *more = self.numbers
        every = f"entry {first}"
        if more:
            every = f"entries {', '.join(map(str, (first, *more[:-1])))} and {more[-1]}"
        return f"{self.what} is entered already ({every})"

    @property
    def asked(self) -> str:
        """The same, and how what is there is taken back."""
        return f"{self.told}; to take it back: breakplan journal undo {self.numbers[-1]}"

    @property
    def refused(self) -> str:
        """The same of a line of a table, and how it is entered all the same."""
        undo = f"breakplan journal undo {self.numbers[-1]}"
        return f"{self.told}; to enter it again: --yes; to take it back: {undo}"


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
