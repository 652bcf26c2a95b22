"""Names, in files and in the journal: short, on one line, no tricks."""

from __future__ import annotations

from planner.core.signs import is_seen, shown_line

NAME_LENGTH = 120
"""Signs that a name in the journal may have: a cut, a piece, a way or a buyer."""

SPECIES_LENGTH = 59
"""Signs that the name of a species may have."""

PLAIN_LENGTH = NAME_LENGTH - SPECIES_LENGTH - 1
"""Signs that a name in a recipe may have, which has its species in front in the journal."""

PLAN_LENGTH = 4_000_000
"""Signs that the text of a plan may have."""


def checked_text(text: str, what: str, most: int = NAME_LENGTH) -> str:
    """Give a text back as it is, if it may be a name in a file or in the journal.

    `what` the text is begins the sentence (`the buyer`); it may have `most` signs.

    Raises
    ------
    ValueError
        It is blank or too long, or has a sign in it that could make a mess of a terminal or that
        nobody sees, so that two names look alike. The message is a sentence that is safe to print.
    """
    if not text.strip():
        raise ValueError(f"{what} is blank")
    if len(text) > most:
        raise ValueError(
            f"{what} has {len(text)} characters, {most} at most: '{shown_line(text[:30])}...'"
        )
    for sign in text:
        if not is_seen(sign):
            raise ValueError(
                f"{what} must be on one line without control or hidden signs, but has "
                f"U+{ord(sign):04X} in it: '{shown_line(text[:NAME_LENGTH])}'"
            )
    return text
