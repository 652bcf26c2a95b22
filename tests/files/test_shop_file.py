"""The file of a shop: its weeks, its faults with their lines, where it is found."""

from __future__ import annotations

import json
import os
from datetime import date, timedelta
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft202012Validator

from planner.core.errors import InputError
from planner.core.quantities import WEEKDAYS
from planner.core.units import Units
from planner.files.check import check, schema
from planner.files.find import shipped_folder
from planner.files.scenario_file import read_scenario
from planner.files.shop_file import NO_LIMIT, find_shop, read_shop
from planner.solve.plan import plan_week
from tests.shops import LITTLE_SHOP, shop_folder

OFFER = "offers:\n  - {lamb: up to 2 head at 55 lb, arrives: wed, cost: 7.60/lb}\n"
DAYS = "days: [mon, tue, wed, thu, fri, sat]"
BENCH = "bench: {mon: 120, tue: 120, wed: 120, thu: 120, fri: 120, sat: 90}"
TRAFFIC = "traffic: {mon: 8%, tue: 10%, wed: 12%, thu: 15%, fri: 25%, sat: 30%}"
A_WEDNESDAY = date(2026, 12, 2)


def week_of(folder, day=A_WEDNESDAY):
    return read_shop(folder)[0].week(day)


def faults(folder):
    """Lines and messages about shop.yaml."""
    with pytest.raises(InputError) as caught:
        read_shop(folder)
    assert {Path(each.file).name for each in caught.value.problems} == {"shop.yaml"}
    return [(each.line, each.message) for each in caught.value.problems]


def line_of(folder, part):
    lines = (folder / "shop.yaml").read_text().splitlines()
    (number,) = [number for number, line in enumerate(lines, 1) if part in line]
    return number


# ---- its weeks ----


def test_a_week_is_the_scenario_of_its_seven_days(tmp_path):
    """What the reader of scenarios makes of the same week written as one."""
    folder = shop_folder(tmp_path, more=OFFER + "rules:\n  - at most 1 leg: boneless\n")
    text = (folder / "shop.yaml").read_text()
    text = text.replace(DAYS, "days: 7").replace("offers:", "rail:") + "starts: 2026-11-30\n"
    (folder / "week.yaml").write_text(text.replace("sat: 90}", "sat: 90, sun: 0}"))
    scenario, _ = read_scenario(folder / "week.yaml", "week.yaml")
    assert week_of(folder) == scenario
    assert scenario.lots and scenario.rules


@pytest.mark.parametrize("day", [date(2026, 11, 30), date(2026, 12, 6), date(2028, 2, 29)])
def test_the_calendar_week_around_a_day(tmp_path, day):
    week = week_of(shop_folder(tmp_path), day)
    assert (week.starts.weekday(), week.days) == (0, 7)
    assert week.starts <= day <= week.starts + timedelta(days=6)
    assert week.day_labels == WEEKDAYS


def test_what_the_file_says_of_the_shop(tmp_path):
    folder = shop_folder(tmp_path, (DAYS, "days: [sat, tue, wed]"), *_only("tue", "wed", "sat"))
    shop, warnings = read_shop(folder)
    assert warnings == []
    assert (shop.folder, shop.title) == (folder, "An invented little shop")
    assert (shop.units, shop.open_days) == (Units("lb", "$"), (1, 2, 5))
    assert shop.journal == folder / "journal.db"
    assert shop.recipe_files == (folder / "recipes" / "lamb.yaml",)
    assert shop.usual.case == shop.usual.orders == shop.usual.lots == ()


def _only(*days):
    """Changes that leave only these days in the little shop."""
    bench = ", ".join(f"{day}: 120" for day in days)
    traffic = ", ".join(f"{day}: 10" for day in days)
    return (
        (BENCH, f"bench: {{{bench}}}"),
        (TRAFFIC, f"traffic: {{{traffic}}}"),
        ("want: {fri: 9 lb, sat: 18 lb}", "want: {sat: 18 lb}"),
        ("want: {wed: 4 lb, fri: 6 lb, sat: 6 lb}", "want: {wed: 4 lb, sat: 6 lb}"),
    )


