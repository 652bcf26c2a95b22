"""`breakplan trim`: where trim, fat and bones go, what is short or too much, and what mends it."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.commands import common
from planner.commands.common import options_within
from planner.commands.starting import start_of

EXAMPLE = 'Example: breakplan trim corner-shop, or --square "trim 85, fat: 10 lb at 20%"'


def trim(
    file: common.ScenarioFile,
    square: Annotated[
        str | None,
        typer.Option(
            metavar="MIX",
            help="Only work out a mix of two for a share of fat, without a plan: "
            "`trim 85, fat: 20%` or `trim 85, fat: 10 lb at 20%`.",
        ),
    ] = None,
    no_advice: Annotated[
        bool,
        typer.Option("--no-advice", help="Do not look for remedies of what is short or too much."),
    ] = False,
    everything: common.All = False,
    json: common.Json = False,
    within: common.Within = None,
    seconds: common.Seconds = 60.0,
    solver: common.Solver = "highs",
) -> None:
    """What the grind is short of, which trim, fat and bones are left over, and the remedies.

    With --all also every trim, fat and bone by day, and what binds each blend. The time is for the
    plan and all questions about it.
    """
    from planner.ask.pearson_square import square_of
    from planner.ask.trim import trim_balance
    from planner.show.data import json_text
    from planner.show.progress import counted_line, progress_line
    from planner.show.square import square_data, square_text
    from planner.show.trim import trim_text
    from planner.show.trim_data import trim_data

    options = options_within(within, seconds, solver)
    start = start_of(file)
    scenario = start.scenario
    if square is not None:
        mix = square_of(scenario, square)
        typer.echo(json_text(square_data(mix, scenario)) if json else square_text(mix, scenario))
        return
    shown, options = start.plan_before_questions(options)
    with progress_line(scenario.units) as progress, counted_line("questions") as count:
        answer = trim_balance(scenario, options, progress, count, advice=not no_advice, shown=shown)
    typer.echo(json_text(trim_data(answer)) if json else trim_text(answer, everything))
