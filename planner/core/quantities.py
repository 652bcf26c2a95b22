"""Weights, money, shares, days: read what a person writes, print what a person reads.

Inside the program weights are pounds, shares are fractions of 1, time is minutes. Every reader
takes the text of one YAML value and raises `ValueError` with a sentence for the user.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from unicodedata import numeric

POUNDS = {"lb": 1.0, "kg": 1 / 0.45359237, "g": 0.001 / 0.45359237, "oz": 1 / 16}
MOST_SIGNS = 500
"""Signs of a value: no amount, price or share is longer."""

LEAST_WEIGHT = 0.0005
"""Pounds: less than half of what a fine shop scale tells apart (from memory)."""

MOST_WEIGHT = 5_000
"""Pounds: heavier than any carcass."""

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

UNITS = {
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "lb"),
    **dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("g", "gr", "gram", "grams"), "g"),
    **dict.fromkeys(("oz", "ounce", "ounces"), "oz"),
    **dict.fromkeys(("each", "ea", "pc", "pcs", "piece", "pieces", "ct", "count"), "each"),
}
"""Words for a unit."""

FRACTIONS = "½¼¾⅓⅔⅛⅜⅝⅞"
_NUMBER = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_CURRENCY = r"(?:[^\W\d_]|[$£¥\u20a0-\u20cf]){1,3}\s?"


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with the unit written behind it: lb, kg, g, oz, each, or None for a bare number."""

    number: float
    unit: str | None


@dataclass(frozen=True, slots=True)
class Portion:
    """What a way gives: `count` things (None: just weight), each `share` of the parent."""

    count: int | None
    share: float


@dataclass(frozen=True, slots=True)
class LotSize:
    """`up to 3 head at 58 lb`: how many, whether that is only the most, and the weight of one."""

    up_to: bool
    count: int
    word: str
    weight: Amount


_WEIGHED = "|".join(sorted((word for word in UNITS if UNITS[word] != "each"), key=len)[::-1])
_WHOLE_WORD = re.compile(rf"(?<=[0-9])(\s*)({_WEIGHED})\b", re.IGNORECASE)
_SIGN = re.compile(rf"([0-9]+)?\s*([{FRACTIONS}])")
_FRACTION = re.compile(
    rf"(?:\b([0-9]+)[\s-])?\b([0-9])/(2|3|4|8|16)(?=\s*(?:{_WEIGHED}|each)\b)"
    r"|^(?:([0-9]+)[\s-])?([0-9])/(2|3|4|8|16)$",
    re.IGNORECASE,
)
_LB_OZ = re.compile(r"\b([0-9]+)\s*lb,?\s+(?:and\s+)?([0-9]+(?:[.,][0-9]+)?)\s*oz\b", re.IGNORECASE)


def plain_units(text: str) -> str:
    """A text with `2 pounds`, `2 lb 4 oz` and `3 1/2 lb` as `2 lb`, `2.25 lb` and `3.5 lb`."""

    def fraction(found: re.Match[str]) -> str:
        whole, over, under = found.groups()[:3] if found[2] else found.groups()[3:]
        return _decimals(int(whole or 0) + int(over) / int(under))

    def signed(found: re.Match[str]) -> str:
        return _decimals(int(found[1] or 0) + numeric(found[2]))

    def joined(found: re.Match[str]) -> str:
        return f"{_decimals(int(found[1]) + float(found[2].replace(',', '.')) / 16)} lb"

    text = _FRACTION.sub(fraction, _SIGN.sub(signed, text.strip()))
    text = _WHOLE_WORD.sub(lambda found: f"{found[1]}{UNITS[found[2].lower()]}", text)
    return _LB_OZ.sub(joined, text)


