"""A long period is planned in parts: whole, sound, honest, and with the orders first."""

import json
from dataclasses import replace

import pytest

from planner.core.errors import NoPlanInTimeError, TooLargeError
from planner.show.json import plan_data
from planner.show.text import proof
from planner.solve import Options, planned_in_parts, solve, too_long
from planner.solve.engine import Engine
from planner.solve.matrix import arrays_of
from planner.solve.model import BreakModel
from planner.solve.plan import make_plan, plan_week
from planner.solve.rounding_cuts import TERMS, rounding_cuts
from planner.solve.size import decisions
from tests.outside.checker import check
from tests.planning import read

RECIPE = """
species: lamb
unit: lb
root: carcass
pieces:
  carcass:
    keeps: 7 days
    ways:
      break: {minutes: 16, gives: {leg: 2 at 20%, chops: 30%, trim 85: 25%, loss: 5%}}
      roll: {minutes: 9, gives: {leg: 2 at 20%, roast: 50%, loss: 10%}}
  leg:
    keeps: 5 days
    ways:
      whole: {minutes: 1, gives: {leg roast: 100%}}
      steaks: {minutes: 6, gives: {leg steaks: 92%, trim 85: 5%, loss: 3%}}
cuts:
  chops: {kind: chop, keeps: 5 days}
  roast: {kind: roast, keeps: 5 days}
  leg roast: {kind: roast, keeps: 5 days}
  leg steaks: {kind: steak, keeps: 4 days}
  trim 85: {kind: trim, lean: 85%, keeps: 2 days}
blends:
  grind: {from: [trim 85], minutes: 0.3 per lb, keeps: 2 days}
"""

DEMAND = """
demand:
  chops: {price: 20/lb, want: {wed: 4 lb, fri: 8 lb, sat: 8 lb}}
  roast: {price: 15/lb, want: {sat: 12 lb}}
  leg roast:
    price: 14/lb
    want: {fri: 10 lb, sat: 10 lb}
    markdown: {price: 9/lb, want: {tue: 4 lb}}
  leg steaks:
    price: 19/lb
    want: {thu: 3 lb, fri: 3 lb}
    orders: [{day: 2026-12-24, amount: 15 lb, for: the inn}]
  grind: {price: 11/lb, want: {fri: 5 lb, sat: 5 lb}}
"""  # fmt: skip


def long_shop(folder, days, more="", lots=None, demand=DEMAND):
    """A lot every Monday, and a bench of an hour a day."""
    mondays = [f"2026-11-{30:02d}", *(f"2026-12-{day:02d}" for day in (7, 14, 21, 28))]
    rail = lots or [
        f"  - {{lamb: 3 head at {50 + n} lb, arrives: {day}}}"
        for n, day in enumerate(mondays)
        if n * 7 < days
    ]
    (folder / "lamb.yaml").write_text(RECIPE)
    demand = demand if days > 24 else demand.replace("2026-12-24", "2026-12-04")
    path = folder / "shop.yaml"
    path.write_text(
        f"title: t\nstarts: 2026-11-30\ndays: {days}\nrecipes: [lamb.yaml]\nunit: lb\nmoney: $\n"
        + "rail:\n" + "\n".join(rail) + "\nbench: 60\novertime: {up to: 30, cost: 0.5}\n"
        + "carry: 20%\ndisposal: 0.1/lb\n" + demand + more
    )  # fmt: skip
    return path


def in_parts(path, seconds=20.0):
    scenario = read(path)
    return make_plan(scenario, planned_in_parts(scenario, Options(seconds=seconds)))


def test_five_weeks_are_sound_and_near_what_one_search_finds(tmp_path):
    path = long_shop(tmp_path, 35, "case: {chops: {amount: 3 lb, keeps: 9 days}}\n")
    plan = in_parts(path)
    data = plan_data(plan)
    assert check(path, data) == []
    assert (data["parts"], data["status"]) == (5, "time limit")
    assert plan.short == ()
    assert 0 < plan.score <= plan.bound
    assert plan.score > 0.97 * solve(read(path), Options(share=0.01)).objective
    assert proof(plan).startswith("Too much to plan as a whole: planned in 5 parts one after ")
    assert "Proven" not in proof(plan)
    assert plan.orders_proven  # all are filled


def test_who_asks_for_a_long_period_gets_it_in_parts(tmp_path):
    path = long_shop(tmp_path, 35)
    scenario = read(path)
    several = replace(
        scenario,
        lots=tuple(replace(lot, index=n) for n, lot in enumerate(scenario.lots * 6)),
    )
    assert too_long(several, Options()) and not too_long(several, Options(plain=True))
    week = replace(scenario, days=6)
    assert not too_long(week, Options())
    lots = tuple(replace(scenario.lots[0], index=n, keeps=6) for n in range(1000))
    assert too_long(replace(week, lots=lots), Options())
    assert plan_week(several, Options(seconds=30)).parts > 1


def test_meat_is_held_for_an_order_that_no_window_sees_yet(tmp_path):
    lot = ["  - {leg: 4 at 10 lb, keeps: 35 days}"]
    demand = (
        "demand:\n  leg roast: {price: 14/lb, want: 70 lb}\n"
        "  leg steaks: {price: 14/lb, orders: [{day: 2027-01-02, amount: 18 lb, for: the inn}]}\n"
    )
    path = long_shop(tmp_path, 35, lots=lot, demand=demand)
    plan = in_parts(path)
    assert check(path, plan_data(plan)) == []
    assert plan.short == ()
    assert sum(each.sold for each in plan.cuts if each.cut == "leg roast") == pytest.approx(20)


