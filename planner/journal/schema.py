"""The tables of the journal, version by version, and the way from an older one to today's.

Tables are not declared STRICT: a journal must open on every machine, and SQLite below 3.37, which
some systems with Python 3.11 have, cannot read a file with strict tables. Each column says itself
what it takes.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from typing import TypeAlias

APPLICATION_ID = 0x62706A6C  # "bpjl": in the file's header, so that `file` and we can tell it

Step: TypeAlias = Sequence[str]
"""Statements that lead from one version to the next."""


def _column(name: str, kind: str, rule: str, *, optional: bool) -> str:
    rule = f"typeof(\"{name}\") = '{kind}' AND {rule}"
    if optional:
        return f'"{name}" {kind.upper()} CHECK ("{name}" IS NULL OR {rule})'
    return f'"{name}" {kind.upper()} NOT NULL CHECK ({rule})'


def _name(name: str) -> str:
    return _column(name, "text", f'length("{name}") BETWEEN 1 AND 120', optional=False)


def _day(name: str, *, optional: bool = False) -> str:
    rule = (
        f"\"{name}\" GLOB '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'"
        f" AND \"{name}\" BETWEEN '1900-01-01' AND '2200-12-31'"
    )
    return _column(name, "text", rule, optional=optional)


def _number(name: str, *, optional: bool = False) -> str:
    return _column(name, "real", f'"{name}" BETWEEN 0 AND 1e12', optional=optional)


def _whole(name: str, least: int, *, optional: bool = False) -> str:
    rule = f'"{name}" BETWEEN {least} AND 1000000'
    return _column(name, "integer", rule, optional=optional)


def _flag(name: str) -> str:
    return _column(name, "integer", f'"{name}" IN (0, 1)', optional=False)


def _table(name: str, *columns: str) -> str:
    """One kind of entry: a row for each."""
    key = '"entry" INTEGER PRIMARY KEY REFERENCES "entry" ("number")'
    return f'CREATE TABLE "{name}" ({", ".join((key, *columns))})'


def _parts(name: str, of: str, *columns: str) -> str:
    """What an entry has several of, in their order."""
    key = f'"entry" INTEGER NOT NULL REFERENCES "{of}" ("entry")'
    place = _column("place", "integer", '"place" >= 0', optional=False)
    rows = ", ".join((key, place, *columns, 'PRIMARY KEY ("entry", "place")'))
    return f'CREATE TABLE "{name}" ({rows}) WITHOUT ROWID'


def _append_only(table: str, *key: str) -> Iterator[str]:
    """Refuse to change or take away a row, also by putting another in its place."""
    same = " AND ".join(f'"{column}" = NEW."{column}"' for column in key)
    exists = f'WHEN EXISTS (SELECT 1 FROM "{table}" WHERE {same})'
    for event, when in (("UPDATE", ""), ("DELETE", ""), ("INSERT", exists)):
        yield (
            f'CREATE TRIGGER "{table}_no_{event.lower()}" BEFORE {event} ON "{table}" {when}'
            " BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END"
        )


_WEIGHED = (_name("what"), _whole("count", 0, optional=True), _number("pounds", optional=True))

_FIRST: Step = (
    f"PRAGMA application_id = {APPLICATION_ID}",
    """CREATE TABLE "writing" (
        "number" INTEGER PRIMARY KEY AUTOINCREMENT,
        "entered" TEXT NOT NULL
            CHECK (typeof("entered") = 'text'
                AND "entered" GLOB '????-??-??T??:??:??.??????+00:00'))
    """,
    f"""CREATE TABLE "entry" (
        "number" INTEGER PRIMARY KEY AUTOINCREMENT,
        "writing" INTEGER NOT NULL REFERENCES "writing" ("number"),
        "kind" TEXT NOT NULL CHECK ("kind" IN ('delivery', 'counted', 'break_done', 'batch_made',
            'sold', 'wasted', 'order_taken', 'filled', 'plan_kept', 'yields_written', 'undone')),
        {_day("day")})
    """,
    'CREATE INDEX "entry_writing" ON "entry" ("writing")',
    _table("delivery", _name("what"), _whole("head", 1), _number("cost", optional=True)),
    _parts("delivery_weight", "delivery", _number("pounds")),
    _table(
        "counted",
        _column("at", "text", "\"at\" IN ('open', 'close')", optional=False),
        _name("what"),
        _number("amount"),
        _flag("by_each"),
        _day("made", optional=True),
        _number("pounds", optional=True),
    ),
    _table(
        "break_done",
        _name("piece"),
        _name("way"),
        _whole("count", 1),
        _number("pounds", optional=True),
    ),
    _parts("break_gave", "break_done", *_WEIGHED),
    _table("batch_made", _name("blend"), _number("pounds")),
    _parts("batch_took", "batch_made", *_WEIGHED),
    _table(
        "sold",
        _name("cut"),
        _number("amount"),
        _flag("by_each"),
        _number("money", optional=True),
        _flag("sold_out"),
    ),
    _table("wasted", _name("what"), _number("amount"), _flag("by_each")),
    _table(
        "order_taken",
        _name("cut"),
        _number("amount"),
        _flag("by_each"),
        _name("buyer"),
        _number("price", optional=True),
    ),
    _table(
        "filled",
        '"order" INTEGER NOT NULL REFERENCES "order_taken" ("entry")',
        _number("amount"),
    ),
    'CREATE INDEX "filled_order" ON "filled" ("order")',
    _table(
        "plan_kept", _column("plan", "text", 'length("plan") BETWEEN 1 AND 4000000', optional=False)
    ),
    _table("yields_written", _name("piece"), _name("way"), _number("weight")),
    _table("undone", '"writing" INTEGER NOT NULL UNIQUE REFERENCES "writing" ("number")'),
    *_append_only("writing", "number"),
    *_append_only("entry", "number"),
    *(
        trigger
        for table in (
            *("delivery", "counted", "break_done", "batch_made", "sold", "wasted"),
            *("order_taken", "filled", "plan_kept", "yields_written", "undone"),
        )
        for trigger in _append_only(table, "entry")
    ),
    *(
        trigger
        for table in ("delivery_weight", "break_gave", "batch_took")
        for trigger in _append_only(table, "entry", "place")
    ),
)

STATE = "'state:' || lower(hex(randomblob(16)))"
"""A new name for a state of the file."""

UNNAMED = "state:" + "0" * 32
"""What the state of version 1 is called, which has no name in it."""

_SECOND: Step = (
    """CREATE TABLE "state" (
        "one" INTEGER PRIMARY KEY CHECK ("one" = 1),
        "follows" TEXT NOT NULL,
        "name" TEXT NOT NULL)
    """,
    f"INSERT INTO \"state\" VALUES (1, '{UNNAMED}', {STATE})",
)

STEPS: Sequence[Step] = (_FIRST, _SECOND)
"""Step i leads from version i to i + 1, the first from an empty file; what was released stays.

From the third on, each also names the state it makes: see `belonging.py`.
"""


def version_of(connection: sqlite3.Connection) -> int:
    """Version of the tables in the file, 0 where there are none yet."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(connection: sqlite3.Connection, steps: Sequence[Step] = STEPS) -> None:
    """Bring a file to the version that `steps` lead to, each step whole or not at all.

    The connection is in autocommit mode. Where a step fails (`sqlite3.Error`), the file is as it
    was before that step.
    """
    connection.execute("PRAGMA foreign_keys = OFF")  # a table may be put in the place of another
    try:
        while version_of(connection) < len(steps):
            _one_step(connection, steps)
    finally:
        connection.execute("PRAGMA foreign_keys = ON")


def _one_step(connection: sqlite3.Connection, steps: Sequence[Step]) -> None:
    connection.execute("BEGIN IMMEDIATE")
    try:
        version = version_of(connection)  # another process may have been quicker
        if version < len(steps):
            for statement in steps[version]:
                connection.execute(statement)
            if connection.execute("PRAGMA foreign_key_check").fetchone():
                raise sqlite3.IntegrityError("a reference leads nowhere")
            connection.execute(f"PRAGMA user_version = {version + 1}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
