"""Files of separated values as programs write them: in any encoding, with any separator."""

from __future__ import annotations

import codecs
import csv
import io
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from planner.core.errors import InputError, Problem
from planner.files.atomic_write import leads_nowhere

STANDARD = "-"
"""The name that stands for standard input, or output."""

MOST_BYTES = 100_000_000

DELIMITERS = (",", ";", "\t")

LINES_ABOVE = 20
"""So many lines may stand above the heads: titles, dates of printing."""

_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)

Score = Callable[[Sequence[str]], int]
"""How many of the cells of a line are heads that are looked for."""


@dataclass(frozen=True, slots=True)
class CsvRow:
    """The cells of a row, and the line of the file on which it begins."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CsvSheet:
    """Rows under heads, and the separator that the file has."""

    name: str
    delimiter: str
    heads: CsvRow
    rows: tuple[CsvRow, ...]


def read_sheet(path: Path, score: Score | None) -> CsvSheet:
    """Read a file of separated values (RFC 4180, and what strays from it in practice).

    The separator and the line of heads are those with which most of the heads looked for are
    found; next to that the first line with the most cells. Without a `score` the first line is the
    heads, whatever they are. A path `-` is standard input.

    Raises `InputError`: it cannot be read, is no text, has a quote that is never closed, or has
    nothing in it.
    """
    name = str(path)
    return sheet_of(text_of(_bytes_of(path, name), name), name, score)


def text_of(raw: bytes, name: str) -> str:
    """Text of a file in UTF-8, UTF-16 or, where it can be neither, Windows-1252.

    Raises `InputError`: it is none of these, or has signs in it that no text has.
    """
    encoding = next((each for mark, each in _BOMS if raw.startswith(mark)), None)
    encoding = encoding or _without_mark(raw)
    try:
        text = raw.decode(encoding or "utf-8")
    except UnicodeDecodeError as error:
        if encoding:
            raise _no_text(raw, error.start, name, encoding.upper()) from None
        try:
            text = raw.decode("cp1252")
        except UnicodeDecodeError as error:
            raise _no_text(raw, error.start, name, "UTF-8, UTF-16 or Windows-1252") from None
    text = text.lstrip("\ufeff")  # some programs write it twice
    at = text.find("\0")
    if at >= 0:
        line = text.count("\n", 0, at) + 1
        raise InputError([Problem(name, line, "this is not text: it has bytes that no text has")])
    return text


def sheet_of(text: str, name: str, score: Score | None) -> CsvSheet:
    """Rows and heads of a text; `read_sheet` tells the rest."""
    told = re.match("sep=(.)[\r\n]", text)  # as some spreadsheets write it
    delimiter, above = _heads_at(text, told[1] if told else DELIMITERS, score)
    try:
        rows = list(_rows(text, delimiter))
    except _BrokenError as error:
        raise InputError([Problem(name, error.line, error.message)]) from None
    rows = rows[above:]
    if not rows:
        raise InputError([Problem(name, 0, "there is nothing in this file")])
    return CsvSheet(name, delimiter, rows[0], tuple(rows[1:]))


class _BrokenError(Exception):
    def __init__(self, line: int, message: str) -> None:
        super().__init__(message)
        self.line, self.message = line, message


def _bytes_of(path: Path, name: str) -> bytes:
    try:
        if name == STANDARD:
            return sys.stdin.buffer.read()
        if path.is_dir():
            raise InputError([Problem(name, 0, "this is a folder; name a file in it")])
        if path.stat().st_size > MOST_BYTES:
            raise InputError([Problem(name, 0, "larger than 100 MB; enter it in several files")])
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError([Problem(name, 0, leads_nowhere(path) or "no such file")]) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError([Problem(name, 0, f"cannot be read: {reason}")]) from None


def _without_mark(raw: bytes) -> str | None:
    """UTF-16 without its mark: every other byte of western text is nothing."""
    start = raw[:200]
    if len(start) < 4 or len(raw) % 2:
        return None
    if start[1::2].count(0) > 0.7 * len(start[1::2]):
        return "utf-16-le"
    return "utf-16-be" if start[::2].count(0) > 0.7 * len(start[::2]) else None


def _no_text(raw: bytes, at: int, name: str, encoding: str) -> InputError:
    line = raw.count(b"\n", 0, at) + 1
    return InputError([Problem(name, line, f"bytes that are not text in {encoding} here")])


def _heads_at(text: str, delimiters: Sequence[str], score: Score | None) -> tuple[str, int]:
    """The separator, and the number of rows above the heads."""
    best, found = (-1, 0, 0), (delimiters[0], 0)
    for delimiter in delimiters:
        rows = _rows(text, delimiter)
        for above in range(LINES_ABOVE if score else 1):
            try:
                row = next(rows, None)
            except _BrokenError:
                break
            if row is None:
                break
            filled = sum(bool(cell.strip()) for cell in row.cells)
            rank = (score(row.cells) if score else 0, filled, -above)
            if rank > best:
                best, found = rank, (delimiter, above)
    return found


def _rows(text: str, delimiter: str) -> Iterator[CsvRow]:
    """Rows with something in them; cells as they are written."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    while True:
        try:
            with _long_cells(len(text)):
                cells = next(reader, None)
        except csv.Error as error:
            message = "a quote is opened here and never closed"
            if "unexpected end" not in str(error):
                message = "a quote inside a value here: write it twice"
            raise _BrokenError(line, message) from None
        if cells is None:
            return
        if any(cell.strip() for cell in cells):
            yield CsvRow(line, tuple(cells))
        line = reader.line_num + 1


@contextmanager
def _long_cells(most: int) -> Iterator[None]:
    """Let cells be as long as the file, for a while: the limit is that of the whole process."""
    before = csv.field_size_limit(max(most, 1))
    try:
        yield
    finally:
        csv.field_size_limit(before)
