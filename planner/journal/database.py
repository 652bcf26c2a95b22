"""The file of the journal: opened, used in transactions, and what is refused told in one line."""

from __future__ import annotations

import errno
import os
import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

from planner.core.errors import InputError, Problem
from planner.core.signs import shown_line
from planner.files.atomic_write import draft_beside, leads_nowhere
from planner.journal.belonging import is_of, main_state, name_state
from planner.journal.schema import APPLICATION_ID, STEPS, Step, migrate, version_of

_T = TypeVar("_T")

_SAID = {
    sqlite3.SQLITE_BUSY: "is in use by another program: try again when that is done",
    sqlite3.SQLITE_FULL: "cannot be written: the disk is full",
    sqlite3.SQLITE_READONLY: "cannot be written: the file or its folder is read-only",
    sqlite3.SQLITE_CANTOPEN: "cannot be opened, or its folder cannot be written to",
    sqlite3.SQLITE_NOTADB: "is not a journal",
    sqlite3.SQLITE_CORRUPT: (
        "is damaged: put a copy in its place with: breakplan journal restore COPY"
    ),
    sqlite3.SQLITE_IOERR: "cannot be read or written: the disk is full or failing",
}

_NOTHING_BESIDE = (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_IOERR)
"""What SQLite says where it can write nothing beside the file, which it wants even to read."""


_FOREIGN = (
    "is a copy that was put here next to the log of another, its -wal: nothing was read or written;"
    " put a copy here with: breakplan journal restore COPY"
)

_LOOKS = 10
"""So often a file and its log are compared, which may be written meanwhile."""

_ROOM = 64 * 1024
"""Bytes that SQLite wants beside a journal to write to it, and more."""

_SHORTEST = 512
"""Bytes of the smallest page that a database can have."""


