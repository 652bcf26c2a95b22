"""What is entered by hand: for which day, in one writing, and never lost where that fails."""

from __future__ import annotations

import csv
import sys
from collections.abc import Callable, Sequence
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

Agreed = Callable[[Sequence[Recorded]], bool]
"""Whether to enter something though others entered the same meanwhile."""


def enter(
    path: Path,
    entries: Sequence[Entry],
    rows: Sequence[Sequence[str]],
    seen: int,
    agreed: Agreed,
) -> tuple[Recorded, ...]:
    """Enter things in one writing, and return what was entered.

    Parameters
    ----------
    path : Path
        Of the journal.
    entries : sequence of Entry
    rows : sequence of sequence of str
        The same as a table: where it is not entered, an hour of counting is not lost.
    seen : int
        Number of the last entry there was when the questions were put.
    agreed : callable
        Is asked where the journal has got entries of the same things since.

    Raises
    ------
    InputError
        The journal cannot be written; the table has then gone to standard error.
    """
    if not entries:
        return ()
    try:
        with Journal(path) as journal:
            while True:
                try:
                    return journal.add_writings(partial(_if_seen, entries, seen))
                except _UnseenError:
                    since = [each for each in journal.recorded() if each.number > seen]
                    seen = journal.recorded(undone=True)[-1].number
                same = entered_meanwhile(entries, since)
                if same and not agreed(same):
                    _not_entered(rows)
                    return ()
    except InputError:
        _not_entered(rows)
        raise


def agreed_by(asker: Asker, week: Scenario, what_then: str) -> Agreed:
    """Ask a person, who sees what others entered; `what_then` says what becomes of both."""

    def agreed(same: Sequence[Recorded]) -> bool:
        from planner.show.counts import meanwhile_text

        text = meanwhile_text(week, same, clock.today(), asker.width)
        return asker.until_stopped(
            lambda: asker.agreed(f"{text}\n{what_then}", "enter yours too? (yes, or Enter: no): ")
        )

    return agreed


class _UnseenError(Exception):
    """The journal has entries that were not seen yet."""


def _if_seen(entries: Sequence[Entry], seen: int, first: int) -> Sequence[Sequence[Entry]]:
    if first > seen + 1:
        raise _UnseenError
    return [entries]


def _not_entered(rows: Sequence[Sequence[str]]) -> None:
    typer.echo("Nothing was entered. This is what it was, as a table to be read later:", err=True)
    csv.writer(sys.stderr, lineterminator="\n").writerows(rows)
