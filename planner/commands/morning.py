"""`breakplan morning`: the cutting list of one day."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands.common import Json, ScenarioFile, Seconds, Within, options_within, read
from planner.commands.paging import (
    SIX,
    Begins,
    Cutters,
    Page,
    stop_unless_page_fits,
    time_given,
    write_page,
)

if TYPE_CHECKING:
    from planner.scenario import Scenario

EXAMPLE = (
    "Example: breakplan morning corner-shop --day thu --cutters 2\n\n"
    "For the wall: breakplan morning corner-shop --day thu --page thursday.html"
)


def morning(
    file: ScenarioFile,
    day: Annotated[
        str | None,
        typer.Option(
            metavar="DAY",
            help="A weekday or a date of the period. Default: today, or else its first day.",
        ),
    ] = None,
    cutters: Cutters = None,
    begins: Begins = None,
    until: Annotated[
        str | None,
        typer.Option(
            metavar="TIME",
            help="When all has to be done. Default: bench and overtime of the day, by cutter.",
        ),
    ] = None,
    page: Page = None,
    json: Json = False,
    within: Within = None,
    seconds: Seconds = 60.0,
) -> None:
    """Print the cutting list of one day, in the order in which the work is done.

    Which head come down, what to cut how with the weights expected, what goes into which tray, what
    is ground, what is put into the case and wrapped for orders, and what is out of date tonight.
    The bench of the file is the minutes of all cutters together. What is ticked and written on a
    page is there only while the page is open.
    """
    from planner.ask.morning import mornings
    from planner.plan import plan_week
    from planner.show.layout import width_of
    from planner.show.morning import morning_text
    from planner.show.morningdata import morning_json
    from planner.show.progress import progress_line

    options = options_within(within, seconds)
    start = time_given("--from", begins or SIX)
    end = None if until is None else time_given("--until", until)
    if end is not None and end <= start:
        message = f"{until} is not after {begins or SIX}, when the first piece is taken up"
        raise typer.BadParameter(message, param_hint="--until")
    scenario = read(file)
    number = _day(scenario, day)
    stop_unless_page_fits(page)
    with progress_line(scenario.money) as progress:
        plan = plan_week(scenario, options, progress)
    (found,) = mornings(plan, [number], cutters or 1, None if end is None else end - start)
    if page:
        from planner.show.page import morning_page

        write_page(page, morning_page(found, start), json=json)
    if json:
        typer.echo(morning_json(found, start))
    elif not page:
        typer.echo(morning_text(found, start, width_of(sys.stdout)))


def _day(scenario: Scenario, text: str | None) -> int:
    """The number of the day asked for; today's where nobody asks and it is in the period."""
    from planner.files.days import Period

    period = Period(scenario.starts, scenario.days)
    if text is None:
        today = date.today()
        return period.dates.index(today) if today in period.dates else 0
    try:
        return period.one(text)
    except ValueError as error:
        raise typer.BadParameter(str(error), param_hint="--day") from None
