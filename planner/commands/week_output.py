"""What `week` says of a plan: as text, as JSON, as tables, as a page; and its options."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands.common import wrong
from planner.core.signs import shown_line

if TYPE_CHECKING:
    from planner.ask.replan import Replan
    from planner.solve import Options
    from planner.solve.plan import Plan


SIX = "6:00"
"""When a butcher begins where nobody says."""

Page = Annotated[
    Path | None,
    typer.Option(
        metavar="OUT.html",
        help="Write a page for the wall there instead: one file, to be printed or ticked off on a "
        "tablet.",
    ),
]
Replace = Annotated[
    bool,
    typer.Option(
        "--replace",
        help="Let it overwrite a file that this option did not write; never a journal or a YAML "
        "file.",
    ),
]
Cutters = Annotated[
    int | None,
    typer.Option(
        min=1,
        max=12,
        metavar="N",
        help="Share the list among this many cutters. There is one grinder; saws are not counted.",
    ),
]
Begins = Annotated[
    str | None,
    typer.Option("--from", metavar="TIME", help=f"When the work begins. Default: {SIX}."),
]


@dataclass(frozen=True, slots=True)
class Sheets:
    """The page with the sheets of the days: where, for how many cutters, from what time on.

    `replace` holds for all that is written: what is there may give way (`Mark.replace`).
    """

    page: Path | None
    cutters: int
    begins: int
    replace: bool

    def stop_unless_fits(self) -> None:
        """Say before any planning that the page cannot be written."""
        from planner.files.atomic_write import stop_unless_writable
        from planner.show.page import MARK

        if self.page:
            stop_unless_writable(self.page, replace(MARK, replace=self.replace))

    def write(self, text: str, *, json: bool) -> None:
        """Write it, and say so: on standard error where standard output is for machines."""
        from planner.files.atomic_write import write_text
        from planner.show.page import MARK

        assert self.page
        write_text(self.page, text, replace(MARK, replace=self.replace))
        typer.echo(f"written: {shown_line(str(self.page))}", err=json)


@dataclass(frozen=True, slots=True)
class InShopFolder:
    """What is told of a plan in a shop folder: the one before, and the entry it is kept as."""

    replan: Replan | None
    entry: int | None


def stop_unless_fits(options: Options, sheets: Sheets, csv: Path | None) -> None:
    """Say before any planning what cannot be written."""
    from planner.files.atomic_write import stop_unless_writable
    from planner.show.table import csv_paths, stop_unless_tables_fit
    from planner.solve import MODEL

    tables = csv_paths(csv) if csv else ()
    named = (options.model_file, sheets.page, *tables)
    places = [os.path.realpath(path) for path in named if path]
    for path in places:
        if places.count(path) > 1:
            raise wrong(path, "is named for two files at once")
    if options.model_file:
        stop_unless_writable(options.model_file, replace(MODEL, replace=sheets.replace))
    if csv:
        stop_unless_tables_fit(csv, replace=sheets.replace)
    sheets.stop_unless_fits()


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
        sheets.write(week_page(plan, days, sheets.begins), json=json)
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
