"""A count in a table: one row a portion."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from planner.shop.entering.block_reader import EXAMPLES, CountedPortion
from planner.shop.entering.catalog import StockItem
from planner.shop.entering.context import EntryContext, warnings_of
from planner.shop.entering.count_checks import COUNT_CHECKS
from planner.shop.entering.counting import Counting, ItemCount
from planner.shop.entering.warning import joined
from planner.shop.tables.csv_file import CsvRow
from planner.shop.tables.table import EntryTable

HEADS = ("what", "amount", "unit", "made", "weight")
"""`weight` is what pieces weigh in all, in the shop's unit."""


NEEDED = ("what", "amount")


def read_counts(
    table: EntryTable, counting: Counting, context: EntryContext
) -> tuple[Sequence[ItemCount], int]:
    """Read a table: what was counted, and how many things have no amount: nobody looked at them.

    Raises `InputError` with every fault of the table, and what is unlikely unless it is kept.
    """
    portions: dict[StockItem, list[CountedPortion]] = {}
    lines: dict[StockItem, int] = {}
    passed = 0
    for row in table.rows:
        if not table.text(row, "amount"):
            passed += bool(table.text(row, "what"))
            continue
        found = table.attempt(row, partial(_counted, table, row, counting))
        if found:
            thing, portion = found
            lines.setdefault(thing, row.line)
            portions.setdefault(thing, []).append(portion)
    counts = [counting.count(counting.line(thing), each) for thing, each in portions.items()]
    for count in counts:
        thing, unit = count.line.thing, counting.week.unit
        if count.weightless:
            told = f"write what they weigh in all under weight, such as {EXAMPLES[unit][1]} {unit}"
            message = f"the weight of a {thing.name} is not known yet: {told}"
            table.fault(lines[thing], message)
        warning = joined(warnings_of(count, context, COUNT_CHECKS))
        if warning:
            table.doubt(lines[thing], warning)
    table.stop()
    return counts, passed


def _counted(
    table: EntryTable, row: CsvRow, counting: Counting
) -> tuple[StockItem, CountedPortion]:
    if not table.text(row, "what"):
        raise ValueError("an amount without the name of what it is of")
    thing, day = counting.catalog.find(table.text(row, "what")), counting.day
    made, pounds = table.day(row, "made"), table.pounds(row, "weight")
    if made and made > day:
        raise ValueError(f"{made.isoformat()} under made is after {day.isoformat()}")
    if pounds is not None and not thing.piece:
        other = " is counted, not weighed" if thing.by_each else "'s weight stands under amount"
        raise ValueError(f"{thing.name}{other}")
    return thing, CountedPortion(table.quantity(row, thing).amount, made, pounds or None)
