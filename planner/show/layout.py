"""How text for a person is laid out: tables, lists, long names, in the columns there are.

Widths are columns of a terminal, where signs of some scripts take two and accents none.
"""

from __future__ import annotations

import os
import textwrap
from collections.abc import Iterable, Sequence
from textwrap import indent
from typing import TextIO

import wcwidth
from tabulate import tabulate

from planner.core.signs import shown_line, shown_text

WIDTH = 100  # columns at most, and where nobody says how many there are
SCREEN = 24  # lines that an answer takes at most where its tables are asked for with `--all`
NARROWEST = 60  # columns at least: in a narrower terminal lines run over
INDENT = 2
GAP = 2
LEAST = 4  # columns below which a name that is cut says nothing


EACH = " (each)"
"""Behind the name of a cut that is sold by each: it stays where the name is cut."""


def cut_name(cut: str, by_each: bool) -> str:
    """`loin chops`; `rack (each)` of what is sold by each."""
    return f"{cut}{EACH}" if by_each else cut


def paragraphs(*parts: str | Sequence[str]) -> str:
    """Texts, or lines of text, with an empty line between them; what is empty is left out."""
    texts = (part if isinstance(part, str) else "\n".join(part) for part in parts)
    return "\n\n".join(text for text in texts if text)


def section(head: str, lines: Iterable[str]) -> list[str]:
    """Lines under a head; nothing where there are none."""
    below = list(lines)
    return [head, *below] if below else []


def width_of(stream: TextIO) -> int:
    """Columns to lay text out in: what COLUMNS says, else the terminal, between the two limits."""
    told = os.environ.get("COLUMNS", "")
    columns = int(told) if told.isdecimal() and len(told) < 10 else 0
    try:
        columns = columns or os.get_terminal_size(stream.fileno()).columns or WIDTH
    except OSError:  # a file, a pipe, or not a stream of the system's at all
        columns = WIDTH
    return max(NARROWEST, min(WIDTH, columns))


def columns_of(text: str) -> int:
    """Columns that the widest line of a text takes."""
    return max(map(_columns, text.split("\n")))


def _columns(line: str) -> int:
    return wcwidth.wcswidth(shown_text(line))  # as the tables are made


def table(rows: Sequence[Sequence[str]], heads: Sequence[str], align: Sequence[str]) -> str:
    """Rows in columns, two spaces in; `align` is left or right for each column."""
    rows = [[shown_text(cell) for cell in row] for row in rows]
    lines = tabulate(rows, headers=heads, tablefmt="plain", colalign=align, disable_numparse=True)
    return indent(lines, " " * INDENT)


def clip(text: str, width: int) -> str:
    """Cut a text that is too long for its column; names are the user's and may be any length."""
    clean = shown_line(" ".join(text.split()))
    if columns_of(clean) <= width:
        return clean
    each = EACH if clean.endswith(EACH) else ""
    return wcwidth.clip(clean.removesuffix(EACH), 0, max(0, width - 2 - len(each))) + ".." + each


def shortened(name: str, width: int) -> str:
    """`shops/no..ek.yaml` of a longer path: both of its ends tell it from others."""
    if len(name) <= width:
        return name
    head = (width - 2) // 3
    return f"{name[:head]}..{name[head + 2 - width :]}"


def fitted_table(
    rows: Sequence[Sequence[str]],
    heads: Sequence[str],
    align: Sequence[str],
    width: int = WIDTH,
    flexible: Sequence[int] = (),
) -> str:
    """A `table` that is no wider than it may be, the two columns it is set in counted.

    `flexible` are the numbers of the columns whose texts may be cut, the longest first. Where this
    is not enough, the table is too wide: figures are never cut.
    """
    whole = table(rows, heads, align)
    if not flexible or columns_of(whole) <= width:
        return whole
    lines = [heads, *rows] if heads else rows  # as a row, heads take no more than they need
    widths = _widths(lines)
    room = max(0, room_beside(rows, heads, width, flexible))
    while sum(widths[number] for number in flexible) > room:
        longest = max(flexible, key=lambda number: widths[number])
        if widths[longest] <= LEAST:
            break
        widths[longest] -= 1
    shown = [
        [clip(text, widths[n]) if n in flexible else text for n, text in enumerate(line)]
        for line in lines
    ]
    return table(shown, (), align)


def room_beside(
    rows: Sequence[Sequence[str]], heads: Sequence[str], width: int, flexible: Sequence[int]
) -> int:
    """Columns that a `fitted_table` leaves to its flexible ones together; below 0 if it is none."""
    widths = _widths([heads, *rows] if heads else rows)
    fixed = sum(each for number, each in enumerate(widths) if number not in flexible)
    return width - INDENT - GAP * (len(widths) - 1) - fixed


def _widths(lines: Sequence[Sequence[str]]) -> list[int]:
    return [max(map(columns_of, column)) for column in zip(*lines, strict=True)]


def wrapped(text: str, margin: int = 0, width: int = WIDTH, hanging: int = 0) -> list[str]:
    """Lines of at most `width` columns, `margin` spaces in, and `hanging` more below the first."""
    text = shown_text(text)
    wrap = textwrap.wrap if columns_of(text) == len(text) else wcwidth.wrap
    first, rest = " " * margin, " " * (margin + hanging)
    return wrap(text, width, initial_indent=first, subsequent_indent=rest)


def listed(word: str, things: Sequence[str], width: int = WIDTH) -> list[str]:
    """`word: one; two` on lines of their own; nothing where there is nothing to list."""
    return wrapped(f"{word}: {'; '.join(things)}", 2, width) if things else []
