"""`breakplan help`: what is too long for the help of a command."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer
from typer.core import TyperGroup

from planner.commands.common import wrong
from planner.core.spelling import nearest

if TYPE_CHECKING:
    from planner.files.find import Folder

EXAMPLE = "Example: breakplan help files"

TOPICS: dict[str, tuple[Folder, str]] = {
    "files": ("scenarios", "scenarios, shops, blends, changes and tables, with an example of each"),
    "recipes": ("recipes", "where the yields of the recipes come from, and weighing your own"),
}


def help(  # noqa: A001 - the name of the command
    context: typer.Context,
    topic: Annotated[
        str | None, typer.Argument(metavar="[TOPIC]", help="A topic, or the name of a command.")
    ] = None,
) -> None:
    """Explain the files, the yields in the recipes, or a command; without a topic, list them."""
    above = context.parent
    assert above is not None and isinstance(above.command, TyperGroup)
    commands = above.command.commands
    if topic is None:
        typer.echo("Topics:")
        for name, (_, about) in TOPICS.items():
            typer.echo(f"  breakplan help {name:9}{about}")
        typer.echo(f"Commands, as with --help: {', '.join(commands)}.")
    elif topic in TOPICS:
        _explain(TOPICS[topic][0])
    elif topic in commands:
        command = commands[topic]
        typer.echo(command.get_help(typer.Context(command, info_name=topic, parent=above)))
    else:
        hint = nearest(topic, [*TOPICS, *commands]) or f"; topics are: {', '.join(TOPICS)}"
        raise wrong("help", f'no topic is called "{topic}"{hint}')


def _explain(folder: Folder) -> None:
    import sys

    from planner.files.find import shipped_folder
    from planner.show.layout import width_of
    from planner.show.markdown import plain_text

    text = (shipped_folder(folder) / "README.md").read_text(encoding="utf-8")
    typer.echo(plain_text(text, width_of(sys.stdout)))
