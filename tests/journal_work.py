"""Invented entries drawn at random, and what other processes do with a journal in tests.

`python -m tests.journal_work write FILE SEED COUNT` enters the writings of a seed and tells each
when it is acknowledged; `each` in place of `write` opens the journal anew for each of them;
`hold FILE` locks it until the standard input ends; `make FILE` makes one.
"""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path
from random import Random

from planner.core.units import Quantity
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Entry,
    OrderTaken,
    PlanKept,
    Recorded,
    Sold,
    Wasted,
    Weighed,
    YieldsWritten,
)
from planner.journal.store import Journal

ROOT = Path(__file__).resolve().parent.parent

NAMES = ("goat shoulder", "goat leg", "shoulder roast", "trim 85", "ground goat", "bönes", "肩")


def writing_of(seed: int, number: int) -> list[Entry]:
    """One to twelve entries that are entered together; the same ones for the same two numbers."""
    random = Random(f"{seed} {number}")
    return [_entry(random) for _ in range(random.randint(1, 12))]


def _entry(random: Random) -> Entry:
    day = date(2026, 11, 30) + timedelta(random.randrange(40))
    name, other = random.choice(NAMES), random.choice(NAMES)
    pounds, pieces = random.uniform(0.01, 90), random.randint(1, 9)
    weighed = tuple(
        Weighed(thing, random.choice([None, pieces]), random.uniform(0, 9))
        for thing in random.sample(NAMES, random.randint(0, len(NAMES)))
    )
    return random.choice(
        [
            Delivery(day, name, pieces, tuple(random.uniform(30, 70) for _ in range(pieces)), 6.5),
            Count(
                day,
                random.choice(["open", "close"]),
                name,
                Quantity(pieces, by_each=True),
                day,
                pounds,
            ),
            BreakDone(day, name, other, pieces, pounds, weighed),
            BatchMade(day, name, pounds, weighed),
            Sold(day, name, Quantity(pounds), random.uniform(0, 500), random.random() < 0.3),
            Wasted(day, name, Quantity(pounds)),
            OrderTaken(day, name, Quantity(pieces, by_each=True), "an invented bistro", None),
            PlanKept(day, "x" * random.randint(1, 20_000)),  # over several pages of the file
            YieldsWritten(day, name, other, pounds),
        ]
    )


def writings(recorded: tuple[Recorded, ...]) -> dict[int, list[Entry]]:
    """Entries by the writing that they belong to."""
    found: dict[int, list[Entry]] = {}
    for one in recorded:
        found.setdefault(one.writing, []).append(one.entry)
    return found


def stop_unless_sound(path: Path) -> None:
    """Let SQLite itself look the whole file over."""
    connection = sqlite3.connect(path)
    assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    connection.close()


def start(*words: object) -> subprocess.Popen[str]:
    """A process that does what this module does when it is called with these words."""
    return subprocess.Popen(
        [sys.executable, "-m", "tests.journal_work", *map(str, words)],
        cwd=ROOT,
        text=True,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )


def _write(path: Path, seed: int, count: int) -> None:
    with Journal(path, create=True) as journal:
        for number in range(count):
            _tell(number, journal.add(writing_of(seed, number)))


def _write_each(path: Path, seed: int, count: int) -> None:
    for number in range(count):
        with Journal(path) as journal:
            _tell(number, journal.add(writing_of(seed, number)))


def _tell(number: int, recorded: tuple[Recorded, ...]) -> None:
    """Say on one line which writing of the seed got which number in the journal."""
    sys.stdout.write(f"{number} {recorded[0].writing}\n")
    sys.stdout.flush()


def _hold(path: Path) -> None:
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("BEGIN EXCLUSIVE")
    print("held", flush=True)
    sys.stdin.read()


if __name__ == "__main__":
    task, where, *numbers = sys.argv[1:]
    match task:
        case "write":
            _write(Path(where), *map(int, numbers))
        case "each":
            _write_each(Path(where), *map(int, numbers))
        case "hold":
            _hold(Path(where))
        case "make":
            print("ready", flush=True)
            Journal(Path(where), create=True).close()
