"""A weigh-in read from a table: one row a thing that a break gave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from pathlib import Path

from planner.core.quantities import show_day
from planner.journal.entries import Entry, Weighed
from planner.shop.entering.block_checks import block_warnings, entered_already
from planner.shop.entering.context import EntryContext
from planner.shop.entering.day_plan import BatchJob, Cutting, WeighedBatch, WeighedBreak
from planner.shop.entering.warning import EntryWarning
from planner.shop.entering.weighing import Weighing
from planner.shop.tables.csv_file import CsvRow
from planner.shop.tables.form_reader import FormTable
from planner.shop.tables.weigh_form import HEADS

LATE = 7
"""Days back beyond which a table that alone says its day is likelier an old one."""


@dataclass
class _Block:
    """The rows of one break or batch."""

    row: CsvRow
    piece: str
    way: str
    count: str
    weight: str
    things: list[CsvRow] = field(default_factory=list)


def open_table(path: Path, *, sure: bool) -> FormTable:
    """A table of a weigh-in; what is unlikely is kept where one is `sure`.

    Raises `InputError` where it is none, or its figures are unclear.
    """
    numbers = ("count", "weight", "gave count", "gave weight")
    return FormTable(path, HEADS, ("piece", "gave", "gave weight"), numbers, ("day",), sure=sure)


def day_of(table: FormTable, near: date, *, said: bool) -> date:
    """The day that a table is of.

    Parameters
    ----------
    table : FormTable
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
            told = f"this is of {show_day(day)}, and --day says {show_day(near)}"
        elif first and day != first[1]:
            told = f"this is of {show_day(day)}, and line {first[0]} is of {show_day(first[1])}"
            told += ": a table is of one day"
        elif day > near:
            told = f"this is of {show_day(day)}, which is still to come"
        else:
            first = first or (row.line, day)
            continue
        table.fault(row, told)
        break
    table.stop_if_faulty()
    return first[1] if first else near


def read_weighed_in(
    table: FormTable, context: EntryContext, *, today: date | None = None
) -> list[WeighedBreak | WeighedBatch]:
    """Read a table: the breaks, then the batches.

    Parameters
    ----------
    table : FormTable
    context : EntryContext
    today : date, optional
        Where the table alone says its day: more than `LATE` days back is questioned.

    Raises
    ------
    InputError
        With every fault of the table, and what is unlikely unless it is kept.
    """
    weighing = context.weighing
    back = (today - weighing.day).days if today else 0
    if back > LATE:
        told = f"this is of {show_day(weighing.day)}, {back} days ago"
        table.warn(EntryWarning(told, remedy="if that is right, add --yes"))
    answers: list[WeighedBreak | WeighedBatch] = []
    for block in sorted(_blocks(table), key=lambda each: not each.way):
        before = [each.entry for each in answers]
        read = _break if block.way else _batch
        answer = read(table, block, weighing, before)
        if answer is None:
            continue
        then = context.after(*before)
        warnings = list(entered_already(answer, then))
        if not warnings:  # else that there are no more pieces for it follows from that
            warnings = list(block_warnings(answer, then))
        for each in warnings:
            table.warn(each, block.row)
        answers.append(answer)
    table.stop_if_faulty()
    said = [each.entry for each in answers]
    if said and said == list(weighing.as_planned()):
        jobs = "the job is" if len(said) == 1 else f"all {len(said)} jobs are"
        told = f"nothing was filled in: {jobs} taken as done as planned"
        table.warn(EntryWarning(told, remedy="if that is right, add --yes"))
        table.stop_if_faulty()
    return answers


def _blocks(table: FormTable) -> list[_Block]:
    """Rows that belong together.

    A row that repeats piece, way, count and weight of the one above goes on with it, unless it
    has no thing, or one that was there: then it is another piece.
    """
    blocks: list[_Block] = []
    seen: set[str] = set()
    for row in table.rows:
        told = [table.cell(row, head) for head in ("piece", "way", "count", "weight")]
        thing = table.cell(row, "gave")
        if any(told):
            last = blocks[-1] if blocks else None
            same = last and told == [last.piece, last.way, last.count, last.weight]
            if not same or not thing or thing in seen:
                if not told[0]:
                    table.fault(row, "the piece is missing")
                    continue
                blocks.append(_Block(row, told[0], told[1], told[2], told[3]))
                seen = set()
        elif not thing:
            if table.cell(row, "gave weight") or table.cell(row, "gave count"):
                table.fault(row, "the name of what was weighed is missing")
            continue
        if not blocks:
            table.fault(row, "the piece that gave this is missing")
            continue
        if thing:
            if thing in seen:
                table.fault(row, f'"{thing}" stands twice for {blocks[-1].piece}')
            seen.add(thing)
            blocks[-1].things.append(row)
    return blocks


