"""Questions asked of a shop folder in place of a scenario: they are about its week from now on."""

from __future__ import annotations

import json
from datetime import date

import pytest
from typer.testing import CliRunner

from planner.cli import app
from planner.commands import shop_folder as shop_commands
from planner.errors import InputError
from planner.journal.entries import Delivery, OrderTaken
from planner.journal.store import Journal
from tests.shops import shop_folder

TUESDAY = date(2026, 12, 1)


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A shop on a Tuesday, with two lambs that came the day before."""
    folder = shop_folder(tmp_path)
    monkeypatch.setattr(shop_commands, "today", lambda: TUESDAY)
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
    assert new.entry == OrderTaken(friday, "lamb boneless leg", 5.0, False, "a bistro", 19.5)
    assert told.stdout.rstrip().endswith(f"Written into the journal, as entry {new.number}.")
    again = json.loads(asked("promise", shop, "whole leg: 4 lb on sat", "--json").stdout)
    assert again["answer"] == "yes"  # beside the one before, which is open


def test_nothing_is_entered_of_what_cannot_be_promised(shop):
    told = asked("promise", shop, "boneless leg: 500 lb on fri", "--write")
    assert told.exit_code == 3
    with Journal(shop / "journal.db") as journal:
        assert len(journal.recorded()) == 1


def test_a_folder_without_a_journal_says_so(tmp_path):
    folder = shop_folder(tmp_path)
    with pytest.raises(InputError, match=r"journal\.db"):
        asked("trim", folder)
