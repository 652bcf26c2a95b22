"""Questions asked of a shop folder in place of a scenario: they are about its week from now on."""

from __future__ import annotations

import json
from datetime import date

import pytest
from typer.testing import CliRunner

from planner.commands.program import app
from planner.commands.starting import start_of
from planner.core.errors import InputError
from planner.core.units import Quantity
from planner.journal.entries import BreakDone, Count, Delivery, OrderTaken
from planner.journal.store import Journal
from planner.shop.week.costs import costs_now
from tests.shops import shop_folder

TUESDAY = date(2026, 12, 1)


@pytest.fixture
def shop(tmp_path, clock_at):
    """A shop on a Tuesday, with two lambs that came the day before."""
    folder = shop_folder(tmp_path)
    clock_at(TUESDAY)
    with Journal(folder / "journal.db", create=True) as journal:
        journal.add([Delivery(date(2026, 11, 30), "lamb carcass", 2, (57.0, 59.0), 7.0)])
    return folder


def asked(*arguments):
    return CliRunner().invoke(app, [str(each) for each in arguments], catch_exceptions=False)


def test_a_question_is_about_the_days_left(shop):
    told = json.loads(asked("whatif", shop, "--rule", "never shoulder: roast", "--json").stdout)
    today = told["today"] if "today" in told else told["before"]
    assert today["days"] == ["tue", "wed", "thu", "fri", "sat"]
    assert sum(each["count"] for each in today["breaks"] if each["piece"] == "carcass") == 2


@pytest.mark.parametrize("command", ["price", "trim", "order", "why"])
def test_every_question_takes_a_shop_folder(shop, command):
    told = asked(command, shop, *(["leg"] if command == "why" else []))
    assert told.exit_code == 0, told.output
    assert told.stdout.strip()


def test_a_promise_is_entered_into_the_journal(shop):
    words = ("boneless leg: 5 lb on fri", "--for", "a bistro", "--price", "19.50/lb", "--write")
    told = asked("promise", shop, *words)
    assert told.exit_code == 0, told.output
    with Journal(shop / "journal.db") as journal:
        (new,) = [one for one in journal.recorded() if isinstance(one.entry, OrderTaken)]
    friday = date(2026, 12, 4)
    assert new.entry == OrderTaken(friday, "lamb boneless leg", Quantity(5.0), "a bistro", 19.5)
    assert told.stdout.rstrip().endswith(f"Written into the journal, as entry {new.number}.")
    again = json.loads(asked("promise", shop, "whole leg: 4 lb on sat", "--json").stdout)
    assert again["answer"] == "yes"  # beside the one before, which is open


def test_a_promise_to_nobody_in_particular_is_to_a_customer(shop):
    told = asked("promise", shop, "boneless leg: 5 lb on fri", "--write")
    assert told.exit_code == 0, told.output
    with Journal(shop / "journal.db") as journal:
        (new,) = [one for one in journal.recorded() if isinstance(one.entry, OrderTaken)]
    assert new.entry.buyer == "a customer"


# -- costs -----------------------------------------------------------------------------------------

MONDAY = date(2026, 11, 30)


def entered(shop, *entries):
    with Journal(shop / "journal.db") as journal:
        journal.add(entries)


@pytest.mark.parametrize("command", ["price", "order"])
def test_a_delivery_without_a_price_is_named_with_what_to_do(shop, command):
    entered(shop, Delivery(MONDAY, "lamb carcass", 1, (61.0,)))
    with pytest.raises(InputError) as caught:
        asked(command, shop)
    (problem,) = caught.value.problems
    cost = '"lamb: 7.10/lb"' if command == "price" else "7.10/lb"
    assert problem.message == (
        "delivery 2 (1 lamb carcass, mon 30 nov) has no price: undo it (breakplan journal "
        f'undo 2) and enter it again with "at 7.10/lb" at its end, or give --cost {cost}'
    )
    few = ["--up-to", "2"] if command == "order" else []
    assert asked(command, shop, "--cost", "7.10/lb", *few).exit_code == 0


