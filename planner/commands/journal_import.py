"""`breakplan journal import`: a file of entries, ours or a till's, entered all or not at all."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import get_args

from planner.commands.journal_desk import OpenJournal
from planner.commands.shop_folder import stop_at_wrong_clock
from planner.core.days import Order, read_day
from planner.core.errors import InputError, Problem
from planner.core.quantities import show_count
from planner.core.signs import shown_line
from planner.shop.entering.kinds import read_kind
from planner.shop.entering.naming import find_arrival
from planner.shop.entering.things import Things, printable
from planner.shop.tables.columns import plain, read_mapping, score_of
from planner.shop.tables.csv_file import read_sheet
from planner.shop.tables.imported import Imported, Reading, read_lines
from planner.shop.tables.row_checks import ADD_YES, told_warnings, typical_in, warnings_in
from planner.show.progress import counted_line

_DECIMAL = {"point": ".", "comma": ","}


@dataclass(frozen=True, slots=True)
class FileWords:
    """How a file is to be read, in the words of the command; None is not said."""

    kind: str | None = None
    columns: str | None = None
    items: str | None = None
    skip_unknown: bool = False
    dates: str | None = None
    decimal: str | None = None
    day: str | None = None


def import_file(
    opened: OpenJournal, path: Path, words: FileWords, *, yes: bool, dry_run: bool, json: bool
) -> None:
    """Enter all of a file, or nothing of it.

    Raises
    ------
    InputError
        The file or what is said of it has faults, or draws warnings and nobody said yes.
    """
    reading = _reading(opened, words)
    stop_at_wrong_clock(opened.counting, yes=yes or dry_run)
    sheet = read_sheet(path, score_of(reading.mapping))
    with counted_line("lines read") as told:
        found, faults = read_lines(sheet, opened.things, reading, told)
    warnings: list[tuple[int, str]] = []
    if not faults.of_all:
        typical = typical_in(opened.context.typical, found.entries)
        orders = found.orders or opened.context.orders
        context = replace(opened.context, typical=typical, orders=orders)
        warnings = told_warnings(warnings_in(found, context))
    faults.stop([(line, f"{each}; {ADD_YES}") for line, each in warnings], sure=yes or dry_run)
    if not found.lines:
        message = (
            "there is nothing to enter" if found.rows else "there are no lines below the heads"
        )
        raise InputError([Problem(sheet.name, 0, f"{message}{_left_out(found)}")])
    by_line = [f"line {line}: {each}" for line, each in warnings]
    if dry_run:
        opened.show_planned(found.entries, by_line, json=json, orders=found.orders or None)
    else:
        opened.show_entered(opened.journal.add_writings(found.writings), by_line, json=json)
    if not json and (found.left_out or found.nothing):
        opened.say(f"{show_count(found.rows, 'line')} read{_left_out(found)}.")


def _left_out(found: Imported) -> str:
    """`; 3 of items that are none of ours left out; 1 sale came to nothing`."""
    told = ""
    if found.left_out:
        told += f"; {found.left_out} left out, of items that are none of ours"
    if found.nothing:
        told += f"; {show_count(found.nothing, 'sale')} came to nothing, refunds taken off"
    return told


def _reading(opened: OpenJournal, words: FileWords) -> Reading:
    """What is said of a file, with every fault of it."""
    problems: list[Problem] = []
    kind, mapping, items = "sale", None, dict[str, str]()
    day: date | None = None
    try:
        kind = read_kind(words.kind) if words.kind else kind
    except ValueError as error:
        problems.append(Problem("--kind", 0, shown_line(str(error))))
    try:
        day = read_day(words.day, opened.today, "past") if words.day else None
    except ValueError as error:
        problems.append(Problem("--day", 0, shown_line(str(error))))
    try:
        mapping = read_mapping(words.columns, "--columns") if words.columns is not None else None
    except InputError as error:
        problems += error.problems
    try:
        items = _items(words.items, opened.things) if words.items is not None else items
    except InputError as error:
        problems += error.problems
    if words.columns is not None and mapping == {}:
        problems.append(Problem("--columns", 0, "nothing is mapped; write pairs such as Item=cut"))
    order = next((each for each in get_args(Order) if each == words.dates), None)
    if words.dates is not None and order is None:
        problems.append(Problem("--dates", 0, f'"{printable(words.dates)}" is neither dmy nor mdy'))
    if words.decimal is not None and words.decimal not in _DECIMAL:
        problems.append(
            Problem("--decimal", 0, f'"{printable(words.decimal)}" is neither point nor comma')
        )
    if problems:
        raise InputError(problems)
    decimal = _DECIMAL.get(words.decimal or "")
    return Reading(kind, mapping, items, words.skip_unknown, order, decimal, day)


def _items(text: str, things: Things) -> dict[str, str]:
    """What items are called here: pairs, or a file of two columns; every name is looked up."""
    if "=" in text and not Path(text).is_file():
        pairs = {theirs: (ours, 0) for theirs, ours in read_mapping(text, "--items").items()}
        name = "--items"
    else:
        pairs, name = _item_file(Path(text)), text
    problems: list[Problem] = []
    for ours, line in pairs.values():
        if not ours:
            continue
        try:
            find_arrival(things, ours) if _is_arrival(things, ours) else things.find(ours)
        except ValueError as error:
            problems.append(Problem(name, line, shown_line(str(error))))
    if problems:
        raise InputError(problems)
    return {plain(theirs): ours for theirs, (ours, _) in pairs.items()}


def _is_arrival(things: Things, name: str) -> bool:
    """Whether it is a species, or what the trade calls one, so that a message says which."""
    recipes = things.week.recipes
    return plain(name) in (plain(one) for each in recipes for one in (each.species, *each.known_as))


def _item_file(path: Path) -> dict[str, tuple[str, int]]:
    """Items and names with their lines; heads above them are passed by."""
    sheet = read_sheet(path, None)
    pairs: dict[str, tuple[str, int]] = {}
    problems: list[Problem] = []
    for row in (sheet.heads, *sheet.rows):
        theirs, ours, *rest = (*(cell.strip() for cell in row.cells), "", "")
        if any(rest):
            message = "two columns are wanted: the item, and what it is called here"
            problems.append(Problem(sheet.name, row.line, message))
        elif row is sheet.heads and plain(ours) in ("cut", "name", "what", "ours"):
            continue
        elif plain(theirs) in map(plain, pairs):
            problems.append(
                Problem(sheet.name, row.line, f'"{printable(theirs)}" stands there twice')
            )
        elif theirs:
            pairs[theirs] = ours, row.line
    if problems:
        raise InputError(problems)
    return pairs