def test_six_days_where_nothing_is_said(tmp_path):
    shop, _ = read_shop(shop_folder(tmp_path, (DAYS + "\n", "")))
    assert shop.open_days == (0, 1, 2, 3, 4, 5)


def test_an_amount_for_the_week_is_spread_over_the_open_days(tmp_path):
    """Without traffic evenly: 20 lb of loin chops over four days, by hand."""
    days = ("tue", "wed", "fri", "sat")
    folder = shop_folder(tmp_path, (DAYS, f"days: [{', '.join(days)}]"), *_only(*days))
    _change(folder, "traffic: {tue: 10, wed: 10, fri: 10, sat: 10}\n", "")
    week = week_of(folder)
    assert week.demand["loin chops"].want == (0, 5, 5, 0, 5, 5, 0)
    assert week.traffic == (0, 1, 1, 0, 1, 1, 0)
    assert week.bench == (0, 120, 120, 0, 120, 120, 0)


def _change(folder, old, new):
    path = folder / "shop.yaml"
    text = path.read_text()
    assert text.count(old) == 1
    path.write_text(text.replace(old, new))


@pytest.mark.parametrize(
    ("bench", "minutes"), [("", NO_LIMIT), ("bench: 45", 45.0), ("bench: {wed: 30, sun: 0}", None)]
)
def test_nobody_cuts_on_closed_days(tmp_path, bench, minutes):
    days = ("tue", "wed", "sat")
    folder = shop_folder(tmp_path, (DAYS, f"days: [{', '.join(days)}]"), *_only(*days), more=OFFER)
    _change(folder, "bench: {tue: 120, wed: 120, sat: 120}", bench)
    week = week_of(folder)
    wanted = [0, 0, 30, 0, 0, 0, 0]
    if minutes is not None:
        wanted = [minutes if WEEKDAYS[day] in days else 0 for day in range(7)]
    assert list(week.bench) == wanted
    plan = plan_week(week)
    assert plan.breaks
    assert {plan.scenario.day_labels[each.day] for each in plan.breaks} <= set(days)


def test_the_shipped_lamb_and_names_as_they_are_written_there(tmp_path):
    """A short file; names with the species in front are the same."""
    text = (
        "recipes: [recipes/lamb.yaml]\nunit: kg\nmoney: EUR\ncarry: 10%\n"
        "demand: {lamb loin chops: {price: 44/kg, want: {SAT: 3}}}\n"
    )
    folder = shop_folder(tmp_path, recipe="shipped", shop=text)
    shop, _ = read_shop(folder)
    want = shop.week(A_WEDNESDAY).demand["loin chops"].want
    assert want == pytest.approx((0, 0, 0, 0, 0, 3 / 0.45359237, 0))
    assert shop.units == Units("kg", "EUR")


# ---- faults ----


