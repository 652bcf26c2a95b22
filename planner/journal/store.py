"""The journal of a shop: append-only, every writing in one transaction."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from planner.core import clock as the_clock
from planner.journal.checks import check_entry
from planner.journal.counting import counting
from planner.journal.database import open_database, problem, reading, told, transaction
from planner.journal.entries import Entry, Filled, Recorded, Undone
from planner.journal.new_files import copy_database, make_database
from planner.journal.references import check_filled, check_undone, last_undoable
from planner.journal.rows import insert_entry, insert_writing, select


class Journal:
    """The journal of a shop, open; a context manager.

    `create` makes it where there is none; `timeout` is seconds to wait while other programs write;
    `clock` tells what moment it is, by default that of the program.

    Raises
    ------
    InputError
        From here and from every method: the file cannot be used, or an entry cannot be made; one
        line, and nothing is half done.
    """

    def __init__(
        self,
        path: Path,
        *,
        create: bool = False,
        timeout: float = 5.0,
        clock: Callable[[], datetime] | None = None,
    ) -> None:
        self._path = path
        self._timeout = timeout
        self._clock = clock or the_clock.now
        if create:
            make_database(path)
        self._connection = open_database(path, timeout=timeout)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file; closing twice does no harm."""
        with told(self._path):
            self._connection.close()

    def add(self, entries: Sequence[Entry]) -> tuple[Recorded, ...]:
        """Enter things together: all of them, or none. When this returns they are on the disk.

        An order that is filled, and a writing that is undone, must be there and count. An undoing
        stands alone. Where there are no entries nothing is written.
        """
        for place, entry in enumerate(entries, 1):
            with self._naming(place, len(entries)):
                check_entry(entry)
                if isinstance(entry, Undone) and len(entries) > 1:
                    raise ValueError("an undoing is entered alone")
        if not entries:
            return ()
        with told(self._path), transaction(self._connection, self._timeout):
            return self._written(entries)

    def add_writings(
        self, make: Callable[[int], Sequence[Sequence[Entry]]]
    ) -> tuple[Recorded, ...]:
        """Enter several writings: all of them, or none.

        `make` is given the number that the first entry gets, which nobody else can take meanwhile,
        and returns the entries of each writing: so they can refer to each other.
        """
        with told(self._path), transaction(self._connection, self._timeout):
            (last,) = self._connection.execute(
                "SELECT coalesce(max(seq), 0) FROM sqlite_sequence WHERE name = 'entry'"
            ).fetchone()
            writings = [entries for entries in make(last + 1) if entries]
            every = [entry for entries in writings for entry in entries]
            for place, entry in enumerate(every, 1):
                with self._naming(place, len(every)):
                    check_entry(entry)
            return tuple(one for entries in writings for one in self._written(entries))

    def recorded(
        self, *, undone: bool = False, kinds: Collection[type[Entry]] = ()
    ) -> tuple[Recorded, ...]:
        """What counts, in the order in which it was entered; `kinds`: only these, which is quicker.

        With `undone` everything there is: also what was undone, and the undoings.
        """
        with told(self._path), reading(self._connection, self._timeout), self._naming():
            if undone:
                return select(self._connection, kinds=kinds)
            found = select(self._connection, kinds={*kinds, Undone} if kinds else ())
            return counting(found)

    def undo(self, writing: int | None = None, *, day: date | None = None) -> tuple[Recorded, ...]:
        """Undo a writing by a counter-entry, else the last that counts; returns what it was.

        Plans are not undone: the last writing is the last that is none. Nor is an undoing: enter
        again what should count. Nor an order while something that counts says it was filled. `day`
        is that of the undoing, by default the clock's.
        """
        with told(self._path), transaction(self._connection, self._timeout):
            with self._naming():
                number = last_undoable(self._connection) if writing is None else writing
                counter = Undone(day or self._clock().date(), number)
                check_entry(counter)
                was = select(self._connection, writing=number)
            self._written([counter])
            return was

    def backup(self, path: Path) -> None:
        """Write a consistent copy, also while others write; never over a file that is there.

        The copy is a journal itself: put in the place of this one, it goes on from there.
        """
        with told(self._path), reading(self._connection, self._timeout):
            copy_database(self._connection, path)

    def _written(self, entries: Sequence[Entry]) -> tuple[Recorded, ...]:
        """Put entries that were checked into the tables, within a transaction."""
        entered = self._clock().astimezone(UTC)
        recorded = []
        writing = insert_writing(self._connection, entered)
        for place, entry in enumerate(entries, 1):
            with self._naming(place, len(entries)):
                if isinstance(entry, Filled):
                    check_filled(self._connection, entry)
                elif isinstance(entry, Undone):
                    check_undone(self._connection, entry)
            number = insert_entry(self._connection, writing, entry)
            recorded.append(Recorded(number, writing, entered, entry))
        return tuple(recorded)

    @contextmanager
    def _naming(self, place: int = 1, of: int = 1) -> Iterator[None]:
        """Tell what is wrong with an entry, and which of several it is."""
        try:
            yield
        except UnicodeDecodeError:  # of damage in the file
            raise
        except ValueError as error:
            where = f"entry {place} of {of}: " if of > 1 else ""
            raise problem(self._path, f"{where}{error}") from None
