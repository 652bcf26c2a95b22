"""Text in a picture: how wide it is at most, made to fit, and harmless whatever names hold."""

from __future__ import annotations

import re
import unicodedata

SIZE = 13.0  # units of the smallest text
LONGEST = 60  # characters of a name at most, in pictures and their words

ALONE, TOGETHER = "\u2068", "\u2069"
"""Around a name: its direction is nothing to the text before and behind it."""

_TURNS = re.compile("[\u200e\u200f\u061c\u202a-\u202e\u2066-\u2069]")
"""Characters that are there only to change the direction of what follows."""

_NARROW = frozenset("fijlI.,:;'| /")
_THIN = frozenset("rt!()[]-")
_WIDE = frozenset("mwMW@%")


def clean(name: str) -> str:
    """A name on one line without control characters; one from right to left kept to itself."""
    kept = "".join(
        " " if unicodedata.category(each) == "Cc" else each
        for each in _TURNS.sub("", name)
        if unicodedata.category(each) not in ("Cs", "Cn", "Co")
    )
    line = " ".join(kept.split())
    if any(unicodedata.bidirectional(each) in ("R", "AL") for each in line):
        return f"{ALONE}{line}{TOGETHER}"
    return line


def width(text: str, size: float = SIZE) -> float:
    """Units that a line takes at most, by the wider ones of usual sans-serif letters."""
    return size * sum(_of(each) for each in text)


def _of(letter: str) -> float:
    if unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return 0.0
    if unicodedata.east_asian_width(letter) in ("W", "F") or letter in _WIDE:
        return 1.0
    if letter in _NARROW:
        return 0.36
    if letter in _THIN:
        return 0.42
    return 0.78 if letter.isupper() or not letter.isascii() else 0.64


def fitted(line: str, room: float, size: float = SIZE) -> str:
    """A line of clean names made to fit into `room` units: its end left out if it must be."""
    if width(line, size) <= room:
        return line
    while line and width(f"{line}..", size) > room:
        line = line[:-1]
    open_ = line.count(ALONE) - line.count(TOGETHER)
    return f"{line.rstrip()}..{TOGETHER * open_}"
