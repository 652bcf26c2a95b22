"""How many head to order: every row against a plan made from scratch, and what is said of them."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from planner.ask.bottlenecks import Tight
from planner.ask.comparison import Comparer, Interval
from planner.ask.order import CurvePoint, DeliveryCurve, OrderCurve, order, with_head
from planner.commands.order import order as command
from planner.core.errors import InputError, NoPlanInTimeError, RulesConflictError
from planner.core.scenario import Scenario
from planner.show.order import _between, order_data, order_text
from planner.solve import Options
from planner.solve.plan import Plan
from tests.corpus import CorpusShop
from tests.planning import TIGHT, read
from tests.solve.test_properties import TIES, assert_no_better, plan_or_none

KID = """\
species: kid
root: carcass
pieces:
  carcass:
    keeps: 7 days
    ways:
      bone out: {minutes: 10, gives: {meat: 50%, trim 80: 10%, bones: 40%}}
cuts:
  meat: {kind: stew, keeps: 2 days}
  trim 80: {kind: trim, lean: 80%, keeps: 2 days}
  bones: {kind: bone, keeps: 2 days}
"""

# One kid gives 5 lb of meat, customers want 12 lb at 10.00; 34 minutes are three kids.
DAY = """\
title: An invented day
starts: 2026-11-30
days: 1
recipes: [kid.yaml]
rail:
  - {kid: 1 head at 10 lb, cost: 3/lb}
bench: 34
overtime: {up to: 10, cost: 0.10}
demand:
  meat:
    price: 10/lb
    want: 12 lb
    orders: [{day: mon, amount: 7 lb, for: the inn}]
"""

TEXT = """\
An invented day

KID MON
  4 head earn the most of 0 to 4 tried, after their cost.
  More than 4 may earn more still: try --up-to 8.
  That is $49.40 more than with the 1 in the file.

KID MON, 10.0 lb at $3.00/lb: $30.00 a head (in the file: 1)
    head    score    after cost    the next adds  where it is tight
       0     0.00          0.00            50.00  1 order short
       1    50.00         20.00            50.00  1 order short, trim left 1.0 lb
       2   100.00         40.00            50.00  trim left 2.0 lb
       3   150.00         60.00            39.40  bench full mon, trim left 3.0 lb
       4   189.40         69.40                -  bench full mon, 6 min over, trim left 4.0 lb

  after cost: no bar is $0.00, a full one $69.40
     0 |
     1 |=================
     2 |===================================
     3 |====================================================
     4 |============================================================ most