def plain_number(text: str) -> str:
    """A number with a point where some write a comma: `3,5 lb`; `1,234.5` without its comma.

    Raises `ValueError` where three digits stand behind a comma alone: thousands, or decimals.
    """
    thousands = r"(?<![0-9.,])[0-9]{1,3}(?:,[0-9]{3})+(?=\.[0-9])"
    text = re.sub(thousands, lambda found: found[0].replace(",", ""), text)
    if re.search(r"[0-9],[0-9]{3}(?![0-9])", text):
        raise ValueError(f'"{text}": thousands or decimals? Write a point, or no comma at all')
    return re.sub(r"([0-9]),([0-9]{1,2})(?![0-9,])", r"\1.\2", text)


def _decimals(number: float) -> str:
    return f"{number:.6f}".rstrip("0").rstrip(".")


def _match_amount(pattern: str, text: str, wanted: str) -> re.Match[str]:
    """As `_match`, with all the ways in which people write numbers and units of amounts."""
    _stop_if_long(text, wanted)
    plain = plain_number(plain_units(text))
    return re.fullmatch(pattern, plain.strip(), re.IGNORECASE) or _match(pattern, text, wanted)


def _match(pattern: str, text: str, wanted: str) -> re.Match[str]:
    _stop_if_long(text, wanted)
    found = re.fullmatch(pattern, text.strip(), re.IGNORECASE)
    if found:
        return found
    if re.search(rf"(?:^|\bat)\s*(?:{_CURRENCY})?-\s*(?:{_CURRENCY})?\.?\d", text):
        raise ValueError(f'"{text}" is negative; {wanted}')
    if re.search(r"\d,\d", text):
        raise ValueError(
            f'"{text}" has a comma in the number: write a point, or no comma; {wanted}'
        )
    raise ValueError(f'cannot read "{text}"; {wanted}')


def _stop_if_long(text: str, wanted: str) -> None:
    """Stop at a text so long that patterns would take for ever to fail on it."""
    if len(text) > MOST_SIGNS:
        raise ValueError(f"a text of {len(text):,} characters cannot be read; {wanted}")


def _match_share(pattern: str, text: str, wanted: str) -> re.Match[str]:
    """As `_match`; where only the signs of percent are missing, the text with them is shown."""
    _stop_if_long(text, wanted)
    signed = re.sub(rf"({_NUMBER})(?!\s*at\b|[0-9.])", r"\1%", text.strip())
    if "%" in text or not re.fullmatch(pattern, signed, re.IGNORECASE):
        return _match(pattern, text, wanted)
    if re.fullmatch(r"0*\.[0-9]+", text.strip()):  # 0.4 where a fraction of 1 may be meant
        signed += f", or {float(text) * 100:g}% if that is meant"
    raise ValueError(f'"{text}" has no % sign: write {signed}')


def _at_most(value: float, limit: float, text: str, what: str) -> float:
    if value > limit:
        raise ValueError(f'"{text}" is more than {what} can be ({limit:,.0f})')
    return value


def _whole(digits: str, limit: int, text: str, what: str) -> int:
    return int(_at_most(float(digits), limit, text, what))


def _unit(word: str, text: str) -> str:
    unit = UNITS.get(word.lower())
    if unit is None:
        raise ValueError(f'"{text}": no unit called "{word}"; use lb, kg, oz, g or each')
    return unit


def read_amount(text: str) -> Amount:
    """`58 lb`, `12 oz`, `3 each`, `3`; also `3,5 lb`, `3 1/2 lb`, `2 lb 4 oz`, `2 pounds`."""
    found = _match_amount(
        rf"({_NUMBER})\s*([a-z]+)?", text, "write an amount such as 58 lb, 26.3 kg, 12 oz or 3"
    )
    unit = _unit(found[2], text) if found[2] else None
    return Amount(_at_most(float(found[1]), 1e6, text, "an amount"), unit)


def read_price(text: str) -> Amount:
    """`22.99/lb`, `9/each`, `$22.99/lb`, `22.99`: money for one of the unit."""
    found = _match_amount(
        rf"(?:{_CURRENCY})?({_NUMBER})\s*(?:/\s*([a-z]+))?",
        text,
        "write a price such as 22.99/lb or 9/each",
    )
    unit = _unit(found[2], text) if found[2] else None
    return Amount(_at_most(float(found[1]), 1e5, text, "a price"), unit)


