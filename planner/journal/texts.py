"""Names, in files and in the journal, and texts on a terminal: short, on one line, no tricks."""

from __future__ import annotations

NAME_LENGTH = 120
"""Signs that a name in the journal may have: a cut, a piece, a way or a buyer."""

SPECIES_LENGTH = 39
"""Signs that the name of a species may have."""

PLAIN_LENGTH = NAME_LENGTH - SPECIES_LENGTH - 1
"""Signs that a name in a recipe may have, which has its species in front in the journal."""

PLAN_LENGTH = 4_000_000
"""Signs that the text of a plan may have."""

_HIDDEN = frozenset(
    map(
        chr,
        (
            *(0x034F, 0x115F, 0x1160, 0x17B4, 0x17B5, 0x2800, 0x3164, 0xFFA0),
            *range(0x180B, 0x1810),
            *range(0xFE00, 0xFE10),
            *range(0xE0100, 0xE01F0),
        ),
    )
)
"""Letters and marks that are drawn as nothing: Unicode's default ignorable ones, and a blank."""


def checked_text(text: str, what: str, most: int = NAME_LENGTH) -> str:
    """Give a text back as it is, if it may be a name in a file or in the journal.

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
        It is blank or too long, or has a sign in it that could make a mess of a terminal or that
        nobody sees, so that two names look alike. The message is a sentence that is safe to print.
    """
    if not text.strip():
        raise ValueError(f"{what} is blank")
    if len(text) > most:
        raise ValueError(f"{what} has {len(text)} signs, {most} at most: '{safe(text[:30])}...'")
    for sign in text:
        if _unsafe(sign):
            raise ValueError(
                f"{what} must be on one line without control or hidden signs, and has "
                f"U+{ord(sign):04X} in it: '{safe(text[:NAME_LENGTH])}'"
            )
    return text


def safe(text: str) -> str:
    """Make a text safe to print on a terminal, wherever it came from.

    Every control or hidden sign, line break, turn of the writing and half of a surrogate pair
    becomes the replacement sign U+FFFD. A text that `checked_text` lets pass stays as it is.
    """
    return "".join("\N{REPLACEMENT CHARACTER}" if _unsafe(sign) else sign for sign in text)


def _unsafe(sign: str) -> bool:
    """Whether a sign steers a terminal, breaks a line or turns it, is not seen, or is no sign."""
    return sign in _HIDDEN or not sign.isprintable()
