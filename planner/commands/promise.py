"""`breakplan promise`: whether an order can be promised, and what it takes away."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import common
from planner.commands.common import options_within, tell_warnings, wrong
from planner.commands.replan import InShop
from planner.commands.shop_folder import DespiteClock, day_given, stop_at_wrong_clock
from planner.commands.starting import start_of
from planner.core import clock
from planner.core.errors import InputError, Problem
from planner.core.signs import shown_line

if TYPE_CHECKING:
    from planner.core.scenario import Held, Order, Scenario
    from planner.files.asked_order import WrittenOrder

EXAMPLE = 'Example: breakplan promise corner-shop "boneless leg: 9 lb on fri" --price 19.50/lb'

NOT_WRITTEN = 3  # exit code where an order was to be written, and cannot be promised in full


def promise(
    file: common.ScenarioFile,
    orders: Annotated[
        list[str],
        typer.Argument(
            metavar="ORDER...", help='Such as "boneless leg: 9 lb on fri"; several are one promise.'
        ),
    ],
    buyer: Annotated[
        str | None, typer.Option("--for", metavar="NAME", help="The buyer, of all of them.")
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
    yes: DespiteClock = False,
    json: common.Json = False,
    within: common.Within = None,
    seconds: common.Seconds = 20.0,
    solver: common.Solver = "highs",
) -> None:
    """Say whether orders can be promised along with the earlier ones: yes, no, or part.

    In a shop folder, for an order after its week, it says what can be held for that order.

    What it takes from other customers, the least it must pay to keep the score, the earliest day,
    and what would make it possible. The time is for each plan.
    """
    from planner.ask.hold import hold
    from planner.ask.promise import promise as ask
    from planner.files.asked_order import A_CUSTOMER, SOMEBODY
    from planner.files.find import find
    from planner.files.write_order import stop_unless_writable, write_orders
    from planner.show.data import json_text
    from planner.show.hold import hold_data, hold_text
    from planner.show.promise import promise_data, promise_text
    from planner.solve import stop_if_in_parts

    options = options_within(within, seconds, solver)
    start = start_of(file)
    scenario, found = start.scenario, start.found
    if write and found and not yes:  # with a yes `start_of` has warned already
        stop_at_wrong_clock(found.state.recorded, yes=False)
    path, name = (Path(file), file) if found else find(file, "scenarios", Path())
    if buyer is None:
        buyer = A_CUSTOMER if found else SOMEBODY
    written: list[WrittenOrder] = []
    if found and (days := _later_days(found, orders)):
        held = _read_later(found, orders, days, buyer, price)
        with start.comparer(options) as comparer:
            holding = hold(comparer, held)
        answer, new = holding.answer, [each.order for each in held]
        text, data = partial(hold_text, holding), partial(hold_data, holding)
    else:
        written, new = _read_orders(scenario, orders, buyer, price)
        if write and not found:
            stop_unless_writable(path, name)
        stop_if_in_parts(scenario, options, "promise")
        with start.comparer(options) as comparer:
            promised = ask(comparer, new)
        answer, text, data = (
            promised.answer,
            partial(promise_text, promised),
            partial(promise_data, promised),
        )
    accepted = write and answer == "yes"
    if not json:
        typer.echo(text())
    if accepted:
        for each in (each for each in new if _is_there(scenario, each)):
            what = f"{each.cut}, {scenario.day_labels[each.day]}, {each.buyer}"
            tell_warnings([f"{shown_line(name)} has this very order already ({what})"])
        if found:
            name = _enter(path, scenario, new)
        else:
            write_orders(path, name, written)
    if json:
        typer.echo(json_text(data(accepted)))
    elif write:
        typer.echo(f"\n{'Written' if accepted else 'Nothing was written'} into {shown_line(name)}.")
    if write and not accepted:
        raise typer.Exit(NOT_WRITTEN)


def _later_days(found: InShop, orders: list[str]) -> list[date]:
    """The days of orders that are for after the days planned, all of them; none where none is."""
    from planner.files.asked_order import split_order
    from planner.files.days import Period
    from planner.shop.week.remaining_days import first_open

    scenario, days = found.now, []
    period = Period(scenario.starts, scenario.days, clock.today())
    opens = first_open(found.shop.open_days, scenario.date(scenario.days))
    for text in orders:
        try:
            said = split_order(text).day
            days.append(scenario.date(period.one(said)))
        except InputError:  # told by whoever reads it
            return []
        except ValueError:
            try:
                days.append(day_given("ORDER", said, "coming"))
            except InputError:
                return []
    later = [each >= opens for each in days]
    if any(later) and not all(later):
        message = f"some are for days from {opens.isoformat()} on, which are not planned yet"
        raise wrong("ORDER", f"{message}: ask for them separately")
    return days if any(later) else []


def _read_later(
    found: InShop, orders: list[str], days: list[date], buyer: str, price: str | None
) -> list[Held]:
    """Orders for after the days planned; each is numbered by its place here."""
    from planner.files.asked_order import order_of, split_order
    from planner.shop.week.remaining_days import held_of

    scenario = found.now
    held = []
    for number, (text, day) in enumerate(zip(orders, days, strict=True)):
        written = replace(split_order(text, buyer, price), day=scenario.starts.isoformat())
        order = replace(order_of(scenario, written, number), day=(day - scenario.starts).days)
        held.append(held_of(scenario, order, found.shop.open_days))
    return held


def _enter(folder: Path, scenario: Scenario, orders: list[Order]) -> str:
    """Enter orders into the journal of a shop folder, all or none, and say where they are."""
    from planner.core.recipe import full_name
    from planner.files.shop_file import JOURNAL
    from planner.journal.entries import OrderTaken
    from planner.journal.store import Journal

    taken = []
    for each in orders:
        cut = scenario.cuts[each.cut]
        taken.append(
            OrderTaken(
                day=scenario.date(each.day),
                cut=full_name(cut.species, cut.name),
                quantity=scenario.quantity(each.cut, each.amount),
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
