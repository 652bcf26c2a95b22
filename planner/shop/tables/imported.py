"""A file of entries as entries of the journal: all of them, or every fault of every line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TypeVar

from planner.core import clock
from planner.core.days import Order
from planner.core.errors import InputError, Problem
from planner.journal.checks import check_entry
from planner.journal.entries import Entry, Filled, OrderTaken
from planner.journal.fields import fields_of
from planner.shop.entering.kinds import BY_WORD, a_word, read_kind
from planner.shop.entering.orders import OrderState
from planner.shop.entering.things import Things, printable
from planner.shop.tables.column_numbers import decimal_of, order_of
from planner.shop.tables.columns import Column, find_columns
from planner.shop.tables.csv_file import CsvRow, CsvSheet
from planner.shop.tables.faults import LineFaults
from planner.shop.tables.row_cells import RowCells
from planner.shop.tables.row_reader import RowReader, UnknownItemError
from planner.shop.tables.till_totals import Line, summed_sales

EVERY = 500
"""Rows between two looks at how far it is."""

_AMOUNTS = ("amount", "weight", "weights")
_FIGURES = ("amount", "weight", "weights", "money", "price", "tests")

_NEEDED = ("name", "way", "plan", "amount", "quantity", "weights", "number", "reference")
"""Values that a row must have; others have a default."""

Told = Callable[[int, int], None]

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Reading:
    """How a file is to be read.

    Attributes
    ----------
    kind : str
        Kind of the entries, where no column tells it.
    mapping : mapping of str to str, optional
        Heads of the file and what they are here; without it the heads are ours.
    items : mapping of str to str
        Names of items, as `columns.plain` has them, and what they are here.
    skip_unknown : bool
        Leave out rows whose item is none of ours.
    order, decimal
        What comes first in 1/12/2026, and the sign before decimals, where somebody said so.
    day : date, optional
        That of all entries, where no column tells it.
    today : date
        From which `yesterday` and weekdays are reckoned.
    """

    kind: str = "sale"
    mapping: Mapping[str, str] | None = None
    items: Mapping[str, str] = field(default_factory=dict)
    skip_unknown: bool = False
    order: Order | None = None
    decimal: str | None = None
    day: date | None = None
    today: date = field(default_factory=clock.today)


@dataclass(frozen=True, slots=True)
class Imported:
    """What a file says.

    Attributes
    ----------
    lines : tuple of Line
        Entries, as they come in the file; sales of a day and cut are one.
    rows : int
        Rows that were read.
    left_out : int
        Rows of items that are none of ours.
    nothing : int
        Sales that came to nothing, their refunds taken off.
    single : tuple of Line
        The lines as they stand in the file, sale by sale.
    refunds : tuple of (int, str)
        Lines, and that more was refunded than sold.
    """

    lines: tuple[Line, ...]
    rows: int
    left_out: int
    nothing: int
    single: tuple[Line, ...] = ()
    refunds: tuple[tuple[int, str], ...] = ()

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The entries alone."""
        return tuple(line.entry for line in self.lines)

    @property
    def orders(self) -> dict[int, OrderState]:
        """The orders of a file with numbers, by these."""
        return {
            line.number: OrderState(line.number, line.entry, 0.0)
            for line in self.lines
            if line.number is not None and isinstance(line.entry, OrderTaken)
        }

    def writings(self, first: int) -> tuple[tuple[Entry, ...], ...]:
        """The entries as they are written together, orders that are filled by their new numbers.

        Parameters
        ----------
        first : int
            The number that the first entry gets.
        """
        numbers = {line.number: first + place for place, line in enumerate(self.lines)}
        groups: list[list[Entry]] = []
        before: int | None = None
        for line in self.lines:
            entry = line.entry
            if isinstance(entry, Filled) and line.number is not None:
                entry = replace(entry, order=numbers[entry.order])
            if not groups or line.writing != before:
                groups.append([])
            groups[-1].append(entry)
            before = line.writing
        return tuple(map(tuple, groups))


def read_lines(
    sheet: CsvSheet, things: Things, reading: Reading, told: Told | None = None
) -> tuple[Imported, LineFaults]:
    """Read a sheet: what it says, and every fault of its lines.

    Parameters
    ----------
    sheet : CsvSheet
    things : Things
        What the shop has names for.
    reading : Reading
    told : callable, optional
        Is told how many rows are read, and of how many.

    Raises
    ------
    InputError
        There is no column for what is needed.
    """
    columns = find_columns(sheet, reading.mapping)
    fields = {column.field for column in columns}
    _stop_unless_enough(sheet, fields, reading)
    faults = LineFaults(sheet.name)
    point = "," if sheet.delimiter == ";" else "."
    cells = RowCells(
        columns,
        things.week.unit,
        money=things.week.money,
        decimal=_decided(lambda: reading.decimal or _decimal(sheet, columns), point, faults),
        order=_decided(lambda: reading.order or _order(sheet, columns), "mdy", faults),
        today=reading.today,
        day=reading.day,
    )
    reader = RowReader(cells, things, reading.items)
    lines = _lines(sheet, cells, reader, fields, reading, faults, told)
    single, nothing = tuple(lines), 0
    refunds: list[tuple[int, str]] = []
    if "number" not in fields:
        lines, nothing = summed_sales(
            lines, things.week.unit, lambda line, message: refunds.append((line, message))
        )
    else:
        _stop_at_references(lines, faults)
    for line in lines:
        try:
            check_entry(line.entry)
        except ValueError as error:
            faults.add(line.line, str(error))
    found = Imported(
        tuple(lines), len(sheet.rows), faults.left_out, nothing, single, tuple(refunds)
    )
    return found, faults