All else is as in the file, the other deliveries too; for each number it is decided again what to
buy if it pays. What is left after the last day counts only as carry.
"""


@pytest.fixture
def day(tmp_path: Path) -> Path:
    (tmp_path / "kid.yaml").write_text(KID)
    path = tmp_path / "day.yaml"
    path.write_text(DAY)
    return path


def run(*words: object) -> Any:
    """The command in the process."""
    app = typer.Typer()
    app.command()(command)
    return CliRunner().invoke(app, [str(word) for word in words])


# ---- against plans made from scratch ----


def curve_or_none(shop: CorpusShop, options: Options, cost: float) -> OrderCurve | None:
    """Up to three head of each delivery; none where there is no head, or no number keeps a rule."""
    if not any(lot.piece == "carcass" for lot in shop.scenario.lots):
        return None
    try:
        return order(Comparer(shop.scenario, options), up_to=3, cost=cost)
    except RulesConflictError:
        assert shop.plan is None  # disposal changes no rule
        return None


def test_every_row_and_all_that_is_said_of_it_agree_with_plans_from_scratch(corpus):
    for shop in corpus:
        rows_agree(shop.scenario, curve_or_none(shop, Options(), cost=2.5))


def rows_agree(scenario: Scenario, curve: OrderCurve | None) -> None:
    for delivery in curve.deliveries if curve else ():
        nets = {}
        for head, row in enumerate(delivery.rows):
            cold = plan_or_none(with_head(scenario, delivery.lot, head))
            paid = 2.5 * head * delivery.lot.weight
            assert (cold is None) == bool(row.conflict) == (row.score is None)
            assert (row.head, row.cost) == (head, pytest.approx(paid))
            if cold and row.score and row.net:
                assert row.score.least - TIES <= cold.score <= row.score.most + TIES
                assert row.net.least == pytest.approx(row.score.least - paid)
                nets[head] = cold.score - paid
        for head in range(3):
            adds = delivery.adds(head)
            if adds:
                more = nets[head + 1] - nets[head] + delivery.head_cost
                assert adds.least - TIES <= more <= adds.most + TIES
                known = not adds.least < delivery.head_cost < adds.most
                assert known or adds.width <= 1.0 + TIES
        assert bool(nets) == bool(delivery.best)
        most = max(nets.values(), default=0.0)
        for head in delivery.best:
            assert nets[head] >= most - delivery.spread - TIES
        assert not nets or max(nets[head] for head in delivery.best) >= most - TIES


def test_more_head_at_no_cost_never_lowers_the_score(corpus):
    for shop in corpus:
        free = replace(shop, scenario=replace(shop.scenario, disposal=0.0))
        curve = curve_or_none(free, TIGHT, cost=0)
        for delivery in curve.deliveries if curve else ():
            for one, two in pairwise(delivery.rows):
                assert_no_better(one.plan, two.plan and grown(two.plan))


def grown(plan: Plan) -> Plan:
    """The plan with the most it can be short of the best: rows are planned to 1.00 only."""
    return replace(plan, revenue=plan.revenue + plan.within)


# ---- what is said, of plans made up ----


def delivery_of(*nets: tuple[float, float], cost: float = 0.0) -> DeliveryCurve:
    """Rows whose scores, 30 a head paid, lie between two figures; no conflict, nothing tight."""
    plan = Plan(
        *([None] * 10), revenue=0.0, overtime=0.0, buying=0.0, disposal=0.0, carry=0.0, bound=0.0,
        status="within tolerance", orders_proven=True, seconds=0.0, later=(), parts=1, decided=None,
    )  # fmt: skip
    rows = [
        CurvePoint(
            n, 30.0 * n, replace(plan, revenue=30 * n + least, bound=30 * n + most), (), None
        )
        for n, (least, most) in enumerate(nets)
    ]
    rows = [replace(row, tight=Tight((), 0.0, 0.0, 0.0, 0, 0)) for row in rows]

    class Kid:
        weight, count, up_to = 10.0, 1, False

    return DeliveryCurve(Kid(), 3.0, tuple(rows))  # type: ignore[arg-type]


def test_one_number_is_named_only_where_no_other_can_be_better():
    known = delivery_of((0, 1), (10, 11), (7, 9.9))
    assert (known.best, known.spread) == ((1,), 1)
    open_ = delivery_of((0, 1), (10, 11), (9.5, 10.7))
    assert open_.best == (1, 2)
    assert open_.spread == pytest.approx(1.5)


def test_what_the_next_head_adds_is_all_that_the_two_plans_leave_open():
    adds = delivery_of((0, 1), (10, 11)).adds(0)
    assert adds
    assert (adds.least, adds.most) == pytest.approx((39.0, 41.0))
    assert delivery_of((0, 1), (10, 11)).adds(1) is None


def test_the_gain_is_against_the_number_in_the_file():
    gain = delivery_of((0, 1), (10, 11), (15, 16)).gain
    assert gain
    assert (gain.least, gain.most) == pytest.approx((4.0, 6.0))
    assert delivery_of((0, 1), (10, 11), (5, 6)).gain is None


def test_no_figure_is_less_than_nothing_by_a_hair():
    assert _between(Interval(-0.001, -0.0)) == "0.00"
    assert _between(Interval(-0.004, 0.2)) == "0.00 to 0.20"
    assert _between(Interval(-0.006, 1234.5)) == "-0.01 to 1,234.50"


def test_what_is_tight_goes_on_below_and_no_number_is_cut(day):
    curve = order(Comparer(read(day)), up_to=1)
    (delivery,) = curve.deliveries
    tight = Tight((0,), 1234.0, 1234.5, 12345.6, 12345, 12)
    plan = delivery.rows[1].plan
    assert plan
    dear = replace(plan, revenue=9876543.21, bound=9999999.99)
    rows = tuple(replace(row, tight=tight, plan=dear) for row in delivery.rows)
    lines = order_text(replace(curve, deliveries=(replace(delivery, rows=rows),))).splitlines()
    assert max(map(len, lines)) <= 100
    assert ".." not in "\n".join(lines)
    text = " ".join(" ".join(lines).split())
    for said in ("12 orders short", "1234 min over", "12,345.6 lb", "12345 left whole"):
        assert said in text


# ---- a day worked by hand ----


def test_the_text_of_a_day_worked_by_hand(day):
    ran = run(day, "--up-to", 4)
    assert (ran.exit_code, ran.stdout) == (0, TEXT)


def test_the_number_in_the_middle_that_earns_most(day):
    # the fifth finds neither bench nor customer: at 45 minutes four are cut, the rest is left
    text = run(day, "--up-to", 5, "--cost", "4.50/lb").stdout
    assert "3 head earn the most, after their cost." in text
    assert "KID MON, 10.0 lb at $4.50/lb: $45.00 a head" in text
    assert "most" in next(line for line in text.splitlines() if line.startswith("     3 |"))
    dear = run(day, "--up-to", 2, "--cost", "40/lb").stdout
    assert "Buying none earns the most: no head pays at this cost." in dear
    assert "All orders are filled from 2 head on." in dear


def test_a_number_with_which_a_rule_cannot_be_kept_says_so(day):
    day.write_text(DAY + "rules: [at least 1 carcass: bone out]\n")
    ran = run(day, "--up-to", 1)
    row = next(line for line in ran.stdout.splitlines() if line.startswith("       0"))
    assert row.split("  ")[-1].startswith("cannot be kept: at least 1 carcass: bone out")
    rows = json.loads(run(day, "--up-to", 1, "--json").stdout)["deliveries"][0]["rows"]
    assert rows[0]["status"] == "no plan"
    assert rows[0]["score"] is rows[0]["net"] is rows[0]["adds"] is rows[0]["tight"] is None
    assert "at least 1 carcass: bone out" in rows[0]["conflict"][0]


def test_rules_that_no_number_keeps_are_an_error(day):
    day.write_text(DAY + "rules: [at least 1 carcass: bone out, never carcass: bone out]\n")
    ran = run(day, "--up-to", 2)
    assert isinstance(ran.exception, RulesConflictError)
    assert ran.exception.exit_code == 3


def test_no_plan_in_the_time_is_said_of_the_row_alone(day, monkeypatch):
    plan = Comparer.plan

    def late(self: Comparer, scenario: Any = None, amount: Any = None) -> Plan:
        if scenario and scenario.lots[0].count == 2:
            raise NoPlanInTimeError("no plan found in 20 seconds")
        return plan(self, scenario, amount)

    monkeypatch.setattr(Comparer, "plan", late)
    lines = run(day, "--up-to", 2).stdout.splitlines()
    assert "no plan found in the time given" in next(x for x in lines if x.startswith("       2"))
    assert "     2 |no plan" in lines


def test_the_json_of_a_day_worked_by_hand(day):
    data = json.loads(run(day, "--up-to", 2, "--json").stdout)
    (delivery,) = data.pop("deliveries")
    assert data == {
        "format": "breakplan/1", "title": "An invented day", "unit": "lb", "money": "$",
        "days": ["mon"],
    }  # fmt: skip
    rows = delivery.pop("rows")
    assert delivery == {
        "lot": 0, "species": "kid", "day": "mon", "weight": 10.0, "in file": 1, "up to": False,
        "cost": 3.0, "cost of one": 30.0, "best": [2], "spread": pytest.approx(0, abs=0.01),
        "gain": {"least": pytest.approx(20), "most": pytest.approx(20)}, "fills from": 2,
    }  # fmt: skip
    assert rows[1] == {
        "head": 1, "cost": 30.0,
        "score": {"least": pytest.approx(50), "most": pytest.approx(50)},
        "net": {"least": pytest.approx(20), "most": pytest.approx(20)},
        "adds": {"least": pytest.approx(50), "most": pytest.approx(50)},
        "status": "proven", "conflict": [],
        "tight": {
            "bench full": [], "overtime": 0, "trim left": 1.0, "out of date": 0, "left whole": 0,
            "orders short": 1,
        },
    }  # fmt: skip
    assert rows[2]["adds"] is None


def test_weights_and_costs_are_in_the_unit_of_the_file(day):
    day.write_text(DAY.replace("recipes", "unit: kg\nrecipes", 1))
    curve = order(Comparer(read(day)), up_to=1)
    one = order_data(curve)["deliveries"][0]
    assert (one["weight"], one["cost"]) == (
        pytest.approx(10 / 2.20462262),
        pytest.approx(6.6138679),
    )
    assert "KID MON, 4.5 kg at $6.61/kg: $30.00 a head" in order_text(curve)


def test_the_count_of_rows_is_told(day):
    told: list[tuple[int, int]] = []
    order(Comparer(read(day)), up_to=2, told=lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]


# ---- what is wrong ----


@pytest.mark.parametrize(
    ("change", "words", "message"),
    [
        (("", ""), ["--species", "kit"],
         '--species: no head of "kit" on the rail; did you mean "kid"?; there is kid'),
        ((", cost: 3/lb", ""), [],
         "--cost: kid arriving mon, 10.0 lb each, has no cost in the file; give it with "
         "--cost 7.10/lb, or --cost 0/lb if it is free"),
        (("", ""), ["--cost", "dear"],
         '--cost: cannot read "dear"; write a price such as 22.99/lb or 9/each'),
        (("", ""), ["--cost", "9/each"],
         "--cost: a price by weight is expected here, such as 22.99/lb"),
        (("kid: 1 head at 10 lb", "side: 1 at 10 lb"), [],
         "rail: nothing on the rail arrives as whole head, so there is none to order"),
    ],
)  # fmt: skip
def test_errors_are_exact(day, change, words, message):
    sides = "halve: {minutes: 1, gives: {side: 2 at 50%}}\n  side:\n    keeps: 7 days\n    ways:\n"
    (day.parent / "kid.yaml").write_text(KID.replace("bone out", f"{sides}      bone out"))
    day.write_text(DAY.replace(*change))
    ran = run(day, *words)
    assert isinstance(ran.exception, InputError)
    assert (str(ran.exception), ran.exception.exit_code) == (message, 2)


@pytest.mark.parametrize("number", [0, 61])
def test_the_number_of_rows_has_bounds(day, number):
    assert run(day, "--up-to", number).exit_code == 2
    with pytest.raises(InputError, match="--up-to"):
        order(Comparer(read(day)), up_to=number)


def test_head_at_no_cost_may_be_asked_for(day):
    day.write_text(DAY.replace(", cost: 3/lb", ""))
    ran = run(day, "--up-to", 1, "--cost", "0/lb")
    assert ran.exit_code == 0
    assert "at $0.00/lb: $0.00 a head" in ran.stdout


@pytest.mark.thorough
def test_the_shipped_week_fits_the_screen():
    curve = order(Comparer(read(Path("scenarios/corner-shop.yaml")), Options(seconds=5)), up_to=1)
    lines = order_text(curve).splitlines()
    assert max(map(len, lines)) <= 100
    assert [each.lot.index for each in curve.deliveries] == [0, 1]
