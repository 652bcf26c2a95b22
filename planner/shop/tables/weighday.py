"""A table of a weigh-in, and the day that it is of."""

from __future__ import annotations

from datetime import date
from functools import partial
from pathlib import Path

from planner.shop.stock.words import day_words
from planner.shop.tables.filledin import Table
from planner.shop.tables.weighform import HEADS


def open_table(path: Path, *, sure: bool) -> Table:
    """A table of a weigh-in; what is unlikely is kept where one is `sure`.

    Raises `InputError` where it is none, or its figures are unclear.
    """
    numbers = ("count", "weight", "gave count", "gave weight")
    return Table(path, HEADS, ("piece", "gave", "gave weight"), numbers, ("day",), sure=sure)


def day_of(table: Table, near: date, *, said: bool) -> date:
    """The day that a table is of.

    Parameters
    ----------
    table : Table
    near : date
        The day that is said, or today.
    said : bool
        Whether somebody said it: then the table may be of no other.

    Raises
    ------
    InputError
        A line is of another day than the one that is said, or than the lines above it, or of a
        day to come.
    """
    first: tuple[int, date] | None = None
    for row in table.rows:
        day = table.attempt(row, partial(table.day, row, "day", near, later=True))
        if day is None:
            continue
        if said and day != near:
            told = f"this is of {day_words(day)}, and --day says {day_words(near)}"
        elif first and day != first[1]:
            told = f"this is of {day_words(day)}, and line {first[0]} is of {day_words(first[1])}"
            told += ": a table is of one day"
        elif day > near:
            told = f"this is of {day_words(day)}, which is still to come"
        else:
            first = first or (row.line, day)
            continue
        table.fault(row, told)
        break
    table.stop_if_faulty()
    return first[1] if first else near
