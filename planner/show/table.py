"""A plan as tables for a spreadsheet: comma-separated values, units in the heads.

Figures are those of the JSON. No column mixes units, so that it can be summed: what is sold by
weight and what is sold by each have columns of their own.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from planner.core.csv_cells import harmless
from planner.core.plan_lines import way_cut
from planner.core.units import figure
from planner.files.atomic_write import Mark, make_folder, stop_unless_writable, write_text
from planner.show.data import Data
from planner.solve.plan import Plan

NAMES = ("breaks", "cuts", "sales", "blends")

ENCODING = "utf-8-sig"
"""With a byte order mark: without one, spreadsheets take UTF-8 for an older encoding."""

_BEGINS = {
    "breaks": "date,day,lot,lot arrives,species,piece,way,tool,count,weight (",
    "cuts": "species,cut,sold by,on hand (",
    "sales": "date,day,species,cut,to,amount (",
    "blends": "date,day,species,blend,from,weight in (",
}
"""How the heads of each begin, up to the first unit: a file that begins so is one of ours."""

Cell = str | int | float | None


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads; a cell without anything to tell is None."""

    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def tables(plan: Plan) -> Mapping[str, Table]:
    """Breaks, cuts, sales and blends of a plan.

    Weights are in the scenario's unit, money in its own; lots are numbered from 1, as on sheets.
    Of blends there is a row for each cut that goes in, and what comes out stands in the first of
    a batch, so that both columns sum up to what they are of the whole.
    """
    made = (_breaks(plan), _cuts(plan), _sales(plan), _blends(plan))
    return MappingProxyType(dict(zip(NAMES, made, strict=True)))


def csv_text(table: Table) -> str:
    """A table as CSV (RFC 4180); texts that a spreadsheet would reckon with are made harmless."""
    text = io.StringIO(newline="")
    csv.writer(text).writerows(
        [harmless(cell) if isinstance(cell, str) else cell for cell in row] for row in _lines(table)
    )
    return text.getvalue()


def write_tables(plan: Plan, folder: Path, *, replace: bool = False) -> tuple[Path, ...]:
    """Write each table into a file of its own in a folder, and return the files.

    The folder is made where it is missing. One that was written so before is replaced at once,
    any other where `replace` lets it (`Mark.replace`).

    Raises
    ------
    InputError
        The folder cannot be made, or a file not written.
    """
    make_folder(folder)
    paths = csv_paths(folder)
    for path, table in zip(paths, tables(plan).values(), strict=True):
        write_text(path, csv_text(table), _mark(path.stem, replace=replace), ENCODING)
    return paths


def stop_unless_tables_fit(folder: Path, *, replace: bool = False) -> None:
    """Raise `InputError` where `write_tables` would: to be asked before any planning.

    The folder is there afterwards.
    """
    make_folder(folder)
    for path in csv_paths(folder):
        stop_unless_writable(path, _mark(path.stem, replace=replace))


def csv_paths(folder: Path) -> tuple[Path, ...]:
    """The files that are written, in the order of `NAMES`."""
    return tuple(folder / f"{name}.csv" for name in NAMES)


def _mark(name: str, *, replace: bool) -> Mark:
    return Mark(_BEGINS[name].encode(ENCODING), "a table of --csv", replace)


def _lines(table: Table) -> tuple[tuple[Cell, ...], ...]:
    return (table.heads, *table.rows)


def _dates(plan: Plan) -> list[tuple[str, str]]:
    """Date and label of each day."""
    scenario = plan.scenario
    dates = [scenario.date(day) for day in range(scenario.days)]
    return [(d.isoformat(), label) for d, label in zip(dates, scenario.day_labels, strict=True)]


def _breaks(plan: Plan) -> Table:
    dates, figures, unit = _dates(plan), Data(plan.scenario), plan.scenario.unit
    lots = plan.scenario.lots
    return Table(
        (
            *("date", "day", "lot", "lot arrives", "species", "piece", "way", "tool"),
            *("count", f"weight ({unit})", "minutes"),
        ),
        tuple(
            (
                *dates[each.day],
                each.lot + 1,
                dates[lots[each.lot].arrives][0],
                each.species,
                each.piece,
                each.way,
                way_cut(plan.scenario, each).tool,
                each.count,
                figures.weight(each.weight),
                figures.number(each.minutes),
            )
            for each in plan.breaks
        ),
    )


def _cuts(plan: Plan) -> Table:
    figures, unit, money = Data(plan.scenario), plan.scenario.unit, plan.scenario.money
    words = ("on hand", "made", "sold", "blended", "wasted", "left")
    rows: list[tuple[Cell, ...]] = []
    for line in plan.cuts:
        values = (line.on_hand, line.made, line.sold, line.blended, line.wasted, line.left)
        told = tuple(figures.amount(line.cut, value) for value in values)
        none = (None,) * len(values)
        amounts = (*none, *told) if line.by_each else (*told, *none)
        sold_by = "each" if line.by_each else unit
        rows.append((line.species, line.cut, sold_by, *amounts, figures.number(line.revenue)))
    heads = [f"{word} ({by})" for by in (unit, "each") for word in words]
    return Table(("species", "cut", "sold by", *heads, f"revenue ({money})"), tuple(rows))


def _sales(plan: Plan) -> Table:
    scenario, dates, figures = plan.scenario, _dates(plan), Data(plan.scenario)
    unit, money = scenario.unit, scenario.money
    rows: list[tuple[Cell, ...]] = []
    for sale in plan.sales:
        cut = scenario.cuts[sale.cut]
        told = figures.amount(sale.cut, sale.amount), figures.price(sale.cut, sale.price)
        amounts = (None, None, *told) if cut.by_each else (*told, None, None)
        rows.append((*dates[sale.day], cut.species, sale.cut, sale.to, *amounts))
    heads = [head for by in (unit, "each") for head in (f"amount ({by})", f"price ({money}/{by})")]
    return Table(("date", "day", "species", "cut", "to", *heads), tuple(rows))


def _blends(plan: Plan) -> Table:
    scenario, dates, figures = plan.scenario, _dates(plan), Data(plan.scenario)
    rows: list[tuple[Cell, ...]] = []
    for batch in plan.batches:
        fat = None if batch.fat is None else figures.number(batch.fat)
        made: tuple[Cell, ...] = (figures.weight(batch.made), batch.batches, fat)
        for cut, pounds in batch.takes.items():
            species = scenario.cuts[batch.blend].species
            takes = (*dates[batch.day], species, batch.blend, cut, figures.weight(pounds))
            rows.append((*takes, *made))
            made = (None,) * len(made)
    unit = scenario.unit
    heads = ("date", "day", "species", "blend", "from", f"weight in ({unit})")
    return Table((*heads, f"made ({unit})", "batches", "fat (share of weight in)"), tuple(rows))


def bench_table(plan: Plan) -> Table:
    """Minutes by day; `available` is None where there is no limit."""
    dates, number = _dates(plan), figure
    return Table(
        ("date", "day", "minutes", "available (minutes)", "overtime (minutes)"),
        tuple(
            (
                *dates[each.day],
                number(each.minutes),
                None if each.available is None else number(each.available),
                number(each.overtime),
            )
            for each in plan.bench
        ),
    )
