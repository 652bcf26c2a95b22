"""A plan as tables for a spreadsheet: comma-separated values, units in the heads.

Figures are those of the JSON. No column mixes units, so that it can be summed: what is sold by
weight and what is sold by each have columns of their own.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from planner.core.csv_cells import harmless
from planner.core.plan_lines import way_cut
from planner.core.units import figure
from planner.files.atomic_write import Mark, make_folder, stop_unless_writable, write_text
from planner.show.data import Data
from planner.solve.plan import Plan

ENCODING = "utf-8-sig"
"""With a byte order mark: without one, spreadsheets take UTF-8 for an older encoding."""

_BEGINS = {
    "breaks": "date,day,lot,lot arrives,species,piece,way,tool,count,weight (",
    "cuts": "species,cut,sold by,on hand (",
    "sales": "date,day,species,cut,to,amount (",
    "blends": "date,day,species,blend,from,weight in (",
}
"""How the heads of each begin, up to the first unit: a file that begins so is one of ours."""

NAMES = tuple(_BEGINS)

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
    makers = (_breaks, _cuts, _sales, _blends)
    return MappingProxyType({name: make(plan) for name, make in zip(NAMES, makers, strict=True)})


def csv_text(table: Table) -> str:
    """A table as CSV (RFC 4180); texts that a spreadsheet would compute are made harmless."""
    text = io.StringIO(newline="")
    csv.writer(text).writerows(
        [harmless(cell) if isinstance(cell, str) else cell for cell in row]
        for row in (table.heads, *table.rows)
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


def _dates(plan: Plan) -> list[tuple[str, str]]:
    """Date and label of each day."""
    scenario = plan.scenario
    dates = [scenario.date(day) for day in range(scenario.days)]
    return [(d.isoformat(), label) for d, label in zip(dates, scenario.day_labels, strict=True)]


def _breaks(plan: Plan) -> Table:
    dates, data, lots = _dates(plan), Data(plan.scenario), plan.scenario.lots
    rows = (
        (
            *dates[each.day],
            *(each.lot + 1, dates[lots[each.lot].arrives][0]),
            *(each.species, each.piece, each.way, way_cut(plan.scenario, each).tool),
            *(each.count, data.weight(each.weight), figure(each.minutes)),
        )
        for each in plan.breaks
    )
    heads = ("date", "day", "lot", "lot arrives", "species", "piece", "way", "tool", "count")
    return Table((*heads, f"weight ({plan.scenario.unit})", "minutes"), tuple(rows))


def _cuts(plan: Plan) -> Table:
    data, units = Data(plan.scenario), plan.scenario.units
    words = ("on hand", "made", "sold", "blended", "wasted", "left")
    rows: list[tuple[Cell, ...]] = []
    for line in plan.cuts:
        values = (line.on_hand, line.made, line.sold, line.blended, line.wasted, line.left)
        amounts = _beside(line.by_each, [data.amount(line.cut, value) for value in values])
        sold_by = units.by(line.by_each)
        rows.append((line.species, line.cut, sold_by, *amounts, figure(line.revenue)))
    heads = [f"{word} ({by})" for by in (units.unit, "each") for word in words]
    return Table(("species", "cut", "sold by", *heads, f"revenue ({units.symbol})"), tuple(rows))


def _beside(by_each: bool, figures: Sequence[float]) -> tuple[Cell, ...]:
    """Figures in the columns of weights or, behind them, in those of what is sold by each."""
    none = (None,) * len(figures)
    return (*none, *figures) if by_each else (*figures, *none)


def _sales(plan: Plan) -> Table:
    scenario, dates, data = plan.scenario, _dates(plan), Data(plan.scenario)
    rows: list[tuple[Cell, ...]] = []
    for sale in plan.sales:
        cut = scenario.cuts[sale.cut]
        told = data.amount(sale.cut, sale.amount), data.price(sale.cut, sale.price)
        amounts = _beside(cut.by_each, told)
        rows.append((*dates[sale.day], cut.species, sale.cut, sale.to, *amounts))
    heads = (
        head
        for by in (scenario.unit, "each")
        for head in (f"amount ({by})", f"price ({scenario.money}/{by})")
    )
    return Table(("date", "day", "species", "cut", "to", *heads), tuple(rows))


def _blends(plan: Plan) -> Table:
    scenario, dates, data = plan.scenario, _dates(plan), Data(plan.scenario)
    rows: list[tuple[Cell, ...]] = []
    for batch in plan.batches:
        fat = None if batch.fat is None else figure(batch.fat)
        made: tuple[Cell, ...] = (data.weight(batch.made), batch.batches, fat)
        for cut, pounds in batch.takes.items():
            species = scenario.cuts[batch.blend].species
            takes = (*dates[batch.day], species, batch.blend, cut, data.weight(pounds))
            rows.append((*takes, *made))
            made = (None,) * len(made)
    unit = scenario.unit
    heads = ("date", "day", "species", "blend", "from", f"weight in ({unit})")
    return Table((*heads, f"made ({unit})", "batches", "fat (share of weight in)"), tuple(rows))


def bench_table(plan: Plan) -> Table:
    """Minutes by day; `available` is None where there is no limit."""
    dates = _dates(plan)
    rows = (
        (
            *dates[each.day],
            figure(each.minutes),
            None if each.available is None else figure(each.available),
            figure(each.overtime),
        )
        for each in plan.bench
    )
    heads = ("date", "day", "minutes", "available (minutes)", "overtime (minutes)")
    return Table(heads, tuple(rows))
