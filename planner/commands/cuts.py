"""`breakplan cuts`: the names of pieces, ways, cuts and blends, and what else the trade says."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from planner.commands.common import Json
from planner.commands.shop_folder import is_shop, open_shop

EXAMPLE = "Example: breakplan cuts lamb"


def cuts(
    species: Annotated[
        str | None,
        typer.Argument(
            metavar="SPECIES",
            help="A species, also by a trade name such as pork; or a recipe, a file of blends, a "
            "scenario or a shop folder. Default: list the species.",
        ),
    ] = None,
    json: Json = False,
) -> None:
    """List the names of pieces, ways, cuts and blends, what each is cut from, and its trade names.

    IMPS numbers are given where there is one. In a shop folder its own recipes come first.
    """
    from planner.files.listed import Listed, listed_of, shipped_listed
    from planner.files.shop_file import shop_above
    from planner.show.cuts import cuts_data, cuts_text, species_data, species_text
    from planner.show.data import json_text
    from planner.show.layout import width_of

    width = width_of(sys.stdout)
    if species is not None and is_shop(species):
        week = open_shop(Path(species)).usual
        listed = Listed(species, week.recipes, week.own_blends)
    else:
        above = shop_above(Path())
        shop = open_shop(above) if above else None
        if species is None:
            listed = Listed(str(above), shop.usual.recipes) if shop else shipped_listed()
            text = json_text(species_data(listed)) if json else species_text(listed, width)
            typer.echo(text)
            return
        listed = listed_of(shop, species)
    typer.echo(json_text(cuts_data(listed)) if json else cuts_text(listed, width))
