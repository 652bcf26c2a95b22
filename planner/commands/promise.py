"""`breakplan promise`: whether an order can be promised, and what it takes away."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands.common import Json, ScenarioFile, Seconds, checked_seconds, read
from planner.errors import InputError, Problem
from planner.signs import shown_line

if TYPE_CHECKING:
    from planner.files.asked_order import WrittenOrder
    from planner.scenario import Order, Scenario

EXAMPLE = 'Example: breakplan promise corner-shop "boneless leg: 9 lb on fri" --price 19.50/lb'

NOT_WRITTEN = 3
"""Exit code where an order was to be written, and cannot be promised in full."""


def promise(
    file: ScenarioFile,
    orders: Annotated[
        list[str],
        typer.Argument(
            metavar="ORDER...", help='Such as "boneless leg: 9 lb on fri"; several are one promise.'
        ),
    ],
    buyer: Annotated[
        str | None, typer.Option("--for", metavar="NAME", help="Who orders: all of them.")
    ] = None,
    price: Annotated[
        str | None,
        typer.Option(
            metavar="PRICE", help="What they pay, such as 14.50/lb; else the full price of the cut."
        ),
    ] = None,
    write: Annotated[
        bool,
        typer.Option(
            "--write",
            help="Add what can be promised in full to the file, or to the journal of a shop "
            "folder; if it cannot be, nothing is written and the exit code is 3.",
        ),
    ] = False,
    json: Json = False,
    seconds: Seconds = 20.0,
) -> None:
    """Say whether orders can be promised beside those taken before: yes, no, or part.

    What it takes from other customers, what it has to pay lest the score fall, the earliest day,
    and what would make it possible. The time is for each plan.
    """
    from planner.ask.desk import Desk
    from planner.ask.promise import promise as ask
    from planner.commands.shop_folder import is_shop
    from planner.files.asked_order import A_CUSTOMER, SOMEBODY
    from planner.files.find import find
    from planner.files.write_order import stop_unless_writable, write_orders
    from planner.show.progress import progress_line
    from planner.show.promise import promise_json, promise_text
    from planner.solve import Options

    options = Options(seconds=checked_seconds(seconds))
    in_shop = is_shop(file)
    path, name = (Path(file), file) if in_shop else find(file, "scenarios", Path())
    scenario = read(file)
    somebody = A_CUSTOMER if in_shop else SOMEBODY
    written, new = _read_orders(scenario, orders, somebody if buyer is None else buyer, price)
    if write and not in_shop:
        stop_unless_writable(path, name)
    with progress_line(scenario.money) as progress:
        promised = ask(Desk(scenario, options, progress), new)
    accepted = write and promised.answer == "yes"
    if not json:
        typer.echo(promise_text(promised))
    if accepted:
        for each in new:
            if _is_there(scenario, each):
                what = f"{each.cut}, {scenario.day_labels[each.day]}, {each.buyer}"
                typer.echo(
                    f"warning: {shown_line(name)} has this very order already ({what})", err=True
                )
        if in_shop:
            name = _enter(path, scenario, new)
        else:
            write_orders(path, name, written)
    if json:
        typer.echo(promise_json(promised, accepted))
    elif write:
        typer.echo(f"\n{'Written' if accepted else 'Nothing was written'} into {shown_line(name)}.")
    if write and not accepted:
        raise typer.Exit(NOT_WRITTEN)


def _enter(folder: Path, scenario: Scenario, orders: list[Order]) -> str:
    """Enter orders into the journal of a shop folder, all or none, and say where they are."""
    from planner.files.shop_file import JOURNAL
    from planner.journal.entries import OrderTaken
    from planner.journal.store import Journal
    from planner.recipe import full_name

    taken = []
    for each in orders:
        cut = scenario.cuts[each.cut]
        taken.append(
            OrderTaken(
                day=scenario.date(each.day),
                cut=full_name(cut.species, cut.name),
                amount=each.amount,
                by_each=cut.by_each,
                buyer=each.buyer,
                price=each.price if each.own_price else None,
            )
        )
    with Journal(folder / JOURNAL) as journal:
        numbers = ", ".join(str(one.number) for one in journal.add(taken))
    return f"the journal, as {'entry' if len(taken) == 1 else 'entries'} {numbers}"


def _is_there(scenario: Scenario, order: Order) -> bool:
    """Whether the scenario has an order of the same cut, day, amount and buyer."""
    return any(
        (each.cut, each.day, each.buyer) == (order.cut, order.day, order.buyer)
        and math.isclose(each.amount, order.amount)
        for each in scenario.orders
    )


def _read_orders(
    scenario: Scenario, texts: list[str], buyer: str, price: str | None
) -> tuple[list[WrittenOrder], list[Order]]:
    """The orders as they are written and as they are read, with every fault of all of them."""
    from planner.files.asked_order import order_of, split_order

    written: list[WrittenOrder] = []
    found: list[Order] = []
    problems: list[Problem] = []
    for text in texts:
        try:
            one = split_order(text, buyer, price)
            found.append(order_of(scenario, one, len(scenario.orders) + len(found)))
            written.append(one)
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return written, found
