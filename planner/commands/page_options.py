"""What the commands share that write a page for the wall."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Annotated

import typer

from planner.core.signs import shown_line

SIX = "6:00"
"""When a butcher begins where nobody says."""

Page = Annotated[
    Path | None,
    typer.Option(
        metavar="OUT.html",
        help="Write a page for the wall there instead: one file, to be printed or ticked off on a "
        "tablet.",
    ),
]
Replace = Annotated[
    bool,
    typer.Option(
        "--replace",
        help="What is written may take the place of a file that this option did not write; never "
        "of a journal or a YAML file.",
    ),
]
Cutters = Annotated[
    int | None,
    typer.Option(
        min=1,
        max=12,
        metavar="N",
        help="Share the list among this many cutters. There is one grinder; saws are not counted.",
    ),
]
Begins = Annotated[
    str | None,
    typer.Option("--from", metavar="TIME", help=f"When the first piece is taken up: else {SIX}."),
]


def stop_unless_page_fits(page: Path | None, *, replace: bool) -> None:
    """Say before any planning that a page cannot be written."""
    if page:
        from planner.files.atomic_write import stop_unless_writable
        from planner.show.page import MARK

        stop_unless_writable(page, dataclasses.replace(MARK, replace=replace))


def write_page(page: Path, text: str, *, replace: bool, json: bool) -> None:
    """Write a page, and say so: on standard error where standard output is for machines."""
    from planner.files.atomic_write import write_text
    from planner.show.page import MARK

    write_text(page, text, dataclasses.replace(MARK, replace=replace))
    typer.echo(f"written: {shown_line(str(page))}", err=json)
