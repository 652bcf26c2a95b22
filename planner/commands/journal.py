"""`breakplan journal`: what happened in the shop, and what else is to be entered."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner import clock
from planner.commands.common import Json
from planner.commands.shop_folder import ShopFolder, open_shop
from planner.errors import InputError, Problem

if TYPE_CHECKING:
    pass

EXAMPLE = (
    "Example: breakplan journal --kind sale --from mon\n\n"
    'breakplan journal --add "sale loin chops: 3.5 lb sold out on tue"\n\n'
    'breakplan journal --add "order boneless leg: 9 lb on fri for a bistro"\n\n'
    "breakplan journal --undo\n\n"
    'breakplan journal --import till.csv --columns "Item=cut,Qty=amount,Date=day"\n\n'
    "breakplan journal --export all.csv"
)

SCREENFUL = 20

_LISTS = ("--kind", "--what", "--from", "--to", "--undone", "--open", "--all", "--last", "N")
_IMPORTS = ("--columns", "--items", "--skip-unknown", "--dates", "--decimal", "--day")
_WITH = {
    "--add": ("--dry-run", "--yes", "--json"),
    "--undo": ("N", "--yes", "--json"),
    "--export": ("--kind", "--what", "--from", "--to", "--last", "--all", "N"),
    "--import": (*_IMPORTS, "--kind", "--dry-run", "--yes", "--json"),
    "--backup": (),
    "--restore": ("--yes",),
    "--new": (),
}
"""What goes with what is to be done; the rest is for a list, or for something else of these."""


def journal(
    number: Annotated[
        int | None, typer.Argument(metavar="[N]", help="Only this entry; with --undo, its writing.")
    ] = None,
    shop: ShopFolder = None,
    kind: Annotated[
        str | None,
        typer.Option(
            metavar="KIND",
            help="Only delivery, count, break, batch, sale, waste, order, filled, plan or yields. "
            "With --import, what the rows are where no column tells it; default: sale.",
        ),
    ] = None,
    what: Annotated[
        str | None, typer.Option(metavar="NAME", help="Only what is about this cut or piece.")
    ] = None,
    begins: Annotated[
        str | None, typer.Option("--from", metavar="DAY", help="Only this day and later.")
    ] = None,
    ends: Annotated[
        str | None, typer.Option("--to", metavar="DAY", help="Only this day and earlier.")
    ] = None,
    open_: Annotated[
        bool, typer.Option("--open", help="Orders that are not picked up, and what is left.")
    ] = False,
    undone: Annotated[bool, typer.Option("--undone", help="Also what was undone.")] = False,
    last: Annotated[
        int | None, typer.Option(min=1, metavar="N", help="The last N. Default: 20.")
    ] = None,
    all_: Annotated[bool, typer.Option("--all", help="All of them.")] = False,
    json: Json = False,
    add: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TEXT", help="Enter something; several are entered together. See the examples."
        ),
    ] = None,
    undo: Annotated[
        bool, typer.Option("--undo", help="Undo what was entered last, or with entry N.")
    ] = False,
    export: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE.csv",
            help="Write entries as CSV, all or those asked for; - prints it. Never over a file.",
        ),
    ] = None,
    import_: Annotated[
        Path | None,
        typer.Option(
            "--import", metavar="FILE.csv", help="Enter all of a CSV file, or nothing of it."
        ),
    ] = None,
    columns: Annotated[
        str | None,
        typer.Option(
            metavar='"HEAD=OURS,.."',
            help="Which columns of the file are the cut, amount, unit, day, money, sold out.",
        ),
    ] = None,
    items: Annotated[
        str | None,
        typer.Option(
            metavar='"ITEM=CUT,.."',
            help="What items of the file are called here, or a CSV file of two columns that says "
            "so; nothing behind the = leaves an item out.",
        ),
    ] = None,
    skip_unknown: Annotated[
        bool, typer.Option("--skip-unknown", help="Leave out rows of items that are none of ours.")
    ] = False,
    dates: Annotated[
        str | None, typer.Option(metavar="dmy|mdy", help="What comes first in 1/12/2026.")
    ] = None,
    decimal: Annotated[
        str | None, typer.Option(metavar="point|comma", help="What stands before decimals.")
    ] = None,
    day: Annotated[
        str | None,
        typer.Option(metavar="DAY", help="The day of all rows, where the file has none."),
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would be entered, and enter nothing.")
    ] = False,
    backup: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write a copy of the journal, also while it is in use."),
    ] = None,
    restore: Annotated[
        Path | None,
        typer.Option(
            metavar="COPY",
            help="Put a copy in the place of the journal, which is kept beside it under a name "
            "with the date.",
        ),
    ] = None,
    new: Annotated[
        bool, typer.Option("--new", help="Begin an empty journal where the shop has none.")
    ] = False,
    yes: Annotated[
        bool,
        typer.Option(
            "--yes", help="Enter it in spite of a warning; undo it though it is not last."
        ),
    ] = False,
) -> None:
    """List what happened in the shop, the newest last; enter, undo, import, export.

    A day is a weekday, a date such as 2026-12-02, 2.12.2026 or 2 dec, today, yesterday, tomorrow.
    A weekday is the last one for what happened, and the coming one for deliveries and orders (today
    counts); without a day it is today. What the list prints may be typed again behind --add.
    """
    given = {
        "--kind": kind,
        "--what": what,
        "--from": begins,
        "--to": ends,
        "--open": open_,
        "--undone": undone,
        "--last": last,
        "--all": all_,
        "N": number,
        "--json": json,
        "--add": add,
        "--undo": undo,
        "--export": export,
        "--import": import_,
        "--columns": columns,
        "--items": items,
        "--skip-unknown": skip_unknown,
        "--dates": dates,
        "--decimal": decimal,
        "--day": day,
        "--dry-run": dry_run,
        "--backup": backup,
        "--restore": restore,
        "--new": new,
        "--yes": yes,
    }
    action = _action({option for option, value in given.items() if value not in (None, False, [])})
    from planner.commands.journal_desk import JournalDesk, begin_journal, restore_journal
    from planner.commands.journal_filters import Filters

    opened = open_shop(shop)
    if action == "--new":
        begin_journal(opened.journal)
        return
    if action == "--restore" and restore:
        restore_journal(restore, opened.journal, sure=yes)
        return
    with JournalDesk(opened, clock.today()) as desk:
        if action == "--backup" and backup:
            desk.back_up(backup)
        elif action == "--undo":
            desk.undo(number, yes=yes, json=json)
        elif action == "--add" and add:
            desk.add(add, yes=yes, dry_run=dry_run, json=json)
        elif action == "--import" and import_:
            from planner.commands.journal_import import FileWords, import_file

            words = FileWords(kind, columns, items, skip_unknown, dates, decimal, day)
            import_file(desk, import_, words, yes=yes, dry_run=dry_run, json=json)
        else:
            filters = Filters(kind, what, begins, ends, number, undone=undone)
            if action == "--export" and export:
                desk.export(export, filters, None if all_ or number else last)
            elif open_:
                desk.show_open(filters, json=json)
            else:
                desk.show_list(filters, None if all_ or number else last or SCREENFUL, json=json)


def _action(given: set[str]) -> str | None:
    """What is to be done besides listing; options that do not go with it are faults."""
    actions = [option for option in _WITH if option in given]
    problems: list[Problem] = []
    if len(actions) > 1:
        problems.append(Problem(actions[1], 0, f"and {actions[0]} are done one after the other"))
    action = actions[0] if actions else None
    allowed = {*_WITH[action], action} if action else {*_LISTS, "--json"}
    for option in sorted(given - allowed - set(actions)):
        if action is None:
            goes = " or ".join(each for each, others in _WITH.items() if option in others)
            problems.append(Problem(option, 0, f"goes with {goes}"))
        else:
            problems.append(Problem(option, 0, f"does not go with {action}"))
    both = [("--all", "--last"), ("--open", "--undone"), ("--open", "--last"), ("--open", "--kind")]
    for one, other in both:
        if {one, other} <= given and not problems:
            problems.append(Problem(other, 0, f"does not go with {one}"))
    if problems:
        raise InputError(problems)
    return action
