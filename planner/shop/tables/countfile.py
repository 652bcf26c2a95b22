"""A count in a table: one row a portion."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from planner.errors import Problem
from planner.measures import POUNDS
from planner.shop.entering.counting import Counting
from planner.shop.entering.things import Thing, printable
from planner.shop.entering.typed import Portion
from planner.shop.tables.columns import UNITS
from planner.shop.tables.csvfile import Row
from planner.shop.tables.filledin import Table

HEADS = ("what", "amount", "unit", "made", "pounds", "weight")
"""`pounds` is what pieces weigh in all, in pounds; `weight` the same in the shop's unit."""

Answers = Mapping[Thing, tuple[Portion, ...]]


def read_counts(path: Path, counting: Counting, *, sure: bool) -> tuple[Answers, list[Problem]]:
    """What a table says was counted; the second is what is doubted and kept (`sure`).

    Rows without an amount are things that nobody looked at.

    Raises
    ------
    InputError
        With every fault of the table, and what is doubted unless it is kept.
    """
    table = Table(path, HEADS, ("what", "amount"), ("amount", "pounds", "weight"), ("made",))
    answers: dict[Thing, tuple[Portion, ...]] = {}
    lines: dict[Thing, Row] = {}
    for row in table.rows:
        if not table.cell(row, "amount"):
            continue
        name = table.cell(row, "what")
        if not name:
            table.fault(row, "an amount without the name of what it is of")
            continue
        thing = table.attempt(row, lambda name=name: counting.things.find(name))  # type: ignore[misc]
        if thing is None:
            continue
        portion = table.attempt(
            row,
            lambda row=row, thing=thing: _portion(table, row, thing, counting),  # type: ignore[misc]
        )
        if portion is None:
            continue
        lines.setdefault(thing, row)
        answers[thing] = (*answers.get(thing, ()), portion)
    doubts: list[Problem] = []
    for thing, portions in answers.items():
        doubt = counting.doubt(counting.line(thing), portions)
        if doubt and sure:
            doubts.append(Problem(table.name, lines[thing].line, doubt))
        elif doubt:
            table.fault(lines[thing], f"{doubt}; put it right, or keep it with --yes")
    table.stop_if_faulty()
    return answers, doubts


def _portion(table: Table, row: Row, thing: Thing, counting: Counting) -> Portion:
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
        return Portion(float(number), made, pounds or None)
    if own == "each":
        raise ValueError(f"{thing.name} is weighed, not counted by each")
    if pounds is not None:
        raise ValueError(f"{thing.name} is no piece: its weight stands under amount")
    weight = table.pounds(row, "amount", own or unit) or 0.0
    return Portion(weight, made)
