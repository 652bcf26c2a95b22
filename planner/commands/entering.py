"""What is entered by hand: for which day, in one writing, and never lost where that fails."""

from __future__ import annotations

import csv
import sys
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path

import typer

from planner.commands import shop_folder
from planner.errors import InputError
from planner.journal.entries import Entry, Recorded
from planner.journal.store import Journal
from planner.measures import read_date
from planner.shop.entering.typed import read_made


def hour() -> int:
    """The hour it is."""
    return datetime.now().hour


def day_past(text: str | None) -> date:
    """The day named by `--day`: a date, or the last such weekday up to today; else today."""
    today = shop_folder.today()
    if text is None:
        return today
    try:
        if text[:1].isdigit() and read_date(text) > today:
            raise ValueError(f"{text} is still to come; today is {today.isoformat()}")
        return read_made(text, today)
    except ValueError as error:
        raise typer.BadParameter(str(error), param_hint="--day") from None


def enter(
    path: Path, entries: Sequence[Entry], rows: Sequence[Sequence[str]]
) -> tuple[Recorded, ...]:
    """Enter things in one writing, and return what was entered.

    Parameters
    ----------
    path : Path
        Of the journal.
    entries : sequence of Entry
    rows : sequence of sequence of str
        The same as a table: where the journal cannot be written, an hour of counting is not lost.

    Raises
    ------
    InputError
        The journal cannot be written; the table has then gone to standard error.
    """
    if not entries:
        return ()
    try:
        with Journal(path) as journal:
            return journal.add(entries)
    except InputError:
        typer.echo(
            "Nothing was entered. This is what it was, as a table to be read later:", err=True
        )
        csv.writer(sys.stderr, lineterminator="\n").writerows(rows)
        raise
