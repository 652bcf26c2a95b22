"""Wants out of a shop's journal: what each day says, and what `breakplan demand` tells."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from planner.commands.program import app
from planner.core.errors import BreakplanError
from planner.core.quantities import POUNDS
from planner.core.scenario import Scenario
from planner.core.units import Quantity
from planner.files.shop_file import read_shop
from planner.journal.entries import (
    Count,
    Entry,
    Filled,
    OrderTaken,
    Sold,
    Wasted,
)
from planner.journal.store import Journal
from planner.learn.demand import SoldDay
from planner.shop.learned.observed import Sales, observe
from planner.shop.learned.sales import demanded, expected_wants
from planner.show.demand import demand_text
from planner.show.demand_data import demand_data
from planner.show.layout import columns_of
from tests.demand_data import recorded, sales_entries, simulated
from tests.shops import shop_folder

MONDAY = date(2026, 6, 1)
CHOPS, RACK, ROAST = "lamb loin chops", "lamb frenched rack", "lamb shoulder roast"


def day(number: int) -> date:
    return MONDAY + timedelta(days=number)


@pytest.fixture
def week(tmp_path: Path) -> Scenario:
    return read_shop(shop_folder(tmp_path))[0].week(MONDAY)


def observed(week: Scenario, *entries: Entry, first: date | None = None) -> Sales:
    return observe(week, recorded(list(entries)), first or day(14))


def sold(number: int, amount: float, cut: str = CHOPS, **more: object) -> Sold:
    return Sold(day(number), cut, Quantity(amount, cut == RACK), **more)  # type: ignore[arg-type]


def there(number: int, amount: float, cut: str = CHOPS) -> Count:
    return Count(day(number), "open", cut, Quantity(amount, cut == RACK))


# -- what a day says -------------------------------------------------------------------------------


def test_a_day_is_sold_out_where_nothing_is_left_or_an_entry_says_so(week: Scenario) -> None:
    entries = (
        *(there(0, 5.0), sold(0, 5.0)),
        *(there(1, 5.0), sold(1, 4.9)),
        *(there(2, 5.0), sold(2, 4.0)),
        *(there(3, 5.0), sold(3, 2.0, sold_out=True)),
        *(there(4, 3.0, RACK), sold(4, 3.0, RACK)),
        *(there(5, 3.0, RACK), sold(5, 2.0, RACK)),
    )
    days = observed(week, *entries)
    assert days.cuts["loin chops"].days == {
        day(0): SoldDay(5.0, True),
        day(1): SoldDay(4.9, True),  # an ounce and a half is nothing to sell
        day(2): SoldDay(4.0, False),
        day(3): SoldDay(2.0, True),
        day(4): SoldDay(0.0, False),  # the other 3 lb, which nobody wanted
        day(5): SoldDay(0.0, False),
    }
    assert days.cuts["frenched rack"].days == {
        day(4): SoldDay(3.0, True),
        day(5): SoldDay(2.0, False),
    }


def test_stock_there_and_none_sold_is_a_true_zero_and_no_stock_says_nothing(week: Scenario) -> None:
    entries = (
        *(there(0, 6.0), sold(0, 2.0), sold(0, 1.0, ROAST)),
        sold(1, 1.0, ROAST),  # chops there, none sold
        # day 2: no sale of anything recorded
        *(there(3, 0.0), sold(3, 1.0, ROAST)),  # no chops there
    )
    assert observed(week, *entries).cuts["loin chops"].days == {
        day(0): SoldDay(2.0, False),
        day(1): SoldDay(0.0, False),
    }


def test_what_was_thrown_away_was_not_wanted(week: Scenario) -> None:
    entries = (there(0, 5.0), sold(0, 3.0), Wasted(day(0), CHOPS, Quantity(2.0)))
    assert observed(week, *entries).cuts["loin chops"].days[day(0)] == SoldDay(3.0, False)


def test_a_closing_count_corrects_what_was_reckoned(week: Scenario) -> None:
    entries = (there(0, 5.0), sold(0, 5.0), Count(day(0), "close", CHOPS, Quantity(1.5)))
    assert not observed(week, *entries).cuts["loin chops"].days[day(0)].sold_out


def test_a_journal_of_sales_alone_is_never_sold_out_by_reckoning(week: Scenario) -> None:
    entries = [sold(each, 3.0) for each in range(6)] + [sold(7, 1.0, ROAST), sold(60, 1.0, ROAST)]
    days = observed(week, *entries, first=day(70)).cuts["loin chops"].days
    assert {each: what.sold_out for each, what in days.items()} == dict.fromkeys(
        [day(each) for each in (0, 1, 2, 3, 4, 5, 7)], False
    )
    assert days[day(7)] == SoldDay(0.0)  # sold last week, and not today
    assert day(60) not in days  # who knows whether it is offered any more


def test_stock_that_does_not_explain_the_sales_is_not_believed(week: Scenario) -> None:
    entries = (there(0, 5.0), sold(0, 1.0), sold(1, 9.0), there(2, 5.0), sold(2, 5.4))
    days = observed(week, *entries).cuts["loin chops"].days
    assert [days[day(each)].sold_out for each in range(3)] == [False, False, True]


def test_orders_are_no_wants_and_sales_of_a_day_are_summed(week: Scenario) -> None:
    entries = (
        OrderTaken(day(0), CHOPS, Quantity(9.0), "the corner bistro"),
        there(0, 20.0),
        Filled(day(0), 1, 9.0),
        sold(0, 2.0),
        sold(0, 1.5),
    )
    assert observed(week, *entries).cuts["loin chops"].days == {day(0): SoldDay(3.5, False)}


def test_markdown_sales_are_no_wants_at_the_full_price(week: Scenario) -> None:
    """Shoulder roast: 17.49 a pound, marked down 13.99."""
    entries = (
        *(sold(0, 4.0, ROAST, money=4 * 17.49), sold(0, 2.0, ROAST, money=2 * 13.99)),
        sold(1, 3.0, ROAST, money=3 * 13.99),
        sold(2, 3.0, ROAST, money=3 * 15.99),  # last year's price
        sold(3, 3.0, ROAST),
        sold(4, 3.0, CHOPS, money=3 * 11.00),  # no markdown in the file
    )
    days = observed(week, *entries)
    assert {each: what.amount for each, what in days.cuts["shoulder roast"].days.items()} == {
        day(0): 4.0,
        day(2): 3.0,
        day(3): 3.0,
        day(4): 0.0,
    }
    assert days.cuts["loin chops"].days[day(4)].amount == 3.0


def test_names_and_ways_of_selling_that_do_not_fit_are_told_once(week: Scenario) -> None:
    entries = (
        sold(0, 1.0, "hog chops"),
        sold(1, 1.0, "hog chops"),
        Sold(day(1), "bad\x1b[2Jname", Quantity(1.0)),
        Sold(day(1), RACK, Quantity(2.0)),
        sold(1, 2.0),
    )
    days = observed(week, *entries)
    assert set(days.cuts) == {"loin chops"}
    first, second = days.warnings
    assert first.startswith("sales of what no recipe here makes are left out: hog chops, bad")
    assert "\x1b" not in first and first.count("hog chops") == 1
    assert second.startswith("frenched rack: ")


@pytest.mark.parametrize("first", range(7, 14))
def test_the_week_planned_and_later_ones_are_not_looked_at(week: Scenario, first: int) -> None:
    entries = [sold(each, 2.0) for each in range(20)]
    days = observed(week, *entries, first=day(first))
    assert max(days.cuts["loin chops"].days) == day(6)
    assert (days.first, days.before) == (day(first), day(7))


# -- the wants to plan with ------------------------------------------------------------------------

WEEK = np.array([1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 0.0])


def steady(weeks: int, **cuts: float) -> list[Entry]:
    """Cuts (`frenched_rack`) that sell a multiple of `WEEK` every week."""
    amounts = {
        f"lamb {name.replace('_', ' ')}": np.tile(factor * WEEK, (weeks, 1))
        for name, factor in cuts.items()
    }
    return list(sales_entries(amounts, MONDAY, by_each=(RACK,)))


def test_wants_are_those_of_the_file_until_there_are_enough_sales(week: Scenario) -> None:
    file = week.demand["loin chops"].want
    before = None
    for weeks in range(12):
        entries = recorded(steady(weeks, loin_chops=2.0))
        wants = expected_wants(week, entries, day(7 * weeks))
        if weeks < 3:
            assert wants == {}
            continue
        assert set(wants) == {"loin chops"}
        want = wants["loin chops"]
        assert len(want) == 7 and want[6] == 0.0
        assert all(
            min(a, b) - 0.1 <= c <= max(a, b) + 0.5
            for a, b, c in zip(file, 2 * WEEK, want, strict=True)
        )
        assert before is None or sum(want) > before - 0.5
        before = sum(want)
    assert before == pytest.approx(48.0, rel=0.03)


@pytest.mark.parametrize("factor", [1.0, 3.0])
def test_wants_stand_for_their_week_whatever_it_sells(week: Scenario, factor: float) -> None:
    """Thin data, by weight and by each: a plan made again on its Wednesday has the same wants."""
    entries = steady(5, loin_chops=2.0, frenched_rack=1.0)
    told = expected_wants(week, recorded(entries), day(35))
    learned = {each.cut: each for each in demanded(week, recorded(entries), day(35)).wants}
    assert set(told) == {"loin chops", "frenched rack"}
    assert 0 < learned["loin chops"].learned.trust[5] < 1
    for number in range(6):
        for cut in (CHOPS, RACK):
            want = learned[cut.removeprefix("lamb ")].want[number]
            if want:
                entries.append(sold(35 + number, factor * want, cut))
        for again in range(2):
            assert expected_wants(week, recorded(entries), day(35 + number + again)) == told
    after = expected_wants(week, recorded(entries), day(42))
    assert after["loin chops"][5] > told["loin chops"][5]


def test_what_is_counted_is_wanted_in_whole_numbers_that_keep_the_week(week: Scenario) -> None:
    entries = recorded(steady(20, frenched_rack=1.0))
    (answer,) = demanded(week, entries, day(140)).wants
    assert all(each == int(each) for each in answer.want)
    assert sum(answer.want) == round(sum(answer.learned.want))
    assert sum(answer.want) == pytest.approx(24, abs=1)
    assert expected_wants(week, entries, day(140)) == {"frenched rack": answer.want}


def test_nothing_is_wanted_of_a_closed_day_or_a_cut_without_a_price(tmp_path: Path) -> None:
    folder = shop_folder(tmp_path, ("  loin chops: {price: 23.99/lb, want: 20 lb}\n", ""))
    week = read_shop(folder)[0].week(MONDAY)
    entries = steady(20, loin_chops=2.0, whole_leg=1.0)
    entries += [Sold(day(7 * each + 6), "lamb whole leg", Quantity(5.0)) for each in range(20)]
    answer = demanded(week, recorded(entries), day(140))
    chops = next(each for each in answer.wants if each.cut == "loin chops")
    assert chops.file is None and chops.used == "learned"
    wants = expected_wants(week, recorded(entries), day(140))
    assert set(wants) == {"whole leg"} and wants["whole leg"][6] == 0.0
    text = demand_text(answer)
    assert "without a price in shop.yaml, so not planned: loin chops" in text


def test_stock_by_day_lifts_what_is_learned_above_what_was_sold(week: Scenario) -> None:
    shop = simulated("stable", 11, cuts=1, weeks=40)
    wanted = shop.wanted[0]
    stock = np.tile(1.1 * shop.mean[0].mean(axis=0), (40, 1))
    entries = recorded(list(sales_entries({CHOPS: wanted}, MONDAY, stock={CHOPS: stock})))
    (answer,) = demanded(week, entries, day(280)).wants
    taken = np.minimum(wanted, stock)[20:, :6].mean(axis=0).sum()
    truth = shop.mean[0, 20:, :6].mean(axis=0).sum()
    assert 0.25 < sum(answer.sold_out) / sum(answer.days) < 0.75
    assert taken < 0.85 * truth
    assert abs(sum(answer.want) - truth) < 0.5 * abs(taken - truth)


def test_a_big_shops_two_years_are_soon_read(tmp_path: Path) -> None:
    week = read_shop(shop_folder(tmp_path, recipe="shipped"))[0].week(MONDAY)
    names = [f"lamb {each}" for each in week.cuts if not each.startswith("lamb ")]
    names = names[:40]
    shop = simulated("stable", 12, cuts=len(names), weeks=104)
    by_each = tuple(each for each in names if week.cuts[each.removeprefix("lamb ")].by_each)
    cuts = {
        name: np.round(shop.wanted[at]) if name in by_each else shop.wanted[at]
        for at, name in enumerate(names)
    }
    entries = recorded(list(sales_entries(cuts, MONDAY, by_each=by_each)))
    assert len(entries) > 10_000
    began = time.process_time()
    expected_wants(week, entries, day(728))
    assert time.process_time() - began < 2.0


# -- the command -----------------------------------------------------------------------------------


@pytest.fixture
def shop(tmp_path: Path, clock_at: Callable[[date], None]) -> Callable[..., Path]:
    """A shop folder with a journal of so many weeks, on the Monday after them."""

    def make(weeks: int, *more: Entry, **cuts: float) -> Path:
        folder = shop_folder(tmp_path)
        with Journal(folder / "journal.db", create=True) as journal:
            journal.add([*steady(weeks, **cuts), *more])
        clock_at(day(7 * weeks))
        return folder

    return make


def run(*words: object) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, ["demand", *map(str, words)])
    if isinstance(error := result.exception, BreakplanError):
        return error.exit_code, result.stdout, str(error)
    return result.exit_code, result.stdout, result.stderr


def test_the_table_tells_wants_file_and_what_is_used(shop: Callable[..., Path]) -> None:
    more = [sold(each, 1.0, "lamb bones") for each in (133, 134)]
    folder = shop(20, *more, loin_chops=2.0, frenched_rack=1.0)
    code, text, error = run("--shop", folder)
    assert (code, error) == (0, "")
    lines = text.splitlines()
    assert "EXPECTED WANTS of the week of mon 19 oct (lb a day, or each)" in lines
    chops = [each for each in lines if each.strip().startswith("loin chops")]
    assert len(chops) == 2 and "±" in chops[0]
    assert chops[1].split() == ["loin", "chops", *chops[1].split()[2:6], "120", "0", "learned"]
    bones = next(each for each in lines if each.strip().startswith("bones"))
    assert bones.count("(") == 6  # the file's, all of them
    assert "changed most: " in text and "too few sales, the file's want stands: bones (" in text
    told = "no sale before this week, the file's want stands: whole leg; boneless leg"
    assert told in " ".join(text.split())
    assert max(map(columns_of, lines)) <= 100


@pytest.mark.parametrize("columns", [60, 76, 100])
def test_it_fits_into_the_columns_there_are(
    columns: int, shop: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = shop(20, loin_chops=200.0, boneless_leg=3.0, ground_lamb=1.0, frenched_rack=1.0)
    monkeypatch.setenv("COLUMNS", str(columns))
    code, text, _ = run("--shop", folder, "--backtest")
    assert code == 0
    assert columns_of(text) <= columns
    for name in ("mon", "tue", "wed", "thu", "fri", "sat", "loin chops", "ground lamb"):
        assert name in text
    assert "sun" not in text.split()


@pytest.mark.parametrize(("columns", "spreads"), [(60, False), (100, True)])
def test_the_weekdays_are_readable(
    columns: int, spreads: bool, shop: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One table, its marks told before it, and dashes where nothing is wanted and nothing sells."""
    breast = [sold(7 * week + 4, 3.0, "lamb whole breast") for week in range(20)]
    tray = [sold(7 * week + 5, 0.001, "lamb bones") for week in range(20)]
    folder = shop(20, *breast, *tray, loin_chops=2.0, frenched_rack=1.0)
    monkeypatch.setenv("COLUMNS", str(columns))
    code, text, _ = run("--shop", folder)
    assert code == 0
    weekdays = text.split("\n\n")[1].splitlines()
    head = next(at for at, line in enumerate(weekdays) if line.split()[:2] == ["mon", "tue"])
    assert weekdays[head].split() == ["mon", "tue", "wed", "thu", "fri", "sat"]
    marks, rows = "\n".join(weekdays[:head]), weekdays[head + 1 :]
    cells = {line[:24].strip(): line[24:].split() for line in rows}
    assert len(cells) == len(rows)
    assert "0.0 ±0.0" not in text
    for mark, word in (("±", "two of three"), ("( )", "too few sales"), ("-", "nothing sells")):
        used = any(mark[0] in "".join(each) for each in cells.values())
        assert (f"  {mark:<3}  " in marks) is (word in marks) is used
    assert ("±" in "".join(rows)) is spreads
    assert ("breakplan demand CUT" in marks) is not spreads


