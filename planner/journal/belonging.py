"""Whether the log beside a journal is its own: SQLite takes any that lies there.

After a kill the last entries are in the log. Whoever then copies another file over the journal, as
people do with backups, would have pages of both mixed. So each writing says in the file which state
of the file it follows, and gives the state a new name, drawn at random. The file without its log
tells the name of the state that the log must begin at, or go through.
"""

from __future__ import annotations

import sqlite3
import struct
from contextlib import closing
from pathlib import Path

from planner.journal.schema import STATE, UNNAMED

_HEADER, _FRAME = 32, 24
_BIG = 1
"""In the last bit of the log's first word: its sums are of words with the high byte first."""


def name_state(connection: sqlite3.Connection, follows: str | None = None) -> None:
    """Draw a new name for the state that a writing makes, within its transaction."""
    connection.execute(
        f'UPDATE "state" SET "follows" = coalesce(?, "name"), "name" = {STATE}', (follows,)
    )


def state_of(connection: sqlite3.Connection) -> str:
    """The name of the state; that of version 1 has none."""
    try:
        found = connection.execute('SELECT "name" FROM "state"').fetchone()
    except sqlite3.OperationalError as error:
        if "no such table" not in str(error):
            raise
        return UNNAMED
    return str(found[0])


def is_of(log: bytes, state: str) -> bool:
    """Whether what a log has committed begins at a state of the file, or goes through it."""
    pages = _committed(log)
    if not pages or state.encode() in pages:
        return True
    pages = _committed(log, summed=True)  # slow: a power cut may leave what SQLite will not read
    without_names = UNNAMED[:6].encode() not in pages
    return not pages or state.encode() in pages or (state == UNNAMED and without_names)


def main_state(path: Path) -> str:
    """The name of the state that a file has without its log.

    Raises
    ------
    sqlite3.Error
        It is no journal, or is written to just now.
    """
    address = f"{path.as_uri()}?mode=ro&immutable=1"
    with closing(sqlite3.connect(address, uri=True)) as connection:
        return state_of(connection)


def _committed(log: bytes, *, summed: bool = False) -> bytes:
    """What SQLite would read of a log: frames of its own salts, up to the last that commits."""
    if len(log) < _HEADER:
        return b""
    size, salts = int.from_bytes(log[8:12], "big"), log[16:24]
    order = ">" if log[3] & 1 == _BIG else "<"
    sums = struct.unpack(">II", log[24:32])
    at = end = _HEADER
    while at + _FRAME + size <= len(log) and log[at + 8 : at + 16] == salts:
        page = at + _FRAME
        if summed:
            words = log[at : at + 8] + log[page : page + size]
            sums = _sums(struct.unpack(f"{order}{len(words) // 4}I", words), *sums)
            if sums != struct.unpack(">II", log[at + 16 : page]):
                break
        committed = any(log[at + 4 : at + 8])
        at = page + size
        end = at if committed else end
    return log[_HEADER:end]


def _sums(words: tuple[int, ...], one: int, two: int) -> tuple[int, int]:
    """The sums of a log so far: https://www.sqlite.org/fileformat2.html#checksum_algorithm."""
    for first, second in zip(words[::2], words[1::2], strict=True):
        one = (one + first + two) & 0xFFFFFFFF
        two = (two + second + one) & 0xFFFFFFFF
    return one, two