def test_all_faults_at_once_each_with_its_line(tmp_path):
    folder = shop_folder(
        tmp_path,
        (TRAFFIC, "traffic: {mon: 8%, sun: 10%}"),
        (BENCH, "bench: {mon: 120, tuo: 60, 2026-12-02: 60, sun: 60}"),
        ("want: {fri: 9 lb, sat: 18 lb}", "want: {fri: 9 lb, sun: 18 lb}"),
        ("loin chops:", "lion chops:"),
        (
            "want: {sat: 2}}",
            "want: {sat: 2}, orders: [{day: fri, amount: 1, for: a feast}]}",
        ),
        ("{sat: 4 lb}", "{2026-12-05: 4 lb}"),
        more="starts: 2026-11-30\nrail: []\ncase: {}\nofers: []\n",
    )
    closed = "the shop is closed on sun (days: [mon, tue, wed, thu, fri, sat])"
    dates = ": a shop file is for every week and has no dates; write mon .. sun"
    assert faults(folder) == sorted(
        (line_of(folder, part), message)
        for part, message in [
            ("traffic:", closed),
            ("bench:", closed),
            ("bench:", 'no day called "tuo"; did you mean "tue"?'),
            ("bench:", f"2026-12-02{dates}"),
            ("whole leg:", closed),
            ("lion chops:", 'no cut called "lion chops" in lamb; did you mean "loin chops"?'),
            (
                "frenched rack:",
                "frenched rack: orders are entered in the journal, not in a shop file",
            ),
            ("shoulder roast:", f"2026-12-05{dates}"),
            (
                "starts:",
                "starts: a shop file is for every week and has no date; leave the line out",
            ),
            (
                "rail:",
                "rail: what arrives is entered in the journal; what may be bought every week is "
                "under offers",
            ),
            (
                "case:",
                "case: what lies in the case is entered in the journal, with: breakplan counts",
            ),
            ("ofers:", 'unknown key "ofers"; did you mean "offers"?'),
        ]
    )


@pytest.mark.parametrize(
    ("days", "message"),
    [
        ("6", "days: write the weekdays it is open: [mon, tue, wed, thu, fri]"),
        ("mon to sat", "days: write the weekdays it is open: [mon, tue, wed, thu, fri]"),
        ("[]", "days: the shop is never open"),
        ("[mon, tuse, wed]", 'days: no day called "tuse"; did you mean "tue"?'),
        ("[mon, tue, mon]", "days: mon is listed twice"),
        ("[mon, 2026-12-01]", 'days: no day called "2026-12-01"'),
        ("{mon: 1}", "days: a list is expected here"),
    ],
)
def test_days_that_will_not_do_are_told_once(tmp_path, days, message):
    folder = shop_folder(tmp_path, (DAYS, f"days: {days}"))
    ((line, told),) = faults(folder)
    assert line == line_of(folder, "days:")
    assert told.startswith(message)


@pytest.mark.parametrize(
    ("offer", "message"),
    [
        (
            "lamb: 2 head at 55 lb, arrives: wed, cost: 7/lb",
            '"2 head at 55 lb": an offer is what may be bought every week, such as "up to 2 head '
            'at 55 lb"; what arrives is entered in the journal',
        ),
        ("lamb: up to 2 head at 55 lb, cost: 7/lb", "an offer needs its weekday: arrives: mon"),
        (
            "lamb: up to 2 head at 55 lb, arrives: 2026-12-02, cost: 7/lb",
            "2026-12-02: a shop file is for every week and has no dates; write mon .. sun",
        ),
        (
            "lamb: up to 2 head at 55 lb, arrives: sun, cost: 7/lb",
            "the shop is closed on sun (days: [mon, tue, wed, thu, fri, sat])",
        ),
        (
            "lamb: up to 2 head at 55 lb, arrives: wen, cost: 7/lb",
            'no day called "wen"; did you mean "wed"?',
        ),
        (
            "lamp: up to 2 head at 55 lb, arrives: wed, cost: 7/lb",
            'no species or piece called "lamp"; did you mean "lamb"?',
        ),
        ("lamb: up to 2 head, arrives: wed, cost: 7/lb", 'cannot read "up to 2 head"'),
    ],
)
def test_offers_that_will_not_do(tmp_path, offer, message):
    folder = shop_folder(tmp_path, more=f"offers:\n  - {{{offer}}}\n")
    ((line, told),) = faults(folder)
    assert line == line_of(folder, "  - {")
    assert told.startswith(message)


