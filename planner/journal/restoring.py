"""A copy put in the place of a journal, which is kept beside it."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from planner.core.errors import InputError
from planner.files.atomic_write import stop_unless_file, take_place
from planner.journal.belonging import name_state, state_of
from planner.journal.database import (
    code_of,
    connect,
    has_foreign_log,
    is_too_short,
    logs_of,
    open_copy,
    open_database,
    patiently,
    problem,
    reading,
    real,
    told,
)
from planner.journal.new_files import copy_database, draft_beside, is_sound, put_in_place
from planner.journal.schema import migrate

_DAMAGED = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


@dataclass(frozen=True, slots=True)
class Restored:
    """What has become of a journal: how many entries it has now.

    `kept` is where that lies which was there before, None where nothing was; `missing` the number
    of entries that are only there, None where it cannot be read.
    """

    entries: int
    kept: Path | None
    missing: int | None


def restore(
    copy: Path, path: Path, today: date, *, timeout: float = 5.0, sure: bool = False
) -> Restored:
    """Put what a copy holds in the place of a journal.

    A journal that can be read gets the content of the copy in one transaction, while nobody else
    has it open (`timeout`: seconds to wait for others). Any other is given another name, with today
    in it and with what lies beside it, and the copy its name. `sure`: also where the copy has
    nothing in common with the journal.

    Raises
    ------
    InputError
        The copy is no journal, is damaged, or of another one; somebody has the journal open, or it
        cannot be written. Then it is as it was.
    """
    stop_unless_file(path)
    with told(copy), suppress(FileNotFoundError):
        if copy.samefile(path):
            raise problem(copy, "is the journal itself, not a copy of it")
    with draft_beside(path) as draft:
        entries = _filled(draft, copy)
        kept = _free(path, today)
        old = _readable(path, timeout)
        if old is None:
            with told(path):
                was_there = _set_aside(path, kept)
                if path.exists():
                    take_place(draft, real(path))
                else:
                    put_in_place(draft, path)
            return Restored(entries, kept if was_there else None, None)
        with told(path), closing(old), closing(connect(draft, "mode=rw", timeout=0)) as new:
            old.execute("PRAGMA locking_mode = EXCLUSIVE")
            patiently(lambda: old.execute("BEGIN EXCLUSIVE"), timeout)
            old.execute("ROLLBACK")  # it keeps the lock: nobody else can have it open
            missing, related = _missing(old, new)
            if not related and not sure:
                message = "has nothing in common with the journal: if it is right, add --yes"
                raise problem(copy, message)
            with reading(old, timeout):
                copy_database(old, kept)
            name_state(new, follows=state_of(old))
            new.backup(old)
    return Restored(entries, kept, missing)


def _filled(draft: Path, copy: Path) -> int:
    """Fill a file with what the copy holds, of today's version; returns how many entries."""
    with closing(connect(draft, "mode=rw", timeout=0)) as new:
        with told(copy), closing(open_copy(copy)) as source:
            source.backup(new)
            if not is_sound(new):
                raise problem(copy, "is damaged, and the journal is left as it is")
        new.execute("PRAGMA journal_mode = DELETE")
        migrate(new)
        name_state(new)
        return int(new.execute("SELECT count(*) FROM entry").fetchone()[0])


def _readable(path: Path, timeout: float) -> sqlite3.Connection | None:
    """The journal that is there, open; None where nothing is, or nothing that can be read."""
    if not path.exists() or path.is_file() and (is_too_short(path) or has_foreign_log(path)):
        return None
    try:
        old = open_database(path, timeout=timeout)
    except InputError as error:
        if isinstance(why := error.__cause__, sqlite3.Error) and code_of(why) in _DAMAGED:
            return None
        raise
    with told(path):
        if is_sound(old):
            return old
        old.close()
    return None


def _missing(old: sqlite3.Connection, new: sqlite3.Connection) -> tuple[int, bool]:
    """How many entries the copy lacks, and whether the two can be of one shop."""
    counted = (
        "SELECT writing.number, entered, count(*) FROM writing"
        " JOIN entry ON entry.writing = writing.number GROUP BY writing.number"
    )
    ours, theirs = (set(each.execute(counted).fetchall()) for each in (old, new))
    related = not (ours and theirs and ours.isdisjoint(theirs))
    return sum(int(count) for _, _, count in ours - theirs), related


def _free(path: Path, today: date) -> Path:
    """A name beside the journal that is free, as are those of what belongs to it."""
    there = real(path)
    number = 1
    while True:
        more = f"-{number}" if number > 1 else ""
        kept = there.with_name(f"{there.stem}-{today.isoformat()}{more}{there.suffix}")
        if not any(os.path.lexists(each) for each in (kept, *logs_of(kept))):
            return kept
        number += 1


def _set_aside(path: Path, kept: Path) -> bool:
    """Keep what cannot be read, under another name too; whether anything was there."""
    found = False
    for log, its in zip(logs_of(path), logs_of(kept), strict=True):
        if log.exists():
            os.rename(log, its)
            found = True
    Path(f"{real(path)}-shm").unlink(missing_ok=True)  # says where things are in the log
    if path.exists():
        found = True
        try:
            os.link(real(path), kept)
        except OSError:  # a file system without links
            os.rename(real(path), kept)
    return found
