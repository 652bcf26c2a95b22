"""`breakplan weigh-in`: actual weights of what the morning's sheet had."""

from __future__ import annotations

import sys
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands.common import Json, wrong
from planner.commands.shop_folder import ShopFolder
from planner.core import clock

if TYPE_CHECKING:
    from planner.shop.entering.weighing import Weighing

EXAMPLE = (
    "Example: breakplan weigh-in\n\n"
    "With a spreadsheet: breakplan weigh-in --csv-form monday.csv, fill it in, then breakplan "
    "weigh-in monday.csv"
)


def weigh_in(
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="CSV",
            help="A table to read instead of asking: day, piece, way, count, weight, gave, gave "
            "count, gave weight. - is standard input.",
        ),
    ] = None,
    day: Annotated[
        str | None,
        typer.Option(
            metavar="DAY",
            help="A day up to today, such as mon, yesterday, last fri or 2 dec. Default: that of "
            "the table, else today.",
        ),
    ] = None,
    form: Annotated[
        Path | None,
        typer.Option(
            "--csv-form",
            metavar="FILE",
            help="Write the day's list as a table to be filled in, never over a file that is "
            "there, and enter nothing. - is standard output.",
        ),
    ] = None,
    yes: Annotated[
        bool, typer.Option("--yes", help="Accept implausible values without asking.")
    ] = False,
    shop: ShopFolder = None,
    json: Json = False,
) -> None:
    """Enter what was cut and what it weighed, in the order of the morning's sheet.

    For each job of the day's plan: Enter is done as planned and not weighed; w weighs it, thing by
    thing, and next goes on to the next job; all takes all the rest as planned. Then comes what was
    not planned. Implausible values are questioned. All is entered at the end, together.
    """
    from planner.commands.entering import enter, tell_kept
    from planner.commands.prompt import Asker
    from planner.commands.shop_folder import (
        day_given,
        open_shop,
        read_week,
        stop_at_wrong_clock,
    )
    from planner.commands.weigh_in_walk import ask_weighed
    from planner.shop.entering.context import context_of
    from planner.shop.entering.weighing import Weighing
    from planner.shop.tables.table import read_form
    from planner.shop.tables.weigh_file import day_of, read_weighed_in
    from planner.shop.tables.weigh_form import HEADS, NEEDED, entry_rows
    from planner.show.layout import width_of
    from planner.show.weigh_in import weighed_json, weighed_text

    if form is not None and file is not None:
        raise wrong("--csv-form", "write a form, or read a table: not both")
    when = day_given("--day", day, "past")
    opened, table = open_shop(shop), None
    if file is not None:
        table = read_form(file, HEADS, NEEDED, opened.units, when, sure=yes)
        when = day_of(table, when, said=day is not None)
    found = read_week(opened, when)
    week = found.week
    weighing = Weighing(week, found.recorded, when, found.written.recipes)
    if form is not None:
        _write_form(form, weighing, json=json)
        return
    stop_at_wrong_clock(found.recorded, yes=yes)
    asker = Asker(aside=json, sure=yes)
    context = context_of(weighing.catalog, found.recorded, when, weighed=weighing)
    if table:
        said = read_weighed_in(table, context, today=None if day else clock.today())
        tell_kept(table)
    else:
        said = asker.until_stopped(lambda: ask_weighed(asker, context))
    entries = [each.entry for each in said]
    what_then = "What you typed would come on top of it."
    written = enter(
        asker, opened.journal, found, entries, entry_rows(entries, week.units), what_then
    )
    if json:
        typer.echo(weighed_json(week, when, said, written))
    elif written:
        width = width_of(sys.stdout)
        typer.echo(weighed_text(week, when, said, written, width))
    elif not entries:
        typer.echo("Nothing was cut or made, and nothing was entered.")


def _write_form(path: Path, weighing: Weighing, *, json: bool) -> None:
    from planner.core.signs import shown_line
    from planner.files.atomic_write import is_standard_output, write_text
    from planner.shop.tables.weigh_form import form_rows
    from planner.show.table import ENCODING, Table, csv_text
    from planner.show.weigh_in import form_json

    if json and is_standard_output(path):
        told = "does not go with --csv-form -: that writes the table to standard output"
        raise wrong("--json", told)
    heads, *rows = form_rows(weighing)
    text = csv_text(Table(tuple(heads), tuple(map(tuple, rows))))
    if is_standard_output(path):
        typer.echo(text, nl=False)
        return
    write_text(path, text, None, ENCODING)
    name = shown_line(str(path))
    if json:
        typer.echo(form_json(weighing, str(path)))
    elif weighing.plan.number is not None:
        typer.echo(f"Written: {name}. Fill in the weights, then:")
        typer.echo(f"  breakplan weigh-in {quote(name)}")
    else:
        typer.echo(f"No plan is kept for {weighing.day}: only heads are in {name}.")
