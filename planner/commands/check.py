"""`breakplan check`: say whether files are sound."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.commands.common import Json

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
    """Say whether files are sound, and warn of what is likely a slip."""
    from planner.files import check as checks
    from planner.files.file_kind import SHAPES
    from planner.show.json import checked_json, schema_json
    from planner.show.text import checked_text

    if schema is not None:
        kind = next((each for each in SHAPES if each == schema), None)
        if kind is None:
            message = f"{schema} is none of {', '.join(SHAPES)}"
            raise typer.BadParameter(message, param_hint="--schema")
        typer.echo(schema_json(checks.schema(kind)))
        return
    if not files:
        raise typer.BadParameter("name at least one file", param_hint="FILE...")
    found = [checks.check(file) for file in files]
    typer.echo(checked_json(found) if json else checked_text(found))
    if any(each.problems for each in found):
        raise typer.Exit(2)
