"""Regular expressions for editors: what the readers of `planner.measures` may accept.

They are read as JavaScript reads them, where a whole expression cannot be told to take capital
letters for small ones. They may accept more than the readers do, never less.
"""

from __future__ import annotations


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
_UNIT = _word("lb", "lbs", "kg", "g", "oz", "each")
_SIGN = r"(?:[^\s0-9.,/%<>+-]{1,3}\s?)"

TEXT = r"\S"
AMOUNT = _whole(rf"{_N}\s*{_UNIT}?")
PRICE = _whole(rf"{_SIGN}?{_N}\s*(?:/\s*{_UNIT})?")
MONEY = _whole(_N)
SHARE = _whole(rf"{_N}\s*%")
_AT = rf"{_word('at')}\s+{_word('least', 'most')}"
SHARE_RANGE = _whole(rf"(?:(?:{_N}\s*%\s*{_word('to')}|{_AT})\s+)?{_N}\s*%")
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
    rf"{_word('at')}\s+{_N}\s*{_UNIT}?"
)
DATE = _whole("[0-9]{4}-[0-9]{2}-[0-9]{2}")
