"""A file of entries as entries of the journal: all of them, or every fault of every line."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from planner.core import clock
from planner.core.days import Order
from planner.core.errors import InputError, Problem
from planner.core.word_lists import first_few
from planner.journal.checks import check_entry
from planner.journal.entries import Entry, Filled, OrderTaken
from planner.journal.fields import fields_of
from planner.shop.entering.catalog import Catalog, printable
from planner.shop.entering.kinds import BY_WORD, a_word, read_kind
from planner.shop.entering.orders import OrderState
from planner.shop.tables.columns import find_columns
from planner.shop.tables.csv_file import CsvRow, CsvSheet
from planner.shop.tables.row_reader import RowReader, UnknownItemError
from planner.shop.tables.table import EntryTable
from planner.shop.tables.till_totals import Line, is_nothing, summed_sales

EVERY = 500
"""Rows between two looks at how far it is."""

LINES_TOLD = 4
"""More lines of an unknown item that are told."""

_NEEDED = ("name", "way", "plan", "amount", "quantity", "weights", "number", "reference")
"""Values that a row must have; others have a default."""

Told = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Reading:
    """How a file is to be read.

    `kind` and `day` are those of all entries, where no column tells it. The `mapping` says what
    heads of the file are here (none: they are ours), and `items` what names of items are, which are
    as `columns.plain` has them. `order` and `decimal` are what comes first in 1/12/2026, and the
    sign before decimals, where somebody said so. From `today` weekdays are counted.
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

    `lines` are its entries as they come, sales of a day and cut as one, `single` as they stand
    there, sale by sale. Of the `rows` some were `left_out`, of items that are none of ours; so many
    sums of sales came to `nothing`; `refunds` are lines on which more was refunded than sold.
    """

    lines: tuple[Line, ...]
    rows: int
    left_out: int
    single: tuple[Line, ...]
    nothing: int = 0
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
        """The entries as they are written together, the first of them with the number `first`.

        Orders that are filled are named by their new numbers.
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
    sheet: CsvSheet, catalog: Catalog, reading: Reading, told: Told | None = None
) -> tuple[Imported, EntryTable]:
    """Read a sheet: what it says, and the table with every fault of its lines.

    `told` is told how many rows are read, and of how many. Raises `InputError` where there is no
    column for what is needed.
    """
    columns = find_columns(sheet, reading.mapping)
    _stop_unless_enough(sheet, {column.field for column in columns}, reading)
    table = EntryTable(
        sheet,
        columns,
        catalog.week.units,
        reading.today,
        decimal=reading.decimal,
        order=reading.order,
        day=reading.day,
        options=True,
    )
    single, left_out = _lines(sheet, table, RowReader(table, catalog, reading.items), reading, told)
    found = Imported(tuple(single), len(sheet.rows), left_out, tuple(single))
    if table.has("number"):
        _stop_at_references(single, table)
    else:
        lines, refunds = summed_sales(single, catalog.week.units)
        kept = tuple(line for line in lines if not is_nothing(line.entry))
        found = replace(found, lines=kept, nothing=len(lines) - len(kept), refunds=refunds)
    for line in found.lines:
        try:
            check_entry(line.entry)
        except ValueError as error:
            table.fault(line.line, str(error))
    return found, table


def _lines(
    sheet: CsvSheet, table: EntryTable, reader: RowReader, reading: Reading, told: Told | None
) -> tuple[list[Line], int]:
    """The entries of the lines, and how many lines were left out."""
    lines: list[Line] = []
    left_out, numbered = 0, table.has("number")
    unknown: dict[str, tuple[str, list[int]]] = {}
    for place, row in enumerate(sheet.rows):
        if told and not place % EVERY:
            told(place, len(sheet.rows))
        try:
            _stop_if_longer(row, sheet)
            kind = read_kind(table.text(row, "kind")) if table.has("kind") else reading.kind
            entry = reader.entry(row, kind, refunds=not numbered)
            number, writing = (table.whole(row, head, 1e15) for head in ("number", "writing"))
            if numbered and number is None:
                raise ValueError("the number of the entry is missing")
        except UnknownItemError as error:
            if error.ignored or reading.skip_unknown:
                left_out += 1
            else:
                unknown.setdefault(error.item, (str(error), []))[1].append(row.line)
        except ValueError as error:
            table.fault(row.line, str(error))
        else:
            lines.append(Line(row.line, entry, number, writing))
    for message, (first, *others) in unknown.values():
        if others:
            some = first_few([*map(str, others)], LINES_TOLD)
            message += f" (also on line{'s' if others[1:] else ''} {some})"
        table.fault(first, message)
    return lines, left_out


def _stop_if_longer(row: CsvRow, sheet: CsvSheet) -> None:
    heads = len(sheet.heads.cells)
    if any(cell.strip() for cell in row.cells[heads:]):
        sign = "tab" if sheet.delimiter == "\t" else sheet.delimiter
        raise ValueError(
            f"{len(row.cells)} values under {heads} heads: "
            f"put a value with a {sign} in it in quotes"
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


def _stop_at_references(lines: Sequence[Line], table: EntryTable) -> None:
    """Entries of a file with numbers refer to each other: a filled order stands above."""
    seen: dict[int | None, Line] = {}
    for line in lines:
        if line.number in seen:
            first = seen[line.number].line
            table.fault(line.line, f"entry {line.number} is on line {first} already")
        seen.setdefault(line.number, line)
        if isinstance(line.entry, Filled):
            order = seen.get(line.entry.order)
            if order is None or order is line:
                message = f"order {line.entry.order}, which is filled, is not above in this file"
                table.fault(line.line, message)
