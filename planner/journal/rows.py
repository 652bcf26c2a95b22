"""Entries to rows of the tables, and back."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeAlias

from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    PlanKept,
    Recorded,
    Sold,
    Undone,
    Wasted,
    Weighed,
    YieldsWritten,
)

Value: TypeAlias = str | float | None
"""What a column holds."""


@dataclass(frozen=True, slots=True)
class _Parts:
    """A field of an entry that has several things: the table of these, in their order."""

    field: str
    table: str
    columns: tuple[str, ...]

    def to_rows(self, entry: Entry) -> Iterator[tuple[Value, ...]]:
        for part in getattr(entry, self.field):
            if isinstance(part, Weighed):
                yield tuple(getattr(part, column) for column in self.columns)
            else:
                yield (part,)

    def from_row(self, row: tuple[Any, ...]) -> Weighed | float:
        _stop_at_text_for_number(dict(zip(self.columns, row, strict=True)))
        return Weighed(*row) if len(self.columns) > 1 else float(row[0])


@dataclass(frozen=True, slots=True)
class _Kind:
    """One kind of entry and its table; columns have the names of the fields."""

    table: str
    made_of: type[Entry]
    columns: tuple[str, ...]
    parts: _Parts | None = None

    def to_row(self, entry: Entry) -> tuple[Value, ...]:
        values = (getattr(entry, column) for column in self.columns)
        return tuple(value.isoformat() if isinstance(value, date) else value for value in values)

    def from_row(self, day: date, row: tuple[Any, ...], parts: tuple[Any, ...]) -> Entry:
        fields: dict[str, Any] = {"day": day, **dict(zip(self.columns, row, strict=True))}
        _stop_at_text_for_number(fields)
        for flag in fields.keys() & {"by_each", "sold_out"}:
            fields[flag] = bool(fields[flag])
        if fields.get("made") is not None:
            fields["made"] = date.fromisoformat(fields["made"])
        if self.parts is not None:
            fields[self.parts.field] = parts
        return self.made_of(**fields)


_WEIGHED = ("what", "count", "pounds")
_NUMBERS = {
    *("head", "cost", "amount", "count", "pounds", "money", "price"),
    *("order", "weight", "writing", "by_each", "sold_out"),
}


def _stop_at_text_for_number(fields: Mapping[str, Value]) -> None:
    """Raise `TypeError` for what the tables take and no entry has: SQLite puts text anywhere."""
    for column in fields.keys() & _NUMBERS:
        if isinstance(fields[column], (str, bytes)):
            raise TypeError(column)


_KINDS = (
    _Kind(
        "delivery",
        Delivery,
        ("what", "head", "cost"),
        _Parts("pounds", "delivery_weight", ("pounds",)),
    ),
    _Kind("counted", Count, ("at", "what", "amount", "by_each", "made", "pounds")),
    _Kind(
        "break_done",
        BreakDone,
        ("piece", "way", "count", "pounds"),
        _Parts("gave", "break_gave", _WEIGHED),
    ),
    _Kind("batch_made", BatchMade, ("blend", "pounds"), _Parts("took", "batch_took", _WEIGHED)),
    _Kind("sold", Sold, ("cut", "amount", "by_each", "money", "sold_out")),
    _Kind("wasted", Wasted, ("what", "amount", "by_each")),
    _Kind("order_taken", OrderTaken, ("cut", "amount", "by_each", "buyer", "price")),
    _Kind("filled", Filled, ("order", "amount")),
    _Kind("plan_kept", PlanKept, ("plan",)),
    _Kind("yields_written", YieldsWritten, ("piece", "way", "weight")),
    _Kind("undone", Undone, ("writing",)),
)

_KIND_OF = {kind.made_of: kind for kind in _KINDS}


def insert_writing(connection: sqlite3.Connection, entered: datetime) -> int:
    """Begin a writing; returns its number."""
    moment = entered.isoformat(timespec="microseconds")
    return _insert(connection, "writing", ("entered",), (moment,))


def insert_entry(connection: sqlite3.Connection, writing: int, entry: Entry) -> int:
    """Put an entry and all that belongs to it into the tables; returns its number."""
    kind = _KIND_OF[type(entry)]
    number = _insert(
        connection,
        "entry",
        ("writing", "kind", "day"),
        (writing, kind.table, entry.day.isoformat()),
    )
    _insert(connection, kind.table, ("entry", *kind.columns), (number, *kind.to_row(entry)))
    if kind.parts is not None:
        columns = ("entry", "place", *kind.parts.columns)
        for place, row in enumerate(kind.parts.to_rows(entry)):
            _insert(connection, kind.parts.table, columns, (number, place, *row))
    return number


def select(
    connection: sqlite3.Connection,
    *,
    kinds: Collection[type[Entry]] = (),
    writing: int | None = None,
) -> tuple[Recorded, ...]:
    """All there is, in the order of the numbers; to be called within a transaction.

    Parameters
    ----------
    kinds : collection of types of entries
        Only these; none named: all.
    writing : int, optional
        Only what was entered in this one.

    Raises
    ------
    ValueError
        A row is not what this program wrote: another one left the tables' own checks out.
    """
    where, values = ("1", ()) if writing is None else ('e."writing" = ?', (writing,))
    found = [
        recorded
        for kind in _KINDS
        if not kinds or kind.made_of in kinds
        for recorded in _select_kind(connection, kind, where, values)
    ]
    return tuple(sorted(found, key=lambda recorded: recorded.number))


def _select_kind(
    connection: sqlite3.Connection, kind: _Kind, where: str, values: tuple[int, ...]
) -> Iterator[Recorded]:
    parts = _select_parts(connection, kind.parts, where, values) if kind.parts else {}
    for number, within, entered, day, *row in connection.execute(
        'SELECT e."number", e."writing", w."entered", e."day",'
        f' {_listed(kind.columns, "k.")} FROM "{kind.table}" k'
        ' JOIN "entry" e ON e."number" = k."entry"'
        f' JOIN "writing" w ON w."number" = e."writing" WHERE {where}',
        values,
    ):
        with _damage_told(number):
            entry = kind.from_row(date.fromisoformat(day), tuple(row), tuple(parts.get(number, ())))
            yield Recorded(number, within, datetime.fromisoformat(entered), entry)


def _select_parts(
    connection: sqlite3.Connection, parts: _Parts, where: str, values: tuple[int, ...]
) -> dict[int, list[Weighed | float]]:
    """What entries have several of, by the number of the entry."""
    found: dict[int, list[Weighed | float]] = defaultdict(list)
    for number, *row in connection.execute(
        f'SELECT e."number", {_listed(parts.columns, "p.")} FROM "{parts.table}" p'
        f' JOIN "entry" e ON e."number" = p."entry" WHERE {where}'
        ' ORDER BY p."entry", p."place"',
        values,
    ):
        with _damage_told(number):
            found[number].append(parts.from_row(tuple(row)))
    return found


@contextmanager
def _damage_told(number: int) -> Iterator[None]:
    """Name the entry whose row holds what no check of the tables lets in."""
    try:
        yield
    except (ValueError, TypeError):
        raise ValueError(f"entry {number} is damaged") from None


def _insert(
    connection: sqlite3.Connection,
    table: str,
    columns: tuple[str, ...],
    values: Iterable[Value],
) -> int:
    places = ", ".join("?" * len(columns))
    cursor = connection.execute(
        f'INSERT INTO "{table}" ({_listed(columns)}) VALUES ({places})', tuple(values)
    )
    assert cursor.lastrowid is not None  # of an INSERT
    return cursor.lastrowid


def _listed(columns: Iterable[str], prefix: str = "") -> str:
    return ", ".join(f'{prefix}"{column}"' for column in columns)
