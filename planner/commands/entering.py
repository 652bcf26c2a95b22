"""What is entered by hand: for which day, in one writing, and never lost where that fails."""

from __future__ import annotations

import csv
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from planner.core import clock
from planner.core.errors import InputError
from planner.journal.entries import Entry, Recorded
from planner.journal.store import Journal
from planner.shop.entering.duplicates import entered_meanwhile

if TYPE_CHECKING:
    from planner.commands.prompt import Asker
    from planner.core.scenario import Scenario
    from planner.shop.tables.table import EntryTable
    from planner.shop.week.now import ShopState


def enter(
    asker: Asker,
    path: Path,
    found: ShopState,
    entries: Sequence[Entry],
    rows: Sequence[Sequence[str]],
    what_then: str,
) -> tuple[Recorded, ...]:
    """Enter things in one writing, and return what was entered.

    `found` is the shop as it was when the first question was put: where others entered the same
    since, it is asked whether to enter them all the same, and said `what_then`. `rows` are the same
    as a table: where it is not entered, an hour of counting is not lost. Raises `InputError` where
    the journal cannot be written; the table has then gone to standard error.
    """
    if not entries:
        return ()
    seen = found.last_entry
    try:
        with Journal(path) as journal:
            while True:
                try:
                    return journal.add_writings(partial(_if_seen, entries, seen))
                except _UnseenError:
                    since = [each for each in journal.recorded() if each.number > seen]
                    seen = journal.recorded(undone=True)[-1].number
                same = entered_meanwhile(entries, since)
                if same and not _agreed(asker, found.week, same, what_then):
                    _not_entered(rows)
                    return ()
    except InputError:
        _not_entered(rows)
        raise


def tell_kept(table: EntryTable) -> None:
    """Tell what is kept of a table though it is unlikely."""
    for each in table.kept:
        typer.echo(f"kept: {each}", err=True)


def _agreed(asker: Asker, week: Scenario, same: Sequence[Recorded], what_then: str) -> bool:
    """Ask a person, who sees what others entered."""
    from planner.shop.entering.catalog import Catalog
    from planner.show.entry_words import EntryWords
    from planner.show.journal import entries_text

    words = EntryWords(week.units, {each.full: each.name for each in Catalog(week)}, {}, {})
    numbers, entries = [one.number for one in same], [one.entry for one in same]
    text = entries_text(entries, words, clock.today(), asker.width, numbers)
    told = f"Entered by others since you began:\n{text}\n{what_then}"
    question = "enter yours too? (yes, or Enter: no): "
    return asker.until_stopped(lambda: asker.agreed(told, question))


class _UnseenError(Exception):
    """The journal has entries that were not seen yet."""


def _if_seen(entries: Sequence[Entry], seen: int, first: int) -> Sequence[Sequence[Entry]]:
    if first > seen + 1:
        raise _UnseenError
    return [entries]


def _not_entered(rows: Sequence[Sequence[str]]) -> None:
    typer.echo("Nothing was entered. Here are the entries, as a table to read in later:", err=True)
    csv.writer(sys.stderr, lineterminator="\n").writerows(rows)