def test_pieces_in_the_cooler_bear_their_part_of_their_head(shop):
    """By hand: a lamb of 57 lb cost 7.00/lb; sales values at the prices and shares of the recipe.

    A pound of leg as boneless leg brings 0.70 x 20.99 + 0.08 x 0 (trim 80 has no price) + 0.20 x
    2.49 = 15.191; whole 0.97 x 13.99 = 13.5703. Of shoulder 0.68 x 17.49 + 0.20 x 2.49 = 12.3912.
    """
    entered(shop, BreakDone(MONDAY, "lamb carcass", "block break", 1))
    told = asked("price", shop, "--json")
    assert told.exit_code == 0, told.output
    assert (
        "cost of what lies in the cooler (2 lamb leg, 2 lamb shoulder, 1 lamb loin): its part of "
        "delivery 1 (2 lamb carcass, mon 30 nov) at $7.00/lb"
    ) in " ".join(told.stderr.split())
    scenario = start_of(str(shop)).scenario
    with Journal(shop / "journal.db") as journal:
        lots = costs_now(scenario, journal.recorded()).scenario.lots
    costs = {lot.piece: lot.cost for lot in lots}
    assert costs["leg"] / costs["shoulder"] == pytest.approx(15.191 / 12.3912, abs=1e-6)
    # all that a head gives bears its cost: 58 lb, the mean of the two delivered
    worth = {"leg": (2 * 0.15, 15.191), "shoulder": (2 * 0.12, 12.3912)}
    loin = 0.05 * 2.49 + 0.93 * 23.99
    worth["loin"] = (0.20, max(loin, 0.18 * 2.49 + 2 * 76 / (58 * 0.20)))
    value = sum(share * each for share, each in worth.values()) + 0.14 * 2.49
    for piece, (_, each) in worth.items():
        assert costs[piece] == pytest.approx(7.0 * each / value, rel=1e-6), piece


def test_pieces_of_which_nobody_knows_the_cost_are_told_and_the_rest_is_priced(tmp_path, clock_at):
    folder = shop_folder(tmp_path)
    clock_at(TUESDAY)
    with Journal(folder / "journal.db", create=True) as journal:
        journal.add([Count(TUESDAY, "open", "lamb leg", Quantity(2, by_each=True), MONDAY, 17.0)])
    told = asked("price", folder)
    assert told.exit_code == 0, told.output
    assert (
        "warning: the cost of 2 lamb leg is not known: what is cut of them bears no cost here; "
        in (" ".join(told.stderr.split()))
    )
    entered(folder, Delivery(MONDAY, "lamb carcass", 1, (58.0,)))
    share = asked("price", folder, "--cost", "lamb: 7.00/lb")
    assert "cost of what lies in the cooler (2 lamb leg): its part of delivery 2 " in share.stderr
    assert "at $7.00/lb" in share.stderr, "as it was given"
    entered(folder, BreakDone(MONDAY, "lamb carcass", "block break", 1))
    cut = asked("price", folder, "--cost", "lamb: 7.00/lb")
    assert "its part of delivery 2 " in cut.stderr, "of a head that is cut already"
    paid = asked("price", folder, "--cost", "7.00/lb")
    assert "is not known" not in paid.stderr
    assert paid.stdout != told.stdout


def test_nothing_is_entered_of_what_cannot_be_promised(shop):
    told = asked("promise", shop, "boneless leg: 500 lb on fri", "--write")
    assert told.exit_code == 3
    with Journal(shop / "journal.db") as journal:
        assert len(journal.recorded()) == 1


def test_a_folder_without_a_journal_says_so(tmp_path):
    folder = shop_folder(tmp_path)
    with pytest.raises(InputError, match=r"journal\.db"):
        asked("trim", folder)
