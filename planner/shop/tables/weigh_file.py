"""A weigh-in read from a table: one row a thing that a break gave."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from typing import TypeVar

from planner.core.errors import InputError, Problem
from planner.core.quantities import show_day
from planner.journal.entries import Entry, Weighed
from planner.shop.entering.block_checks import block_warnings, entered_already
from planner.shop.entering.context import EntryContext
from planner.shop.entering.day_plan import BatchJob, Cutting, WeighedBatch, WeighedBreak
from planner.shop.entering.warning import EntryWarning
from planner.shop.entering.weighing import Weighing
from planner.shop.tables.csv_file import CsvRow
from planner.shop.tables.table import EntryTable

T = TypeVar("T")

MOST_JOBS = 300
"""Breaks and batches of a day; each is checked against the stock after all before it."""

LATE = 7
"""Days back beyond which a table that alone says its day is likelier an old one."""


@dataclass
class _Block:
    """The rows of one break or batch: the first, its piece, way, count and weight, and others."""

    row: CsvRow
    job: list[str]
    things: list[CsvRow] = field(default_factory=list)

    @property
    def name(self) -> str:
        return self.job[0]

    @property
    def way(self) -> str:
        return self.job[1]


def day_of(table: EntryTable, near: date, *, said: bool) -> date:
    """The day that a table is of; `near`, the day that is `said`, or today, where it says none.

    Raises `InputError`: a line is of another day than the one that is said, or than the lines above
    it, or of a day to come.
    """
    first: tuple[int, date] | None = None
    for row in table.rows:
        day = table.attempt(row, partial(table.day, row))
        if day is None:
            continue
        told = f"this is of {show_day(day)}"
        if said and day != near:
            told += f", and --day says {show_day(near)}"
        elif first and day != first[1]:
            told += f", and line {first[0]} is of {show_day(first[1])}: a table is of one day"
        elif day > near:
            told += ", which is still to come"
        else:
            first = first or (row.line, day)
            continue
        table.fault(row.line, told)
        break
    table.stop()
    return first[1] if first else near


def read_weighed_in(
    table: EntryTable, context: EntryContext, *, today: date | None = None
) -> list[WeighedBreak | WeighedBatch]:
    """Read a table: the breaks, then the batches.

    `today` is given where the table alone says its day: more than `LATE` days back is questioned.
    Raises `InputError` with every fault of the table, and what is unlikely unless it is kept.
    """
    weighing = context.weighing
    back = (today - weighing.day).days if today else 0
    if back > LATE:
        table.doubt(0, EntryWarning(f"this is of {show_day(weighing.day)}, {back} days ago"))
    answers: list[WeighedBreak | WeighedBatch] = []
    then = context
    for block in sorted(_blocks(table), key=lambda each: not each.way):
        reader = _BlockReader(table, block, weighing)
        answer = reader.weighed_break(then.before) if block.way else reader.batch()
        if answer is None:
            continue
        # that there are no more pieces for it follows from its being entered already
        for each in list(entered_already(answer, then)) or block_warnings(answer, then):
            table.doubt(block.row.line, each)
        answers.append(answer)
        then = then.after(answer.entry)
    table.stop()
    said = [each.entry for each in answers]
    if said and said == list(weighing.as_planned()):
        jobs = "the job is" if len(said) == 1 else f"all {len(said)} jobs are"
        table.doubt(0, EntryWarning(f"nothing was filled in: {jobs} taken as done as planned"))
        table.stop()
    return answers


def _blocks(table: EntryTable) -> list[_Block]:
    """Rows that belong together.

    A row that repeats piece, way, count and weight of the one above goes on with it, unless it
    has no thing, or one that was there: then it is another piece.
    """
    blocks: list[_Block] = []
    seen: set[str] = set()
    for row in table.rows:
        job = [table.text(row, head) for head in ("piece", "way", "count", "weight")]
        thing = table.text(row, "gave")
        if any(job):
            if not (blocks and job == blocks[-1].job and thing) or thing in seen:
                if not job[0]:
                    table.fault(row.line, "the piece is missing")
                    continue
                blocks.append(_Block(row, job))
                seen = set()
        elif not thing:
            if _has_weight(table, row):
                table.fault(row.line, "the name of what was weighed is missing")
            continue
        if not blocks:
            table.fault(row.line, "the piece that gave this is missing")
        elif thing:
            if thing in seen:
                table.fault(row.line, f'"{thing}" is listed twice for {blocks[-1].name}')
            seen.add(thing)
            blocks[-1].things.append(row)
    if len(blocks) > MOST_JOBS:
        told = f"{len(blocks):,} breaks and batches, and nobody does more than {MOST_JOBS:,} a day"
        raise InputError([Problem(table.name, 0, told)])
    return blocks


def _has_weight(table: EntryTable, row: CsvRow) -> bool:
    return bool(table.text(row, "gave weight") or table.text(row, "gave count"))


class _BlockReader:
    """Reads one block as a break or a batch; None where nothing was done, or there is a fault."""

    def __init__(self, table: EntryTable, block: _Block, weighing: Weighing) -> None:
        self._table, self._block, self._weighing = table, block, weighing

    def weighed_break(self, before: Sequence[Entry]) -> WeighedBreak | None:
        table, block, line = self._table, self._block, self._block.row.line
        count = self._first(lambda row: table.whole(row, "count"))
        if not count:
            if count is None and not block.job[2]:
                table.fault(line, "how many were cut is missing; 0 where none was")
            for row in block.things if count == 0 else ():
                if _has_weight(table, row):
                    told = f"something was weighed of a {block.name}, and 0 were cut"
                    table.fault(row.line, told)
            return None
        cutting = self._first(
            lambda _: self._weighing.cutting(block.name, block.way, count, before)
        )
        if cutting is None:
            return None
        pounds = self._first(lambda row: table.pounds(row, "weight"))
        if pounds == 0:
            told = "pieces that weigh nothing; leave the weight empty where it is not known"
            table.fault(line, told)
        found = [table.attempt(row, partial(self._gave, row, cutting)) for row in block.things]
        gave = [each for each in found if each]
        return WeighedBreak(cutting, self._weighing.entry(cutting, count, pounds, gave))

    def _gave(self, row: CsvRow, cutting: Cutting) -> Weighed | None:
        """What was weighed of a thing; None where nothing was."""
        table = self._table
        thing = self._weighing.catalog.find(table.text(row, "gave"))
        expected = next((each for each in cutting.expected if each.thing == thing), None)
        if expected is None:
            names = ", ".join(each.thing.name for each in cutting.expected)
            job = f"{cutting.piece.name}: {cutting.way}"
            raise ValueError(f"{job} does not give {thing.name}; it gives {names}")
        number, pounds = table.whole(row, "gave count"), table.pounds(row, "gave weight")
        planned = None if expected.count is None else expected.count * cutting.count
        if planned is None and number is not None:
            raise ValueError(f"{thing.name} is weighed, not counted")
        if pounds is None and number in (None, planned):
            return None
        return Weighed(thing.full, planned if number is None else number, pounds)

    def batch(self) -> WeighedBatch | None:
        table, block, line = self._table, self._block, self._block.row.line
        batch = self._first(lambda _: self._blend())
        if batch is None:
            return None
        made = self._first(lambda row: table.pounds(row, "weight"))
        took = []
        for row in block.things:
            pounds = table.attempt(row, partial(table.pounds, row, "gave weight"))
            name = table.text(row, "gave")
            thing = table.attempt(row, partial(self._weighing.catalog.find, name))
            if thing and thing not in [each for each, _ in batch.takes]:
                table.fault(row.line, f"{thing.name} does not go into {batch.blend.name}")
            elif thing and pounds:
                took.append(Weighed(thing.full, None, pounds))
        if made is None and not took and not batch.planned:  # entered already: as it was planned
            batch = self._weighing.whole_batch(batch.blend) or batch
        if made is None and (took or not batch.planned):
            table.fault(line, f"how much {batch.blend.name} was made is missing")
            return None
        made = batch.pounds if made is None else made
        if not made and took:
            table.fault(line, f"meat went into {batch.blend.name}, and 0 of it was made")
        return WeighedBatch(batch, self._weighing.made(batch, made, took)) if made else None

    def _blend(self) -> BatchJob:
        try:
            return self._weighing.batch(self._block.name)
        except ValueError:
            catalog = self._weighing.catalog
            thing = catalog.find(self._block.name)
            ways = ", ".join(catalog.ways(thing)) if thing.piece else ""
            if not ways:
                raise
            told = f"the way in which {thing.name} was cut is missing: {ways}"
            raise ValueError(told) from None

    def _first(self, read: Callable[[CsvRow], T | None]) -> T | None:
        """What the first row says; a fault of it is told."""
        row = self._block.row
        return self._table.attempt(row, lambda: read(row))
