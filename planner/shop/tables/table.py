"""A table whose columns mean something here: its cells read, its faults and doubts by line."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import TypeVar

from planner.core.csv_cells import unmarked
from planner.core.days import Order, Toward, read_day
from planner.core.errors import InputError, Problem
from planner.core.quantities import POUNDS, UNITS
from planner.core.signs import shown_line
from planner.core.units import Quantity, Units
from planner.shop.entering.catalog import StockItem, printable
from planner.shop.entering.warning import EntryWarning
from planner.shop.tables.column_numbers import Figure, decimal_of, order_of, read_figure
from planner.shop.tables.columns import Column, form_columns, plain
from planner.shop.tables.csv_file import CsvRow, CsvSheet, read_sheet

T = TypeVar("T")

NEAR = 1e-6
"""How far from a whole number a count may be: files have 2.0, and 1.9999999."""

_DAYS = ("day", "made")
_AMOUNTS = ("amount", "weight", "weights")
_FIGURES = (*_AMOUNTS, "money", "price", "tests", "count", "gave count", "gave weight")

_CODES = {
    "$": "USD US$ CAD C$ CA$ AUD A$ NZD NZ$ dollars",
    "€": "EUR euro",
    "£": "GBP",
    "¥": "JPY CNY",
}
"""What else money is called where it has such a sign."""

_YES = ("yes", "y", "true", "1", "x", "sold out")
_NO = ("", "no", "n", "false", "0")


class EntryTable:
    """Rows with columns of ours; every reader of a cell raises `ValueError`.

    Parameters
    ----------
    sheet : CsvSheet
    columns : sequence of Column
    units : Units
        Of the shop: that of weights without one, and the money that others are refused for.
    near : date
        From which `yesterday` and weekdays are counted.
    decimal, order : optional
        The sign before decimals, and what comes first in 1/12/2026, where somebody said so; else
        the whole table tells. It is `undecided` where nothing does.
    day : date, optional
        That of rows without one.
    sure : bool
        What is unlikely is `kept`; else it is a fault, and told by `stop`.
    options : bool
        Whether the command has options that tell the decimal sign and the order of dates.
    """

    def __init__(
        self,
        sheet: CsvSheet,
        columns: Sequence[Column],
        units: Units,
        near: date,
        *,
        decimal: str | None = None,
        order: Order | None = None,
        day: date | None = None,
        sure: bool = False,
        options: bool = False,
    ) -> None:
        self.name, self.rows, self._heads = sheet.name, sheet.rows, sheet.heads.cells
        self.problems: list[Problem] = []
        self.kept: list[Problem] = []
        self._units, self._near, self._day, self._sure = units, near, day, sure
        self._columns: dict[str, list[Column]] = {}
        for column in columns:
            self._columns.setdefault(column.field, []).append(column)
        amounts = self._cells(_AMOUNTS) if options else ()
        self._decimal = decimal or self._told(
            lambda: decimal_of(self._cells(_FIGURES), sheet.delimiter, amounts),
            "," if sheet.delimiter == ";" else ".",
            "; say --decimal point or --decimal comma" if options else "",
        )
        self._order = order or self._told(
            lambda: order_of(self._cells(_DAYS)),
            "mdy",
            "; say --dates dmy or --dates mdy" if options else "",
        )
        self.undecided = bool(self.problems)
        self._days: dict[tuple[str, Toward], date] = {}

    # -- what is wrong ----------------------------------------------------------------------------

    def fault(self, line: int, message: str) -> None:
        """Note what is wrong on a line; 0 stands for all of the table."""
        self.problems.append(Problem(self.name, line, shown_line(message)))

    def doubt(self, line: int, warning: EntryWarning) -> None:
        """Note what is unlikely on a line: as kept, or else as a fault."""
        if self._sure:
            self.kept.append(Problem(self.name, line, shown_line(warning.sentence)))
        else:
            self.fault(line, warning.correction)

    def attempt(self, row: CsvRow, read: Callable[[], T]) -> T | None:
        """Result of `read`, or None with its `ValueError` noted as a fault of the row."""
        try:
            return read()
        except ValueError as error:
            self.fault(row.line, str(error))
            return None

    def stop(self) -> None:
        """Raise `InputError` with all that is wrong, if anything is."""
        if self.problems:
            raise InputError(self.problems)

    # -- cells ------------------------------------------------------------------------------------

    def has(self, field: str) -> bool:
        """Whether there is a column of it."""
        return field in self._columns

    def text(self, row: CsvRow, field: str) -> str:
        """What stands in a column; empty where nothing does."""
        return self._filled(row, field)[0]

    def needed(self, row: CsvRow, field: str) -> str:
        """The text in a column, which has one."""
        text = self.text(row, field)
        if not text:
            raise ValueError(f"the {field} is missing")
        return text

    def day(self, row: CsvRow, field: str = "day", toward: Toward = "past") -> date | None:
        """A day; None where there is none, and none for all rows."""

        def read(text: str, _: Column) -> date:
            if (text, toward) not in self._days:
                self._days[text, toward] = read_day(text, self._near, toward, order=self._order)
            return self._days[text, toward]

        return self._read(row, field, read) or (self._day if field == "day" else None)

    def whole(self, row: CsvRow, field: str, most: float = 1e6) -> int | None:
        """A whole number, not below 0; None where there is none."""
        own = self.text(row, "unit") if field == "amount" else None

        def read(text: str, column: Column) -> int:
            number, unit = self._measure(text, column.unit, own)
            if unit not in (None, "each") or abs(number - round(number)) > NEAR or number > most:
                raise ValueError(f'"{printable(text)}": write a whole number such as 2')
            return round(number)

        return self._read(row, field, read)

    def quantity(self, row: CsvRow, thing: StockItem, *, below: bool = False) -> Quantity:
        """The amount of a thing; below nothing only where that may be."""
        number, unit = self.measure(row, below=below)
        if not thing.by_each:
            if unit == "each":
                raise ValueError(f"{thing.name} is sold by weight, and this amount is by each")
            return Quantity(number * POUNDS[unit or self._units.unit])
        if unit not in (None, "each"):
            raise ValueError(f"{thing.name} is counted by each, and this amount is in {unit}")
        if abs(number - round(number)) > NEAR:
            raise ValueError(f"{thing.name} is counted by each, and {number:g} is not whole")
        return Quantity(float(round(number)), by_each=True)

    def measure(self, row: CsvRow, *, below: bool = False) -> tuple[float, str | None]:
        """The amount, and its unit if it has one behind it, in its head or in a column of units."""
        unit = self.text(row, "unit")
        found = self._read(
            row, "amount", lambda text, column: self._measure(text, column.unit, unit, below=below)
        )
        if found is None:
            raise ValueError("the amount is missing")
        return found

    def pounds(self, row: CsvRow, field: str) -> float | None:
        """A weight; None where there is none."""
        return self._read(row, field, lambda text, column: self.weight(text, column.unit))

    def weights(self, row: CsvRow) -> tuple[float, ...]:
        """Several weights, with semicolons between them."""
        return self._read(row, "weights", self._weights) or ()

    def weight(self, text: str, unit: str | None = None) -> float:
        """Pounds; `unit` is that of the head."""
        number, own = self._measure(text, unit)
        if own == "each":
            raise ValueError(f'"{printable(text.strip())}" is not a weight such as 6.8 lb')
        return number * POUNDS[own or self._units.unit]

    def money(self, row: CsvRow, *, below: bool = False) -> float | None:
        """Money of the shop's, below nothing only where that may be; None where there is none."""
        return self._read(row, "money", lambda text, _: self._money(text, below=below))

    def price(self, row: CsvRow, by_each: bool) -> float | None:
        """Money a pound, or each; None where there is none."""
        own = self._units.by(by_each)

        def read(text: str, _: Column) -> float:
            money, slash, word = text.partition("/")
            unit = UNITS.get(plain(word)) if slash else own
            if unit is None or (unit == "each") != by_each:
                such = "9/each" if by_each else f"22.99/{own}"
                raise ValueError(f'"{printable(text)}" is not a price such as {such}')
            return self._money(money) / POUNDS.get(unit, 1.0)

        return self._read(row, "price", read)

    def number(self, row: CsvRow, field: str) -> float | None:
        """A number without a unit, not below 0; None where there is none."""

        def read(text: str, _: Column) -> float:
            figure = self._figure(text)
            if figure.word or figure.front:
                raise ValueError(f'"{printable(text)}" is more than a number')
            return figure.number

        return self._read(row, field, read)

    def flag(self, row: CsvRow, field: str) -> bool:
        """Yes or no; no where nothing stands there."""
        text = plain(self.text(row, field))
        if text not in (*_YES, *_NO):
            raise ValueError(f'"{printable(text)}" under {field}: write yes or no')
        return text in _YES

    def _read(self, row: CsvRow, field: str, read: Callable[[str, Column], T]) -> T | None:
        """What a cell says; None where nothing stands there. A fault names the head of it."""
        text, column = self._filled(row, field)
        if column is None:
            return None
        try:
            return read(text, column)
        except ValueError as error:
            raise ValueError(f"{printable(self._heads[column.place].strip())}: {error}") from None

    def _filled(self, row: CsvRow, field: str) -> tuple[str, Column | None]:
        found: tuple[str, Column | None] = ("", None)
        for column in self._columns.get(field, ()):
            if column.place < len(row.cells):
                text = unmarked(row.cells[column.place]).strip()
                if text and found[1]:
                    raise ValueError(f"there are two {field.removesuffix('s')}s; one is enough")
                found = (text, column) if text else found
        return found

    def _figure(self, text: str, *, below: bool = False) -> Figure:
        figure = read_figure(text, self._decimal)
        if figure.number < 0 and not below:
            raise ValueError(f'"{printable(text.strip())}" is negative')
        return figure

    def _measure(
        self, text: str, *units: str | None, below: bool = False
    ) -> tuple[float, str | None]:
        figure = self._figure(text, below=below)
        found: set[str] = set()
        for word in filter(None, (figure.word, *units)):
            unit = UNITS.get(plain(word).rstrip("."))
            if unit is None:
                raise ValueError(f'"{printable(word)}" is not a unit; use lb, kg, oz, g or each')
            found.add(unit)
        if len(found) > 1:
            raise ValueError(f"two units for one amount: {' and '.join(sorted(found))}")
        return figure.number, next(iter(found), None)

    def _weights(self, text: str, column: Column) -> tuple[float, ...]:
        return tuple(self.weight(each, column.unit) for each in text.split(";") if each.strip())

    def _money(self, text: str, *, below: bool = False) -> float:
        figure, symbol = self._figure(text, below=below), self._units.symbol
        for word in (figure.front, figure.word):
            known = (symbol.lower(), *_CODES.get(symbol, "").lower().split())
            if word and word.lower().replace(" ", "") not in known:
                told = f"is not in {symbol}, the money of the shop"
                raise ValueError(f'"{printable(text.strip())}" {told}')
        return figure.number

    def _cells(self, fields: Collection[str]) -> Iterator[tuple[int, str]]:
        """Cells of some fields with their lines; of a price and of several weights each number."""
        columns = [column for field in fields for column in self._columns.get(field, ())]
        for row in self.rows:
            for column in columns:
                if column.place < len(row.cells):
                    cell = row.cells[column.place]
                    cell = cell.partition("/")[0] if column.field == "price" else cell
                    for part in cell.split(";") if column.field == "weights" else (cell,):
                        yield row.line, unmarked(part)

    def _told(self, read: Callable[[], T], default: T, hint: str) -> T:
        """What the columns show; where they show nothing that is a fault, and lines are read on."""
        try:
            return read()
        except ValueError as error:
            self.fault(0, f"{error}{hint}")
            return default


def read_form(
    path: Path,
    heads: Collection[str],
    needed: Collection[str],
    units: Units,
    near: date,
    *,
    sure: bool = False,
) -> EntryTable:
    """A table that a person filled in, under heads of ours; `-` is standard input.

    Raises `InputError`: it cannot be read, a head is missing or misspelt, or its numbers or dates
    can be read in two ways.
    """
    sheet = read_sheet(path, lambda cells: sum(plain(cell) in heads for cell in cells))
    table = EntryTable(sheet, form_columns(sheet, heads, needed), units, near, sure=sure)
    table.stop()
    return table
