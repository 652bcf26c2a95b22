"""The plan that is kept in the journal: what stands in it, and which is the list on the wall."""

from __future__ import annotations

import json
from dataclasses import fields, make_dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from planner.ask.morning import mornings
from planner.ask.posting import kept_of
from planner.core.errors import RulesConflictError
from planner.core.recipe import full_name
from planner.core.scenario import Demand, Scenario, with_price
from planner.core.stock_replay import total
from planner.journal.checks import check_entry
from planner.journal.counting import counting
from planner.journal.entries import BreakDone, Delivery, PlanKept, Recorded, Undone
from planner.shop.plans.facts import differences, digest
from planner.shop.plans.posted import (
    done_since,
    last_kept,
    listed_in,
    read_kept,
    still_listed,
)
from planner.solve.plan import plan_week
from tests.outside.shops import mixed_shops, shops, write_shop
from tests.planning import TIGHT, plan_of, read

MONDAY = date(2026, 11, 30)
SHOPS = settings(
    deadline=None,
    suppress_health_check=list(HealthCheck),
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    max_examples=15,
)


@pytest.fixture
def plan(shop):
    return plan_of(shop.week)


@pytest.fixture
def kept(plan):
    return kept_of(plan)


def recorded(*entries):
    now = datetime(2026, 11, 30, 6, tzinfo=UTC)
    return tuple(Recorded(at, at, now, entry) for at, entry in enumerate(entries, 1))


def test_text_and_back(kept):
    text = kept.text()
    assert read_kept(text) == kept
    assert read_kept(text).text() == text
    assert json.loads(text)["format"] == "breakplan-kept/2"


@pytest.mark.parametrize(
    "spoil",
    [
        lambda text: "",
        lambda text: text[:-20],
        lambda text: text.replace("breakplan-kept/2", "breakplan-kept/3"),
        lambda text: text.replace('"2026-11-30"', '"someday"', 1),
        lambda text: json.dumps({**json.loads(text), "breaks": None}),
        lambda text: "[]",
    ],
)
def test_what_cannot_be_read_is_as_if_it_were_not_there(kept, spoil):
    assert read_kept(spoil(kept.text())) is None
    older = replace(kept, score=1.0)
    entries = [PlanKept(MONDAY, older.text()), PlanKept(MONDAY, spoil(kept.text()))]
    assert last_kept(recorded(*entries), MONDAY) == (1, older)


def test_a_later_version_may_say_more(kept):
    assert read_kept(json.dumps({**json.loads(kept.text()), "weather": "fair"})) == kept


def test_the_breaks_stand_in_the_order_of_the_sheet(plan, kept):
    days = mornings(plan, range(plan.scenario.days))
    sheet = [
        (plan.scenario.date(day.day), f"goat {job.piece}", job.way, job.count)
        for day in days
        for job in day.jobs
    ]
    assert [(each.day, each.piece, each.way, each.count) for each in kept.breaks] == sheet
    jobs = [job for day in days for job in day.jobs]
    for each, job in zip(kept.breaks, jobs, strict=True):
        things = [(f"goat {thing.name}", thing.count) for thing in (*job.gives, *job.trays)]
        assert [(given.what, given.count) for given in each.gives] == things
        weights = [given.pounds for given in each.gives]
        told = [thing.pounds for thing in (*job.gives, *job.trays)]
        assert weights == pytest.approx(told, abs=1e-5)


@settings(SHOPS)
@given(st.one_of(shops(), mixed_shops()))
def test_what_each_morning_expects_is_what_the_sheets_have(pair):
    """The stock is taken from the plan's record here, portion by portion."""
    with TemporaryDirectory() as folder:
        scenario = read(write_shop(pair, Path(folder)))
    try:
        plan = plan_week(scenario, TIGHT)
    except RulesConflictError:
        return
    assume(plan.breaks)
    kept = kept_of(plan)
    assert read_kept(kept.text()) == kept
    stock, coolers = plan.stock.cuts, plan.stock.pieces
    for day, morning in enumerate(kept.mornings):
        assert morning.day == scenario.date(day)
        for name, cut in scenario.cuts.items():
            had = total(stock[day][name].had)
            assert morning.cuts.get(full_name(cut.species, name), 0) == pytest.approx(had, abs=1e-5)
        pieces, pounds = {}, 0.0
        for lot in scenario.lots:
            there = dict(coolers[day][lot.index].had)
            if day and lot.arrives == day:
                there[lot.piece] = there.get(lot.piece, 0) - plan.head(lot)
            for name, count in there.items():
                full = full_name(lot.recipe.species, name)
                pieces[full] = pieces.get(full, 0) + count
                pounds += count * lot.weights()[name]
        found = {name: each.count for name, each in morning.pieces.items()}
        assert found == {name: count for name, count in pieces.items() if count}
        assert sum(each.pounds for each in morning.pieces.values()) == pytest.approx(pounds)


