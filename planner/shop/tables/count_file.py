"""A count in a table: one row a portion."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path

from planner.core.errors import Problem
from planner.core.quantities import POUNDS, UNITS
from planner.shop.entering.block_reader import EXAMPLES, CountedPortion
from planner.shop.entering.context import EntryContext, warnings_of
from planner.shop.entering.count_checks import COUNT_CHECKS
from planner.shop.entering.counting import Counting, ThingCount
from planner.shop.entering.things import Thing, printable
from planner.shop.entering.warning import joined
from planner.shop.tables.csv_file import CsvRow
from planner.shop.tables.form_reader import FormTable

HEADS = ("what", "amount", "unit", "made", "weight")
"""`weight` is what pieces weigh in all, in the shop's unit."""

OLD_HEADS = ("pounds",)
"""The same in pounds, whatever the unit of the shop: tables of before have it."""


@dataclass(frozen=True)
class CountTable:
    """What a table says was counted.

    Attributes
    ----------
    counts : tuple of ThingCount
    kept : tuple of Problem
        What is unlikely and kept.
    passed : int
        How many things have no amount: nobody looked at them.
    """

    counts: tuple[ThingCount, ...]
    kept: tuple[Problem, ...]
    passed: int


def read_counts(path: Path, counting: Counting, context: EntryContext, *, sure: bool) -> CountTable:
    """Read a table; what is unlikely is kept where one is `sure`.

    Raises
    ------
    InputError
        With every fault of the table, and what is unlikely unless it is kept.
    """
    numbers, dates = ("amount", "pounds", "weight"), ("made",)
    table = FormTable(path, HEADS, ("what", "amount"), numbers, dates, untold=OLD_HEADS, sure=sure)
    portions: dict[Thing, list[CountedPortion]] = {}
    rows: dict[Thing, CsvRow] = {}
    passed = 0
    for row in table.rows:
        if not table.cell(row, "amount"):
            passed += bool(table.cell(row, "what"))
            continue
        found = table.attempt(row, partial(_counted, table, row, counting))
        if found:
            thing, portion = found
            rows.setdefault(thing, row)
            portions.setdefault(thing, []).append(portion)
    counts = [counting.count(counting.line(thing), each) for thing, each in portions.items()]
    for count in counts:
        thing = count.line.thing
        if count.weightless:
            table.fault(rows[thing], _without_weight(thing, counting.week.unit))
        table.warn(joined(warnings_of(count, context, COUNT_CHECKS)), rows[thing])
    table.stop_if_faulty()
    return CountTable(tuple(counts), tuple(table.kept), passed)


def _without_weight(thing: Thing, unit: str) -> str:
    """What is wrong with a count of pieces of which nobody knows what they weigh."""
    return (
        f"the weight of a {thing.name} is not known yet: write what they weigh in all under "
        f"weight, such as {EXAMPLES[unit][1]} {unit}"
    )


def _counted(table: FormTable, row: CsvRow, counting: Counting) -> tuple[Thing, CountedPortion]:
    name = table.cell(row, "what")
    if not name:
        raise ValueError("an amount without the name of what it is of")
    thing = counting.things.find(name)
    return thing, _portion(table, row, thing, counting)


def _portion(table: FormTable, row: CsvRow, thing: Thing, counting: Counting) -> CountedPortion:
    unit = counting.week.unit
    said = table.cell(row, "unit")
    own = UNITS.get(said.lower()) if said else None
    if said and own is None:
        raise ValueError(f'no unit called "{printable(said)}"; use lb, kg, oz, g or each')
    made = table.day(row, "made", counting.day)
    pounds = table.pounds(row, "pounds", "lb")
    if pounds is None:
        pounds = table.pounds(row, "weight", unit)
    if thing.by_each:
        if own in POUNDS:
            raise ValueError(f"{thing.name} is counted by each, not by weight")
        number = table.number(row, "amount") or 0
        if pounds is not None and not thing.piece:
            raise ValueError(f"{thing.name} is counted, not weighed")
        return CountedPortion(float(number), made, pounds or None)
    if own == "each":
        raise ValueError(f"{thing.name} is weighed, not counted by each")
    if pounds is not None:
        raise ValueError(f"{thing.name} is not a piece: write its weight under amount")
    weight = table.pounds(row, "amount", own or unit) or 0.0
    return CountedPortion(weight, made)