def _lines(
    sheet: CsvSheet,
    cells: RowCells,
    reader: RowReader,
    fields: set[str],
    reading: Reading,
    faults: LineFaults,
    told: Told | None,
) -> list[Line]:
    lines: list[Line] = []
    for place, row in enumerate(sheet.rows):
        if told and not place % EVERY:
            told(place, len(sheet.rows))
        try:
            _stop_if_longer(row, sheet)
            kind = read_kind(cells.text(row, "kind")) if "kind" in fields else reading.kind
            entry = reader.entry(row, kind, refunds="number" not in fields)
            number, writing = cells.whole(row, "number"), cells.whole(row, "writing")
            if number is None and "number" in fields:
                raise ValueError("the number of the entry is missing")
        except UnknownItemError as error:
            if error.ignored or reading.skip_unknown:
                faults.left_out += 1
            else:
                faults.unknown(row.line, error)
        except ValueError as error:
            faults.add(row.line, str(error))
        else:
            lines.append(Line(row.line, entry, number, writing))
    return lines


def _stop_if_longer(row: CsvRow, sheet: CsvSheet) -> None:
    heads = len(sheet.heads.cells)
    if any(cell.strip() for cell in row.cells[heads:]):
        sign = "tab" if sheet.delimiter == "\t" else sheet.delimiter
        raise ValueError(
            f"{len(row.cells)} values under {heads} heads: "
            f"a value with a {sign} in it stands in quotes"
        )


def _stop_unless_enough(sheet: CsvSheet, fields: set[str], reading: Reading) -> None:
    """Stop where a column is missing without which no row can be read."""
    needed = {"day"} if reading.day is None else set()
    if "kind" not in fields:
        needed |= {
            each.head
            for each in fields_of(BY_WORD[reading.kind].made_of)
            if each.value in _NEEDED and not each.optional
        }
    missing = sorted(needed - fields)
    if not missing:
        return
    names = ["cut" if name == "what" else name for name in missing]
    heads = ", ".join(
        f'"{printable(cell.strip()[:60])}"' for cell in sheet.heads.cells[:12] if cell
    )
    alone = " (or --day DAY, if it is one for all)" if missing == ["day"] else ""
    example = ",".join(f"HEAD={name}" for name in names)
    message = (
        f"no column has the {' or the '.join(names)} of {a_word(reading.kind)}; "
        f'say which do: --columns "{example}"{alone}. The heads are {heads}'
    )
    raise InputError([Problem(sheet.name, sheet.heads.line, message)])


def _stop_at_references(lines: Sequence[Line], faults: LineFaults) -> None:
    """Entries of a file with numbers refer to each other: a filled order stands above."""
    seen: dict[int | None, Line] = {}
    for line in lines:
        if line.number in seen:
            first = seen[line.number].line
            faults.add(line.line, f"entry {line.number} is on line {first} already")
        seen.setdefault(line.number, line)
        if isinstance(line.entry, Filled):
            order = seen.get(line.entry.order)
            if order is None or order is line:
                message = f"order {line.entry.order}, which is filled, is not above in this file"
                faults.add(line.line, message)


def _decided(decide: Callable[[], T], default: T, faults: LineFaults) -> T:
    """What a column shows; where it shows nothing that is a fault, and the lines are read on."""
    try:
        return decide()
    except ValueError as error:
        faults.add(0, str(error))
        return default


def _decimal(sheet: CsvSheet, columns: Iterable[Column]) -> str:
    amounts = _cells(sheet, columns, _AMOUNTS)
    return decimal_of(_cells(sheet, columns, _FIGURES), sheet.delimiter, amounts)


def _order(sheet: CsvSheet, columns: Iterable[Column]) -> Order:
    return order_of(_cells(sheet, columns, ("day", "made")))


def _cells(
    sheet: CsvSheet, columns: Iterable[Column], fields: Sequence[str]
) -> Iterator[tuple[int, str]]:
    """Cells of some fields with their lines; of a price and of several weights each number."""
    places = [(column.place, column.field) for column in columns if column.field in fields]
    for row in sheet.rows:
        for place, name in places:
            if place >= len(row.cells):
                continue
            cell = row.cells[place]
            parts = cell.split(";") if name == "weights" else (cell.partition("/")[0],)
            for part in parts if name in ("weights", "price") else (cell,):
                yield row.line, part
