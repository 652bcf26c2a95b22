"""How text for a person is laid out: tables, lists, long names, at most 100 columns."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import indent, wrap

from tabulate import tabulate

WIDTH = 100


def table(rows: Sequence[Sequence[str]], heads: Sequence[str], align: Sequence[str]) -> str:
    """Rows in columns, two spaces in; `align` is left or right for each column."""
    lines = tabulate(rows, headers=heads, tablefmt="plain", colalign=align, disable_numparse=True)
    return indent(lines, "  ")


def clip(text: str, width: int) -> str:
    """Cut a text that is too long for its column; names are the user's and may be any length."""
    clean = " ".join(text.split())
    return clean if len(clean) <= width else clean[: width - 2] + ".."


def wrapped(text: str, margin: int = 0) -> list[str]:
    """Lines of at most `WIDTH` columns, `margin` spaces in."""
    space = " " * margin
    return wrap(text, WIDTH, initial_indent=space, subsequent_indent=space)


def listed(word: str, things: Sequence[str]) -> list[str]:
    """`word: one; two` on lines of their own; nothing where there is nothing to list."""
    return wrapped(f"{word}: {'; '.join(things)}", 2) if things else []