def test_an_order_nobody_can_fill_is_named(tmp_path):
    plan = in_parts(long_shop(tmp_path, 28, demand=DEMAND.replace("15 lb", "900 lb")))
    assert [(each.cut, each.ordered) for each in plan.short] == [("leg steaks", 900)]
    assert not plan.orders_proven
    assert plan.score > 0


@pytest.mark.parametrize(
    "rule",
    [
        "at most 3 leg: whole",
        "at least 14 leg: steaks",
        "never carcass: roll",
        "all carcass: roll",
        "at most 6 lb trim 85: grind",
        "at least 40 lb trim 85: grind",
    ],
)
def test_rules_count_over_all_parts(tmp_path, rule):
    path = long_shop(tmp_path, 28, f"rules: [{rule}]\n")
    assert check(path, plan_data(in_parts(path))) == []


def test_a_rule_that_cannot_be_kept_is_named(tmp_path):
    path = long_shop(tmp_path, 28, "rules: [at least 99 leg: whole]\n")
    with pytest.raises(NoPlanInTimeError, match='keeps the rule "at least 99 leg: whole"'):
        in_parts(path)


def test_the_most_that_is_left_of_the_time_is_asked_of_the_solver(tmp_path):
    engine = Engine(arrays_of(BreakModel(read(long_shop(tmp_path, 6)))))
    engine.within(-100.0)  # over long ago: what is begun is brought to an end, no more
    before = engine._highs.getRunTime()
    engine.lp_bound()
    assert engine._highs.getOptionValue("time_limit")[1] <= before + 1.0
    with engine.all_relaxed():
        relaxed = engine.lp_values()
    engine.settle(relaxed)
    assert engine._highs.getOptionValue("time_limit")[1] <= engine._highs.getRunTime() + 1.0


@pytest.mark.parametrize(
    ("days", "lots", "keeps", "words"),
    [
        (366, 300, 60, "`days: 366` is too large to be planned at once"),
        (14, 2000, 14, "2000 lots are too large .* make the number of lots smaller"),
    ],
)
def test_what_is_too_large_is_refused_before_it_is_built(tmp_path, days, lots, keeps, words):
    scenario = read(long_shop(tmp_path, 6))
    lot = replace(scenario.lots[0], keeps=keeps)
    many = tuple(replace(lot, index=n, arrives=n % days) for n in range(lots))
    nothing = (0.0,) * days
    demand = {
        name: replace(each, want=nothing, markdown_want=nothing)
        for name, each in scenario.demand.items()
    }
    large = replace(
        scenario, days=days, lots=many, demand=demand, orders=(), bench=None, traffic=(1.0,) * days
    )
    with pytest.raises(TooLargeError, match=words):
        BreakModel(large)


def test_rounding_cuts_have_a_limit(tmp_path):
    scenario = read(long_shop(tmp_path, 14))
    lots = tuple(
        replace(scenario.lots[0], index=n, weight=40 + n / 7, keeps=14) for n in range(100)
    )
    rows = rounding_cuts(BreakModel(replace(scenario, lots=lots)))
    assert 0 < sum(len(row.terms) for row in rows) <= TERMS


def test_what_is_to_be_decided_is_counted_before_it_is_built(tmp_path):
    scenario = read(long_shop(tmp_path, 14))
    breaks, cuts = decisions(scenario, 0, 13)
    columns = len(BreakModel(scenario).problem.variables())
    assert columns <= breaks + cuts <= 3 * columns


@pytest.fixture
def in_parts_file(tmp_path):
    """A period that is planned in parts."""
    path = long_shop(tmp_path, 24)
    text = path.read_text().replace(
        "rail:\n",
        "rail:\n"
        + "".join(
            f"  - {{lamb: 1 head at {40 + n} lb, arrives: 2026-12-{n + 1:02d}}}\n"
            for n in range(20)
        ),
    )
    path.write_text(text)
    assert too_long(read(path), Options())
    return path


@pytest.mark.parametrize(
    "question", [["why"], ["why", "leg"], ["promise", "roast: 2 lb on 2026-12-12"]]
)
def test_a_question_about_the_whole_says_so_of_a_period_in_parts(
    breakplan, in_parts_file, question
):
    name, *more = question
    ran = breakplan(name, in_parts_file, *more)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        f"`days: 24` is too large for `{name}`: that much is planned in parts, "
        f"and `{name}` needs a plan made in one; make `days` 14 or fewer"
    )


@pytest.mark.thorough
def test_other_questions_are_answered_from_the_plan_in_parts(breakplan, in_parts_file):
    def answer(question, *more):
        ran = breakplan(question, in_parts_file, *more, "--seconds", "4", "--json")
        assert ran.code == 0, ran.err
        return json.loads(ran.out)

    trim = answer("trim")
    assert (trim["status"], trim["settled"], trim["mends"]) == ("time limit", False, [])
    assert answer("price", "--cost", "7")["cuts"]
    found = answer("whatif", "--bench", "2026-12-05: +60")["difference"]
    assert found["verdict"] in ("open", "no difference")
    assert found["least"] <= 0 <= found["most"]
    ran = breakplan("trim", in_parts_file, "--seconds", "4")
    assert "cannot be sought for a period that is planned in parts" in ran.out.replace("\n", " ")
