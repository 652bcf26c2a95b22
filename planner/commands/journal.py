"""`breakplan journal`: what happened in the shop, and what else is to be entered."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer
from typer.core import TyperGroup

from planner.commands.common import Json, wrong
from planner.commands.shop_folder import ShopFolder, open_shop
from planner.core import clock
from planner.core.signs import shown_line

if TYPE_CHECKING:
    from planner.commands.journal_desk import OpenJournal

EXAMPLE = (
    "Example: breakplan journal --kind sale --from mon\n\n"
    'breakplan journal add "sale loin chops: 3.5 lb sold out on tue"\n\n'
    "breakplan journal undo"
)

SCREENFUL = 20

_BEFORE = {
    "--add": "add TEXT",
    "--undo": "undo [N]",
    "--import": "import FILE.csv",
    "--export": "export FILE.csv",
    "--backup": "backup FILE",
    "--restore": "restore COPY",
    "--new": "new",
}
"""What was an option once, and how it is written now."""


class _Group(TyperGroup):
    """Lists where no command is named, so that `breakplan journal 12` shows that entry."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:  # noqa: D102 - click's own
        words = 2 if args[:1] == ["--shop"] else 1  # of a shop that is named before the command
        shop, rest = args[:words], args[words:]
        if shop and shop[0].startswith("--shop") and rest and rest[0] in self.commands:
            args = [rest[0], *shop, *rest[1:]]
        if not args or args[0].isdecimal() or (args[0].startswith("-") and args[0] not in _HELP):
            args = ["list", *args]
        if args[0] == "list":
            for option in (each.partition("=")[0] for each in args):
                if option in _BEFORE:
                    message = f"write breakplan journal {_BEFORE[option]}"
                    raise wrong(option, message)
        return super().parse_args(ctx, args)


_HELP = ("-h", "--help")

app = typer.Typer(
    cls=_Group,
    help="List what happened in the shop, the newest last; enter, undo, import, export.\n\n"
    "Without a command it lists: breakplan journal is breakplan journal list, and takes its "
    "options.",
    epilog=EXAMPLE,
    rich_markup_mode=None,
    subcommand_metavar="[COMMAND] [ARGS]...",
)

_KINDS = "delivery, count, break, batch, sale, waste, order, filled, plan or yields"

Number = Annotated[int | None, typer.Argument(metavar="N", help="Only this entry.")]
Kind = Annotated[str | None, typer.Option(metavar="KIND", help=f"Only {_KINDS}.")]
What = Annotated[
    str | None, typer.Option(metavar="NAME", help="Only entries about this cut or piece.")
]
Begins = Annotated[
    str | None, typer.Option("--from", metavar="DAY", help="Only this day and later.")
]
Ends = Annotated[str | None, typer.Option("--to", metavar="DAY", help="Only this day and earlier.")]
DryRun = Annotated[
    bool, typer.Option("--dry-run", help="Show what would be entered, and enter nothing.")
]
Enter = Annotated[bool, typer.Option("--yes", help="Enter it in spite of a warning.")]


@contextmanager
def _opened(shop: Path | None) -> Iterator[OpenJournal]:
    """The journal of a shop, open."""
    from planner.commands.journal_desk import OpenJournal
    from planner.journal.store import Journal

    found = open_shop(shop)
    with Journal(found.journal) as journal:
        yield OpenJournal(found, journal, clock.today())


@app.command("list", epilog="Example: breakplan journal list --kind sale --from mon")
def list_(
    number: Number = None,
    shop: ShopFolder = None,
    kind: Kind = None,
    what: What = None,
    begins: Begins = None,
    ends: Ends = None,
    open_: Annotated[
        bool, typer.Option("--open", help="Orders to be picked up, and what is left.")
    ] = False,
    undone: Annotated[
        bool, typer.Option("--undone", help="Also entries that were undone.")
    ] = False,
    last: Annotated[
        int | None, typer.Option(min=1, metavar="N", help="The last N entries. Default: 20.")
    ] = None,
    all_: Annotated[bool, typer.Option("--all", help="All entries.")] = False,
    json: Json = False,
) -> None:
    """List what happened in the shop, the newest last.

    A day is a weekday, a date such as 2026-12-02, 2.12.2026 or 2 dec, today, yesterday, tomorrow.
    A weekday is the last one for what happened, and the coming one for deliveries and orders (today
    counts). What the list prints may be typed again after breakplan journal add.
    """
    _stop_both([("--all", all_), ("--last", last)])
    for option, value in (("--undone", undone), ("--last", last), ("--kind", kind)):
        _stop_both([("--open", open_), (option, value)])
    from planner.commands.journal_filters import Filters

    filters = Filters(kind, what, begins, ends, number, undone=undone)
    with _opened(shop) as opened:
        if open_:
            opened.show_open(filters, json=json)
        else:
            opened.show_list(filters, None if all_ or number else last or SCREENFUL, json=json)


@app.command(
    epilog='Example: breakplan journal add "sale loin chops: 3.5 lb sold out on tue"\n\n'
    'breakplan journal add "order boneless leg: 9 lb on fri for a bistro" "filled 12" --dry-run'
)
def add(
    texts: Annotated[
        list[str],
        typer.Argument(
            metavar="TEXT", help="What to enter, each in quotes; several are entered together."
        ),
    ],
    shop: ShopFolder = None,
    dry_run: DryRun = False,
    yes: Enter = False,
    json: Json = False,
) -> None:
    """Enter something, in words.

    Deliveries, orders, what is picked up of them, sales, waste, breaks and batches. A text begins
    with the kind of entry; what the list prints may be typed again. A weekday is the last one for
    what happened, and the coming one for deliveries and orders; without a day it is today.
    """
    if len(texts) > 1 and " " not in texts[0]:
        message = f'put each entry in quotes: breakplan journal add "{" ".join(texts)}"'
        raise wrong("add", message)
    with _opened(shop) as opened:
        opened.add(texts, yes=yes, dry_run=dry_run, json=json)


