"""New files of the journal: written under another name, and put in place when they are whole."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from planner.core.errors import InputError
from planner.files.atomic_write import draft_name, place_new, stop_unless_file
from planner.journal.belonging import name_state
from planner.journal.database import code_of, connect, logs_of, problem, real, told
from planner.journal.schema import migrate


def make_database(path: Path) -> None:
    """Make an empty journal where nothing is; one that is there, also since just now, is left.

    Raises
    ------
    InputError
        It cannot be written, or the log of a journal that is gone lies there.
    """
    with told(path):
        if path.exists():
            return
        stop_unless_file(path)
        for log in logs_of(path):
            if log.exists():
                raise problem(
                    path, f"is not there, but its {log.name} is: find it, or move that too"
                )
        with draft_beside(path) as draft:
            with closing(connect(draft, "mode=rw", timeout=0)) as connection:
                migrate(connection)
                connection.execute("PRAGMA journal_mode = WAL")
            with suppress(FileExistsError):
                put_in_place(draft, path)


def copy_database(connection: sqlite3.Connection, path: Path) -> None:
    """Write what a database holds at this moment to a file that is not there yet.

    The copy is a single file, which opens also where nothing can be written beside it. The
    connection is in a transaction that reads: without one, copying would wait without end for a
    lock. Raises `InputError` where a file is there, it cannot be written, or what was copied is
    damaged.
    """
    stop_unless_file(path)
    with told(path):
        if path.exists() or any(log.exists() for log in logs_of(path)):
            raise _taken(path)
        with draft_beside(path) as draft:
            with closing(connect(draft, "mode=rw", timeout=0)) as copy:
                connection.backup(copy)
                if not is_sound(copy):
                    raise problem(path, "is not written: the journal itself is damaged")
                copy.execute("PRAGMA journal_mode = DELETE")
                name_state(copy)  # so that no log but its own can follow it
            try:
                put_in_place(draft, path)
            except FileExistsError:
                raise _taken(path) from None


def _taken(path: Path) -> InputError:
    return problem(path, "already exists, and a copy never replaces a file")


def is_sound(connection: sqlite3.Connection) -> bool:
    """Whether SQLite finds nothing wrong with a whole file."""
    try:
        return connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    except sqlite3.Error as error:
        if code_of(error) in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
            return False
        raise


@contextmanager
def draft_beside(path: Path) -> Iterator[Path]:
    """An empty file in the same folder; what lies under its name at the end is taken away."""
    draft = draft_name(real(path).parent)
    with open(draft, "xb"):  # the system says better than SQLite why it cannot be
        pass
    try:
        yield draft
    finally:
        for file in (draft, *logs_of(draft), Path(f"{draft}-shm")):
            with suppress(OSError):  # of the folder: told already
                file.unlink()


def put_in_place(draft: Path, path: Path) -> None:
    """Give a finished file its name for good, unless that is taken (`FileExistsError`)."""
    with open(draft, "rb+") as file:
        os.fsync(file.fileno())
    place_new(draft, real(path))
