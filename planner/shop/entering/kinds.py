"""What the kinds of entries are called."""

from __future__ import annotations

from collections.abc import Mapping

from planner.core.days import Toward
from planner.core.spelling import nearest
from planner.journal.entries import KIND_OF, KINDS, Entry, Filled, OrderTaken
from planner.journal.fields import fields_of
from planner.shop.entering.catalog import printable

BY_WORD = {kind.word: kind for kind in KINDS}
"""The kinds of entries by what they are called."""

ENTERED = tuple(word for word in BY_WORD if word != "undone")
"""Kinds that somebody enters; an undoing follows from one that is there."""


def kind_of(entry: Entry) -> str:
    """What the kind of an entry is called."""
    return KIND_OF[type(entry)].word


def toward_of(kind: str) -> Toward:
    """Which way a weekday looks that is said with an entry of a kind."""
    return "coming" if BY_WORD[kind].coming else "past"


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
    if isinstance(entry, Filled):
        return orders[entry.order].cut if entry.order in orders else None
    names = (each.name for each in fields_of(type(entry)) if each.value == "name")
    return next((getattr(entry, name) for name in names), None)
