"""Doubts put together, and what to do about them: no `; ` after a question mark."""

from __future__ import annotations

from collections.abc import Iterable


def joined(doubts: Iterable[str]) -> str:
    """Doubts as one text; empty where there are none."""
    told = ""
    for each in dict.fromkeys(filter(None, doubts)):
        gap = " " if told.endswith("?") else "; " if told else ""
        told += f"{gap}{each}"
    return told


def to_put_right(doubt: str) -> str:
    """A doubt about a line of a table, and what to do about it."""
    if doubt.endswith("?"):
        return f"{doubt} Put it right, or keep it with --yes"
    return f"{doubt}; put it right, or keep it with --yes"
