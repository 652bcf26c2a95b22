"""`breakplan why`: why the plan cuts pieces the way it does."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import common
from planner.commands.common import given, options_within, wrong
from planner.commands.starting import start_of

if TYPE_CHECKING:
    from planner.core.scenario import Scenario

EXAMPLE = "Example: breakplan why corner-shop shoulder"


def why(
    file: common.ScenarioFile,
    piece: Annotated[
        str | None,
        typer.Argument(metavar="PIECE", help="Only this piece. Default: all of them, and limits."),
    ] = None,
    json: common.Json = False,
    within: common.Within = None,
    seconds: common.Seconds = 60.0,
    solver: common.Solver = "highs",
) -> None:
    """Say what one more piece cut another way would cost, and the price at which it would pay.

    Without a piece also what ten more minutes on a day, a pound more wanted or a day longer kept
    would be worth. The time is for all of it.
    """
    from planner.ask.why import why as ask
    from planner.show.data import json_text
    from planner.show.progress import counted_line, progress_line
    from planner.show.why import why_data, why_text
    from planner.solve import stop_if_in_parts

    options = options_within(within, seconds, solver)
    start = start_of(file)
    scenario = start.scenario
    name = None if piece is None else _piece(scenario, piece)
    stop_if_in_parts(scenario, options, "why")
    shown, options = start.plan_before_questions(options)
    with progress_line(scenario.units) as progress, counted_line("questions") as count:
        answer = ask(scenario, name, options, progress, count, shown)
    typer.echo(json_text(why_data(answer)) if json else why_text(answer))


def _piece(scenario: Scenario, text: str) -> str:
    """The piece that is meant, which is on the rail or comes from what is."""
    from planner.files.names import piece_names

    name = given("PIECE", text.strip(), piece_names(scenario.recipes).find)
    known = dict.fromkeys(each for lot in scenario.lots for each in lot.weights())
    if name not in known:
        there = ", ".join(known) or "it is empty"
        raise wrong("PIECE", f"no {name} comes from what is on the rail ({there})")
    return name
