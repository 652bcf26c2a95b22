"""What an entry must keep to whoever makes it; what is only unlikely is asked about elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
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
    Sold,
    Undone,
    Wasted,
    Weighed,
    YieldsWritten,
)
from planner.journal.texts import PLAN_LENGTH, checked_text

FIRST_DAY = date(1900, 1, 1)
LAST_DAY = date(2200, 12, 31)

MOST = 1e12
"""No amount, weight or sum of money is larger."""

MOST_PIECES = 1_000_000
"""No number of head or pieces is larger."""

_LAST_NUMBER = 10**15
"""Of an entry or a writing: SQLite cannot count much further, and nobody will get there."""


def check_entry(entry: Entry) -> None:
    """Stop at an entry that cannot be true.

    Whether an order or a writing that it refers to exists is for the journal to say.

    Raises
    ------
    ValueError
        With a sentence that is safe to print.
    """
    _check_day(entry.day, "the day")
    match entry:
        case Delivery():
            _check_delivery(entry)
        case Count():
            _check_count(entry)
        case BreakDone():
            checked_text(entry.piece, "the piece")
            checked_text(entry.way, "the way")
            check_whole(entry.count, "the count", least=1)
            if entry.pounds is not None:
                _check_weight(entry.pounds, "the weight before")
            _check_weighed(entry.gave)
        case BatchMade():
            checked_text(entry.blend, "the blend")
            _check_number(entry.pounds, "the weight")
            _check_weighed(entry.took)
        case Sold():
            checked_text(entry.cut, "the cut")
            check_amount(entry.amount, entry.by_each)
            _check_optional(entry.money, "the money")
        case Wasted():
            checked_text(entry.what, "what was wasted")
            check_amount(entry.amount, entry.by_each)
        case OrderTaken():
            checked_text(entry.cut, "the cut")
            checked_text(entry.buyer, "the buyer")
            check_amount(entry.amount, entry.by_each)
            _check_optional(entry.price, "the price")
        case Filled():
            _check_reference(entry.order, "order")
            _check_number(entry.amount, "the amount")
        case PlanKept():
            checked_text(entry.plan, "the plan", PLAN_LENGTH)
        case YieldsWritten():
            checked_text(entry.piece, "the piece")
            checked_text(entry.way, "the way")
            _check_number(entry.weight, "the number of tests")
        case Undone():
            _check_reference(entry.writing, "writing")
        case _:  # pragma: no cover
            assert_never(entry)


def check_amount(amount: float, by_each: bool) -> None:
    """Stop at an amount below nothing, or a part of one where it is counted (`ValueError`)."""
    _check_number(amount, "the amount")
    if by_each and amount != int(amount):
        raise ValueError(f"the amount is counted and must be whole, not {amount:g}")


def check_whole(number: int, what: str, *, least: int) -> None:
    """Stop at what is no whole number of pieces, or fewer than `least` (`ValueError`)."""
    if isinstance(number, bool) or not isinstance(number, int):
        raise ValueError(f"{what} must be a whole number")
    if not least <= number <= MOST_PIECES:
        raise ValueError(f"{what} must be from {least} to {MOST_PIECES}")


def _check_delivery(entry: Delivery) -> None:
    checked_text(entry.what, "what arrives")
    check_whole(entry.head, "the head", least=1)
    if len(entry.pounds) not in (1, entry.head):
        raise ValueError(
            f"{entry.head} head have one weight for all or one for each, not {len(entry.pounds)}"
        )
    for pounds in entry.pounds:
        _check_weight(pounds, "the weight")
    _check_optional(entry.cost, "the cost")


def _check_count(entry: Count) -> None:
    if entry.at not in ("open", "close"):
        raise ValueError("the moment of a count must be 'open' or 'close'")
    checked_text(entry.what, "what was counted")
    check_amount(entry.amount, entry.by_each)
    _check_optional(entry.pounds, "the weight")
    if entry.made is not None:
        _check_day(entry.made, "the day it was made")
        if entry.made > entry.day:
            raise ValueError(f"it was made on {entry.made}, after it was counted on {entry.day}")


def _check_weighed(things: Sequence[Weighed]) -> None:
    for thing in things:
        name = checked_text(thing.what, "what was weighed")
        if thing.count is None and thing.pounds is None:
            raise ValueError(f"{name} was neither counted nor weighed")
        if thing.count is not None:
            check_whole(thing.count, f"the count of {name}", least=0)
        _check_optional(thing.pounds, f"the weight of {name}")


def _check_optional(number: float | None, what: str) -> None:
    if number is not None:
        _check_number(number, what)


def _check_weight(pounds: float, what: str) -> None:
    """Something that was on the scale weighs more than nothing."""
    _check_number(pounds, what)
    if pounds == 0:
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
