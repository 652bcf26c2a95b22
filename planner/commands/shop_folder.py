"""What the commands of a shop folder share: where it is, its journal, what day it is."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands.common import given, tell_warnings, wrong
from planner.core import clock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from planner.core.days import Toward
    from planner.files.shop_file import Shop
    from planner.journal.entries import Recorded
    from planner.shop.week.now import ShopState

ShopFolder = Annotated[
    Path | None,
    typer.Option(
        "--shop",
        metavar="DIR",
        help="The shop folder. Default: this folder, or the nearest above it with a shop.yaml.",
    ),
]

DespiteClock = Annotated[
    bool, typer.Option("--yes", help="Enter it though the clock of this machine looks wrong.")
]


def day_given(option: str, text: str | None, toward: Toward) -> date:
    """The day that an option names, on one side of today; today where it names none."""
    from planner.core.days import read_day

    today = clock.today()
    if text is None:
        return today
    return given(option, text, lambda said: read_day(said, today, toward, within="today is"))


def stop_at_wrong_clock(recorded: Sequence[Recorded], *, yes: bool) -> None:
    """Enter nothing by a clock that cannot be right, unless somebody says yes; then it is told."""
    from planner.shop.entering.wrongclock import clock_doubt

    doubt = clock_doubt(recorded, clock.now())
    if doubt and not yes:
        raise wrong("nothing is written", f"{doubt}; to go on all the same, add --yes")
    if doubt:
        typer.echo(f"warning: {doubt}", err=True)


def open_shop(folder: Path | None) -> Shop:
    """Read the shop file; warnings go to standard error."""
    from planner.files.shop_file import find_shop, read_shop
    from planner.shop.learned.write_yields import settle_yields

    shop, warnings = read_shop(find_shop(folder, Path()))
    if settle_yields(shop.recipe_files, shop.journal):  # a writing of yields was stopped
        shop, warnings = read_shop(shop.folder)
    tell_warnings(warnings)
    return shop


def read_journal(shop: Shop) -> tuple[tuple[Recorded, ...], tuple[Recorded, ...]]:
    """All entries of a shop's journal, and those that count."""
    from planner.journal.counting import counting
    from planner.journal.store import Journal

    with Journal(shop.journal) as journal:
        everything = journal.recorded(undone=True)
    return everything, counting(everything)


def read_week(shop: Shop, day: date) -> ShopState:
    """A shop as it was on a day on which something happened."""
    from planner.shop.week.now import ShopState

    return ShopState(shop, read_journal(shop)[0], day)


def is_shop(file: str) -> bool:
    """Whether what is named in place of a scenario is a shop folder."""
    from planner.files.file_kind import SHOP_FILE

    try:
        return (Path(file) / SHOP_FILE).is_file()
    except (OSError, ValueError):  # told by whoever reads it
        return False
