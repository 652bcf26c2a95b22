"""Texts that go into the journal and onto a terminal: short, on one line, without tricks."""

from __future__ import annotations

import unicodedata

NAME_LENGTH = 120
"""Signs that the name of a cut, a piece, a way or a buyer may have."""

PLAN_LENGTH = 4_000_000
"""Signs that the text of a plan may have."""

_TURNS = frozenset(map(chr, (*range(0x202A, 0x202F), *range(0x2066, 0x206A))))
"""Signs that turn the direction of writing: what follows them can look like something else."""


def checked_text(text: str, what: str, most: int = NAME_LENGTH) -> str:
    """Give a text back as it is, if it may stand in the journal.

    Parameters
    ----------
    text : str
    what : str
        What the text is, to begin the sentence with: `the buyer`.
    most : int
        Signs that it may have.

    Raises
    ------
    ValueError
        It is blank or too long, or has a sign in it that could make a mess of a terminal. The
        message is a sentence that is safe to print.
    """
    if not text.strip():
        raise ValueError(f"{what} is blank")
    if len(text) > most:
        raise ValueError(f"{what} has {len(text)} signs, {most} at most: '{safe(text[:30])}...'")
    for sign in text:
        if _unsafe(sign):
            raise ValueError(
                f"{what} must be on one line without control signs, and has U+{ord(sign):04X}"
                f" in it: '{safe(text[:NAME_LENGTH])}'"
            )
    return text


def safe(text: str) -> str:
    """Make a text safe to print on a terminal, wherever it came from.

    Every control sign, line break, turn of the writing and half of a surrogate pair becomes the
    replacement sign U+FFFD. A text that `checked_text` lets pass stays as it is.
    """
    return "".join("\N{REPLACEMENT CHARACTER}" if _unsafe(sign) else sign for sign in text)


def _unsafe(sign: str) -> bool:
    """Whether a sign steers a terminal (C0, C1), breaks a line, turns it, or is no sign at all."""
    return sign in _TURNS or unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp")
