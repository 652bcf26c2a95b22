"""What commands share: their common options, and how a scenario is read."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from planner.core.errors import InputError, Problem, warned

if TYPE_CHECKING:
    from planner.core.scenario import Scenario
    from planner.solve import Options

T = TypeVar("T")

# what a command needs beyond this is imported inside it: `--help` should not wait for a solver

ScenarioFile = Annotated[
    str,
    typer.Argument(
        metavar="FILE",
        help="A scenario file, the name of a shipped one, or a shop folder: its week from now on.",
    ),
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON for machines.")]
All = Annotated[bool, typer.Option("--all", help="Print all tables below the conclusion.")]
Within = Annotated[
    str | None,
    typer.Option(
        metavar="MONEY|SHARE",
        help="Stop when no plan can be better by more than this: 0.50 or 0.05%. "
        "Default: 0.1% or 1.00, whichever is larger.",
    ),
]
Seconds = Annotated[
    float, typer.Option(min=0.1, metavar="S", help="Stop after this time with the best plan found.")
]
Solver = Annotated[
    str,
    typer.Option(
        "--solver",
        metavar="highs|bundled",
        help="For the plan: `bundled` is PuLP's own solver: slower, a cross-check.",
    ),
]


def tell_warnings(warnings: Iterable[str | Problem]) -> None:
    """Warn on standard error of what is legal but unlikely."""
    for line in warned(list(warnings)):
        typer.echo(line, err=True)


def wrong(option: str, message: str) -> InputError:
    """What to raise where an option, or several together, cannot be taken."""
    return InputError([Problem(option, 0, message)])


def given(option: str, text: str, reader: Callable[[str], T]) -> T:
    """What the text of an option says; the reader's fault is told with the option."""
    try:
        return reader(text)
    except ValueError as error:
        raise wrong(option, str(error)) from None


def read(file: str) -> Scenario:
    """Read a scenario file; warnings go to standard error."""
    from planner.files.find import find
    from planner.files.scenario_file import read_scenario

    scenario, warnings = read_scenario(*find(file, "scenarios", Path()))
    tell_warnings(warnings)
    return scenario


def checked_seconds(seconds: float) -> float:
    """The time given, which is a number."""
    if math.isnan(seconds):
        raise wrong("--seconds", "must be a number")
    return seconds


def options_within(within: str | None, seconds: float, solver: str = "highs") -> Options:
    """How a plan is sought: to the tolerance given as text, in the time given."""
    from planner.core.quantities import read_tolerance
    from planner.solve import Options

    if solver not in ("highs", "bundled"):
        raise wrong("--solver", f"{solver} is neither highs nor bundled")
    options = Options(seconds=checked_seconds(seconds), bundled=solver == "bundled")
    if within is None:
        return options
    share, amount = given("--within", within, read_tolerance)
    return replace(options, share=share, amount=amount)
