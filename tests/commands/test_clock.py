"""The commands of a shop folder on the days on which clocks and calendars turn.

`.ci/run` runs what has the mark `clock` with the clock of the machine set to each of them too.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from planner.core import clock
from planner.journal.entries import Delivery, PlanKept
from planner.journal.store import Journal
from tests.shops import shop_folder

REAL = clock.now  # taken before any test replaces it
YORK, BERLIN = "America/New_York", "Europe/Berlin"
TURNS = {
    "new year's eve": (date(2026, 12, 31), YORK),
    "new year": (date(2027, 1, 1), "UTC"),
    "a week over the new year": (date(2027, 1, 3), BERLIN),
    "leap day": (date(2028, 2, 29), YORK),
    "summer time begins in york": (date(2027, 3, 14), YORK),
    "summer time ends in york": (date(2026, 11, 1), YORK),
    "summer time begins in berlin": (date(2027, 3, 28), BERLIN),
    "summer time ends in berlin": (date(2026, 10, 25), BERLIN),
}


@pytest.fixture
def in_zone(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    def set_to(zone: str) -> None:
        if not (Path("/usr/share/zoneinfo") / zone).exists():
            pytest.skip("no time zones are installed")
        monkeypatch.setenv("TZ", zone)
        time.tzset()

    yield set_to
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def real_clock(monkeypatch: pytest.MonkeyPatch) -> datetime:
    """That of the machine, which `.ci/run` sets; the day does not turn while a test runs."""
    now = REAL()
    monkeypatch.setattr(clock, "now", lambda: now)
    return now


@pytest.mark.clock
def test_the_machine_has_the_clock_that_was_set() -> None:
    """Where `.ci/run` sets it, the tests see it, in their processes too."""
    said = os.environ.get("BREAKPLAN_TEST_DAY")
    assert said is None or date.today().isoformat() == said


def opened(tmp_path, days: date):
    """A shop that is open every day and got two lambs on that day."""
    folder = shop_folder(
        tmp_path,
        ("days: [mon, tue, wed, thu, fri, sat]", "days: [mon, tue, wed, thu, fri, sat, sun]"),
    )
    with Journal(folder / "journal.db", create=True) as journal:
        journal.add([Delivery(days, "lamb carcass", 2, (58.0, 58.0), 7.1)])
    return folder


def a_day_at_work(breakplan, folder, day: date) -> None:
    """Plan, list, enter and look: every day that is said must be this one."""
    week = breakplan("week", "--shop", folder, "--json")
    assert week.code == 0, week
    names = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
    assert json.loads(week.out)["days"] == names[day.weekday() :]
    sheet = breakplan("morning", "--shop", folder, "--json")
    assert json.loads(sheet.out)["date"] == day.isoformat()
    named = breakplan("morning", "--shop", folder, "--json", "--day", f"{day:%a}".lower())
    assert json.loads(named.out)["date"] == day.isoformat()
    said = breakplan("journal", "--shop", folder, "add", "waste bones: 1 lb")
    assert said.code == 0, said
    with Journal(folder / "journal.db") as journal:
        *_, last = journal.recorded()
        kept = [each.entry for each in journal.recorded() if isinstance(each.entry, PlanKept)]
    assert [each.day for each in kept] == [day], "kept once, from that day on"
    assert last.entry.day == day
    assert last.entered.astimezone().date() == day
    listed = breakplan("journal", "--shop", folder, "--kind", "waste").out
    assert f"{day:%a}".lower() in listed and last.entered.astimezone().strftime("%H:%M") in listed


@pytest.mark.parametrize("turn", TURNS.values(), ids=TURNS)
@pytest.mark.parametrize("hour", [(0, 30), (2, 30), (23, 30)], ids=lambda at: f"{at[0]}h")
def test_days_on_which_clocks_turn(tmp_path, breakplan, clock_at, in_zone, turn, hour) -> None:
    day, zone = turn
    in_zone(zone)
    clock_at(datetime(day.year, day.month, day.day, *hour))
    a_day_at_work(breakplan, opened(tmp_path, day), day)


@pytest.mark.clock
def test_the_day_it_is(tmp_path, breakplan, real_clock) -> None:
    day = real_clock.date()
    a_day_at_work(breakplan, opened(tmp_path, day), day)


@pytest.mark.parametrize("zone", [YORK, BERLIN, "Pacific/Auckland"])
def test_every_day_begins_and_ends_as_it_should(clock_at, in_zone, zone) -> None:
    in_zone(zone)
    for days in range(3 * 366):
        day = date(2026, 1, 1) + timedelta(days)
        for hour in (0, 23):
            clock_at(datetime(day.year, day.month, day.day, hour, 30))
            assert clock.today() == day and clock.now().hour == hour
