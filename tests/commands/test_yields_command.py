"""`breakplan yields`: weigh-ins out of the journal, what is told of them, what a point is worth."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from typer.testing import CliRunner

from planner.ask.main_cut import main_cut
from planner.ask.yields import with_point, worths
from planner.commands.program import app
from planner.core.errors import BreakplanError
from planner.files.recipe_file import read_recipe
from planner.files.scenario_file import read_scenario
from planner.files.shop_file import read_shop
from planner.journal.entries import BreakDone, Delivery, Recorded, Weighed, YieldsWritten
from planner.journal.store import Journal
from planner.learn.agreed import composition
from planner.shop.learned.weighed import learned_recipes, weigh_ins
from planner.shop.learned.yield_report import way_yields
from planner.shop.week.now import scenario_now
from planner.show.yields import yields_text
from planner.show.yields_data import YieldsAnswer, yields_data
from planner.solve import Options
from planner.solve.plan import plan_week
from tests.shops import LITTLE_LAMB, shop_folder
from tests.two_measures import thorough

TODAY = date(2026, 11, 26)
TOMORROW = TODAY + timedelta(1)
RECIPES = Path(__file__).parent.parent.parent / "recipes"


@pytest.fixture(autouse=True)
def _today(clock_at):
    clock_at(TODAY)


@pytest.fixture
def little(tmp_path):
    file = tmp_path / "lamb.yaml"
    file.write_text(LITTLE_LAMB)
    return read_recipe(file, "lamb.yaml")[0]


def journal_of(*entries):
    now = datetime(2026, 11, 26, tzinfo=UTC)
    return [Recorded(number, number, now, each) for number, each in enumerate(entries, 1)]


def broken(piece, way, *gave, count=1, pounds=10.0, day=date(2026, 11, 20)):
    """A break done; what it gave as (name, pounds) or (name, count, pounds)."""
    weighed = tuple(Weighed(each[0], each[1] if len(each) > 2 else None, each[-1]) for each in gave)
    return BreakDone(day, f"lamb {piece}", way, count, pounds, weighed)


def roast(found, **how):
    return broken("shoulder", "roast", ("lamb shoulder roast", found), **how)


ALL_OF_IT = (
    ("lamb shoulder roast", 6.5),
    ("lamb trim 80", 1.0),
    ("lamb bones", 2.2),
)


def found(recipe, *entries, before=TOMORROW):
    kept = weigh_ins(recipe, journal_of(*entries), before)
    return {
        key: [dict(test.found) for test in history.tests] for key, history in kept.histories.items()
    }


# weigh-ins out of the journal


def test_loss_is_what_is_missing_when_all_was_weighed(little):
    (test,) = found(little, broken("shoulder", "roast", *ALL_OF_IT))["shoulder", "roast"]
    assert test == pytest.approx(
        {"shoulder roast": 0.65, "trim 80": 0.10, "bones": 0.22, "loss": 0.03}
    )


def test_partly_weighed_says_nothing_of_the_rest(little):
    assert found(little, roast(6.5)) == {("shoulder", "roast"): [{"shoulder roast": 0.65}]}


def test_without_the_weight_put_in_the_recipe_s_loss_is_taken(little):
    (test,) = found(little, broken("shoulder", "roast", *ALL_OF_IT, pounds=None)).popitem()[1]
    # 9.7 came out, 2% is lost by the recipe
    assert test == pytest.approx(
        {"shoulder roast": 6.5 / 9.7 * 0.98, "trim 80": 0.98 / 9.7, "bones": 2.2 / 9.7 * 0.98}
    )
    assert found(little, roast(6.5, pounds=None)) == {}


def test_counted_things_are_weighed_together_or_one_by_one(little):
    block = ("carcass", "block break")
    both = found(little, broken(*block, ("lamb leg", 4, 36.0), count=2, pounds=120.0))
    each = found(
        little,
        broken(*block, *[("lamb leg", 1, 9.0)] * 4, count=2, pounds=120.0),
    )
    some = found(little, broken(*block, ("lamb leg", 3, 27.0), count=2, pounds=120.0))
    assert both == each == some == {block: [{"leg": pytest.approx(0.30)}]}


def test_only_counted_is_not_weighed(little):
    entry = BreakDone(
        TODAY, "lamb loin", "racks", 1, 12.0, (Weighed("lamb frenched rack", 2, None),)
    )
    assert found(little, entry) == {}


def test_what_the_recipe_does_not_have_is_not_lost(little):
    more = (*ALL_OF_IT, ("lamb tenderloin", 0.2))
    (test,) = found(little, broken("shoulder", "roast", *more))["shoulder", "roast"]
    assert test["loss"] == pytest.approx(0.01)
    assert found(little, broken("neck", "whole", ("lamb neck", 2.0))) == {}
    assert found(little, broken("shoulder", "stewed", ("lamb bones", 2.0))) == {}


def test_more_out_than_in_is_left_out_but_not_for_a_scale_s_sake(little):
    kept = weigh_ins(little, journal_of(roast(10.1), roast(10.3)), TOMORROW)
    assert len(kept.histories["shoulder", "roast"].tests) == 1
    assert kept.histories["shoulder", "roast"].tests[0].found["shoulder roast"] == 1.0
    assert kept.left_out == {("shoulder", "roast"): 1}


def test_only_days_before_the_day_and_only_new_ones(little):
    key = ("shoulder", "roast")
    early, late = roast(6.5), roast(6.0, day=TODAY)
    assert len(found(little, early, late)[key]) == 2
    assert found(little, early, late, before=TODAY)[key] == [{"shoulder roast": 0.65}]
    written = YieldsWritten(TODAY, "lamb shoulder", "roast", 4.0)
    history = weigh_ins(little, journal_of(early, written, late), TOMORROW).histories[key]
    assert [len(history.tests), len(history.counted), history.worth] == [1, 1, 4.0]
    # by the order of entering: a weigh-in of an earlier day that is entered later is new
    history = weigh_ins(little, journal_of(late, written, early), TOMORROW).histories[key]
    assert [test.day for test in history.tests] == [early.day]


def test_names_told_apart_are_the_same_in_the_journal(tmp_path):
    text = "title: t\nstarts: 2026-11-30\ndays: 1\nrecipes: [lamb, hog]\nrail: []\n"
    (tmp_path / "t.yaml").write_text(text)
    recipes = read_scenario(tmp_path / "t.yaml", "t.yaml")[0].recipes
    assert "lamb shoulder" in recipes[0].pieces
    entry = broken("shoulder", "boneless roast", ("lamb shoulder roast", 5.0), ("lamb bones", 3.0))
    learned = learned_recipes(recipes, journal_of(entry), TOMORROW)
    assert learned[1] is recipes[1]
    shares = composition(learned[0].pieces["lamb shoulder"].ways["boneless roast"])
    assert shares["shoulder roast"] < 0.65 < 0.67
    assert shares["lamb bones"] > 0.20


# what is told


@pytest.fixture
def folder(tmp_path):
    made = shop_folder(tmp_path)
    with Journal(made / "journal.db", create=True) as journal:
        rack = broken("loin", "racks", ("lamb frenched rack", 2, 7.1), pounds=12.0)
        journal.add(
            [
                Delivery(TODAY, "lamb carcass", 2, (58.0, 60.0)),
                *(roast(6.1 + 0.05 * (n % 3), day=date(2026, 11, 1 + n)) for n in range(12)),
                *[rack] * 3,
                roast(12.0),
            ]
        )
    return made


def run(*arguments):
    return CliRunner().invoke(app, ["yields", *map(str, arguments)], env={"COLUMNS": "100"})


def test_text_tells_what_stands_out(folder):
    told = run("--shop", folder)
    assert told.exit_code == 0, told.output
    assert "shoulder, roast: 12 weigh-ins" in told.stdout
    assert "gives 6.5 points less shoulder roast than the recipe says, beyond chance" in told.stdout
    assert "1 weigh-in is left out: more came out than went in" in told.stdout
    assert "frenched rack (each of 2)" in told.stdout
    assert "WHAT A POINT OF YIELD IS WORTH" in told.stdout


def test_a_drift_is_told_with_its_month(tmp_path):
    made = shop_folder(tmp_path)
    with Journal(made / "journal.db", create=True) as journal:
        days = [date(2026, 9, 1) + timedelta(3 * n) for n in range(28)]
        shares = [6.9 - 0.05 * max(0, n - 12) + 0.05 * (n % 3) for n in range(28)]
        journal.add([roast(share, day=day) for share, day in zip(shares, days, strict=True)])
    told = run("--shop", made, "shoulder")
    assert "shoulder roast falling since oct 2026, by " in told.stdout
    assert "What a point is worth: nothing is in the cooler" in told.stdout


@pytest.mark.parametrize("columns", [60, *thorough(79, 100)])
def test_no_line_is_wider_than_the_terminal(folder, columns):
    for arguments in (["--shop", folder], ["--shop", folder, "loin"]):
        env = {"COLUMNS": str(columns)}
        told = CliRunner().invoke(app, ["yields", *map(str, arguments)], env=env)
        assert told.exit_code == 0
        assert max(map(len, told.stdout.splitlines())) <= columns
        assert "between" in told.stdout


def test_json_has_the_figures_of_the_text(folder):
    data = json.loads(run("--shop", folder, "--json").stdout)
    way = next(each for each in data["ways"] if each["way"] == "roast")
    share = way["shares"]["shoulder roast"]
    assert share["weighed"] == way["weigh-ins"] == 12
    assert share["mean"] == pytest.approx(0.615)
    assert share["recipe"] == 0.68
    assert share["interval"][0] < 0.615 < share["estimate"] < share["interval"][1] < 0.68
    assert way["beyond chance"]["shoulder roast"] == pytest.approx(-0.065)
    assert way["left out"] == 1
    rack = next(each for each in data["ways"] if each["way"] == "racks")["shares"]["frenched rack"]
    assert rack["count"] == 2
    assert rack["mean"] == pytest.approx(7.1 / 12 / 2)
    assert sum(one["count"] * one["estimate"] for one in way["shares"].values()) == pytest.approx(1)
    assert {each["main cut"] for each in data["points"]} >= {"shoulder roast", "whole leg"}


def test_an_empty_journal_says_what_to_do(tmp_path):
    made = shop_folder(tmp_path)
    with Journal(made / "journal.db", create=True):
        pass
    told = run("--shop", made)
    assert told.exit_code == 0
    assert "No way has been weighed yet: breakplan weigh-in" in told.stdout
    one = run("--shop", made, "lamb leg")
    assert "leg, boneless: no weigh-ins" in one.stdout


@pytest.mark.parametrize("word", ["legg", "whole leg", "\x1b[31mleg"])
def test_a_piece_that_is_none_is_one_line(folder, word):
    told = run("--shop", folder, word)
    assert isinstance(told.exception, BreakplanError)
    assert told.exception.exit_code == 2
    assert "\x1b" not in str(told.exception)


def test_write_tells_what_it_wrote_and_then_nothing_is_new(folder):
    told = run("--shop", folder, "--write")
    assert told.exit_code == 0
    assert "lamb.yaml: shoulder, roast; loin, racks." in " ".join(told.stdout.split())
    after = json.loads(run("--shop", folder, "--json").stdout)
    way = next(each for each in after["ways"] if each["way"] == "roast")
    assert way["counted in"] == way["weigh-ins"] == 12
    assert way["shares"]["shoulder roast"]["mean"] == pytest.approx(0.615)
    assert "nothing was written" in run("--shop", folder, "--write").stdout
    assert json.loads(run("--shop", folder, "--write", "--json").stdout)["written"] == []


def test_figures_changed_by_hand_after_a_writing_are_noticed(folder):
    assert run("--shop", folder, "--write").exit_code == 0
    recipe = folder / "recipes" / "lamb.yaml"
    text = recipe.read_text()
    (line,) = [each for each in text.splitlines() if "gives: {shoulder roast:" in each]
    written = re.search(r"shoulder roast: ([\d.]+)%.*bones: ([\d.]+)%", line)
    less = {name: f"{float(written[name]) + step:.1f}%" for name, step in ((1, -20), (2, 20))}
    changed = line.replace(f"{written[1]}%", less[1]).replace(f"{written[2]}%", less[2])
    recipe.write_text(text.replace(line, changed))
    told = json.loads(run("--shop", folder, "--json").stdout)
    way = next(each for each in told["ways"] if each["way"] == "roast")
    assert way["by hand"] and way["counted in"] == 0
    roast = way["shares"]["shoulder roast"]
    assert abs(roast["estimate"] - 0.615) < 0.06, "the weigh-ins count again"
    assert "changed by hand" in run("--shop", folder).stdout
    small = line.replace(f"{written[1]}%", f"{float(written[1]) - 1:.1f}%")
    small = small.replace(f"{written[2]}%", f"{float(written[2]) + 1:.1f}%")
    recipe.write_text(text.replace(line, small))  # no more than rounding and pooling may do
    told = json.loads(run("--shop", folder, "--json").stdout)
    assert not next(each for each in told["ways"] if each["way"] == "roast")["by hand"]


def test_help_has_an_example():
    told = CliRunner().invoke(app, ["yields", "--help"])
    assert "Example: breakplan yields shoulder" in told.stdout


# what a point is worth


def test_a_point_is_worth_what_two_cold_plans_differ_by(folder):
    shop = read_shop(folder)[0]
    with Journal(folder / "journal.db") as journal:
        scenario = scenario_now(shop, journal.recorded(), TODAY).scenario
    told = worths(scenario)
    used = {(each.piece, each.way): 0 for each in told.plan.breaks}
    assert {(each.piece, each.way) for each in told.points} == {
        key for key in used if key != ("carcass", "block break")
    }
    fine = Options(share=0.0, amount=0.01)
    base = plan_week(scenario, fine)
    for each in told.points:
        recipe = scenario.recipes[0]
        way = recipe.pieces[each.piece].ways[each.way]
        assert main_cut(scenario, way) == each.cut
        better = with_point(scenario, way, each.cut)
        shares, more = composition(way), composition(better)
        assert sum(more.values()) == pytest.approx(1, abs=1e-12)
        assert more[each.cut] == pytest.approx(shares[each.cut] + 0.01)
        piece = recipe.pieces[each.piece]
        pieces = {
            **recipe.pieces,
            piece.name: replace(piece, ways={**piece.ways, way.name: better}),
        }
        other = replace(recipe, pieces=pieces)
        lots = tuple(replace(lot, recipe=other) for lot in scenario.lots)
        plan = plan_week(replace(scenario, recipes=(other,), lots=lots), fine)
        least, most = plan.score - base.bound, plan.bound - base.score
        assert each.difference.least <= most + 1e-6
        assert least <= each.difference.most + 1e-6
        assert each.held <= most + 0.02  # the same breaks are one of the plans with the point


def test_of_a_piece_all_ways_are_asked_about(folder):
    shop = read_shop(folder)[0]
    with Journal(folder / "journal.db") as journal:
        scenario = scenario_now(shop, journal.recorded(), TODAY).scenario
    told = worths(scenario, [("lamb", "leg")])
    assert [each.way for each in told.points] == ["whole", "boneless"]


def test_no_time_is_told(folder, monkeypatch):
    shop = read_shop(folder)[0]
    with Journal(folder / "journal.db") as journal:
        scenario = scenario_now(shop, journal.recorded(), TODAY).scenario
    times = iter([0.0, *[1.0] * 6])  # all are asked with the breaks held, and one planned anew
    clock = SimpleNamespace(perf_counter=lambda: next(times, 1e9))
    monkeypatch.setattr("planner.ask.yields.time", clock)
    told = worths(scenario)
    asked = [each for each in told.points if each.difference is not None]
    assert len(told.points) == 5
    assert [each.held for each in asked] == [max(each.held for each in told.points)]
    answer = YieldsAnswer(shop.usual, TODAY, (), frozenset(), told, "")
    text = yields_text(answer)
    assert text.count("about $") == sum(each.held >= 1 for each in told.points[1:])
    assert "there was no time to plan again" in text
    data = yields_data(answer)["points"]
    assert [each["worth"] is None for each in data].count(True) == 4
    gone = iter([0.0])
    clock = SimpleNamespace(perf_counter=lambda: next(gone, 1e9))
    monkeypatch.setattr("planner.ask.yields.time", clock)
    late = YieldsAnswer(shop.usual, TODAY, (), frozenset(), worths(scenario), "")
    assert yields_text(late).count("no time to ask") == 5
    assert {each["with these breaks"] for each in yields_data(late)["points"]} == {None}
    # a rack sold by each brings no more for being heavier, and takes the point from the trim
    assert [each["main cut"] for each in data if each["with these breaks"] < -0.01] == [
        "frenched rack"
    ]


def test_what_is_told_of_several_recipes_is_judged_together(little):
    ways = way_yields([little], journal_of(*[roast(6.1)] * 5), TOMORROW)
    (told,) = [each for each in ways if each.tests]
    assert told.key == ("shoulder", "roast")
    assert told.tests == 5
    assert told.drifts == {}


# what was undone


def test_an_undone_writing_of_yields_is_told(folder):
    assert run("--shop", folder, "--write").exit_code == 0
    with Journal(folder / "journal.db") as journal:
        writings = {each.writing for each in journal.recorded(kinds=(YieldsWritten,))}
        for each in writings:
            journal.undo(each)
    told = " ".join(run("--shop", folder).stdout.split())
    assert (
        "An update of yields was undone (shoulder, roast; loin, racks): its figures stay in the "
        "recipe until put back by hand, and its weigh-ins count as new." in told
    )
    data = json.loads(run("--shop", folder, "--json").stdout)["undone"]
    assert [(each["way"], each["writings"], each["weigh-ins"]) for each in data] == [
        ("roast", 1, 0),
        ("racks", 1, 0),
    ]


def test_a_weigh_in_undone_after_it_was_counted_in_is_told(tmp_path):
    made = shop_folder(tmp_path)
    with Journal(made / "journal.db", create=True) as journal:
        (early,) = journal.add([roast(6.2)])
        (wrong,) = journal.add([roast(3.1)])
        journal.undo(early.writing)  # before any writing: nothing to tell
    assert "undone" not in run("--shop", made).stdout
    assert run("--shop", made, "--write").exit_code == 0
    with Journal(made / "journal.db") as journal:
        (late,) = journal.add([roast(6.4)])
        journal.undo(late.writing)  # never counted in
        assert "undone" not in run("--shop", made).stdout
        journal.undo(wrong.writing)
    told = " ".join(run("--shop", made).stdout.split())
    assert (
        "1 weigh-in that was counted into the recipe's figures is undone (shoulder, roast); the "
        "figures are unchanged." in told
    )
    (data,) = json.loads(run("--shop", made, "--json").stdout)["undone"]
    assert (data["writings"], data["weigh-ins"]) == (0, 1)


def test_what_is_odd_about_the_journal_is_told_on_standard_error(folder):
    with Journal(folder / "journal.db") as journal:
        journal.add([Delivery(TODAY, "lamb saddle", 1, (20.0,))])
    told = run("--shop", folder)
    assert told.exit_code == 0
    assert "warning: no recipe here has lamb saddle" in told.stderr
    assert "lamb saddle" not in told.stdout


def test_several_entries_of_one_thing_are_counted_together(little):
    """Racks of two breaks: three of four counted in parts, then one that nobody counted."""
    racks = [("lamb frenched rack", 1, 3.5), ("lamb frenched rack", 2, 7.0)]
    (test,) = found(little, broken("loin", "racks", *racks, count=2, pounds=24.0))["loin", "racks"]
    assert test == pytest.approx({"frenched rack": 10.5 / 3 * 4 / 24})
    racks.append(("lamb frenched rack", 3.5))
    (test,) = found(little, broken("loin", "racks", *racks, count=2, pounds=24.0))["loin", "racks"]
    assert test == pytest.approx({"frenched rack": 14.0 / 24})
