"""Texts in the cells of a spreadsheet: made harmless where they would be formulas, and back."""

from __future__ import annotations

import re
from unicodedata import category

SIGNS = frozenset("=+-@＝＋－＠")
"""With one of these in front a text is a formula, with the full-width ones in some languages."""

_CELLS = re.compile(r"(?<=[;\t\r\n])")
"""Behind these a new cell begins, where a spreadsheet is set for other separators than ours."""

_DROPPED = ("\t", "\r", "\n")
"""Some spreadsheets drop these at the beginning of a cell."""


def harmless(text: str) -> str:
    """A text with an apostrophe in front of what would be a formula."""
    text = "".join(f"'{part}" if _is_formula(part) else part for part in _CELLS.split(text))
    return f"'{text}" if text.startswith(_DROPPED) else text


def marked(text: str) -> str:
    """As `harmless`, and so that `unmarked` gives the text back, whatever apostrophes it had."""
    parts = _CELLS.split(text)
    text = "".join(f"'{part}" if _is_formula(part.lstrip("'")) else part for part in parts)
    return f"'{text}" if text.lstrip("'").startswith(_DROPPED) else text


def unmarked(text: str) -> str:
    """The text that `marked`, or `harmless` of a text without apostrophes in front, was made of."""
    if "'" not in text:
        return text
    if text.startswith("'") and text.lstrip("'").startswith(_DROPPED):
        text = text[1:]
    return "".join(_plain(part) for part in _CELLS.split(text))


def _plain(part: str) -> str:
    return part[1:] if part.startswith("'") and _is_formula(part.lstrip("'")) else part


def _is_formula(text: str) -> bool:
    """Whether the first sign that a spreadsheet looks at makes it one.

    Not looked at are what is not seen (categories Z and C of Unicode) and quotes, which begin a
    cell behind another separator.
    """
    looked_at = (sign for sign in text if sign != '"' and category(sign)[0] not in "ZC")
    return next(looked_at, "") in SIGNS
