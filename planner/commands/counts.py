"""`breakplan counts`: what is in the case and the cooler now."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from planner.commands.common import Json
from planner.commands.shop_folder import ShopFolder
from planner.core import clock

if TYPE_CHECKING:
    from planner.journal.entries import Entry, Moment

EXAMPLE = (
    "Example: breakplan counts --at close\n\n"
    "From a spreadsheet, with columns what, amount, unit, made, weight: breakplan counts monday.csv"
)

NOON = 12


def counts(
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="CSV",
            help="A table to read instead of asking: what, amount, unit, made, weight. - is "
            "standard input.",
        ),
    ] = None,
    at: Annotated[
        Literal["open", "close"] | None,
        typer.Option(
            help="Before anything of the day is cut or sold, or after all of it. Default: open "
            "before noon, close after it; of another day than today: open."
        ),
    ] = None,
    day: Annotated[
        str | None,
        typer.Option(
            metavar="DAY",
            help="A day up to today, such as mon, yesterday, last fri or 2 dec. Default: today.",
        ),
    ] = None,
    everything: Annotated[
        bool,
        typer.Option(
            "--all", help="Ask about everything that can be there, not only what should be."
        ),
    ] = False,
    yes: Annotated[
        bool, typer.Option("--yes", help="Accept implausible values without asking.")
    ] = False,
    shop: ShopFolder = None,
    json: Json = False,
) -> None:
    """Count what is in the case and the cooler, cut by cut: at a prompt, or from a table.

    What is typed replaces what is expected; Enter leaves a thing as it is. Implausible values are
    questioned. All is entered at the end, together, and the differences are shown.
    """
    from planner.commands import shop_folder
    from planner.commands.count_questions import CountQuestions
    from planner.commands.entering import enter, tell_kept
    from planner.commands.prompt import Asker
    from planner.core.quantities import show_count
    from planner.shop.entering.context import context_of
    from planner.shop.entering.counting import Counting
    from planner.shop.tables.count_file import HEADS, NEEDED, read_counts
    from planner.shop.tables.table import read_form
    from planner.show.counts import counted_json, counted_text, counts_rows
    from planner.show.layout import width_of

    when = shop_folder.day_given("--day", day, "past")
    afternoon = when == clock.today() and clock.now().hour >= NOON
    moment: Moment = at or ("close" if afternoon else "open")
    opened = shop_folder.open_shop(shop)
    found = shop_folder.read_week(opened, when)
    shop_folder.stop_at_wrong_clock(found.recorded, yes=yes)
    week = found.week
    counting = Counting(week, found.recorded, when, moment)
    context = context_of(counting.catalog, found.recorded, when)
    asker = Asker(aside=json, sure=yes)
    if file is not None:
        table = read_form(file, HEADS, NEEDED, week.units, when, sure=yes)
        counted, passed = read_counts(table, counting, context)
        tell_kept(table)
        if passed:
            left = "is left as it is" if passed == 1 else "are left as they are"
            typer.echo(f"{show_count(passed, 'line')} without an amount: {left}", err=True)
    else:
        questions = CountQuestions(asker, counting, context)
        counted = asker.until_stopped(lambda: questions.counts(everything=everything))
    entries: tuple[Entry, ...] = counting.entries(counted)
    rows, what_then = counts_rows(counted, week.unit), "What you counted would take its place."
    written = enter(asker, opened.journal, found, entries, rows, what_then)
    if json:
        typer.echo(counted_json(week, when, moment, counted, written))
    elif written:
        width = width_of(sys.stdout)
        typer.echo(counted_text(week, when, moment, counted, written, width))
    elif not entries:
        typer.echo("Nothing was counted, and nothing was entered.")