@app.command(epilog="Example: breakplan journal undo\n\nbreakplan journal undo 12")
def undo(
    number: Annotated[
        int | None,
        typer.Argument(metavar="N", help="What was entered with entry N. Default: the last."),
    ] = None,
    shop: ShopFolder = None,
    yes: Annotated[
        bool,
        typer.Option("--yes", help="Undo it even if not the last, or if in a recipe's figures."),
    ] = False,
    json: Json = False,
) -> None:
    """Undo what was entered last, or with entry N.

    It stays in the journal but no longer counts; what was entered together is undone together.
    """
    with _opened(shop) as opened:
        opened.undo(number, yes=yes, json=json)


@app.command(
    "import",
    epilog='Example: breakplan journal import till.csv --columns "Item=cut,Qty=amount,Date=day"',
)
def import_(
    file: Annotated[
        Path, typer.Argument(metavar="FILE.csv", help="All of it is entered, or none.")
    ],
    shop: ShopFolder = None,
    kind: Annotated[
        str | None,
        typer.Option(
            metavar="KIND",
            help=f"What the rows are if no column says so: {_KINDS}. Default: sale.",
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
            help="What the items of the file are called here, or a CSV file of two columns that "
            "says so; nothing after the = leaves an item out.",
        ),
    ] = None,
    skip_unknown: Annotated[
        bool, typer.Option("--skip-unknown", help="Leave out rows of items not sold here.")
    ] = False,
    dates: Annotated[
        Literal["dmy", "mdy"] | None,
        typer.Option(metavar="dmy|mdy", help="Which comes first in 1/12/2026."),
    ] = None,
    decimal: Annotated[
        Literal["point", "comma"] | None,
        typer.Option(metavar="point|comma", help="What separates the decimals."),
    ] = None,
    day: Annotated[
        str | None,
        typer.Option(metavar="DAY", help="The day of all rows, if the file has no days."),
    ] = None,
    dry_run: DryRun = False,
    yes: Enter = False,
    json: Json = False,
) -> None:
    """Enter a CSV file, from breakplan or from any till.

    All of it is entered, or nothing, and every faulty or doubtful line is named.
    """
    from planner.commands.journal_import import import_file, reading_of

    with _opened(shop) as opened:
        reading = reading_of(
            opened, kind, columns, items, dates, decimal, day, skip_unknown=skip_unknown
        )
        import_file(opened, file, reading, yes=yes, dry_run=dry_run, json=json)


@app.command(epilog="Example: breakplan journal export all.csv")
def export(
    file: Annotated[
        Path, typer.Argument(metavar="FILE.csv", help="- prints it. Never overwrites a file.")
    ],
    number: Number = None,
    shop: ShopFolder = None,
    kind: Kind = None,
    what: What = None,
    begins: Begins = None,
    ends: Ends = None,
    last: Annotated[
        int | None, typer.Option(min=1, metavar="N", help="The last N entries. Default: all.")
    ] = None,
    all_: Annotated[bool, typer.Option("--all", help="All entries.")] = False,
) -> None:
    """Write entries as CSV, all or those asked for.

    Import turns it into the same entries again.
    """
    _stop_both([("--all", all_), ("--last", last)])
    from planner.commands.journal_filters import Filters

    with _opened(shop) as opened:
        filters = Filters(kind, what, begins, ends, number)
        opened.export(file, filters, None if number else last)


@app.command(epilog="Example: breakplan journal backup copy.db")
def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Never overwrites a file.")],
    shop: ShopFolder = None,
) -> None:
    """Write a copy of the journal, even while it is in use."""
    from planner.journal.store import Journal

    with Journal(open_shop(shop).journal) as journal:
        journal.backup(file)
    typer.echo(f"Wrote a copy of the journal to {shown_line(str(file))}.")


@app.command(epilog="Example: breakplan journal restore copy.db")
def restore(
    copy: Annotated[Path, typer.Argument(metavar="COPY", help="A copy that backup wrote.")],
    shop: ShopFolder = None,
    yes: Annotated[bool, typer.Option("--yes", help="Restore it in spite of a warning.")] = False,
) -> None:
    """Replace the journal with a copy.

    The copy is checked first; the old journal is kept next to it under a name with the date.
    """
    from planner.core.quantities import show_count
    from planner.journal import restoring

    done = restoring.restore(copy, open_shop(shop).journal, clock.today(), sure=yes)
    entries = show_count(done.entries, "entry", "entries")
    typer.echo(f"Restored the journal from {shown_line(str(copy))}: {entries}.")
    if done.kept:
        only = "it could not be read"
        if done.missing is not None:
            only = f"{show_count(done.missing, 'entry', 'entries')} only there"
        kept = shown_line(str(done.kept))
        typer.echo(f"What was there before is kept as {kept}: {only}.")


@app.command(epilog="Example: breakplan journal new")
def new(shop: ShopFolder = None) -> None:
    """Begin an empty journal where the shop has none."""
    from planner.journal.store import Journal

    path = open_shop(shop).journal
    if path.exists():
        raise wrong(str(path), "already exists, and is left alone")
    Journal(path, create=True).close()
    typer.echo(f"Began an empty journal: {shown_line(str(path))}")


def _stop_both(options: list[tuple[str, object]]) -> None:
    """Stop where both of two options are given."""
    (one, first), (other, second) = options
    if first and second:
        raise wrong(other, f"does not go with {one}")
