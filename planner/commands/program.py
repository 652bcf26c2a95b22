"""The program `breakplan`: its commands put together, and errors told in one line each."""

from __future__ import annotations

import io
import os
import runpy
import sys
from typing import Annotated

import typer

from planner import __version__
from planner.commands import (
    check,
    counts,
    cuts,
    demand,
    help,  # noqa: A004 - the name of the command
    journal,
    morning,
    order,
    price,
    promise,
    start,
    trim,
    week,
    weigh_in,
    whatif,
    why,
    yields,
)
from planner.core.errors import BreakplanError
from planner.core.signs import showing
from planner.core.streams import divert_stdout

app = typer.Typer(
    name="breakplan",
    help="Plan the week's breaks of a whole-animal butcher shop: which way to cut each piece, "
    "and when, to earn the most.",
    epilog="Example: breakplan week corner-shop\n\nMore: breakplan help",
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


_COMMANDS = (week, morning, whatif, why, order, promise, price, trim, cuts, start)
for each in (*_COMMANDS, counts, weigh_in, yields, demand, check, help):
    app.command(epilog=each.EXAMPLE)(getattr(each, each.__name__.rpartition(".")[2]))
app.add_typer(journal.app, name="journal")


def _keep_stdout_clean() -> None:
    """Let only this program write to standard output: the solver's library prints now and then."""
    sys.stdout = os.fdopen(divert_stdout(), "w", encoding=sys.stdout.encoding, errors="replace")


def main() -> None:
    """Run the program; errors meant for the user are one line each, not a traceback."""
    _keep_stdout_clean()
    if isinstance(sys.stderr, io.TextIOWrapper):  # a terminal that lacks a sign gets a `?`
        sys.stderr.reconfigure(errors="replace")
    sys.stdout, sys.stderr = showing(sys.stdout), showing(sys.stderr)
    try:
        app()
    except BreakplanError as error:
        typer.echo(str(error), err=True)
        sys.exit(error.exit_code)
    except OSError as error:  # of standard output: files have their own errors
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        typer.echo(f"cannot write: {error.strerror}", err=True)
        sys.exit(1)


if __name__ == "__main__":  # the program begins in commands/__main__.py
    runpy.run_module("planner.commands", run_name="__main__", alter_sys=True)