def test_a_day_is_a_dash_only_where_the_file_wants_nothing_too(tmp_path: Path) -> None:
    folder = shop_folder(
        tmp_path,
        (
            "loin chops: {price: 23.99/lb, want: 20 lb}",
            "loin chops: {price: 23.99/lb, want: {mon: 2 lb, sat: 9 lb}}",
        ),
    )
    week = read_shop(folder)[0].week(MONDAY)
    friday = [sold(7 * at + 4, 3.0) for at in range(20)]
    others = [sold(7 * at + on, 1.0, ROAST) for at in range(20) for on in range(6)]
    stock = [there(7 * at + on, 9.0) for at in range(20) for on in range(6)]
    text = demand_text(demanded(week, recorded([*stock, *friday, *others]), day(140)))
    row = next(line for line in text.splitlines() if line.strip().startswith("loin chops"))
    words = row.split()[2:]
    assert float(words[0]) < 0.5  # the file wants 2 lb on mondays, and none sells: that is news
    assert words[2:5] == ["-", "-", "-"]
    assert float(words[5]) > 1.5  # the file wants nothing on fridays, and it sells


def test_one_cut_is_told_day_by_day(shop: Callable[..., Path]) -> None:
    folder = shop(20, loin_chops=2.0)
    code, text, _ = run("loin chops", "--shop", folder)
    assert code == 0
    rows = {line.split()[0]: line.split() for line in text.splitlines() if line.startswith("  ")}
    for weekday, amount in zip(("mon", "fri", "sat"), (2.0, 12.0, 16.0), strict=True):
        assert float(rows[weekday][1]) == pytest.approx(amount, abs=0.3)
        assert rows[weekday][4:] == ["20", "0", "learned"]
    assert float(rows["week"][1]) == pytest.approx(48.0, rel=0.03)
    assert "boneless" not in text
    code, text, _ = run("whole leg", "--shop", folder)
    assert code == 0 and "No sale of whole leg is in the journal" in text