def read_money(text: str) -> float:
    """`0.75`: money without a unit."""
    found = _match_amount(rf"({_NUMBER})", text, "write an amount of money such as 0.75")
    return _at_most(float(found[1]), 1e5, text, "this")


def read_share(text: str) -> float:
    """`11.25%` as a fraction of 1."""
    found = _match_share(rf"({_NUMBER})\s*%", text, "write a share such as 11.25%")
    return _at_most(float(found[1]), 100, text, "a share") / 100


def read_weight_of_day(text: str) -> float:
    """`8%` or `8`: a relative weight of a day, of any size."""
    found = _match(rf"({_NUMBER})\s*%?", text, "write a relative weight such as 8% or 8")
    return _at_most(float(found[1]), 1e6, text, "a relative weight")


def read_days(text: str) -> int:
    """`7 days`, `1 day`, `7`: days a thing keeps, at least one."""
    return _days(text, "is out of date from the start; 1 day is that day only")


def read_period(text: str) -> int:
    """`6`, `6 days`: days that are planned, at least one."""
    return _days(text, "leaves nothing to plan; write 1 for one day")


def _days(text: str, none: str) -> int:
    found = _match(r"([0-9]+)\s*(?:days?)?", text, "write whole days such as 7 days")
    days = _whole(found[1], 366, text, "a number of days")
    if days < 1:
        raise ValueError(f'"{text}" {none}')
    return days


def read_minutes(text: str) -> float:
    """`240`, `16 min`: minutes."""
    found = _match(rf"({_NUMBER})\s*(?:min|mins|minutes?)?", text, "write minutes such as 240")
    return _at_most(float(found[1]), 100_000, text, "minutes")


def read_minutes_per_weight(text: str) -> float:
    """`0.3 per lb` as minutes a pound."""
    found = _match(
        rf"({_NUMBER})\s*(?:min(?:utes)?)?\s*(?:per|/)\s*(lb|kg)",
        text,
        "write minutes for a weight such as 0.3 per lb",
    )
    return _at_most(float(found[1]), 1000, text, "minutes") / POUNDS[found[2].lower()]


def read_portion(text: str) -> Portion:
    """`2 at 11.5%` (two things of 11.5% each) or `2%` (just weight)."""
    found = _match_share(
        rf"(?:([0-9]+)\s*at\s+)?({_NUMBER})\s*%",
        text,
        'write a share such as 2%, or "2 at 11.5%" for two pieces of 11.5% each',
    )
    share = _at_most(float(found[2]), 100, text, "a share") / 100
    if found[1] is None:
        return Portion(None, share)
    count = _whole(found[1], 1000, text, "a count")
    if count < 1:
        raise ValueError(f'"{text}" gives nothing; leave the line out')
    if share <= 0:
        raise ValueError(f'"{text}": a piece weighs more than nothing')
    return Portion(count, share)


def read_share_range(text: str) -> tuple[float, float]:
    """`15% to 20%`, `at least 15%`, `at most 20%`, or `20%` for at most 20%, as two fractions."""
    found = _match_share(
        rf"(?:(?:({_NUMBER})\s*%\s*to|at\s+(least|most))\s+)?({_NUMBER})\s*%",
        text,
        "write limits such as 15% to 20%, at least 15% or at most 20%",
    )
    low = _at_most(float(found[1] or 0), 100, text, "a share") / 100
    high = _at_most(float(found[3]), 100, text, "a share") / 100
    if low > high:
        raise ValueError(f'"{text}": the limits are crossed; write the lower one first')
    return (high, 1.0) if (found[2] or "").lower() == "least" else (low, high)


def read_share_limits(text: str) -> tuple[float, float]:
    """The same where a share alone would leave open which of the two it is."""
    if re.fullmatch(rf"\s*{_NUMBER}\s*%?\s*", text):
        share = f"{text.strip().removesuffix('%').strip()}%"
        raise ValueError(f'"{text}": write at least {share}, at most {share}, or two limits')
    return read_share_range(text)


