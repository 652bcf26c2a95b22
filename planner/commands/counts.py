"""`breakplan counts`: what is in the case and the cooler now."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands.common import Json
from planner.commands.shop_folder import ShopFolder
from planner.core import clock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from planner.journal.entries import Entry
    from planner.shop.entering.context import EntryContext
    from planner.shop.entering.counting import Counting, ThingCount

EXAMPLE = (
    "Example: breakplan counts --at close\n\n"
    "From a spreadsheet, with columns what, amount, unit, made, weight: breakplan counts monday.csv"
)

NOON = 12


class At(StrEnum):
    """When things are counted."""

    OPEN = "open"
    CLOSE = "close"


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
        At | None,
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
            "--all", help="Ask for everything that can be there, not only what should be."
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
    from planner.commands.count_questions import CountTalk
    from planner.commands.entering import agreed_by, enter
    from planner.commands.prompt import Asker
    from planner.shop.entering.context import context_of
    from planner.shop.entering.counting import Counting
    from planner.show.counts import counted_json, counted_text, counts_rows
    from planner.show.layout import width_of

    when = shop_folder.day_given("--day", day, "past")
    moment = at or (At.CLOSE if when == clock.today() and clock.now().hour >= NOON else At.OPEN)
    opened, found = shop_folder.read_week(shop, when)
    shop_folder.stop_at_wrong_clock(found.recorded, yes=yes)
    week = found.week
    counting = Counting(week, found.recorded, when, moment.value)
    context = context_of(counting.things, found.recorded, when)
    asker = Asker(aside=json, sure=yes)
    if file is not None:
        counted = _from_table(file, counting, context, sure=yes)
    else:
        talk = CountTalk(asker, counting, context)
        counted = asker.until_stopped(lambda: talk.counts(everything=everything))
    entries: tuple[Entry, ...] = counting.entries(counted)
    agreed = agreed_by(asker, week, "What you counted would take its place.")
    rows = counts_rows(counted, week.unit)
    written = enter(opened.journal, entries, rows, found.last_entry, agreed)
    if json:
        typer.echo(counted_json(week, when, moment.value, counted, written))
    elif written:
        width = width_of(sys.stdout)
        typer.echo(counted_text(week, when, moment.value, counted, written, width))
    elif not entries:
        typer.echo("Nothing was counted, and nothing was entered.")


def _from_table(
    file: Path, counting: Counting, context: EntryContext, *, sure: bool
) -> Sequence[ThingCount]:
    """What a table says; what is kept though it is unlikely, and what has no amount, is told."""
    from planner.core.quantities import show_count
    from planner.shop.tables.count_file import read_counts

    said = read_counts(file, counting, context, sure=sure)
    for each in said.kept:
        typer.echo(f"kept: {each}", err=True)
    if said.passed:
        left = "is left as it is" if said.passed == 1 else "are left as they are"
        typer.echo(f"{show_count(said.passed, 'line')} without an amount: {left}", err=True)
    return said.counts
