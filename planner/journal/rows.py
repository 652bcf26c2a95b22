"""Entries to rows of the tables, and back."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any, TypeAlias

from planner.core.units import Quantity
from planner.journal.entries import KIND_OF, KINDS, Entry, EntryKind, Recorded, Weighed
from planner.journal.fields import WORDS, Field, fields_of

Stored: TypeAlias = str | float | None
"""What a column holds."""


def _columns(kind: type) -> tuple[Field, ...]:
    """The fields that are in the table of a kind itself; the day stands with its number."""
    return tuple(each for each in fields_of(kind) if each.name != "day" and not each.table)


def _names(kind: type) -> list[str]:
    """The columns of these fields."""
    return [name for each in _columns(kind) for name in each.columns]


def _several(kind: type) -> Field | None:
    """The field that has a table of its own."""
    return next((each for each in fields_of(kind) if each.table), None)


def _part_columns(several: Field) -> tuple[str, ...]:
    if several.value == "things":
        return tuple(each.name for each in fields_of(Weighed))
    return (several.name,)


def _to_row(thing: Entry | Weighed) -> tuple[Stored, ...]:
    row: list[Stored] = []
    for field in _columns(type(thing)):
        value = getattr(thing, field.name)
        if isinstance(value, Quantity):
            row += (value.amount, value.by_each)
        else:
            row.append(value.isoformat() if isinstance(value, date) else value)
    return tuple(row)


def _from_row(fields: Sequence[Field], row: Sequence[Any]) -> dict[str, Any]:
    """The values of fields; raises `TypeError` for a text where a number belongs.

    SQLite puts text anywhere where the tables' own checks are left out.
    """
    found: dict[str, Any] = {}
    cells = iter(row)
    for field in fields:
        value, *more = (next(cells) for _ in field.columns)
        if field.value not in WORDS and any(
            isinstance(each, (str, bytes)) for each in (value, *more)
        ):
            raise TypeError(field.name)
        if field.value == "quantity":
            value = Quantity(value, bool(more[0]))
        elif field.value == "flag":
            value = bool(value)
        elif field.value == "day" and value is not None:
            value = date.fromisoformat(value)
        found[field.name] = value
    return found


def insert_writing(connection: sqlite3.Connection, entered: datetime) -> int:
    """Begin a writing; returns its number."""
    moment = entered.isoformat(timespec="microseconds")
    return _insert(connection, "writing", ("entered",), (moment,))


def insert_entry(connection: sqlite3.Connection, writing: int, entry: Entry) -> int:
    """Put an entry and all that belongs to it into the tables; returns its number."""
    kind = KIND_OF[type(entry)]
    number = _insert(
        connection,
        "entry",
        ("writing", "kind", "day"),
        (writing, kind.table, entry.day.isoformat()),
    )
    names = _names(kind.made_of)
    _insert(connection, kind.table, ("entry", *names), (number, *_to_row(entry)))
    several = _several(kind.made_of)
    if several is not None:
        columns = ("entry", "place", *_part_columns(several))
        for place, part in enumerate(getattr(entry, several.name)):
            row = _to_row(part) if isinstance(part, Weighed) else (part,)
            _insert(connection, several.table, columns, (number, place, *row))
    return number


def select(
    connection: sqlite3.Connection,
    *,
    kinds: Collection[type[Entry]] = (),
    writing: int | None = None,
) -> tuple[Recorded, ...]:
    """All there is of these kinds (none named: all), in the order of the numbers, in a transaction.

    With `writing` only what was entered in this one. Raises `ValueError` at a row that is not what
    this program wrote: another one left the tables' own checks out.
    """
    where, values = ("1", ()) if writing is None else ('e."writing" = ?', (writing,))
    found = [
        recorded
        for kind in KINDS
        if not kinds or kind.made_of in kinds
        for recorded in _select_kind(connection, kind, where, values)
    ]
    return tuple(sorted(found, key=lambda recorded: recorded.number))


def _select_kind(
    connection: sqlite3.Connection, kind: EntryKind, where: str, values: tuple[int, ...]
) -> Iterator[Recorded]:
    columns, several = _columns(kind.made_of), _several(kind.made_of)
    parts = _select_parts(connection, several, where, values) if several else {}
    for number, within, entered, day, *row in connection.execute(
        'SELECT e."number", e."writing", w."entered", e."day",'
        f' {_listed(_names(kind.made_of), "k.")} FROM "{kind.table}" k'
        ' JOIN "entry" e ON e."number" = k."entry"'
        f' JOIN "writing" w ON w."number" = e."writing" WHERE {where}',
        values,
    ):
        with _damage_told(number):
            given = _from_row(columns, row)
            if several:
                given[several.name] = tuple(parts.get(number, ()))
            entry = kind.made_of(day=date.fromisoformat(day), **given)
            yield Recorded(number, within, datetime.fromisoformat(entered), entry)


def _select_parts(
    connection: sqlite3.Connection, several: Field, where: str, values: tuple[int, ...]
) -> dict[int, list[Weighed | float]]:
    """What entries have several of, by the number of the entry."""
    found: dict[int, list[Weighed | float]] = defaultdict(list)
    for number, *row in connection.execute(
        f'SELECT e."number", {_listed(_part_columns(several), "p.")} FROM "{several.table}" p'
        f' JOIN "entry" e ON e."number" = p."entry" WHERE {where}'
        ' ORDER BY p."entry", p."place"',
        values,
    ):
        with _damage_told(number):
            if several.value == "things":
                found[number].append(Weighed(**_from_row(fields_of(Weighed), row)))
            else:
                (value,) = _from_row((several,), row).values()
                found[number].append(float(value))
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
    values: Iterable[Stored],
) -> int:
    places = ", ".join("?" * len(columns))
    cursor = connection.execute(
        f'INSERT INTO "{table}" ({_listed(columns)}) VALUES ({places})', tuple(values)
    )
    assert cursor.lastrowid is not None  # of an INSERT
    return cursor.lastrowid


def _listed(columns: Iterable[str], prefix: str = "") -> str:
    return ", ".join(f'{prefix}"{column}"' for column in columns)