def read_lot_size(text: str) -> LotSize:
    """`3 head at 58 lb`, `up to 2 head at 60 lb`, `2 at 9.1 lb`."""
    found = _match_amount(
        rf"(up\s+to\s+)?([0-9]+)\s*([a-z][a-z ]{{0,29}}?)?\s*at\s+({_NUMBER}\s*[a-z]*)",
        text,
        "write a lot such as 3 head at 58 lb, or up to 2 head at 60 lb",
    )
    count = _whole(found[2], 100_000, text, "a count")
    if count < 1:
        raise ValueError(f'"{text}" is an empty lot; leave the line out')
    weight = read_amount(found[4])
    if weight.unit == "each" or weight.number <= 0:
        raise ValueError(f'"{text}": the weight of one is a weight such as 58 lb')
    return LotSize(found[1] is not None, count, found[3] or "", weight)


def read_weight_range(text: str) -> tuple[float, float]:
    """`40 lb to 85 lb` as two numbers of pounds."""
    found = _match(
        rf"({_NUMBER}\s*[a-z]+)\s+to\s+({_NUMBER}\s*[a-z]+)",
        text,
        "write two weights with their units, such as 40 lb to 85 lb",
    )
    low, high = (pounds(read_amount(found[number]), "lb") for number in (1, 2))
    if low > high:
        raise ValueError(f'"{text}": the weights are crossed; write the lower one first')
    return low, high


def read_date(text: str) -> date:
    """`2026-11-30`."""
    found = _match(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text, "write a date such as 2026-11-30")
    try:
        when = date.fromisoformat(found[0])
    except ValueError:
        raise ValueError(f"there is no day {found[0]} in the calendar") from None
    if not 1900 <= when.year <= 2200:
        raise ValueError(f"the year of {found[0]} cannot be right")
    return when


def read_time(text: str) -> int:
    """`6:00`, `18:30` or `6`: a time of the day, as minutes from midnight."""
    found = _match(r"([0-9]{1,2})(?:[:.]([0-9]{2}))?", text, "write a time such as 6:00 or 18:30")
    hours, minutes = int(found[1]), int(found[2] or 0)
    if hours > 23 or minutes > 59:
        raise ValueError(f'"{text}" is not a time of day; write one from 0:00 to 23:59')
    return 60 * hours + minutes


def read_tolerance(text: str) -> tuple[float, float]:
    """`0.05%` as a share of the score, or `0.50` as money: (share, money)."""
    found = _match(
        rf"({_NUMBER})\s*(%)?", text, "write a share such as 0.05% or money such as 0.50"
    )
    return (float(found[1]) / 100, 0.0) if found[2] else (0.0, float(found[1]))


def pounds(amount: Amount, unit: str) -> float:
    """Weight in pounds; a bare number takes `unit`.

    Raises `ValueError` for an amount by each, and for one that no scale can weigh.
    """
    name = amount.unit or unit
    if name == "each":
        raise ValueError("a weight is expected here, such as 6 lb")
    weight = amount.number * POUNDS[name]
    if too_light(weight):
        number = f"{amount.number:.12f}".rstrip("0").rstrip(".")
        raise ValueError(f"{number} {name} is less than a scale can weigh ({LEAST_WEIGHT} lb)")
    return weight


def too_light(weight: float) -> bool:
    """Whether this many pounds are something, but less than a scale shows."""
    return 0 < weight < LEAST_WEIGHT


def per_pound(price: Amount, unit: str) -> float:
    """Money a pound; a bare number takes `unit`. Raises `ValueError` for a price by each."""
    name = price.unit or unit
    if name == "each":
        raise ValueError("a price by weight is expected here, such as 22.99/lb")
    return price.number / POUNDS[name]


def show_day(day: date) -> str:
    """`mon 30 nov`."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def show_count(number: float, word: str, plural: str | None = None) -> str:
    """`1 shoulder`, `2 shoulders`."""
    return f"{number:g} {word if number == 1 else plural or word + 's'}"


def show_share(fraction: float) -> str:
    """`18.2%`."""
    return f"{fraction * 100:.1f}%"
