"""Regular expressions for editors: what the readers of `planner.core.quantities` may accept.

They are read as JavaScript reads them, where a whole expression cannot be told to take capital
letters for small ones. They may accept more than the readers do, never less.
"""

from __future__ import annotations

from planner.core.quantities import FRACTIONS, UNITS


def _word(*words: str) -> str:
    """Any of these words, in capital or small letters."""
    both = [
        "".join(f"[{sign}{sign.upper()}]" if sign.isalpha() else sign for sign in word)
        for word in words
    ]
    return f"(?:{'|'.join(both)})"


def _whole(inner: str) -> str:
    return rf"^\s*{inner}\s*$"


_N = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_UNIT = _word(*UNITS)
_FRACTION = rf"(?:[0-9]+[\s-])?[0-9]/[0-9]+|[0-9]*\s*[{''.join(FRACTIONS)}]"
_NUM = rf"(?:[0-9]+(?:,[0-9]{{3}})*\.[0-9]+|[0-9]+(?:,[0-9]{{1,2}})?|\.[0-9]+|{_FRACTION})"
_A = rf"{_NUM}\s*{_UNIT}?(?:,?\s+(?:{_word('and')}\s+)?{_NUM}\s*{_UNIT})?"
_SIGN = r"(?:[^\s0-9.,/%<>+-]{1,3}\s?)"

TEXT = r"\S"
AMOUNT = _whole(_A)
PRICE = _whole(rf"{_SIGN}?{_NUM}\s*(?:/\s*{_UNIT})?")
MONEY = _whole(_NUM)
SHARE = _whole(rf"{_N}\s*%")
_AT = rf"{_word('at')}\s+{_word('least', 'most')}"
SHARE_RANGE = _whole(rf"(?:(?:{_N}\s*%\s*{_word('to')}|{_AT})\s+)?{_N}\s*%")
_WEIGHT = rf"{_N}\s*{_word('lb', 'lbs', 'kg', 'g', 'oz')}"
WEIGHT_RANGE = _whole(rf"{_WEIGHT}\s+{_word('to')}\s+{_WEIGHT}")
SHARE_LIMITS = _whole(rf"(?:{_N}\s*%\s*{_word('to')}|{_AT})\s+{_N}\s*%")
DAY_WEIGHT = _whole(rf"{_N}\s*%?")
DAYS = _whole(rf"[0-9]+\s*{_word('day', 'days')}?")
MINUTES = _whole(rf"{_N}\s*{_word('min', 'mins', 'minute', 'minutes')}?")
MINUTES_PER_WEIGHT = _whole(
    rf"{_N}\s*{_word('min', 'minute', 'minutes')}?\s*(?:{_word('per')}|/)\s*{_word('lb', 'kg')}"
)
PORTION = _whole(rf"(?:[0-9]+\s*{_word('at')}\s+)?{_N}\s*%")
LOT_SIZE = _whole(
    rf"(?:{_word('up')}\s+{_word('to')}\s+)?[0-9]+\s*(?:[a-zA-Z][a-zA-Z ]{{0,29}})?\s*"
    rf"{_word('at')}\s+{_A}"
)
DATE = _whole("[0-9]{4}-[0-9]{2}-[0-9]{2}")
