"""Heads of tables: ours, and those of others put in their place by `--columns`."""

from __future__ import annotations

import csv
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from planner.core.errors import InputError, Problem
from planner.core.spelling import nearest
from planner.shop.entering.catalog import printable
from planner.shop.tables.csv_file import CsvSheet, Score

FIELDS = (
    *("number", "writing", "entered", "day", "kind", "what", "way", "amount", "unit", "weight"),
    *("weights", "made", "at", "buyer", "price", "money", "sold out", "order", "parts", "tests"),
    "plan",
)
"""What a column may hold, by the names of the heads that we write."""

OTHER_NAMES = {"cut": "what", "piece": "what", "blend": "what", "date": "day", "for": "buyer"}

_OLD_HEADS = {"pounds": ("weight", "lb")}
"""What forms of before called a column, and no message names."""

_ASIDE = ("planned", "expected", "note")
"""Heads of a form that begin so are for its reader, and not read back."""

_WITH_UNIT = re.compile(r"(amount|weight|weights)\s*\((lb|kg|oz|g|each)\)")


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds, in which unit if its head says so, and its place in a row."""

    field: str
    unit: str | None
    place: int


def plain(text: str) -> str:
    """A head or name as it is compared: small letters, one blank between words."""
    return " ".join(text.split()).lower()


def field_of(head: str) -> tuple[str, str | None] | None:
    """The field and unit that a head of ours, or one asked for, stands for."""
    small = plain(head)
    if found := _WITH_UNIT.fullmatch(small):
        return found[1], found[2]
    field = OTHER_NAMES.get(small, small)
    return (field, None) if field in FIELDS else None


def read_mapping(text: str, option: str) -> dict[str, str]:
    """`Item=cut,Qty=amount` as pairs; a part with a comma in it stands in quotes.

    Raises `InputError`: a part has no `=`, or two have the same left side.
    """
    try:
        parts = next(csv.reader([text], skipinitialspace=True), [])
    except csv.Error as error:  # a line break in it
        raise InputError([Problem(option, 0, f'cannot be read: "{text}": {error}')]) from None
    pairs: dict[str, str] = {}
    problems: list[Problem] = []
    for part in parts:
        if not part.strip():
            continue
        theirs, equals, ours = part.rpartition("=")
        if not equals or not theirs.strip():
            message = f'"{printable(part.strip())}" is not a pair such as Item=cut'
            problems.append(Problem(option, 0, message))
        elif plain(theirs) in map(plain, pairs):
            problems.append(Problem(option, 0, f'"{printable(theirs.strip())}" is there twice'))
        else:
            pairs[theirs.strip()] = ours.strip()
    if problems:
        raise InputError(problems)
    return pairs


def score_of(mapping: Mapping[str, str] | None) -> Score:
    """How well a line does as the heads: how many of those looked for it has."""
    wanted = {plain(theirs) for theirs in mapping} if mapping else None

    def score(cells: Sequence[str]) -> int:
        if wanted is None:
            return sum(field_of(cell) is not None for cell in cells)
        return len({plain(cell) for cell in cells} & wanted)

    return score


def find_columns(sheet: CsvSheet, mapping: Mapping[str, str] | None) -> tuple[Column, ...]:
    """The columns that mean something to us; with a mapping those of the mapping alone.

    Raises `InputError`: a head that is mapped is not there, or not to anything of ours; two columns
    are the same.
    """
    if not mapping:
        found = [(place, field_of(head)) for place, head in enumerate(sheet.heads.cells)]
        return _once(sheet, [Column(*field, place) for place, field in found if field], [])
    columns: list[Column] = []
    problems: list[Problem] = []
    heads = [plain(cell) for cell in sheet.heads.cells]
    for theirs, ours in mapping.items():
        field, there = field_of(ours), heads.count(plain(theirs))
        if field is None:
            names = "cut, amount, unit, day, money, sold out, kind"
            near = nearest(ours, [*FIELDS, *OTHER_NAMES]) or f"; write one of {names}"
            problems.append(Problem("--columns", 0, f'"{ours}" is not a column of ours{near}'))
        elif there == 1:
            columns.append(Column(*field, heads.index(plain(theirs))))
        else:
            near = nearest(theirs, [printable(cell.strip())[:99] for cell in sheet.heads.cells])
            message = f'two columns have the head "{theirs}"'
            message = message if there else f'no column has the head "{theirs}"{near}'
            problems.append(Problem(sheet.name, sheet.heads.line, message))
    return _once(sheet, columns, problems)


def form_columns(
    sheet: CsvSheet, heads: Collection[str], needed: Collection[str]
) -> tuple[Column, ...]:
    """The columns of a table that a person fills in, under heads of ours.

    Raises `InputError`: one that is needed is missing, or one is misspelt or is there twice.
    """
    found: list[Column] = []
    unknown: list[str] = []
    problems: list[Problem] = []
    for place, cell in enumerate(sheet.heads.cells):
        head = plain(cell)
        field, unit = _OLD_HEADS.get(head, (head, None))
        if field in heads:
            found.append(Column(field, unit, place))
        elif head and not head.startswith(_ASIDE):
            unknown.append(head)
    missing = [head for head in heads if head not in {each.field for each in found}]
    for head in missing:
        if head in needed:
            near = nearest(head, [printable(each) for each in unknown])
            message = f'no column is called "{head}"{near}; heads are {", ".join(heads)}'
            problems.append(Problem(sheet.name, sheet.heads.line, message))
    for head in unknown:
        near = nearest(head, missing)
        if near and not problems:
            message = f'a column is called "{printable(head)}"{near}'
            problems.append(Problem(sheet.name, sheet.heads.line, message))
    return _once(sheet, found, problems)


def _once(sheet: CsvSheet, columns: list[Column], problems: list[Problem]) -> tuple[Column, ...]:
    """The columns, unless something is wrong with them or two are the same (`InputError`)."""
    seen: dict[tuple[str, str | None], Column] = {}
    for column in columns:
        first = seen.setdefault((column.field, column.unit), column)
        if first is not column:
            cells = sheet.heads.cells
            both = f'"{printable(cells[first.place])}" and "{printable(cells[column.place])}"'
            message = f"two columns, {both}, are both the {column.field}"
            problems.append(Problem(sheet.name, sheet.heads.line, message))
    if problems:
        raise InputError(problems)
    return tuple(columns)