def test_a_name_that_is_none_is_told_with_the_nearest(shop: Callable[..., Path]) -> None:
    code, _, error = run("loin chop", "--shop", shop(3, loin_chops=2.0))
    assert code == 2 and 'did you mean "loin chops"?' in " ".join(error.split())


def test_the_json_has_the_same_figures(shop: Callable[..., Path]) -> None:
    folder = shop(20, sold(1, 1.0, "hog chops"), loin_chops=2.0, frenched_rack=1.0)
    code, text, error = run("--shop", folder, "--json", "--backtest")
    assert code == 0 and error.startswith("warning: sales of what no recipe here makes")
    data = json.loads(text)
    assert data["format"] == "breakplan-demand/1" and data["first"] == "2026-10-19"
    cuts = {each["cut"]: each for each in data["cuts"]}
    assert set(cuts) == {"loin chops", "frenched rack"} and "whole leg" in data["unsold"]
    chops = cuts["loin chops"]
    week = read_shop(folder)[0].week(day(140))
    with Journal(folder / "journal.db") as journal:
        wants = expected_wants(week, journal.recorded(), day(140))
    assert [each["want"] for each in chops["days"]] == pytest.approx(wants["loin chops"])
    assert [each["file"] for each in chops["days"]] == pytest.approx(week.demand["loin chops"].want)
    assert chops["used"] == "learned" and chops["sold by"] == "lb"
    assert [each["known"] for each in chops["days"]] == [20] * 6 + [0]
    assert chops["backtest"]["days"] == 12 * 6
    assert chops["backtest"]["last week"] == 0.0  # it sells the same every week
    assert data["odd"] and data["ratio"] is not None


