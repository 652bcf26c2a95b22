"""`breakplan week`: plan the period of a scenario, or of many side by side."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands.common import Json, Seconds, Within, options_within, read
from planner.commands.paging import (
    SIX,
    Begins,
    Cutters,
    Page,
    stop_unless_page_fits,
    time_given,
    write_page,
)
from planner.errors import InputError, Problem

if TYPE_CHECKING:
    from planner.many.units import Runner
    from planner.plan import Plan
    from planner.solve import Options

EXAMPLE = (
    "Example: breakplan week corner-shop --within 0.05%\n\n"
    "For a spreadsheet: breakplan week corner-shop --csv tables\n\n"
    "For the wall: breakplan week corner-shop --page week.html\n\n"
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
    csv: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Write breaks.csv, cuts.csv, sales.csv and blends.csv there, for a spreadsheet, "
            "instead of printing the plan. Of one file only.",
        ),
    ] = None,
    page: Page = None,
    cutters: Cutters = None,
    begins: Begins = None,
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
    from planner.show.layout import width_of
    from planner.show.text import cautions_text

    if solver not in ("highs", "bundled"):
        raise typer.BadParameter(f"{solver} is neither highs nor bundled", param_hint="--solver")
    options = replace(
        options_within(within, seconds), bundled=solver == "bundled", model_file=model_file
    )
    if cores and scheduler:
        message = "is for this machine; a cluster takes as many as its workers have threads"
        raise InputError([Problem("--cores", 0, message)])
    many = len(files) > 1 or changes is not None
    for option, given in (("--csv", csv), ("--page", page), ("--model-file", model_file)):
        if given and (many or scheduler):
            message = "is written of one file alone, without --changes and --scheduler"
            raise InputError([Problem(option, 0, message)])
    for option, said in (("--cutters", cutters), ("--from", begins)):
        if said and not page:
            raise InputError([Problem(option, 0, "is for the sheets of --page")])
    if many or scheduler:
        code = _many(files, changes, options, _runner(cores, scheduler), single=not many, json=json)
    else:
        sheets = Sheets(page, cutters or 1, time_given("--from", begins or SIX))
        code = _one(files[0], options, sheets, json=json, csv=csv)
    if cautions and not json:
        typer.echo(f"\n{cautions_text(width_of(sys.stdout))}")
    if code:
        raise typer.Exit(code)


@dataclass(frozen=True, slots=True)
class Sheets:
    """The page with the sheets of the days: where, for how many cutters, from what time on."""

    page: Path | None
    cutters: int
    begins: int


def _one(file: str, options: Options, sheets: Sheets, *, json: bool, csv: Path | None) -> int:
    from planner.plan import plan_week
    from planner.show.progress import progress_line
    from planner.show.table import stop_unless_tables_fit, write_tables

    scenario = read(file)
    _stop_if_twice(options.model_file, sheets.page, csv)
    if csv:
        stop_unless_tables_fit(csv)
    stop_unless_page_fits(sheets.page)
    with progress_line(scenario.money) as progress:
        plan = plan_week(scenario, options, progress)
    if json or not (csv or sheets.page):
        _print(plan, json=json)
    if csv:
        names = ", ".join(path.name for path in write_tables(plan, csv))
        typer.echo(f"written to {csv}: {names}", err=json)
    if sheets.page:
        from planner.ask.morning import mornings
        from planner.show.page import week_page

        days = mornings(plan, range(scenario.days), sheets.cutters)
        write_page(sheets.page, week_page(plan, days, sheets.begins), json=json)
    return 0


def _stop_if_twice(model_file: Path | None, page: Path | None, csv: Path | None) -> None:
    """Refuse to write two things to the same place."""
    from planner.show.table import csv_paths

    tables = csv_paths(csv) if csv else ()
    places = [os.path.realpath(path) for path in (model_file, page, *tables) if path]
    for path in places:
        if places.count(path) > 1:
            raise InputError([Problem(path, 0, "is named for two files at once")])


def _print(plan: Plan, *, json: bool) -> None:
    from planner.show.json import plan_json
    from planner.show.layout import width_of
    from planner.show.text import plan_text

    typer.echo(plan_json(plan) if json else plan_text(plan, width_of(sys.stdout)))


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
    from planner.show.many import faults_text, weeks_json, weeks_text
    from planner.show.progress import bar_line

    with bar_line() as tell:
        weeks = plan_weeks(files, changes, options, runner, tell)
    for oddity in weeks.oddities:
        typer.echo(f"odd: {oddity}", err=True)
    plan = weeks.rows[0].plan
    if not single:
        typer.echo(weeks_json(weeks) if json else weeks_text(weeks))
    elif plan:
        _print(plan, json=json)
    if weeks.exit_code:
        typer.echo(faults_text(weeks), err=True)
    return weeks.exit_code
