"""A clock that cannot be right, seen from the journal: told, and nothing entered without a yes."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from planner.core.units import Quantity
from planner.journal.entries import (
    BreakDone,
    Count,
    Delivery,
    OrderTaken,
    PlanKept,
    Weighed,
    YieldsWritten,
)
from planner.journal.store import Journal
from tests.shops import shop_folder

MON = date(2026, 11, 30)
BEHIND, AHEAD = date(2025, 11, 30), date(2027, 11, 30)
SAID = {
    BEHIND: "the clock of this machine says sun 30 nov 2025, 365 days before entry 2, the newest, "
    "was made (mon 30 nov 2026); set the clock, or if it is right undo that entry: breakplan "
    "journal undo 2",
    AHEAD: "the clock of this machine says tue 30 nov 2027, 365 days after entry 2, the newest, "
    "was made (mon 30 nov 2026); set the clock",
}


@pytest.fixture
def folder(tmp_path, clock_at):
    clock_at(MON)
    made = shop_folder(tmp_path)
    with Journal(made / "journal.db", create=True) as journal:
        journal.add([Delivery(MON, "lamb carcass", 2, (58.0, 58.0), 7.1)])
        journal.add([Count(MON, "open", "lamb loin chops", Quantity(2.0), MON)])
    return made


def entered(folder):
    with Journal(folder / "journal.db") as journal:
        return [each.entry for each in journal.recorded(undone=True)]


def words_of(text: str) -> str:
    return " ".join(text.split())


def writers(folder):
    """Commands that enter something, without and with a yes."""
    counts = folder / "counts.csv"
    counts.write_text("what,amount\nloin chops,2\n")
    cut = folder / "cut.csv"
    cut.write_text("piece,way,count,gave,gave weight\nleg,whole,1,,\n")
    sales = folder / "sales.csv"
    sales.write_text("cut,amount,day\nloin chops,1,2026-11-30\n")
    return [
        ("journal", "add", "sale loin chops: 1 lb"),
        ("journal", "import", sales),
        ("counts", counts),
        ("weigh-in", cut),
    ]


@pytest.mark.parametrize("day", SAID)
def test_nothing_is_entered_without_a_yes(folder, breakplan, clock_at, day) -> None:
    clock_at(day)
    for command, *words in writers(folder):
        before = entered(folder)
        ran = breakplan(command, *words, "--shop", folder)
        assert ran.code == 2 and SAID[day] in words_of(ran.err), (command, ran)
        assert "--yes" in ran.err and entered(folder) == before, command


@pytest.mark.parametrize("number", range(4))
@pytest.mark.parametrize("day", SAID)
def test_with_a_yes_it_is_told_and_entered(folder, breakplan, clock_at, day, number) -> None:
    clock_at(day)
    command, *words = writers(folder)[number]
    ran = breakplan(command, *words, "--shop", folder, "--yes")
    assert ran.code == 0 and SAID[day] in words_of(ran.err + ran.out), ran
    assert len(entered(folder)) == 3


@pytest.mark.parametrize("day", SAID)
def test_yields_are_written_with_a_yes_only(folder, breakplan, clock_at, day) -> None:
    gave = (Weighed("lamb loin chops", None, 8.5), Weighed("lamb bones", None, 1.4))
    with Journal(folder / "journal.db") as journal:
        journal.undo()
        journal.add([BreakDone(MON, "lamb loin", "chops", 1, 10.2, gave)])
    said = SAID[day].replace("entry 2", "entry 4").replace("undo 2", "undo 4")
    clock_at(day)
    recipe = (folder / "recipes" / "lamb.yaml").read_text()
    ran = breakplan("yields", "--write", "--shop", folder)
    assert ran.code == 2 and said in words_of(ran.err) and "--yes" in ran.err, ran
    assert (folder / "recipes" / "lamb.yaml").read_text() == recipe
    assert not [each for each in entered(folder) if isinstance(each, YieldsWritten)]
    if day == AHEAD:  # else the weigh-in is of a day to come
        ran = breakplan("yields", "--write", "--shop", folder, "--yes")
        assert ran.code == 0 and said in words_of(ran.err), ran
        assert (folder / "recipes" / "lamb.yaml").read_text() != recipe


@pytest.mark.parametrize("order", ["loin chops: 1 lb on {}", "loin chops: 1 lb on {} 2028"])
@pytest.mark.parametrize("day", SAID)
def test_a_promise_is_written_with_a_yes_only(folder, breakplan, clock_at, day, order) -> None:
    clock_at(day)
    order = order.format("fri" if "2028" not in order else "14 jan")
    ran = breakplan("promise", folder, order, "--write")
    assert ran.code == 2 and SAID[day] in words_of(ran.err) and "--yes" in ran.err, ran
    assert not [each for each in entered(folder) if isinstance(each, OrderTaken)]


def test_a_promise_may_be_written_by_a_clock_that_seems_wrong(folder, breakplan, clock_at) -> None:
    with Journal(folder / "journal.db") as journal:
        journal.add([Delivery(AHEAD, "lamb carcass", 1, (58.0,))])
    clock_at(AHEAD)
    ran = breakplan("promise", folder, "loin chops: 1 lb on fri", "--write", "--yes")
    assert ran.code == 0 and "365 days after entry 3" in words_of(ran.err), ran
    assert [each for each in entered(folder) if isinstance(each, OrderTaken)]


@pytest.mark.parametrize("day", SAID)
def test_nothing_is_undone_without_a_yes(folder, breakplan, clock_at, day) -> None:
    clock_at(day)
    told = SAID[day].replace("entry 2", "entry 1").replace("undo 2", "undo 1")
    ran = breakplan("journal", "--shop", folder, "undo")
    assert ran.code == 2 and told in words_of(ran.err) and len(entered(folder)) == 2
    ran = breakplan("journal", "--shop", folder, "undo", "--yes")
    assert ran.code == 0 and told in words_of(ran.err) and len(entered(folder)) == 3


@pytest.mark.parametrize("command", ["week", "morning"])
@pytest.mark.parametrize("day", SAID)
def test_a_plan_is_shown_and_not_kept(folder, breakplan, clock_at, day, command) -> None:
    clock_at(day)
    ran = breakplan(command, "--shop", folder)
    assert ran.code == 0 and ran.out
    assert f"warning: {SAID[day]}; until then no plan is kept" in ran.err.replace("\n", " ")
    assert not [each for each in entered(folder) if isinstance(each, PlanKept)]


def test_a_table_to_fill_in_and_the_list_need_no_clock(folder, breakplan, clock_at) -> None:
    clock_at(BEHIND)
    assert breakplan("journal", "--shop", folder).code == 0
    assert breakplan("weigh-in", "--shop", folder, "--csv-form", folder / "form.csv").code == 0
    dry = breakplan("journal", "--shop", folder, "add", "sale bones: 1 lb", "--dry-run")
    assert dry.code == 0 and SAID[BEHIND] in words_of(dry.err + dry.out)


def test_an_entry_made_with_a_wrong_clock_is_undone_and_all_is_well(
    folder, breakplan, clock_at
) -> None:
    clock_at(AHEAD)
    assert breakplan("journal", "--shop", folder, "add", "waste bones: 1 lb", "--yes").code == 0
    clock_at(MON)
    sale = ("journal", "--shop", folder, "add", "sale loin chops: 1 lb on mon")
    ran = breakplan(*sale)
    assert ran.code == 2 and "breakplan journal undo 3" in words_of(ran.err)
    assert breakplan("journal", "--shop", folder, "undo", "3").code == 0
    assert breakplan(*sale).code == 0


@pytest.mark.parametrize("hours", [-24, -1, 0, 24 * 182])
def test_an_hour_of_summer_time_or_a_long_holiday_is_no_wrong_clock(
    folder, breakplan, clock_at, hours
) -> None:
    clock_at(datetime(2026, 11, 30, 6) + timedelta(hours=hours))
    ran = breakplan("journal", "--shop", folder, "add", "waste bones: 0.2 lb")
    assert "the clock of this machine" not in ran.err + ran.out
