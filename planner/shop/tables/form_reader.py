"""Tables that a person fills in, read by our heads: every cell with its line."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import TypeVar

from planner.core.csv_cells import unmarked
from planner.core.days import read_day
from planner.core.errors import InputError, Problem
from planner.core.quantities import POUNDS, UNITS
from planner.core.spelling import nearest
from planner.shop.entering.things import printable
from planner.shop.entering.warning import EntryWarning
from planner.shop.tables.column_numbers import decimal_of, order_of, read_figure
from planner.shop.tables.columns import plain
from planner.shop.tables.csv_file import CsvRow, CsvSheet, read_sheet

T = TypeVar("T")

ASIDE = ("planned", "expected", "note")
"""Heads that begin so are for the reader of the table, and not read back."""


class FormTable:
    """A table with heads of ours.

    Parameters
    ----------
    path : Path
        `-` is standard input.
    heads : collection of str
        What the columns may be called.
    needed : collection of str
        Those that must be there.
    numbers, dates : collection of str
        Columns of numbers and of dates.
    untold : collection of str
        What columns may be called too, and no message names.
    sure : bool
        What is unlikely is kept; else it is a fault.

    Raises
    ------
    InputError
        It cannot be read, a head is missing or misspelt, or its numbers or dates can be read in
        two ways.
    """

    def __init__(
        self,
        path: Path,
        heads: Collection[str],
        needed: Collection[str],
        numbers: Collection[str],
        dates: Collection[str] = (),
        *,
        untold: Collection[str] = (),
        sure: bool = False,
    ) -> None:
        every = (*heads, *untold)
        self.problems: list[Problem] = []
        self.kept: list[Problem] = []
        self._sure = sure
        sheet = read_sheet(path, lambda cells: sum(plain(cell) in every for cell in cells))
        self.name = sheet.name
        self._places = self._find(sheet, heads, needed, untold)
        self.rows: Sequence[CsvRow] = sheet.rows
        figures = [cell for head in numbers for cell in self._cells(head)]
        days = [cell for head in dates for cell in self._cells(head)]
        self._decimal = self._told(lambda: decimal_of(figures, sheet.delimiter)) or "."
        self._order = self._told(lambda: order_of(days)) or "mdy"
        self.stop_if_faulty()

    def stop_if_faulty(self) -> None:
        """Raise `InputError` with everything found so far, if anything was."""
        if self.problems:
            raise InputError(sorted(self.problems, key=lambda each: each.line))

    def fault(self, row: CsvRow, message: str) -> None:
        """Record what is wrong with a row."""
        self.problems.append(Problem(self.name, row.line, message))

    def warn(self, warning: EntryWarning | None, row: CsvRow | None = None) -> None:
        """Record what is unlikely about a row, or the table: as kept, or else as a fault."""
        if warning:
            into, told = self.problems, warning.correction
            if self._sure:
                into, told = self.kept, warning.sentence
            into.append(Problem(self.name, row.line if row else 0, told))

    def attempt(self, row: CsvRow, read: Callable[[], T]) -> T | None:
        """Result of `read`, or None with its `ValueError` recorded as a fault of the row."""
        try:
            return read()
        except ValueError as error:
            self.fault(row, str(error))
            return None

    def cell(self, row: CsvRow, head: str) -> str:
        """What stands in a row under a head; empty where nothing does."""
        place = self._places.get(head)
        if place is None or place >= len(row.cells):
            return ""
        return " ".join(unmarked(row.cells[place]).split())

    def number(self, row: CsvRow, head: str) -> int | None:
        """A whole number, not below 0; None where nothing stands there."""
        text = self.cell(row, head)
        if not text:
            return None
        figure = read_figure(text, self._decimal)
        if figure.number < 0 or figure.number != round(figure.number) or figure.number > 1e6:
            raise ValueError(
                f'"{printable(text)}" under {head}: a whole number is wanted, such as 2'
            )
        if figure.word and UNITS.get(figure.word.lower()) != "each":
            raise ValueError(f'"{printable(text)}" under {head} is counted, not weighed')
        return round(figure.number)

    def amount(self, row: CsvRow, head: str, unit: str) -> tuple[float, str] | None:
        """A number not below 0 with the unit behind it, else `unit`; None where there is none."""
        text = self.cell(row, head)
        if not text:
            return None
        figure = read_figure(text, self._decimal)
        if figure.number < 0:
            raise ValueError(f'"{printable(text)}" under {head} is negative')
        word = UNITS.get(figure.word.lower()) if figure.word else unit
        if word is None:
            raise ValueError(
                f'"{printable(text)}" under {head}: no unit called "{printable(figure.word)}"; '
                "use lb, kg, oz, g or each"
            )
        return figure.number, word

    def pounds(self, row: CsvRow, head: str, unit: str) -> float | None:
        """A weight in pounds; None where nothing stands there."""
        found = self.amount(row, head, unit)
        if found is None:
            return None
        number, word = found
        if word not in POUNDS:
            raise ValueError(f"a weight is wanted under {head}, such as 6.8 lb")
        return number * POUNDS[word]

    def day(self, row: CsvRow, head: str, near: date, *, later: bool = False) -> date | None:
        """A day as `read_day` has it, as seen from one; None where nothing stands there.

        Later dates than that day are faults, unless they may be `later`.
        """
        text = self.cell(row, head)
        if not text:
            return None
        found = read_day(text, near, "past", order="dmy" if self._order == "dmy" else "mdy")
        if found > near and not later:
            raise ValueError(f"{found.isoformat()} under {head} is after {near.isoformat()}")
        return found

    def _find(
        self,
        sheet: CsvSheet,
        heads: Collection[str],
        needed: Collection[str],
        untold: Collection[str],
    ) -> dict[str, int]:
        places: dict[str, int] = {}
        unknown: list[str] = []
        for place, cell in enumerate(sheet.heads.cells):
            head = plain(cell)
            if head in places:
                self.fault(sheet.heads, f'two columns are called "{head}"')
            elif head in heads or head in untold:
                places[head] = place
            elif head and not head.startswith(ASIDE):
                unknown.append(head)
        for head in needed:
            if head not in places:
                near = nearest(head, unknown)
                wanted = ", ".join(heads)
                self.fault(sheet.heads, f'no column is called "{head}"{near}; heads are {wanted}')
        for head in unknown:
            near = nearest(head, [each for each in heads if each not in places])
            if near and not self.problems:
                self.fault(sheet.heads, f'a column is called "{printable(head)}"{near}')
        self.stop_if_faulty()
        return places

    def _cells(self, head: str) -> Iterator[tuple[int, str]]:
        for row in self.rows:
            text = self.cell(row, head)
            if text[:1].isdigit() or text[:1] in (".", ","):
                yield row.line, text

    def _told(self, read: Callable[[], T]) -> T | None:
        try:
            return read()
        except ValueError as error:  # it ends with options that only `breakplan journal` has
            self.problems.append(Problem(self.name, 0, str(error).partition("; say --")[0]))
            return None