def _break(
    table: FormTable, block: _Block, weighing: Weighing, before: Sequence[Entry]
) -> WeighedBreak | None:
    count = table.attempt(block.row, partial(table.number, block.row, "count"))
    if count is None:
        if not block.count:
            table.fault(block.row, "how many were cut is missing; 0 where none was")
        return None
    if count == 0:
        for row in block.things:
            if table.cell(row, "gave weight") or table.cell(row, "gave count"):
                table.fault(row, f"something was weighed of a {block.piece}, and 0 were cut")
        return None
    cutting = table.attempt(
        block.row, partial(weighing.cutting, block.piece, block.way, count, before)
    )
    if cutting is None:
        return None
    unit = weighing.week.unit
    pounds = table.attempt(block.row, partial(table.pounds, block.row, "weight", unit))
    if pounds == 0:
        table.fault(
            block.row, "pieces that weigh nothing; leave the weight empty where it is not known"
        )
    gave = []
    for row in block.things:
        got = table.attempt(row, partial(_gave, table, row, weighing, cutting, count))
        if got:
            gave.append(got)
    return WeighedBreak(cutting, weighing.entry(cutting, count, pounds, gave))


def _gave(
    table: FormTable, row: CsvRow, weighing: Weighing, cutting: Cutting, count: int
) -> Weighed | None:
    """What was weighed of a thing; None where nothing was."""
    thing = weighing.things.find(table.cell(row, "gave"))
    expected = next((each for each in cutting.expected if each.thing == thing), None)
    if expected is None:
        names = ", ".join(each.thing.name for each in cutting.expected)
        raise ValueError(
            f"{cutting.piece.name}: {cutting.way} does not give {thing.name}; it gives {names}"
        )
    number = table.number(row, "gave count")
    pounds = table.pounds(row, "gave weight", weighing.week.unit)
    if expected.count is None:
        if number is not None:
            raise ValueError(f"{thing.name} is weighed, not counted")
        return None if pounds is None else Weighed(thing.full, None, pounds)
    planned = expected.count * count
    if pounds is None:
        return None if number in (None, planned) else Weighed(thing.full, number, None)
    return Weighed(thing.full, planned if number is None else number, pounds)


def _batch(
    table: FormTable, block: _Block, weighing: Weighing, _before: Sequence[Entry]
) -> WeighedBatch | None:
    unit = weighing.week.unit
    batch = table.attempt(block.row, partial(_blend, weighing, block.piece))
    if batch is None:
        return None
    made = table.attempt(block.row, partial(table.pounds, block.row, "weight", unit))
    took = []
    for row in block.things:
        pounds = table.attempt(row, partial(table.pounds, row, "gave weight", unit))
        thing = table.attempt(row, partial(weighing.things.find, table.cell(row, "gave")))
        if thing and thing not in [each for each, _ in batch.takes]:
            table.fault(row, f"{thing.name} does not go into {batch.blend.name}")
        elif thing and pounds:
            took.append(Weighed(thing.full, None, pounds))
    if made is None and not took and not batch.planned:  # entered already: as it was planned
        batch = weighing.whole_batch(batch.blend) or batch
    if made is None and (took or not batch.planned):
        table.fault(block.row, f"how much {batch.blend.name} was made is missing")
        return None
    if made is None:
        made = batch.pounds
    if not made and took:
        table.fault(block.row, f"meat went into {batch.blend.name}, and 0 of it was made")
    return WeighedBatch(batch, weighing.made(batch, made, took)) if made else None


def _blend(weighing: Weighing, text: str) -> BatchJob:
    try:
        return weighing.batch(text)
    except ValueError:
        thing = weighing.things.find(text)
        ways = ", ".join(weighing.things.ways(thing)) if thing.piece else ""
        if not ways:
            raise
        raise ValueError(f"the way in which {thing.name} was cut is missing: {ways}") from None