def test_faults_of_a_recipe_are_told_with_those_of_the_shop(tmp_path):
    folder = shop_folder(tmp_path, ("carry: 40%", "carry: 40"))
    recipe = folder / "recipes" / "lamb.yaml"
    recipe.write_text(recipe.read_text().replace("leg: 2 at 15%", "leg: 2 at 16%"))
    with pytest.raises(InputError) as caught:
        read_shop(folder)
    names = [(Path(each.file).name, each.message) for each in caught.value.problems]
    assert ("lamb.yaml", "carcass, block break: shares add up to 102%, 2 points over") in names
    assert ("shop.yaml", "the recipe recipes/lamb.yaml has faults") in names
    assert any(message.startswith("carry: ") for _, message in names)


def test_a_recipe_that_is_not_there(tmp_path):
    folder = shop_folder(tmp_path, ("recipes/lamb.yaml", "recipes/goat.yaml"))
    ((_, told),) = faults(folder)
    assert told.startswith("recipes/goat.yaml: no such file")


def test_another_file_by_this_name(tmp_path):
    folder = shop_folder(tmp_path, shop=(shipped_folder("recipes") / "goat.yaml").read_text())
    assert faults(folder) == [(0, "this is a recipe, but a shop file is expected here")]


def test_what_is_odd(tmp_path):
    folder = shop_folder(
        tmp_path,
        ("tue: 120, ", ""),
        ("13.99/lb, want: {fri", "0/lb, want: {fri"),
        ("23.99/lb", "2399/lb"),
        more=OFFER + "  - {lamb: up to 1 head at 550 lb, arrives: thu, cost: 7/lb}\n",
    )
    found = [(each.line, each.message) for each in read_shop(folder)[1]]
    assert sorted(found) == sorted(
        [
            (line_of(folder, "bench:"), "no bench on tue: nothing can be cut then"),
            (line_of(folder, "whole leg:"), "whole leg has a price of zero"),
            (
                line_of(folder, "loin chops:"),
                "loin chops: a price more than 10 times the median price of this file (13.99/lb)",
            ),
            (
                line_of(folder, "550 lb"),
                f"one carcass weighs 550.0 lb here and 55.0 lb on line {line_of(folder, '55 lb')}",
            ),
        ]
    )


# ---- where it is ----


def test_the_shop_named_here_or_above(tmp_path, monkeypatch):
    folder = shop_folder(tmp_path)
    inner = folder / "recipes" / "old"
    inner.mkdir()
    assert find_shop(folder, tmp_path) == folder
    assert find_shop(folder / "shop.yaml", tmp_path) == folder
    assert find_shop(None, folder) == folder
    assert find_shop(None, inner) == folder
    monkeypatch.chdir(inner)
    assert find_shop(None, Path()) == folder.resolve()
    monkeypatch.chdir(folder)
    assert read_shop(find_shop(None, Path()))[0].open_days == (0, 1, 2, 3, 4, 5)


@pytest.mark.parametrize("name", ["other", "none", "x" * 300])
def test_no_shop_there(tmp_path, name):
    (tmp_path / "other").mkdir()
    with pytest.raises(InputError, match=r"breakplan start .* makes a shop folder there"):
        find_shop(tmp_path / name, shop_folder(tmp_path))


def test_no_shop_anywhere(tmp_path):
    with pytest.raises(InputError) as caught:
        find_shop(None, tmp_path)
    assert str(caught.value) == (
        "shop.yaml: no shop.yaml here or in a folder above; go to a shop folder, name it with "
        "--shop DIR, or make one: breakplan start DIR"
    )


# ---- slips ----


def warnings(folder):
    return [(each.line, each.message) for each in read_shop(folder)[1]]


