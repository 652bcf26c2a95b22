"""What all changes are made of: a name, perhaps with a day, a colon, and a new value or a step."""

from __future__ import annotations

import re
from collections.abc import Callable

from planner.core.days import seems_day, without_day

MOST_SHARE = 1000.0
"""Percent; a step beyond it is a slip of the hand."""

MOST = 1e6
"""More than any amount, price or bench can be."""


def parted(text: str, example: str, *, first: bool = False) -> tuple[str, str]:
    """What stands before the last colon and behind it; `ValueError` where one is missing.

    The last, for a name may have a colon of its own; the first where the value may have one.
    """
    colon = ": " if ": " in text else ":"
    parts = text.partition(colon) if first else text.rpartition(colon)
    head, _, value = (each.strip() for each in parts)
    if not head or not value:
        raise ValueError(f'cannot read "{text}"; write it like "{example}"')
    return head, value


def name_and_day(text: str, known: Callable[[str], bool]) -> tuple[str, str | None]:
    """Split `ground lamb fri` into the name and the day; a name may end with any word of its own.

    A last word that only looks like a day, such as fridy, counts as one behind a known name.
    """
    if known(text):
        return text, None
    name, day = without_day(text, strict=True)
    if name and day:
        return name, day
    words = text.split(" ")
    for at in range(len(words) - 1, max(0, len(words) - 3), -1):
        name, day = " ".join(words[:at]), " ".join(words[at:])
        if known(name) and seems_day(day):
            return name, day
    return text, None


def is_step(value: str) -> bool:
    """Whether a value is written as a step from the present one: `+5 lb`, `-10%`."""
    return value[:1] in ("+", "-")


def moved(text: str, value: str, now: float | None, read: Callable[[str], float]) -> float:
    """The new value: the one written (`24.99/lb`), or the present one with a step (`-10%`).

    `text` is the whole change, for messages; `read` reads a value without a sign into the unit of
    `now`. Raises `ValueError` where the value cannot be read, or the step leads nowhere.
    """
    if not is_step(value):
        return read(value)
    share = re.fullmatch(r"[+-]\s*([0-9]+(?:\.[0-9]+)?|\.[0-9]+)\s*%", value)
    if now is None or (share and not now):
        raise ValueError(f'"{text}": nothing is there yet to change; write the new value itself')
    if share and float(share[1]) > MOST_SHARE:
        raise ValueError(f'"{text}" is more than a step can be ({MOST_SHARE:,.0f}%)')
    step = now * float(share[1]) / 100 if share else read(value[1:].strip())
    new = now + step if value[0] == "+" else now - step
    if new < -1e-9:
        raise ValueError(f'"{text}" takes away more than there is')
    if new > MOST:
        raise ValueError(f'"{text}" comes to more than is possible ({MOST:,.0f})')
    return max(0.0, new)
