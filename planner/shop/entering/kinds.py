"""What the kinds of entries are called."""

from __future__ import annotations

from collections.abc import Mapping

from planner.days import Toward
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    PlanKept,
    Sold,
    Undone,
    Wasted,
    YieldsWritten,
)
from planner.shop.entering.things import printable
from planner.spelling import nearest

KINDS: dict[str, type[Entry]] = {
    "delivery": Delivery,
    "count": Count,
    "break": BreakDone,
    "batch": BatchMade,
    "sale": Sold,
    "waste": Wasted,
    "order": OrderTaken,
    "filled": Filled,
    "plan": PlanKept,
    "yields": YieldsWritten,
    "undone": Undone,
}

ENTERED = tuple(word for word in KINDS if word != "undone")
"""Kinds that somebody enters; an undoing follows from one that is there."""

COMING = ("delivery", "order")
"""Kinds of which a weekday is the next of its name; of the others it is the last."""

_WORDS = {kind: word for word, kind in KINDS.items()}


def kind_of(entry: Entry) -> str:
    """What the kind of an entry is called."""
    return _WORDS[type(entry)]


def toward_of(kind: str) -> Toward:
    """Which way a weekday looks that is said with an entry of a kind."""
    return "coming" if kind in COMING else "past"


def a_word(word: str) -> str:
    """A word with its article: `a sale`, `an order`."""
    return f"{'an' if word[:1] in 'aeiou' else 'a'} {word}"


def read_kind(text: str) -> str:
    """A kind that can be entered; raises `ValueError` with the nearest right word."""
    word = " ".join(text.split()).lower()
    if word in ENTERED:
        return word
    near = nearest(word, ENTERED) or f"; write one of {', '.join(ENTERED)}"
    raise ValueError(f'no kind of entry is called "{printable(text.strip())}"{near}')


def name_in(entry: Entry, orders: Mapping[int, OrderTaken]) -> str | None:
    """The cut or piece that an entry is about, as the journal calls it; None of a plan."""
    match entry:
        case Delivery(what=name) | Count(what=name) | Wasted(what=name):
            return name
        case Sold(cut=name) | OrderTaken(cut=name):
            return name
        case BreakDone(piece=name) | YieldsWritten(piece=name) | BatchMade(blend=name):
            return name
        case Filled(order=number):
            return orders[number].cut if number in orders else None
        case _:
            return None
