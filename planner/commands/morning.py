"""`breakplan morning`: the cutting list of one day."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import common
from planner.commands.common import given, options_within, wrong
from planner.commands.replan import CALM, Calm, folder_of, in_shop, list_of_day, stop_if_given
from planner.commands.shop_folder import ShopFolder, day_given
from planner.commands.starting import start_of
from planner.commands.week_output import SIX, Begins, Cutters, Page, Replace, Sheets
from planner.core import clock

if TYPE_CHECKING:
    from planner.core.scenario import Scenario
    from planner.solve import Options
    from planner.solve.plan import Plan

EXAMPLE = (
    "Example: breakplan morning corner-shop --day thu --cutters 2\n\n"
    "For the wall: breakplan morning corner-shop --day thu --page thursday.html\n\n"
    "In a shop folder, today's list: breakplan morning"
)


def morning(
    file: Annotated[
        str | None,
        typer.Argument(
            metavar="FILE",
            help="A scenario file, or the name of a shipped one. None in a shop folder: the list "
            "of the plan it keeps.",
        ),
    ] = None,
    day: Annotated[
        str | None,
        typer.Option(
            metavar="DAY",
            help="A weekday or a date of the period. Default: today if it is in the period, else "
            "the first day. In a shop folder a weekday is the next one, today included.",
        ),
    ] = None,
    cutters: Cutters = None,
    begins: Begins = None,
    until: Annotated[
        str | None,
        typer.Option(
            metavar="TIME",
            help="When all of it must be done. Default: the day's bench and overtime, by cutter.",
        ),
    ] = None,
    page: Page = None,
    replace: Replace = False,
    json: common.Json = False,
    shop: ShopFolder = None,
    calm: Calm = None,
    look: Annotated[
        bool, typer.Option("--look", help="In a shop folder: show the list, and keep nothing.")
    ] = False,
    within: common.Within = None,
    seconds: common.Seconds = 60.0,
    solver: common.Solver = "highs",
) -> None:
    """Print the cutting list of one day, in the order in which the work is done.

    Which head come down, what to cut and how, with the weights expected, what goes into which tray,
    what is ground, what goes into the case or is wrapped for orders, what is out of date tonight.
    The bench of the file is the minutes of all cutters together. What is ticked and written on a
    page is there only while the page is open.

    In a shop folder, without FILE, it is the list of the plan that `week` has kept, less what is
    done; where none covers the day, the rest of the week is planned. What is shown is kept: it is
    what `weigh-in` and `counts` go by.
    """
    from planner.ask.morning import mornings
    from planner.core.quantities import read_time
    from planner.show.data import json_text
    from planner.show.layout import width_of
    from planner.show.morning import morning_text
    from planner.show.morning_data import morning_data

    options = options_within(within, seconds, solver)
    start = given("--from", begins or SIX, read_time)
    end = None if until is None else given("--until", until, read_time)
    if end is not None and end <= start:
        message = f"{until} is not after {begins or SIX}, when the first piece is taken up"
        raise wrong("--until", message)
    if replace and not page:
        raise wrong("--replace", "is for --page")
    sheets = Sheets(page, cutters or 1, start, replace)
    folder = folder_of(file, shop)
    if folder:
        plan, number = _in_shop(folder, day, options, calm or CALM, sheets, look=look)
    else:
        assert file is not None
        stop_if_given({"--calm": calm, "--look": look}, file)
        begun = start_of(file)
        number = _day(begun.scenario, day)
        sheets.stop_unless_fits()
        plan = begun.plan(options)
    (found,) = mornings(plan, [number], sheets.cutters, None if end is None else end - start)
    if page:
        from planner.show.page import morning_page

        sheets.write(morning_page(found, start), json=json)
    if json:
        typer.echo(json_text(morning_data(found, start)))
    elif not page:
        typer.echo(morning_text(found, start, width_of(sys.stdout)))


def _in_shop(
    folder: Path, text: str | None, options: Options, calm: str, sheets: Sheets, *, look: bool
) -> tuple[Plan, int]:
    """The plan of a shop folder's week, and the number of the day asked for in it."""
    from planner.core.quantities import read_money

    money = given("--calm", calm, read_money)
    today = clock.today()
    day = day_given("--day", text, "coming")
    found = in_shop(folder, today, sheet=day)
    starts = found.now.starts
    if day < starts and text:
        raise wrong("--day", f"{text}: the shop is closed then; it opens {starts.isoformat()}")
    sheets.stop_unless_fits()
    plan, said = list_of_day(found, options, money, look=look)
    if said:
        typer.echo(said, err=True)
    return plan, max(0, (day - starts).days)


def _day(scenario: Scenario, text: str | None) -> int:
    """The number of the day asked for; today's where nobody asks and it is in the period."""
    from planner.files.days import Period

    period = Period(scenario.starts, scenario.days, clock.today())
    if text is None:
        today = clock.today()
        return period.dates.index(today) if today in period.dates else 0
    return given("--day", text, period.one)
