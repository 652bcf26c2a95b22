"""`breakplan week`: plan the period of a scenario, or of many side by side."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands.common import Json, Seconds, Within, options_within, read
from planner.errors import InputError, Problem

if TYPE_CHECKING:
    from planner.many.units import Runner
    from planner.solve import Options

EXAMPLE = (
    "Example: breakplan week corner-shop --within 0.05%\n\n"
    "Several: breakplan week shops/*.yaml --cores 4\n\n"
    "Futures: breakplan week shops/*.yaml --changes ideas.yaml --json"
)


def week(
    files: Annotated[
        list[str],
        typer.Argument(
            metavar="FILE",
            help="Scenario files, or names of shipped ones. Several are planned side by side "
            "and told in one table; one that fails does not stop the others.",
        ),
    ],
    changes: Annotated[
        str | None,
        typer.Option(
            metavar="FILE.yaml",
            help="Plan each file also with every named alternative of this one, as for `whatif`.",
        ),
    ] = None,
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
            help="Write the model there as MPS (score with its sign turned, to be minimized). "
            "Of one file only.",
        ),
    ] = None,
    cautions: Annotated[bool, typer.Option("--cautions", help="Print all cautions.")] = False,
    cores: Annotated[
        int | None,
        typer.Option(min=1, metavar="N", help="Plan so many at the same time. Default: all cores."),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS",
            help="Have a Dask cluster do it, such as tcp://192.168.1.5:8786. "
            "Its workers need breakplan, and not your files.",
        ),
    ] = None,
) -> None:
    """Plan the period of a scenario: its breaks, its case, its orders, its money.

    --within and --seconds are for each plan. Exit codes with several files: 0 when all have a plan,
    else the smallest code of those without; 1 when a process was killed.
    """
    from planner.show.cautions import FULL

    if solver not in ("highs", "bundled"):
        raise typer.BadParameter(f"{solver} is neither highs nor bundled", param_hint="--solver")
    options = replace(
        options_within(within, seconds), bundled=solver == "bundled", model_file=model_file
    )
    if cores and scheduler:
        message = "is for this machine; a cluster takes as many as its workers have threads"
        raise InputError([Problem("--cores", 0, message)])
    many = len(files) > 1 or changes is not None
    if model_file and (many or scheduler):
        message = "is written of one file alone, without --changes and --scheduler"
        raise InputError([Problem("--model-file", 0, message)])
    if many or scheduler:
        code = _many(files, changes, options, _runner(cores, scheduler), single=not many, json=json)
    else:
        code = _one(files[0], options, json=json)
    if cautions and not json:
        typer.echo(f"\n{FULL}")
    if code:
        raise typer.Exit(code)


def _one(file: str, options: Options, *, json: bool) -> int:
    from planner.plan import plan_week
    from planner.show.json import plan_json
    from planner.show.progress import progress_line
    from planner.show.text import plan_text

    scenario = read(file)
    with progress_line(scenario.money) as progress:
        plan = plan_week(scenario, options, progress)
    typer.echo(plan_json(plan) if json else plan_text(plan))
    return 0


def _runner(cores: int | None, scheduler: str | None) -> Runner:
    """Processes of this machine, or a cluster."""
    if scheduler is not None:
        from planner.many.cluster import Cluster

        return Cluster(scheduler, notice=lambda line: typer.echo(f"cluster: {line}", err=True))
    from planner.many.processes import Processes, all_cores

    return Processes(cores or all_cores())


def _many(
    files: list[str],
    changes: str | None,
    options: Options,
    runner: Runner,
    *,
    single: bool,
    json: bool,
) -> int:
    """Plan files side by side; a single one that a cluster planned is told like any other."""
    from planner.many.weeks import plan_weeks
    from planner.show.json import plan_json
    from planner.show.many import faults_text, weeks_json, weeks_text
    from planner.show.progress import bar_line
    from planner.show.text import plan_text

    with bar_line() as tell:
        weeks = plan_weeks(files, changes, options, runner, tell)
    for oddity in weeks.oddities:
        typer.echo(f"odd: {oddity}", err=True)
    plan = weeks.rows[0].plan
    if not single:
        typer.echo(weeks_json(weeks) if json else weeks_text(weeks))
    elif plan:
        typer.echo(plan_json(plan) if json else plan_text(plan))
    if weeks.exit_code:
        typer.echo(faults_text(weeks), err=True)
    return weeks.exit_code
