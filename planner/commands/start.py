"""`breakplan start`: lay out a shop folder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.commands.common import Json, given
from planner.core import clock

EXAMPLE = (
    "Example: breakplan start my-shop --species lamb,hog\n\n"
    "See a plan at once: breakplan week my-shop/first-week.yaml"
)


def start(
    folder: Annotated[
        Path,
        typer.Argument(
            metavar="DIR", help="A new folder, or one that has none of these files yet."
        ),
    ],
    species: Annotated[
        str,
        typer.Option(
            metavar="NAMES", help="What it cuts, with commas between: lamb, hog, beef, veal, goat."
        ),
    ] = "lamb",
    json: Json = False,
) -> None:
    """Lay out a shop folder: shop.yaml, its own recipes, an empty journal, a first week.

    Prices, wants and minutes in it are invented guesses, to be replaced by your own. Where one of
    the files already exists, nothing is written.
    """
    from planner.shop.new_shop import lay_out, new_shop, read_species
    from planner.show.data import FORMAT, json_text
    from planner.show.start import started_text

    names = given("--species", species, read_species)
    made = lay_out(folder, new_shop(names, clock.today()))
    data = {"format": FORMAT, "folder": str(folder), "species": names, "made": made}
    typer.echo(json_text(data) if json else started_text(folder, names, made))