def test_amounts_are_in_the_shops_unit(week: Scenario) -> None:
    answer = demanded(week, recorded(steady(20, loin_chops=2.0)), day(140))
    metric = replace(answer, sales=replace(answer.sales, week=replace(week, unit="kg")))
    (pounds,), (kilos,) = (demand_data(each)["cuts"] for each in (answer, metric))
    assert kilos["sold by"] == "kg"
    for one, other in zip(pounds["days"], kilos["days"], strict=True):
        assert other["want"] * POUNDS["kg"] == pytest.approx(one["want"])
        assert other["spread"] * POUNDS["kg"] == pytest.approx(one["spread"])
    assert "(kg a day, or each)" in demand_text(metric)


def test_an_empty_journal_is_told_in_words(shop: Callable[..., Path]) -> None:
    folder = shop(0)
    code, text, _ = run("--shop", folder)
    assert code == 0
    assert "No sales are in the journal before mon 1 jun" in " ".join(text.split())
    code, text, _ = run("--shop", folder, "--json", "--backtest")
    data = json.loads(text)
    assert data["cuts"] == [] and data["ratio"] is None and len(data["unsold"]) == 7


def test_a_short_journal_has_no_back_test_and_says_so(shop: Callable[..., Path]) -> None:
    code, text, _ = run("--shop", shop(7, loin_chops=2.0), "--backtest")
    assert code == 0 and "Too few sales for a back-test" in text


def test_on_a_closed_day_it_is_the_next_week(
    shop: Callable[..., Path], clock_at: Callable[[date], None]
) -> None:
    folder = shop(20, loin_chops=2.0)
    clock_at(day(139))
    assert "the week of mon 19 oct" in run("--shop", folder)[1]


def test_help_has_an_example() -> None:
    code, text, _ = run("--help")
    assert code == 0 and "breakplan demand --backtest" in text
