"""What is said about a search that was cut short, and what the bundled solver may be asked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from planner.core.errors import NoPlanInTimeError, RulesConflictError
from planner.core.scenario import Order
from planner.solve import Options, Search, solve
from planner.solve.conflict import smallest_infeasible_subset
from planner.solve.engine import INFINITY, Engine, Outcome
from planner.solve.linear import total
from planner.solve.model import BreakModel
from planner.solve.plan import make_plan, plan_week
from tests.planning import TIGHT, read


@pytest.fixture
def scenario(shop):
    return read(shop.week)


@pytest.mark.parametrize("orders", [True, False])
def test_nothing_found_in_time_is_not_a_conflict_of_rules(monkeypatch, scenario, orders):
    nothing = Outcome(None, None, -INFINITY, INFINITY, True)
    monkeypatch.setattr(Engine, "run", lambda self, limits, progress=None, found=None: nothing)
    with pytest.raises(NoPlanInTimeError, match="no plan found in 7 seconds"):
        plan_week(scenario if orders else replace(scenario, orders=()), Options(seconds=7))


def test_a_conflict_that_cannot_be_narrowed_down_is_the_whole():
    assert smallest_infeasible_subset("abc", lambda kept: True) == ({"a", "b", "c"}, False)


def test_a_search_that_ends_early_claims_no_more_than_was_shown(monkeypatch, scenario):
    best = solve(scenario, TIGHT)
    real = Engine.run

    def cut_short(self, limits, progress=None, found=None):
        outcome = real(self, limits, progress)
        return replace(outcome, bound=outcome.objective + 50, timed_out=True)

    monkeypatch.setattr(Engine, "run", cut_short)
    late = solve(scenario, TIGHT)
    assert late.status == "time limit"
    assert late.bound == pytest.approx(best.objective + 50, abs=0.01)
    plan = make_plan(scenario, late)
    assert plan.within == pytest.approx(50, abs=0.01)
    assert plan.score + plan.within == pytest.approx(plan.bound)


def test_order_value_that_was_not_proven_is_not_called_proven(monkeypatch, scenario):
    orders = tuple(replace(order, amount=900.0) for order in scenario.orders)
    real = Engine.run
    monkeypatch.setattr(
        Engine,
        "run",
        lambda self, limits, progress=None, found=None: replace(
            real(self, limits, progress), timed_out=True
        ),
    )
    late = solve(replace(scenario, orders=orders), TIGHT)
    assert not late.orders_proven
    assert late.status == "time limit"


def test_the_bundled_solver_sees_conflicts_and_short_orders(shop, scenario):
    bundled = replace(TIGHT, bundled=True)
    orders = tuple(replace(order, amount=900.0) for order in scenario.orders)
    short = replace(scenario, orders=orders)
    one, two = solve(short, bundled), solve(short, TIGHT)
    assert one.filled == pytest.approx(two.filled, abs=1e-5)
    assert one.objective == pytest.approx(two.objective, abs=0.05)
    shop.spoil("scenario", ("at least 1 leg: whole", "at least 13 leg: whole"))
    with pytest.raises(RulesConflictError):
        solve(read(shop.week), bundled)


@pytest.mark.parametrize("bundled", [False, True])
def test_a_shop_with_nothing_in_it_has_a_plan(scenario, bundled):
    options = replace(TIGHT, bundled=bundled)
    empty = replace(scenario, lots=(), case=(), orders=(), rules=(), bench=None)
    plan = plan_week(empty, options)
    assert plan.score == 0
    assert plan.bound == pytest.approx(0, abs=TIGHT.amount)
    with pytest.raises(RulesConflictError, match="at least 1 leg: whole"):
        plan_week(replace(empty, rules=scenario.rules), options)
    ordered = plan_week(replace(empty, orders=scenario.orders), options)
    assert ordered.short[0].binds == ("head: nothing on the rail gives more of it",)


def test_short_orders_are_no_conflict_of_rules_for_the_bundled_solver(tmp_path):
    """A floor exactly at the order value that can be reached is infeasible to it here."""
    (tmp_path / "lamb.yaml").write_text(TWO_ORDERS_RECIPE)
    (tmp_path / "shop.yaml").write_text(TWO_ORDERS)
    shop = read(tmp_path / "shop.yaml")
    one, two = solve(shop, replace(TIGHT, bundled=True)), solve(shop, TIGHT)
    assert one.objective == pytest.approx(two.objective, abs=0.02)


TWO_ORDERS_RECIPE = """
species: lamb
root: carcass
pieces:
  carcass:
    keeps: 3 days
    ways:
      one: {minutes: 7, gives: {chops: 61.3%, bones: 38.7%}}
      two: {minutes: 3, gives: {roast: 70.7%, bones: 29.3%}}
cuts:
  chops: {kind: chop, keeps: 2 days}
  roast: {kind: roast, keeps: 2 days}
  bones: {kind: bone, keeps: 2 days}
"""

TWO_ORDERS = """
title: Two orders, and never enough for both
starts: 2026-11-30
days: 1
recipes: [lamb.yaml]
unit: kg
rail: [{lamb: 2 head at 61.1 kg}]
demand:
  chops: {price: 4.4/lb, want: 20 lb, orders: [{day: mon, amount: 99 lb, for: A, price: 12.83/lb}]}
  roast: {price: 19.35/lb, want: 30 lb, orders: [{day: mon, amount: 177 lb, for: B, price: 6.8/lb}]}
"""


def test_the_most_of_an_order_is_the_most(tmp_path):
    """Asked without an end, the search goes on to the best: not to the first bound it sees."""
    shop = read(Path(__file__).parent.parent.parent / "scenarios" / "corner-shop.yaml")
    wanted = Order(len(shop.orders), "kebab", 2, 40.0, 1.0, "a test")
    asked = replace(shop, orders=(*shop.orders, wanted))
    model = BreakModel(asked)
    floors = {order.index: order.amount for order in shop.orders}
    filled = total([(model.filled[wanted.index], 1.0)])
    most = Search(model, Options(seconds=60)).most(filled, floors)
    for amount, possible in ((most - 0.01, True), (most + 0.01, False)):
        orders = (*shop.orders, replace(wanted, amount=amount))
        plan = Search(BreakModel(replace(asked, orders=orders)), Options(share=1.0))
        assert plan._with_all_orders(None).feasible is possible
