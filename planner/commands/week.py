"""`breakplan week`: plan the period of a scenario."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from planner.commands.common import Json, ScenarioFile, Seconds, Within, options_within, read

EXAMPLE = "Example: breakplan week corner-shop --within 0.05%"


def week(
    file: ScenarioFile,
    json: Json = False,
    within: Within = None,
    seconds: Seconds = 60.0,
    solver: Annotated[
        str,
        typer.Option(
            metavar="highs|bundled", help="`bundled` is PuLP's own solver: slower, a cross-check."
        ),
    ] = "highs",
    model_file: Annotated[
        Path | None,
        typer.Option(
            metavar="F",
            help="Write the model there as MPS (score with its sign turned, to be minimized).",
        ),
    ] = None,
    cautions: Annotated[bool, typer.Option("--cautions", help="Print all cautions.")] = False,
) -> None:
    """Plan the period of a scenario: its breaks, its case, its orders, its money."""
    from planner.plan import plan_week
    from planner.show.cautions import FULL
    from planner.show.json import plan_json
    from planner.show.progress import progress_line
    from planner.show.text import plan_text

    if solver not in ("highs", "bundled"):
        raise typer.BadParameter(f"{solver} is neither highs nor bundled", param_hint="--solver")
    options = replace(
        options_within(within, seconds), bundled=solver == "bundled", model_file=model_file
    )
    scenario = read(file)
    with progress_line(scenario.money) as progress:
        plan = plan_week(scenario, options, progress)
    typer.echo(plan_json(plan) if json else plan_text(plan))
    if cautions and not json:
        typer.echo(f"\n{FULL}")
