"""The cells of a row: texts, days, figures with their units."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from planner.core.csv_cells import unmarked
from planner.core.days import Order, Toward, read_day
from planner.core.quantities import POUNDS, UNITS
from planner.shop.entering.things import Thing, printable
from planner.shop.tables.column_numbers import read_figure
from planner.shop.tables.columns import Column, plain
from planner.shop.tables.csv_file import CsvRow

NEAR = 1e-6
"""How far from a whole number a count may be: files have 2.0, and 1.9999999."""

_YES = frozenset(("yes", "y", "true", "1", "x", "sold out"))
_NO = frozenset(("", "no", "n", "false", "0"))


class RowCells:
    """Reads cells with the columns of a file; every reader raises `ValueError`.

    Parameters
    ----------
    columns : sequence of Column
    unit : str
        lb or kg: that of weights without one.
    money : str
        The sign of the shop's: others are refused.
    decimal, order
        The sign before decimals, and what comes first in 1/12/2026.
    today : date
        From which `yesterday` and weekdays are reckoned.
    day : date, optional
        That of rows without one.
    """

    def __init__(
        self,
        columns: Sequence[Column],
        unit: str,
        *,
        money: str,
        decimal: str,
        order: Order,
        today: date,
        day: date | None = None,
    ) -> None:
        self._places: dict[str, list[Column]] = {}
        for column in columns:
            self._places.setdefault(column.field, []).append(column)
        self._unit, self._symbol = unit, money
        self._decimal, self._order = decimal, order
        self._today, self._day = today, day
        self._days: dict[tuple[str, Toward], date] = {}

    def day(self, row: CsvRow, field: str = "day", toward: Toward = "past") -> date:
        """The day of a row; raises `ValueError`."""
        text = self.text(row, field)
        if not text and field == "day" and self._day:
            return self._day
        if not text:
            raise ValueError("no day is written here")
        if (text, toward) not in self._days:
            self._days[text, toward] = read_day(text, self._today, toward, order=self._order)
        return self._days[text, toward]

    def text(self, row: CsvRow, field: str) -> str:
        """What a row has in a column; empty where it has nothing or there is no such column."""
        for column in self._places.get(field, ()):
            if column.place < len(row.cells):
                return unmarked(row.cells[column.place]).strip()
        return ""

    def whole(self, row: CsvRow, field: str) -> int | None:
        """A whole number, such as that of an entry; None where there is none."""
        text = self.text(row, field)
        if not text:
            return None
        number = self.number(text)
        if number != round(number) or not 0 < number < 1e15:
            raise ValueError(f'"{printable(text)}" is no number of an entry')
        return round(number)

    def needed(self, row: CsvRow, field: str) -> str:
        """The text in a column, which has one."""
        text = self.text(row, field)
        if not text:
            raise ValueError(f"the {field} is missing")
        return text

    def amount_cell(self, row: CsvRow, *, below: bool = False) -> tuple[float, str | None]:
        """A number and its unit, from the one of the columns of amounts that has anything."""
        cells = [(self._cell(row, each), each.unit) for each in self._places.get("amount", ())]
        filled = [(text, unit) for text, unit in cells if text]
        if not filled:
            raise ValueError("the amount is missing")
        if len(filled) > 1:
            raise ValueError("there are two amounts; one is enough")
        ((text, unit),) = filled
        figure = read_figure(text, self._decimal)
        words = [word for word in (figure.word, self.text(row, "unit")) if word]
        units = {UNITS.get(plain(word).rstrip(".")) for word in words} | ({unit} if unit else set())
        if None in units:
            raise ValueError(f'"{printable(words[0])}" is no unit; lb, kg, oz, g or each are')
        if len(units) > 1:
            raise ValueError(
                f"two units for one amount: {' and '.join(sorted(filter(None, units)))}"
            )
        self._not_below(figure.number, text, below)
        return figure.number, next(iter(units), None)

    def amount(self, row: CsvRow, thing: Thing, *, below: bool = False) -> float:
        """Pounds, or each; below nothing only where that may be."""
        number, unit = self.amount_cell(row, below=below)
        if not thing.by_each:
            if unit == "each":
                raise ValueError(f"{thing.name} is sold by weight, and this amount is by each")
            return number * POUNDS[unit or self._unit]
        if unit not in (None, "each"):
            raise ValueError(f"{thing.name} is counted by each, and this amount is in {unit}")
        if abs(number - round(number)) > NEAR:
            raise ValueError(f"{thing.name} is counted by each, and {number:g} is not whole")
        return float(round(number))

    def count(self, row: CsvRow, default: int) -> int:
        """How many head or pieces."""
        if not any(self._cell(row, each) for each in self._places.get("amount", ())):
            return default
        number, unit = self.amount_cell(row)
        if unit not in (None, "each") or abs(number - round(number)) > NEAR or number > 1e6:
            raise ValueError("how many there are is a whole number")
        return round(number)

    def _cell(self, row: CsvRow, column: Column) -> str:
        return row.cells[column.place].strip() if column.place < len(row.cells) else ""

    def number(self, text: str) -> float:
        """A number without a unit, not below 0."""
        figure = read_figure(text, self._decimal)
        if figure.word or figure.front:
            raise ValueError(f'"{printable(text.strip())}" is more than a number')
        self._not_below(figure.number, text, False)
        return figure.number

    def money(self, row: CsvRow, *, below: bool = False) -> float | None:
        """Money of the shop's, below nothing only where that may be; None where there is none."""
        text = self.text(row, "money")
        return self._money(text, "money", below) if text else None

    def _money(self, text: str, field: str, below: bool) -> float:
        figure = read_figure(text, self._decimal)
        try:
            figure.stop_unless_money(text, self._symbol)
        except ValueError as error:
            raise ValueError(f"{field}: {error}") from None
        self._not_below(figure.number, text, below)
        return figure.number

    @staticmethod
    def _not_below(number: float, text: str, below: bool) -> None:
        if number < 0 and not below:
            raise ValueError(f'"{printable(text.strip())}" is negative')

    def optional(self, row: CsvRow, field: str) -> float | None:
        """A number without a unit; None where there is none."""
        text = self.text(row, field)
        return self.number(text) if text else None

    def weight(self, row: CsvRow) -> float | None:
        """What all of it weighs; None where nobody says."""
        text = self.text(row, "weight")
        return self.pounds(text, "weight") if text else None

    def pounds(self, text: str, field: str = "") -> float:
        """A weight with its unit behind it, else in that of the head of its column."""
        figure = read_figure(text, self._decimal)
        self._not_below(figure.number, text, False)
        told = next((each.unit for each in self._places.get(field, ()) if each.unit), self._unit)
        known = UNITS.get(figure.word.lower()) if figure.word else told
        if known is None or known == "each":
            raise ValueError(f'"{printable(text.strip())}" is no weight')
        return figure.number * POUNDS[known]

    def price(self, row: CsvRow, by_each: bool) -> float | None:
        """Money a pound, or each."""
        text = self.text(row, "price")
        if not text:
            return None
        money, slash, word = text.partition("/")
        usual = "each" if by_each else self._unit
        unit = UNITS.get(plain(word)) if slash else usual
        if unit is None or (unit == "each") != by_each:
            such = "9/each" if by_each else f"22.99/{self._unit}"
            raise ValueError(f'"{printable(text)}" is no price such as {such}')
        number = self._money(money, "price", False)
        return number if by_each else number / POUNDS[unit]

    def sold_out(self, row: CsvRow) -> bool:
        """Whether it was gone before the day was over."""
        text = plain(self.text(row, "sold out"))
        if text not in _YES | _NO:
            raise ValueError(f'"{printable(text)}" under sold out: write yes or no')
        return text in _YES