@pytest.mark.parametrize(
    ("traffic", "total"),
    [
        ("{mon: 16%, tue: 20%, wed: 24%, thu: 30%, fri: 50%, sat: 60%}", "200%"),
        ("{mon: 8%, tue: 10%, wed: 12%, thu: 15%, fri: 25%, sat: 3%}", "73%"),
        ("{mon: 8%, tue: 10%, wed: 12%, thu: 15%, fri: 25%, sat: 32%}", None),  # rounded
        ("{mon: 8, tue: 10, wed: 12, thu: 15, fri: 25, sat: 300}", None),
        ("{mon: 16.6%, tue: 16.6%, wed: 16.6%, thu: 16.6%, fri: 16.6%, sat: 16.6%}", None),
    ],
)
def test_traffic_in_percent_adds_up(tmp_path, traffic, total):
    folder = shop_folder(tmp_path, (TRAFFIC, f"traffic: {traffic}"))
    told = "the days of traffic add up to {}, not 100%: each is taken as its share of that"
    line = line_of(folder, "traffic:")
    assert warnings(folder) == ([(line, told.format(total))] if total else [])


@pytest.mark.parametrize(
    ("bench", "most"),
    [
        (BENCH.replace("thu: 120", "thu: 18000"), "18,000"),
        ("bench: 18000", "18,000"),
        (BENCH.replace("thu: 120", "thu: 8640"), None),
    ],
)
def test_more_bench_than_a_day_has_is_odd(tmp_path, bench, most):
    folder = shop_folder(tmp_path, (BENCH, bench))
    told = f"{most} minutes a day are more than 6 people have in 24 hours"
    assert warnings(folder) == ([(line_of(folder, "bench:"), told)] if most else [])
    (tmp_path / "none").mkdir()
    assert warnings(shop_folder(tmp_path / "none", (BENCH + "\n", ""))) == [], "no limit is no slip"


# ---- checking one ----


def test_check_knows_a_shop_file(breakplan, tmp_path):
    path = shop_folder(tmp_path) / "shop.yaml"
    ran = breakplan("check", path)
    assert (ran.code, ran.out) == (0, f"{path}: a sound shop file\n")
    assert check(str(path)).kind == "shop"


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        (LITTLE_SHOP, "shop"),
        (LITTLE_SHOP.replace(DAYS + "\n", OFFER), "shop"),
        (LITTLE_SHOP.replace(DAYS, "starts: 2026-11-30\ndays: 6"), "scenario"),
        (LITTLE_SHOP.replace(DAYS, "days: 6"), "scenario"),
    ],
)
def test_kinds_by_their_keys(tmp_path, text, kind):
    path = shop_folder(tmp_path).parent / "shop" / "mine.yaml"
    path.write_text(text)
    assert check(str(path)).kind == kind


def test_a_scenario_may_be_called_shop(breakplan, tmp_path):
    text = LITTLE_SHOP.replace(DAYS, "starts: 2026-11-30\ndays: 6")
    path = shop_folder(tmp_path, shop=text) / "shop.yaml"
    assert check(str(path)).kind == "scenario"
    assert breakplan("check", path).code == 0


def test_a_shop_file_is_no_week(breakplan, tmp_path):
    path = shop_folder(tmp_path) / "shop.yaml"
    ran = breakplan("trim", path)
    assert ran.code == 2
    assert ran.err == f"{path}: this is a shop file, but a scenario is expected here"


def test_the_schema_for_editors(breakplan, tmp_path):
    ran = breakplan("check", "--schema", "shop")
    assert ran.code == 0
    printed = json.loads(ran.out)
    assert printed == schema("shop")
    Draft202012Validator.check_schema(printed)
    validator = Draft202012Validator(printed)
    path = shop_folder(tmp_path, more=OFFER) / "shop.yaml"
    sound = yaml.safe_load(path.read_text())
    validator.validate(sound)
    for key, value in [("days", ["mno"]), ("starts", "2026-11-30"), ("rail", []), ("days", 6)]:
        assert not validator.is_valid({**sound, key: value}), key


@pytest.mark.skipif(os.name != "posix", reason="permissions")
def test_a_shop_that_may_not_be_read(tmp_path, monkeypatch):
    folder = shop_folder(tmp_path)

    def refuse(path, mode):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert faults(folder) == [(0, "cannot be read: Permission denied")]
