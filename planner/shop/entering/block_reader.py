"""Read what a person types at the block: amounts with the day made, weights, counts, breaks."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from planner.core.days import read_day, without_day
from planner.core.quantities import plain_number, plain_units, pounds, read_amount
from planner.core.units import Units
from planner.shop.entering.catalog import StockItem, printable

MOST_PORTIONS = 50

EXAMPLES = {"lb": ("6.4", "19.2"), "kg": ("2.9", "8.7")}
"""What one piece weighs and what three do, where somebody asks how to write it."""

_SIZE = r"[0-9.]+\s*(?:(?:lbs?|kg|g|oz|each)\b)?"
_PORTION = re.compile(
    rf"(?P<size>{_SIZE})(?:\s*(?:at|@)\s*(?P<one>{_SIZE}))?"
    r"(?:\s+(?P<day>(?:last\s+|next\s+|[0-9]{1,2}\.?\s+)?[a-z]{3,10}(?:\s+[0-9]{1,2})?))?",
    re.IGNORECASE,
)
_IN_ALL = re.compile(rf"({_SIZE})\s+(?:in\s+all|together)", re.IGNORECASE)
_SEVERAL = re.compile(r"\s*(?:(?<!\d),|,(?!\d)|;|\+|\band\b)\s*", re.IGNORECASE)
_NUMBER = re.compile(r"\s*([0-9]{1,6})\s*(?:each)?\s*", re.IGNORECASE)
_BREAK = re.compile(r"(?P<first>[0-9]+)?\s*(?P<piece>[^:]+):\s*(?P<second>[0-9]+)?\s*(?P<way>.+)")


@dataclass(frozen=True, slots=True)
class CountedPortion:
    """A part of what was counted: pounds or each, the day it was made, what pieces weigh."""

    amount: float
    made: date | None = None
    pounds: float | None = None


def read_weight(text: str, units: Units, *, above: bool = False) -> float:
    """`6.8`, `6.8 lb`, `3,1 kg` as pounds; a bare number takes the unit of the shop."""
    try:
        amount = read_amount(text)
    except ValueError as error:
        one = EXAMPLES[units.unit][0]
        wanted = f"type a weight such as {one} or {one} {units.unit}"
        raise ValueError(f"{str(error).partition(';')[0]}; {wanted}") from None
    weight = pounds(amount, units.unit)
    if above and weight <= 0:
        raise ValueError("a piece weighs more than nothing")
    return weight


def read_weighed(
    text: str, thing: StockItem, expected: int | None, units: Units
) -> tuple[int | None, float | None]:
    """`6.8`, or of what is counted `1, 3.4 lb`, or `1 each`: how many and what they weigh.

    `expected` is how many there are where only the weight is typed; None of what is not counted.
    """
    plain = _plain(text)
    if expected is None:
        return None, read_weight(plain, units)
    parts = _SEVERAL.split(plain)
    if len(parts) == 2:
        return read_number(parts[0], thing.name), read_weight(parts[1], units)
    if plain.lower().endswith("each"):
        return read_number(plain, thing.name), None
    weight = read_weight(plain, units)
    return (expected if weight else 0), weight


def read_number(text: str, what: str) -> int:
    """`3` of what is counted."""
    found = _NUMBER.fullmatch(text)
    if not found:
        raise ValueError(f'"{printable(text)}": {what} is counted; type a whole number such as 2')
    return int(found[1])


def read_counted(
    text: str, thing: StockItem, day: date, units: Units
) -> tuple[CountedPortion, ...]:
    """What was counted of a thing: `3.5`, `3.5 mon, 2 tue`, `3 at 6.4 lb`, or `3, 19 lb in all`.

    A weekday is the last such day up to the `day` of the count. Raises `ValueError` with a sentence
    for the person who typed it.
    """
    portions: list[CountedPortion] = []
    for part in _SEVERAL.split(_plain(text)):
        whole = _IN_ALL.fullmatch(part)
        if whole and thing.piece and portions and portions[-1].pounds is None:
            weight = read_weight(whole[1], units, above=True)
            portions[-1] = CountedPortion(portions[-1].amount, portions[-1].made, weight)
        else:
            portions.append(_portion(part, thing, day, units))
    if len(portions) > MOST_PORTIONS:
        raise ValueError(f"more than {MOST_PORTIONS} portions of one thing")
    if len(portions) > 1 and any(each.amount == 0 for each in portions):
        raise ValueError("a portion of nothing among others; leave it out")
    return tuple(portions)


def read_one_weighs(text: str, count: int, units: Units) -> float:
    """`6.4`, `6.4 lb each` or `19 lb in all` of so many pieces: what one weighs, in pounds."""
    plain = _plain(text)
    whole = _IN_ALL.fullmatch(plain)
    if whole:
        return read_weight(whole[1], units, above=True) / count
    return read_weight(re.sub(r"\s*each$", "", plain, flags=re.IGNORECASE), units, above=True)


def read_break(text: str) -> tuple[str, int, str]:
    """`leg: 2 steaks`, `2 leg: steaks`, `leg: steaks` as piece, how many, way; names as typed."""
    found = _BREAK.fullmatch(text.strip())
    if not found or (found["first"] and found["second"]):
        raise ValueError(
            f'"{printable(text)}": write the piece, how many and the way, such as leg: 2 steaks'
        )
    count = int(found["first"] or found["second"] or 1)
    if not 1 <= count <= 10_000:
        raise ValueError(f'"{printable(text)}": how many were cut? Leave out what was not')
    return found["piece"].strip(), count, found["way"].strip()


def _plain(text: str) -> str:
    return plain_number(plain_units(" ".join(text.split())))


def _portion(part: str, thing: StockItem, day: date, units: Units) -> CountedPortion:
    one, whole = EXAMPLES[units.unit]
    wanted = "3, or 3 mon" if thing.by_each else "3.5, or 3.5 mon, 2 tue"
    if thing.piece:
        wanted = f"3, or 3 at {one} {units.unit}, or 3, {whole} {units.unit} in all"
    said, word = without_day(part)
    said = re.sub(r"\s+(?:made|from|of)$", "", said, flags=re.IGNORECASE)
    found = _PORTION.fullmatch(said)
    if not found:
        raise ValueError(f'cannot read "{printable(part)}"; type {wanted}')
    if found["one"] and not thing.piece:
        how = "counted, not weighed" if thing.by_each else "weighed"
        raise ValueError(f"{thing.name} is {how}: type {wanted}")
    word = word or found["day"]
    made = read_day(word, day, "past", within="the count is of") if word else None
    amount = units.read(found["size"], thing.by_each, thing.name).amount
    weight = amount * read_weight(found["one"], units, above=True) if found["one"] else None
    return CountedPortion(amount, made, weight)
