"""What `week` says of a plan: as text, as JSON, as tables, as a page."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from planner.commands.common import wrong
from planner.commands.page_options import stop_unless_page_fits, write_page
from planner.core.signs import shown_line

if TYPE_CHECKING:
    from planner.ask.replan import Replan
    from planner.solve import Options
    from planner.solve.plan import Plan


@dataclass(frozen=True, slots=True)
class Sheets:
    """The page with the sheets of the days: where, for how many cutters, from what time on.

    `replace` holds for all that is written: what is there may give way (`Mark.replace`).
    """

    page: Path | None
    cutters: int
    begins: int
    replace: bool


@dataclass(frozen=True, slots=True)
class InShopFolder:
    """What is told of a plan in a shop folder: the one before, and the entry it is kept as."""

    replan: Replan | None
    entry: int | None


def stop_unless_fits(options: Options, sheets: Sheets, csv: Path | None) -> None:
    """Say before any planning what cannot be written."""
    from planner.files.atomic_write import stop_unless_writable
    from planner.show.table import stop_unless_tables_fit
    from planner.solve import MODEL

    _stop_if_twice(options.model_file, sheets.page, csv)
    if options.model_file:
        stop_unless_writable(options.model_file, replace(MODEL, replace=sheets.replace))
    if csv:
        stop_unless_tables_fit(csv, replace=sheets.replace)
    stop_unless_page_fits(sheets.page, replace=sheets.replace)


def _stop_if_twice(model_file: Path | None, page: Path | None, csv: Path | None) -> None:
    """Refuse to write two things to the same place."""
    from planner.show.table import csv_paths

    tables = csv_paths(csv) if csv else ()
    places = [os.path.realpath(path) for path in (model_file, page, *tables) if path]
    for path in places:
        if places.count(path) > 1:
            raise wrong(path, "is named for two files at once")


def tell(
    plan: Plan, shop: InShopFolder | None, sheets: Sheets, *, json: bool, csv: Path | None
) -> None:
    """Print a plan, or write it as tables and a page; in a shop folder also what has changed."""
    from planner.show.table import write_tables

    if json or not (csv or sheets.page):
        print_plan(plan, shop, json=json)
    if csv:
        names = ", ".join(path.name for path in write_tables(plan, csv, replace=sheets.replace))
        typer.echo(f"written to {shown_line(str(csv))}: {names}", err=json)
    if sheets.page:
        from planner.ask.morning import mornings
        from planner.show.page import week_page

        days = mornings(plan, range(plan.scenario.days), sheets.cutters)
        text = week_page(plan, days, sheets.begins)
        write_page(sheets.page, text, replace=sheets.replace, json=json)
    if shop and not json:
        from planner.show.layout import width_of
        from planner.show.replan import replan_text

        if shop.replan:
            gap = "" if csv or sheets.page else "\n"
            typer.echo(gap + replan_text(shop.replan, width_of(sys.stdout)))
        if shop.entry:
            typer.echo(f"Kept as entry {shop.entry}.")


def print_plan(plan: Plan, shop: InShopFolder | None = None, *, json: bool) -> None:
    """Print a plan as text or as JSON."""
    from planner.show.data import json_text
    from planner.show.json import plan_data
    from planner.show.layout import width_of
    from planner.show.replan_data import shop_data
    from planner.show.text import plan_text

    if not json:
        typer.echo(plan_text(plan, width_of(sys.stdout)))
        return
    more = {} if shop is None else shop_data(shop.replan, shop.entry)
    typer.echo(json_text(plan_data(plan) | more))