def test_the_latest_plan_that_covers_a_day(kept):
    def of(first, score):
        until = first + timedelta(days=3)
        return PlanKept(first, replace(kept, first=first, until=until, score=score).text())

    wednesday, delivery = MONDAY + timedelta(days=2), Delivery(MONDAY, "goat carcass", 1, (40.0,))
    entries = recorded(of(MONDAY, 1.0), delivery, of(MONDAY, 2.0), of(wednesday, 3.0))

    def found(day, entry=None):
        number, plan = last_kept(entries, day, entry) or (None, None)
        return number, plan and plan.score

    assert found(MONDAY) == (3, 2.0)
    assert found(MONDAY, 1) == (1, 1.0)
    assert found(wednesday) == (4, 3.0)
    assert found(wednesday, 3) == (3, 2.0)
    assert found(MONDAY, 4) == (None, None)  # it begins later
    assert found(MONDAY, 2) == (None, None)  # no plan
    assert found(MONDAY + timedelta(days=5)) == (4, 3.0)
    assert found(MONDAY + timedelta(days=6)) == (None, None)
    assert found(MONDAY - timedelta(days=1)) == (None, None)


def test_what_was_undone_later_counted_then():
    one, two = (Delivery(MONDAY, "goat carcass", head, (40.0,)) for head in (1, 2))
    entries = recorded(one, Undone(MONDAY, 1), two, PlanKept(MONDAY, "x"), Undone(MONDAY, 3), one)
    assert [each.number for each in counting(entries, 4)] == [3]
    assert [each.number for each in counting(entries, 6)] == [4]
    assert [each.number for each in counting(entries, 2)] == [1]


def test_what_is_still_to_be_done(plan, kept):
    """Less what the day has done since; not what was done before the plan was made."""
    listed = listed_in(kept)
    key = next(key for key in listed if key[0] == max(day for day, _, _ in listed))
    day, piece, way = key
    done = BreakDone(day, piece, way, 1)
    early, first = BreakDone(MONDAY, "goat shoulder", "trim", 1), PlanKept(MONDAY, kept.text())
    entries = recorded(early, first, done)
    assert done_since(kept, 2, entries) == {key: 1}
    left = still_listed(kept, 2, entries, MONDAY)
    assert left[key] == listed[key] - 1
    assert sum(left.values()) == sum(listed.values()) - 1
    assert set(left) <= set(listed)
    late = still_listed(kept, 2, entries, day)
    assert {each[0] for each in late} <= {day}
    more = recorded(early, first, *[done] * (listed[key] + 2))
    assert key not in still_listed(kept, 2, more, MONDAY)


def test_wants_bench_and_rules_are_those_of_the_whole_week(plan):
    """Where part of today is over the plan's scenario has less: that is no change of the shop."""
    scenario = plan.scenario
    week = replace(scenario, starts=MONDAY - timedelta(days=1), days=7)
    said = kept_of(plan, week).week
    days = [(week.starts + timedelta(days=day)).isoformat() for day in range(7)]
    bones = scenario.demand["bones"].want
    found = [said["want"]["goat bones"].get(day, 0.0) for day in days[:6]]
    assert found == pytest.approx([*bones], abs=1e-6)
    assert [said["bench"].get(day, 0.0) for day in days[:6]] == [*scenario.bench]
    assert [*said["rule"]] == ["all shoulder: boneless roast", "at least 1 leg: whole"]


def test_two_scenarios_have_one_digest_only_where_all_is_alike(shop):
    scenario = read(shop.week)
    assert digest(scenario) == digest(read(shop.week))
    others = [
        with_price(scenario, "bones", 2.98),
        replace(scenario, carry=0.41),
        replace(scenario, orders=()),
        replace(scenario, starts=MONDAY + timedelta(days=7)),
    ]
    assert len({digest(each) for each in [scenario, *others]}) == 5


def test_a_class_that_is_renamed_or_has_another_field_changes_nothing(shop):
    """As it was first written: it may change with the format alone, or every shop is changed."""
    scenario = read(shop.week)
    assert digest(scenario) == "f24b74b3943783d407855c78badf82db"
    renamed = make_dataclass("Period", [("weather", str, "fair")], bases=(Scenario,), frozen=True)
    other = renamed(**{each.name: getattr(scenario, each.name) for each in fields(scenario)})
    assert repr(other) != repr(scenario)
    assert digest(other) == digest(scenario)


def test_what_is_only_printed_and_what_is_said_as_it_goes_without_saying_change_nothing(shop):
    scenario = read(shop.week)
    lots = tuple(replace(lot, word="goats") for lot in scenario.lots)
    rules = tuple(replace(rule, line=rule.line + 3) for rule in scenario.rules)
    assert digest(replace(scenario, title="another", lots=lots, rules=rules)) == digest(scenario)
    free = next(name for name in scenario.cuts if name not in scenario.demand)
    nothing = Demand(free, None, (0.0,) * 6, 0.0, (0.0,) * 6)
    asked = replace(scenario, demand={**scenario.demand, free: nothing})
    assert digest(asked) == digest(scenario)


def test_differences_are_told_by_the_names_that_lead_to_them():
    then = {"a": {"x": 1.0, "y": {"z": 2.0}}, "b": 3.0}
    now = {"a": {"x": 1.5, "y": {}}, "b": 3.0, "c": {"d": 4.0}, "e": {}}
    assert [*differences(then, then, 9)] == []
    assert [*differences(then, now, 9)] == [
        (("a", "x"), 1.0, 1.5),
        (("a", "y", "z"), 2.0, None),
        (("c", "d"), None, 4.0),
    ]
    assert [*differences(then, now, 1)] == [
        (("a",), then["a"], now["a"]),
        (("c",), None, now["c"]),
    ]


def test_a_plan_with_names_of_an_older_journal_can_be_kept(plan):
    kept = replace(kept_of(plan), facts="the no\u00a0break \u200binn")
    check_entry(PlanKept(kept.first, kept.text()))
    assert read_kept(kept.text()) == kept
