"""`breakplan yields`: what each way really gives in this shop, beside the recipe."""

from __future__ import annotations

import sys
from datetime import date, timedelta
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import common
from planner.commands.common import checked_seconds, given, tell_warnings
from planner.commands.shop_folder import (
    DespiteClock,
    ShopFolder,
    open_shop,
    read_journal,
    stop_at_wrong_clock,
)
from planner.core import clock
from planner.core.errors import BreakplanError, InputError

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from planner.ask.yields import Worths
    from planner.core.recipe import Recipe
    from planner.files.shop_file import Shop
    from planner.journal.entries import Recorded

EXAMPLE = "Example: breakplan yields shoulder"


def yields(
    piece: Annotated[
        str | None,
        typer.Argument(metavar="PIECE", help="Only this piece, all its ways. Else all weighed."),
    ] = None,
    shop: ShopFolder = None,
    json: common.Json = False,
    write: Annotated[
        bool,
        typer.Option(
            "--write", help="Put the estimates into the shop's own recipe; its comments stay."
        ),
    ] = False,
    yes: DespiteClock = False,
    seconds: common.Seconds = 30.0,
) -> None:
    """Say what each way gives in this shop, by its weigh-ins, and what a point of yield is worth.

    The planner uses the estimate: the recipe's shares drawn towards the shop's own. The time is for
    what a point is worth; if it runs out, the breaks stay as planned in that answer.
    """
    from planner.core.recipe import full_name
    from planner.journal.store import Journal
    from planner.shop.learned.weighed import taken_back
    from planner.shop.learned.write_yields import write_yields
    from planner.shop.learned.yield_report import way_yields
    from planner.show.data import json_text
    from planner.show.layout import width_of
    from planner.show.yields import written_text, yields_text
    from planner.show.yields_data import YieldsAnswer, written_data, yields_data

    time = checked_seconds(seconds)
    opened = open_shop(shop)
    day = clock.today()
    recipes = opened.week(day).recipes
    pieces = _pieces(recipes, piece)
    if write:
        with Journal(opened.journal) as journal:
            stop_at_wrong_clock(journal.recorded(), yes=yes)
            full = None if piece is None else [full_name(*each) for each in pieces]
            done = write_yields(opened.recipe_files, journal, day, full)
        typer.echo(json_text(written_data(done)) if json else written_text(done))
        return
    everything, recorded = read_journal(opened)
    found = way_yields(recipes, recorded, day + timedelta(days=1))
    worths, why_not = _worths(opened, recorded, day, pieces, time)
    back = taken_back(recipes, everything)
    answer = YieldsAnswer(opened.usual, day, found, frozenset(pieces), worths, why_not, back)
    text = json_text(yields_data(answer)) if json else yields_text(answer, width_of(sys.stdout))
    typer.echo(text)


def _pieces(recipes: Sequence[Recipe], text: str | None) -> list[tuple[str, str]]:
    """Species and piece that are meant; none where none is named."""
    from planner.core.recipe import recipe_with
    from planner.core.signs import shown_line
    from planner.files.names import piece_names

    if text is None:
        return []
    name = given("PIECE", shown_line(text.strip()), piece_names(recipes).find)
    return [(recipe_with(recipes, name).species, name)]


def _worths(
    shop: Shop,
    recorded: Sequence[Recorded],
    day: date,
    pieces: Collection[tuple[str, str]],
    seconds: float,
) -> tuple[Worths | None, str]:
    """What a point is worth from today on; without a plan why there is none."""
    from planner.ask.yields import worths
    from planner.shop.week.now import scenario_now
    from planner.show.progress import counted_line, progress_line
    from planner.solve import Options

    now = scenario_now(shop, recorded, day)
    tell_warnings(now.warnings)
    scenario = now.scenario
    if not scenario.lots:
        return None, "nothing is in the cooler, so no week can be planned"
    options = Options(seconds=seconds)
    with progress_line(shop.units) as progress, counted_line("ways") as count:
        try:
            return worths(scenario, pieces, options, progress, count), ""
        except InputError:
            raise
        except BreakplanError as error:  # what was learned can be told without a plan
            return None, str(error).splitlines()[0]
