"""`breakplan demand`: what customers are expected to want, learned from the journal's sales."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from planner.commands import common
from planner.commands.common import given, tell_warnings
from planner.commands.shop_folder import ShopFolder, open_shop
from planner.core import clock

EXAMPLE = 'Example: breakplan demand --backtest, or breakplan demand "loin chops"'


def demand(
    cut: Annotated[
        str | None, typer.Argument(metavar="[CUT]", help="Only this cut or blend, day by day.")
    ] = None,
    shop: ShopFolder = None,
    backtest: Annotated[
        bool,
        typer.Option(
            "--backtest",
            help="Also show how far off they were a week ahead, against the same day last week.",
        ),
    ] = False,
    json: common.Json = False,
) -> None:
    """What customers are expected to want of each cut on each weekday, learned from the sales.

    Days sold out count as at least what was sold. Where there are too few sales of a cut on a
    weekday the want of shop.yaml stands. The plans in a shop folder use the same figures.
    """
    from planner.files.context import Setting
    from planner.files.yamlfile import Document
    from planner.journal.store import Journal
    from planner.shop.learned.sales import demanded
    from planner.shop.week.remaining_days import first_open
    from planner.show.data import json_text
    from planner.show.demand import demand_text
    from planner.show.demand_data import demand_data
    from planner.show.layout import width_of

    found = open_shop(shop)
    first = first_open(found.open_days, clock.today())
    week = found.week(first)
    name = None
    if cut is not None:
        name = given("CUT", cut, Setting.of(week, Document("CUT")).cut_names.find)
    with Journal(found.journal) as journal:
        recorded = journal.recorded()
    answer = demanded(week, recorded, first, scored=backtest)
    tell_warnings(answer.sales.warnings)
    text = json_text(demand_data(answer, name)) if json else ""
    typer.echo(text or demand_text(answer, name, width_of(sys.stdout)))