def problem(path: Path, message: str) -> InputError:
    """One line about the file of the journal, under the name that the user knows."""
    return InputError([Problem(str(path), 0, message)])


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Tell the user in a line what SQLite or the system refuses, instead of a traceback."""
    try:
        yield
    except sqlite3.ProgrammingError:  # ours to mend: a journal that was closed, for one
        raise
    except sqlite3.Error as error:
        code = code_of(error)
        said = _SAID.get(code, f"is refused by SQLite: {shown_line(str(error))}")
        if code in _NOTHING_BESIDE and _is_full(path):
            said = _SAID[sqlite3.SQLITE_FULL]
        raise problem(path, said) from error
    except UnicodeDecodeError as error:  # Python's, of what SQLite says about damage
        raise problem(path, _SAID[sqlite3.SQLITE_CORRUPT]) from error
    except OSError as error:
        raise problem(path, f"cannot be read or written: {error.strerror or error}") from error


def open_database(
    path: Path, *, timeout: float, steps: Sequence[Step] = STEPS
) -> sqlite3.Connection:
    """Open a journal that is there, and bring it to the version that `steps` lead to.

    What commits on this connection has reached the disk. Where nothing can be written beside the
    file it only reads.

    Raises
    ------
    InputError
        There is none, it is no journal, it is damaged, or of a newer version.
    """
    with told(path):
        stop_unless_database(path)
        if has_foreign_log(path):
            raise problem(path, _FOREIGN)
        try:
            return _opened(path, "mode=rw", timeout, steps)
        except sqlite3.Error as error:
            if code_of(error) not in _NOTHING_BESIDE:
                raise
            if any(log.exists() and log.stat().st_size for log in logs_of(path)):
                raise problem(
                    path,
                    "has its last entries in a file beside it, and can only be read where its"
                    " folder can be written to",
                ) from error
            return _opened(path, "mode=ro&immutable=1", timeout, steps)


def open_copy(path: Path) -> sqlite3.Connection:
    """Open a journal that is only to be read, and stays in the version that it has."""
    with told(path):
        stop_unless_database(path)
        if has_foreign_log(path):
            raise problem(path, _FOREIGN)
        has_log = any(log.exists() and log.stat().st_size for log in logs_of(path))
        mode = "mode=ro" if has_log else "mode=ro&immutable=1"  # nothing is laid beside it
        return _opened(path, mode, 0, STEPS, older=True)


def connect(path: Path, mode: str, timeout: float) -> sqlite3.Connection:
    """A connection in autocommit mode, with what holds for all of ours."""
    address = f"{real(path).as_uri()}?{mode}"
    connection = sqlite3.connect(address, uri=True, timeout=timeout, isolation_level=None)
    try:
        for pragma in (
            "foreign_keys = ON",
            "synchronous = EXTRA",  # FULL, and the folder too while a file is not in WAL mode
            "fullfsync = ON",  # macOS: past the drive's own memory
            "secure_delete = ON",  # no old name of a state is left between others
            "trusted_schema = OFF",
        ):
            connection.execute(f"PRAGMA {pragma}")
    except BaseException:
        connection.close()
        raise
    return connection


@contextmanager
def transaction(connection: sqlite3.Connection, timeout: float) -> Iterator[None]:
    """All that is written within, or nothing of it; whoever else wants to write waits."""

    def begin() -> None:
        # A backup that took the journal's place is in another mode until it is written to.
        if connection.execute("PRAGMA journal_mode").fetchone() != ("wal",):
            connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("BEGIN IMMEDIATE")

    patiently(begin, timeout)
    try:
        name_state(connection)
        yield
        connection.execute("COMMIT")
    except BaseException:
        _roll_back(connection)
        raise


@contextmanager
def reading(connection: sqlite3.Connection, timeout: float) -> Iterator[None]:
    """All that is read within is of one moment."""

    def begin() -> None:
        connection.execute("BEGIN")
        try:
            connection.execute("SELECT 1 FROM sqlite_master").fetchone()
        except BaseException:
            _roll_back(connection)
            raise

    patiently(begin, timeout)
    try:
        yield
    finally:
        _roll_back(connection)


def patiently(action: Callable[[], _T], timeout: float) -> _T:
    """Do something again until nobody else is at the file, or the time is over.

    SQLite waits by itself for most of it, but not in every moment in which another process closes
    the file as the last one, or mends it after a crash.
    """
    deadline = time.monotonic() + timeout
    while True:
        try:
            return action()
        except sqlite3.Error as error:
            if code_of(error) != sqlite3.SQLITE_BUSY or time.monotonic() >= deadline:
                raise
        time.sleep(0.01)


def _is_full(path: Path) -> bool:
    """Whether the disk has no room: SQLite then takes the file for read-only."""
    try:
        with draft_beside(real(path), bytes(_ROOM)):
            return False
    except OSError as error:
        return error.errno in (errno.ENOSPC, errno.EDQUOT)


def real(path: Path) -> Path:
    """Where a file is, links followed; SQLite names what it writes beside it after that."""
    return Path(os.path.realpath(path))


def logs_of(path: Path) -> tuple[Path, ...]:
    """Files beside a database that belong to it, and would be taken for those of a new one."""
    return tuple(Path(f"{real(path)}{end}") for end in ("-wal", "-journal"))


def code_of(error: sqlite3.Error) -> int:
    """The kind of what SQLite refuses, without its finer shades; 0 where it is not from SQLite."""
    return getattr(error, "sqlite_errorcode", 0) & 0xFF


def has_foreign_log(path: Path) -> bool:
    """Whether the log beside a file is none of its own, to be asked before SQLite applies it.

    Another process may write meanwhile, and let the file and its log go on between two looks.
    """
    log = logs_of(path)[0]
    for _ in range(_LOOKS):
        try:
            if not log.stat().st_size:
                return False
            state = main_state(real(path))
            if is_of(log.read_bytes(), state):
                return False
        except (FileNotFoundError, sqlite3.Error):  # what is wrong with the file is told later
            return False
        time.sleep(0.02)
    return True


def stop_unless_database(path: Path) -> None:
    """Refuse what SQLite could not open, or would take for a new database."""
    # Never opened to look inside: closing it would drop the locks SQLite holds in this process.
    if path.is_dir():
        raise problem(path, "is a folder, not a journal")
    if nowhere := leads_nowhere(path):
        raise problem(path, nowhere)
    if not path.exists():
        raise problem(
            path,
            "is not there: put a copy in its place with: breakplan journal restore COPY, or begin"
            " an empty one with: breakplan journal new",
        )
    if not path.is_file():
        raise problem(path, "is not a file")
    if not os.access(path, os.R_OK):
        raise problem(path, "cannot be read: no permission")
    if is_too_short(path):
        raise problem(path, _SAID[sqlite3.SQLITE_NOTADB])


def is_too_short(path: Path) -> bool:
    """Whether SQLite would take a file for a new database."""
    return path.stat().st_size < _SHORTEST


def _opened(
    path: Path, mode: str, timeout: float, steps: Sequence[Step], *, older: bool = False
) -> sqlite3.Connection:
    connection = connect(path, mode, timeout)

    def header() -> tuple[int, int]:
        (mark,) = connection.execute("PRAGMA application_id").fetchone()
        return mark, version_of(connection)

    try:
        mark, version = patiently(header, timeout)
        if mark != APPLICATION_ID:
            raise problem(path, "is a database of another program, not a journal")
        if version > len(steps):
            raise problem(
                path,
                f"is a journal of version {version}, and this program knows up to version"
                f" {len(steps)}: update breakplan",
            )
        if version < len(steps) and not older:
            patiently(lambda: migrate(connection, steps), timeout)
    except BaseException:
        connection.close()
        raise
    return connection


def _roll_back(connection: sqlite3.Connection) -> None:
    if connection.in_transaction:  # SQLite itself has gone back where the disk is full
        connection.execute("ROLLBACK")
