"""`breakplan journal import`: a file of entries, ours or a till's, entered all or not at all."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from planner.commands.journal_desk import OpenJournal
from planner.commands.journal_filters import OptionReader
from planner.commands.shop_folder import stop_at_wrong_clock
from planner.core.days import Order, read_day
from planner.core.errors import InputError, Problem
from planner.core.quantities import show_count
from planner.core.signs import shown_line
from planner.shop.entering.catalog import Catalog, printable
from planner.shop.entering.kinds import read_kind
from planner.shop.entering.warning import EntryWarning
from planner.shop.tables.columns import plain, read_mapping, score_of
from planner.shop.tables.csv_file import read_sheet
from planner.shop.tables.imported import Imported, Reading, read_lines
from planner.shop.tables.row_checks import told_warnings, typical_in, warnings_in
from planner.show.progress import counted_line

_DECIMAL = {"point": ".", "comma": ","}


def import_file(
    opened: OpenJournal, path: Path, reading: Reading, *, yes: bool, dry_run: bool, json: bool
) -> None:
    """Enter all of a file, or nothing of it.

    Raises `InputError`: it has faults, or draws warnings and nobody said yes.
    """
    stop_at_wrong_clock(opened.counting, yes=yes or dry_run)
    sheet = read_sheet(path, score_of(reading.mapping))
    with counted_line("lines read") as told:
        found, table = read_lines(sheet, opened.catalog, reading, told)
    warnings: list[tuple[int, str]] = []
    if not table.undecided:
        typical = typical_in(opened.context.typical, found.entries)
        orders = found.orders or opened.context.orders
        context = replace(opened.context, typical=typical, orders=orders)
        warnings = told_warnings(warnings_in(found, context))
    for line, each in () if yes or dry_run else warnings:
        table.doubt(line, EntryWarning(each))
    table.stop()
    if not found.lines:
        message = (
            "there is nothing to enter" if found.rows else "there are no lines below the heads"
        )
        raise InputError([Problem(sheet.name, 0, f"{message}{_left_out(found)}")])
    by_line = [f"line {line}: {each}" for line, each in warnings]
    opened.enter(
        found.entries,
        lambda: opened.journal.add_writings(found.writings),
        by_line,
        dry_run=dry_run,
        json=json,
        orders=found.orders or None,
    )
    if not json and (found.left_out or found.nothing):
        opened.say(f"{show_count(found.rows, 'line')} read{_left_out(found)}.")


def _left_out(found: Imported) -> str:
    """`; 3 of items that are none of ours left out; 1 sale came to nothing`."""
    told = ""
    if found.left_out:
        told += f"; {found.left_out} left out, of items not sold here"
    if found.nothing:
        told += f"; {show_count(found.nothing, 'sale')} came to nothing, refunds taken off"
    return told


def reading_of(
    opened: OpenJournal,
    kind: str | None,
    columns: str | None,
    items: str | None,
    dates: Order | None,
    decimal: str | None,
    day: str | None,
    *,
    skip_unknown: bool,
) -> Reading:
    """How a file is to be read, in the words of the command; `InputError` with every fault."""
    options = OptionReader()
    reading = Reading(
        options.read("--kind", kind, read_kind, "sale"),
        options.read("--columns", columns, _columns, None),
        options.read("--items", items, lambda text: _items(text, opened.catalog), {}),
        skip_unknown,
        dates,
        _DECIMAL.get(decimal or ""),
        options.read("--day", day, lambda text: read_day(text, opened.today, "past"), None),
    )
    options.stop()
    return reading


def _columns(text: str) -> dict[str, str]:
    mapping = read_mapping(text, "--columns")
    if not mapping:
        raise ValueError("nothing is mapped; write pairs such as Item=cut")
    return mapping


def _items(text: str, catalog: Catalog) -> dict[str, str]:
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
            catalog.find_arrival(ours) if _is_arrival(catalog, ours) else catalog.find(ours)
        except ValueError as error:
            problems.append(Problem(name, line, shown_line(str(error))))
    if problems:
        raise InputError(problems)
    return {plain(theirs): ours for theirs, (ours, _) in pairs.items()}


def _is_arrival(catalog: Catalog, name: str) -> bool:
    """Whether it is a species, or what the trade calls one, so that a message says which."""
    recipes = catalog.week.recipes
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
            problems.append(Problem(sheet.name, row.line, f'"{printable(theirs)}" is there twice'))
        elif theirs:
            pairs[theirs] = ours, row.line
    if problems:
        raise InputError(problems)
    return pairs
