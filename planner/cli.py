"""The program `breakplan`: commands only. Read, ask, show."""

from __future__ import annotations

import io
import math
import os
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner import __version__
from planner.errors import BreakplanError

if TYPE_CHECKING:
    from planner.scenario import Scenario

# what a command needs beyond this is imported inside it: `--help` should not wait for a solver

app = typer.Typer(
    name="breakplan",
    help="Plan the week's breaks of a whole-animal butcher shop: which way to cut each piece, "
    "and when, to earn the most.",
    epilog="Example: breakplan week corner-shop",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"breakplan {__version__}")
        raise typer.Exit


@app.callback()
def _breakplan(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass


ScenarioFile = Annotated[
    str, typer.Argument(metavar="FILE", help="A scenario file, or the name of a shipped one.")
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON for machines.")]


@app.command(epilog="Example: breakplan week corner-shop --within 0.05%")
def week(
    file: ScenarioFile,
    json: Json = False,
    within: Annotated[
        str | None,
        typer.Option(
            metavar="MONEY|SHARE",
            help="Stop when no plan can be better by more than this: 0.50 or 0.05%. "
            "Default: 0.1% or 1.00, whichever is larger.",
        ),
    ] = None,
    seconds: Annotated[
        float,
        typer.Option(min=0.1, metavar="S", help="Stop after this time with the best plan found."),
    ] = 60.0,
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
    from planner.measures import read_tolerance
    from planner.plan import plan_week
    from planner.show.cautions import FULL
    from planner.show.json import plan_json
    from planner.show.progress import progress_line
    from planner.show.text import plan_text
    from planner.solve import Options

    if solver not in ("highs", "bundled"):
        raise typer.BadParameter(f"{solver} is neither highs nor bundled", param_hint="--solver")
    if math.isnan(seconds):
        raise typer.BadParameter("nan is no time", param_hint="--seconds")
    options = Options(seconds=seconds, bundled=solver == "bundled", model_file=model_file)
    if within is not None:
        try:
            share, amount = read_tolerance(within)
        except ValueError as error:
            raise typer.BadParameter(str(error), param_hint="--within") from None
        options = replace(options, share=share, amount=amount)
    scenario = _read(file)
    with progress_line(scenario.money) as progress:
        plan = plan_week(scenario, options, progress)
    typer.echo(plan_json(plan) if json else plan_text(plan))
    if cautions and not json:
        typer.echo(f"\n{FULL}")


def _read(file: str) -> Scenario:
    """Read a scenario; what is odd about it is mentioned on standard error."""
    from planner.files.find import find
    from planner.files.scenario_file import read_scenario

    path, name = find(file, "scenarios", Path())
    scenario, oddities = read_scenario(path, name)
    for oddity in oddities:
        typer.echo(f"odd: {oddity}", err=True)
    return scenario


@app.command(epilog="Example: breakplan check my-week.yaml my-lamb.yaml")
def check(
    files: Annotated[
        list[str] | None,
        typer.Argument(metavar="FILE...", help="Recipes and scenarios, by path or shipped name."),
    ] = None,
    schema: Annotated[
        str | None,
        typer.Option(
            metavar="recipe|scenario", help="Print the JSON Schema of a file kind, for editors."
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Say whether files are sound, and what is odd about them."""
    from planner.files import check as checks
    from planner.show.json import checked_json, schema_json
    from planner.show.text import checked_text

    if schema is not None:
        if schema not in ("recipe", "scenario"):
            raise typer.BadParameter(
                f"{schema} is neither recipe nor scenario", param_hint="--schema"
            )
        typer.echo(schema_json(checks.schema("recipe" if schema == "recipe" else "scenario")))
        return
    if not files:
        raise typer.BadParameter("name at least one file", param_hint="FILE...")
    found = [checks.check(file) for file in files]
    typer.echo(checked_json(found) if json else checked_text(found))
    if any(each.problems for each in found):
        raise typer.Exit(2)


def _keep_stdout_clean() -> None:
    """Let only this program write to standard output: the solver's library prints now and then."""
    try:
        ours = os.dup(1)
    except OSError:  # closed by whoever started us: nobody listens
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    encoding = sys.stdout.encoding
    sys.stdout = os.fdopen(ours, "w", encoding=encoding, errors="replace")


def main() -> None:
    """Run the program; errors meant for the user are one line each, not a traceback."""
    _keep_stdout_clean()
    if isinstance(sys.stderr, io.TextIOWrapper):  # a terminal that lacks a sign gets a `?`
        sys.stderr.reconfigure(errors="replace")
    try:
        app()
    except BreakplanError as error:
        typer.echo(str(error), err=True)
        sys.exit(error.exit_code)
    except KeyboardInterrupt:
        typer.echo("stopped", err=True)
        sys.exit(130)
    except OSError as error:  # of standard output: files have their own errors
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        typer.echo(f"cannot write: {error.strerror}", err=True)
        sys.exit(1)


if __name__ == "__main__":
    main()
