"""Read what a person types at the block: amounts with the day made, weights, counts, breaks."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from planner.core.days import read_day, without_day
from planner.core.quantities import Amount, plain_number, plain_units, pounds, read_amount
from planner.shop.entering.things import Thing, printable

MOST_PORTIONS = 50

EXAMPLES = {"lb": ("6.4", "19.2"), "kg": ("2.9", "8.7")}
"""What one piece weighs and what three do, where somebody asks how to write it."""

_NUMBER = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_UNIT = r"(?:lbs?|kg|g|oz|each)"
_PORTION = re.compile(
    rf"(?P<number>{_NUMBER})\s*(?P<unit>{_UNIT}\b)?"
    rf"(?:\s*(?:at|@)\s*(?P<one>{_NUMBER}\s*{_UNIT}?\b))?"
    r"(?:\s+(?P<day>(?:last\s+|next\s+|[0-9]{1,2}\.?\s+)?[a-z]{3,10}(?:\s+[0-9]{1,2})?))?",
    re.IGNORECASE,
)
_IN_ALL = re.compile(rf"(?P<all>{_NUMBER}\s*{_UNIT}?)\s+(?:in\s+all|together)", re.IGNORECASE)
_SEVERAL = re.compile(r"\s*(?:(?<!\d),|,(?!\d)|;|\+|\band\b)\s*", re.IGNORECASE)
_BREAK = re.compile(r"(?P<first>[0-9]+)?\s*(?P<piece>[^:]+):\s*(?P<second>[0-9]+)?\s*(?P<way>.+)")


@dataclass(frozen=True, slots=True)
class CountedPortion:
    """A part of what was counted: pounds or each, the day it was made, what pieces weigh."""

    amount: float
    made: date | None = None
    pounds: float | None = None


def a_weight(unit: str) -> str:
    """What to type for a weight."""
    one = EXAMPLES[unit][0]
    return f"a weight such as {one} or {one} {unit}"


def read_weight(text: str, unit: str) -> float:
    """`6.8`, `6.8 lb`, `3,1 kg` as pounds; a bare number takes the unit."""
    amount = _amount(_plain(text), a_weight(unit))
    return pounds(amount, unit)


def read_weighed(
    text: str, thing: Thing, expected: int | None, unit: str
) -> tuple[int | None, float | None]:
    """`6.8`, or of what is counted `1, 3.4 lb`, or `1 each`: how many and what they weigh.

    `expected` is how many there are where only the weight is typed; None of what is not counted.
    """
    plain = _plain(text)
    if expected is None:
        return None, read_weight(plain, unit)
    parts = _SEVERAL.split(plain)
    if len(parts) == 2:
        return read_number(parts[0], thing.name), read_weight(parts[1], unit)
    if re.fullmatch(r"[0-9]+ ?each", plain, re.IGNORECASE):
        return read_number(plain, thing.name), None
    weight = read_weight(plain, unit)
    return (expected if weight else 0), weight


def read_number(text: str, what: str) -> int:
    """`3` of what is counted."""
    if not re.fullmatch(r"\s*[0-9]{1,6}\s*(each)?\s*", text, re.IGNORECASE):
        raise ValueError(f'"{printable(text)}": {what} is counted; type a whole number such as 2')
    return int(re.sub(r"\D", "", text))


def read_counted(text: str, thing: Thing, day: date, unit: str) -> tuple[CountedPortion, ...]:
    """What was counted of a thing, as typed.

    Parameters
    ----------
    text : str
        `3.5`, `1.6 kg`, `3.5 mon, 2 tue`; of pieces `3 at 6.4 lb`, or `3, 19 lb in all`.
    thing : Thing
    day : date
        The day of the count: a weekday is the last such day up to it.
    unit : str
        lb or kg: what a bare number is in.

    Raises
    ------
    ValueError
        With a sentence for the person who typed it.
    """
    portions: list[CountedPortion] = []
    for part in _SEVERAL.split(_plain(text)):
        whole = _IN_ALL.fullmatch(part)
        if whole and thing.piece and portions and portions[-1].pounds is None:
            weight = _weight(whole["all"], unit)
            portions[-1] = CountedPortion(portions[-1].amount, portions[-1].made, weight)
        else:
            portions.append(_portion(part, thing, day, unit))
    if len(portions) > MOST_PORTIONS:
        raise ValueError(f"more than {MOST_PORTIONS} portions of one thing")
    if len(portions) > 1 and any(each.amount == 0 for each in portions):
        raise ValueError("a portion of nothing beside others; leave it out")
    return tuple(portions)


def read_one_weighs(text: str, count: int, unit: str) -> float:
    """`6.4`, `6.4 lb each` or `19 lb in all` of so many pieces: what one weighs, in pounds."""
    plain = _plain(text)
    whole = _IN_ALL.fullmatch(plain)
    if whole:
        return _weight(whole["all"], unit) / count
    return _weight(re.sub(r"\s*each$", "", plain, flags=re.IGNORECASE), unit)


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


def _portion(part: str, thing: Thing, day: date, unit: str) -> CountedPortion:
    said, word = without_day(part)
    said = re.sub(r"\s+(?:made|from|of)$", "", said, flags=re.IGNORECASE)
    found = _PORTION.fullmatch(said)
    if not found:
        raise ValueError(f'cannot read "{printable(part)}"; {_wanted(thing, unit)}')
    size = f"{found['number']} {found['unit'] or ''}".strip()
    amount = _amount(size, _wanted(thing, unit))
    word = word or found["day"]
    made = read_day(word, day, "past", within="the count is of") if word else None
    if not thing.by_each:
        if amount.unit == "each" or found["one"]:
            raise ValueError(f"{thing.name} is weighed: {_wanted(thing, unit)}")
        return CountedPortion(pounds(amount, unit), made)
    if amount.unit not in (None, "each") or amount.number != round(amount.number):
        raise ValueError(f"{thing.name} is counted: {_wanted(thing, unit)}")
    if found["one"] and not thing.piece:
        raise ValueError(f"{thing.name} is counted, not weighed: {_wanted(thing, unit)}")
    weight = amount.number * _weight(found["one"], unit) if found["one"] else None
    return CountedPortion(amount.number, made, weight)


def _weight(text: str, unit: str) -> float:
    weight = pounds(_amount(text, a_weight(unit)), unit)
    if weight <= 0:
        raise ValueError("a piece weighs more than nothing")
    return weight


def _amount(text: str, wanted: str) -> Amount:
    if text[:1] == "-":
        raise ValueError(f'"{printable(text)}" is negative; type {wanted.removeprefix("type ")}')
    if not re.fullmatch(rf"{_NUMBER}\s*(?:{_UNIT})?", text, re.IGNORECASE):
        raise ValueError(f'cannot read "{printable(text)}"; type {wanted.removeprefix("type ")}')
    return read_amount(text)


def _wanted(thing: Thing, unit: str) -> str:
    if thing.piece:
        one, whole = EXAMPLES[unit]
        return f"type 3, or 3 at {one} {unit}, or 3, {whole} {unit} in all"
    return "type 3, or 3 mon" if thing.by_each else "type 3.5, or 3.5 mon, 2 tue"
