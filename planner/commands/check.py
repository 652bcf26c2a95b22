"""`breakplan check`: say whether files are sound."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.commands.common import Json, wrong

EXAMPLE = "Example: breakplan check my-week.yaml my-lamb.yaml"


def check(
    files: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="FILE...",
            help="Recipes, files of blends, scenarios and shop files, by path or shipped name.",
        ),
    ] = None,
    schema: Annotated[
        str | None,
        typer.Option(
            metavar="recipe|scenario|blends|shop",
            help="Print the JSON Schema of a file kind, for editors.",
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Say whether files are sound, and warn of likely slips."""
    from json import dumps

    from planner.files import check as checks
    from planner.files.file_kind import SHAPES
    from planner.show.data import json_text
    from planner.show.json import checked_data
    from planner.show.text import checked_text

    if schema is not None:
        kind = next((each for each in SHAPES if each == schema), None)
        if kind is None:
            raise wrong("--schema", f"{schema} is none of {', '.join(SHAPES)}")
        typer.echo(dumps(checks.schema(kind), indent=1))
        return
    if not files:
        raise wrong("FILE...", "name at least one file")
    found = [checks.check(file) for file in files]
    typer.echo(json_text(checked_data(found)) if json else checked_text(found))
    if any(each.problems for each in found):
        raise typer.Exit(2)
