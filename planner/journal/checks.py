"""What an entry must keep to whoever makes it; what is only unlikely is asked about elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from planner.core.name_rules import PLAN_LENGTH, checked_text
from planner.core.units import Quantity
from planner.journal.entries import Count, Delivery, Entry, Weighed
from planner.journal.fields import Field, ValueKind, fields_of

FIRST_DAY = date(1900, 1, 1)
LAST_DAY = date(2200, 12, 31)

MOST = 1e12
"""No amount, weight or sum of money is larger."""

MOST_PIECES = 1_000_000
"""No number of head or pieces is larger."""

_LAST_NUMBER = 10**15
"""Of an entry or a writing: SQLite cannot count much further, and nobody will get there."""


def check_entry(entry: Entry) -> None:
    """Stop at an entry that cannot be true (`ValueError`, with a sentence that is safe to print).

    Whether an order or a writing that it refers to exists is for the journal to say.
    """
    for field in fields_of(type(entry)):
        value = getattr(entry, field.name)
        if value is not None or not field.optional:
            _CHECKS[field.value](value, field)
    if isinstance(entry, Delivery) and len(entry.pounds) not in (1, entry.head):
        raise ValueError(
            f"{entry.head} head have one weight for all or one for each, not {len(entry.pounds)}"
        )
    if isinstance(entry, Count) and entry.made is not None and entry.made > entry.day:
        raise ValueError(f"it was made on {entry.made}, after it was counted on {entry.day}")


def _check_quantity(quantity: Quantity, what: str) -> None:
    """Stop at an amount below nothing, or a part of one where it is counted (`ValueError`)."""
    _check_number(quantity.amount, what)
    if quantity.by_each and quantity.amount != int(quantity.amount):
        raise ValueError(f"{what} is counted and must be whole, not {quantity.amount:g}")


def check_whole(number: int, what: str, *, least: int) -> None:
    """Stop at what is no whole number of pieces, or fewer than `least` (`ValueError`)."""
    if isinstance(number, bool) or not isinstance(number, int):
        raise ValueError(f"{what} must be a whole number")
    if not least <= number <= MOST_PIECES:
        raise ValueError(f"{what} must be from {least} to {MOST_PIECES}")


def _check_weighed(things: Sequence[Weighed]) -> None:
    for thing in things:
        name = checked_text(thing.what, "what was weighed")
        if thing.count is None and thing.pounds is None:
            raise ValueError(f"{name} was neither counted nor weighed")
        if thing.count is not None:
            check_whole(thing.count, f"the count of {name}", least=0)
        if thing.pounds is not None:
            _check_number(thing.pounds, f"the weight of {name}")


def _check_weight(pounds: float, what: str, *, above: bool) -> None:
    """Something that was on the scale weighs more than nothing."""
    _check_number(pounds, what)
    if above and pounds == 0:
        raise ValueError(f"{what} must be above 0")


def _check_number(number: float, what: str) -> None:
    if isinstance(number, bool) or not isinstance(number, float | int) or number != number:
        raise ValueError(f"{what} is not a number")
    if number < 0:
        raise ValueError(f"{what} is below 0")
    if number > MOST:
        raise ValueError(f"{what} is too large to be true")


def _check_reference(number: int, what: str) -> None:
    """Whether it is there is for the journal to say; here only whether it can be."""
    if isinstance(number, bool) or not isinstance(number, int) or not 1 <= number <= _LAST_NUMBER:
        raise ValueError(f"there is no {what} with such a number")


def _check_day(day: date, what: str) -> None:
    if type(day) is not date:  # a moment is a date to Python, and would come back as another thing
        raise ValueError(f"{what} must be a date without a time")
    if not FIRST_DAY <= day <= LAST_DAY:
        raise ValueError(
            f"{what} must be in the years {FIRST_DAY.year} to {LAST_DAY.year}, not {day}"
        )


def _check_moment(moment: str, field: Field) -> None:
    if moment not in ("open", "close"):
        raise ValueError(f"{field.called} must be 'open' or 'close'")


def _check_weights(weights: Sequence[float], field: Field) -> None:
    for pounds in weights:
        _check_weight(pounds, field.called, above=field.above)


_CHECKS: Mapping[ValueKind, Callable[[Any, Field], object]] = {
    "day": lambda day, field: _check_day(day, field.called),
    "moment": _check_moment,
    **dict.fromkeys(("name", "way", "text"), lambda text, field: checked_text(text, field.called)),
    "plan": lambda text, field: checked_text(text, field.called, PLAN_LENGTH),
    "whole": lambda number, field: check_whole(number, field.called, least=1),
    "quantity": lambda quantity, field: _check_quantity(quantity, field.called),
    "weight": lambda pounds, field: _check_weight(pounds, field.called, above=field.above),
    "weights": _check_weights,
    "things": lambda things, _: _check_weighed(things),
    **dict.fromkeys(
        ("amount", "rate", "money", "number"),
        lambda number, field: _check_number(number, field.called),
    ),
    "reference": lambda number, field: _check_reference(number, field.called),
    "flag": lambda *_: None,
}
