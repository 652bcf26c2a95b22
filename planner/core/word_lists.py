"""Names in a row, as a sentence has them."""

from __future__ import annotations

from collections.abc import Sequence


def and_list(parts: Sequence[str]) -> str:
    """`one, two and three`."""
    *first, last = parts or [""]
    return f"{', '.join(first)} and {last}" if first else last


def first_few(names: Sequence[str], most: int) -> str:
    """`one, two and 3 more`: `most` names at most."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"{', '.join(names[:most])}{more}"
