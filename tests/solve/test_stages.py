"""Sums before days, rounding cuts, and one search put to changed shops, against cold searches."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.errors import RulesConflictError
from planner.core.scenario import Scenario
from planner.solve import Options, Search, Solution, best_of, solve
from planner.solve.aggregate import AggregateEngine, AggregateModel
from planner.solve.engine import Arrays, Engine, Inequality, Limits
from planner.solve.matrix import arrays_of
from planner.solve.model import BreakModel
from planner.solve.rounding_cuts import rounding_cuts
from tests.outside.shops import shops
from tests.planning import TIGHT, read
from tests.solve.test_properties import SHOPS, scenario_of

EXACT = Limits(0.0, 1e-6, 60.0)
CLOSE = 2.1 * TIGHT.amount  # two searches, each within its tolerance
TIES = 0.02  # of plans all but alike the one of fewer minutes is taken, at a tenth of a cent each


def solved(scenario: Scenario, options: Options = TIGHT) -> Solution | None:
    try:
        return solve(scenario, options)
    except RulesConflictError:
        return None


def same(one: Solution | None, other: Solution | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one.objective - other.objective) <= TIES + max(CLOSE, 1e-5 * abs(other.objective))


@settings(SHOPS, max_examples=60)
@given(shops())
def test_a_week_has_the_plan_that_one_plain_search_finds(pair):
    shop = scenario_of(pair)
    ours = solved(shop)
    assert same(ours, solved(shop, replace(TIGHT, plain=True)))
    assert ours is None or ours.status in ("proven", "within tolerance")


@settings(SHOPS, max_examples=60)
@given(shops())
def test_the_best_plan_obeys_every_rounding_row(pair):
    """They may take nothing away but parts of pieces."""
    shop = scenario_of(pair)
    model = BreakModel(shop)
    search = Search(model, TIGHT)
    rows = rounding_cuts(model)
    try:
        found = search.solution()
    except RulesConflictError:
        return
    values = {model.breaks[key]: float(count) for key, count in found.breaks.items()}
    values |= {model.walk_in[key]: amount for key, amount in found.walk_in.items()}
    values |= {model.marked_down[key]: amount for key, amount in found.marked_down.items()}
    values |= {model.filled[order]: amount for order, amount in found.filled.items()}
    for row in rows:
        reached = sum(value * values.get(variable, 0.0) for variable, value in row.terms)
        assert reached >= row.least - 1e-5


def test_rounding_cuts_bring_the_bound_close(shipped):
    """The point of them: without, the relaxation promises 20 more than there is; with, 2."""
    shop = shipped("corner-shop")
    plain = Engine(arrays_of(BreakModel(shop))).lp_bound()
    search = Search(BreakModel(shop), Options())
    weeks = search._solver.sums(Limits(0.0, 0.01, 60.0))
    assert weeks.bound < plain - 15
    found = search.solution()
    constant = search.model.problem.objective.constant
    assert weeks.bound + constant >= found.objective - 1e-6


@pytest.fixture
def shipped():
    return lambda name: read(Path(__file__).parent.parent.parent / "scenarios" / f"{name}.yaml")


@pytest.mark.thorough
@settings(SHOPS, max_examples=30)
@given(shops(), st.data())
def test_a_search_put_to_changed_shops_finds_what_a_new_one_finds(pair, data):
    """Prices, wants, bench, rules and head changed, one after the other, in one search."""
    shop = scenario_of(pair)
    for plain in (True, False):
        options = replace(TIGHT, plain=plain)
        search = Search(BreakModel(shop), options)
        for changed in [shop, *(_changed(shop, data) for _ in range(3)), shop]:
            search.change(BreakModel(changed))
            try:
                found = search.solution()
            except RulesConflictError:
                found = None
            cold = solved(changed)
            assert same(found, cold), (plain, found, cold)


def _changed(shop: Scenario, data: st.DataObject) -> Scenario:
    what = data.draw(st.sampled_from(["price", "want", "bench", "rules", "head", "orders"]))
    times = data.draw(st.sampled_from([0.5, 1.3, 2.0]))
    if what == "price":
        demand = {
            name: replace(each, price=each.price * times if each.price else each.price)
            for name, each in shop.demand.items()
        }
        return replace(shop, demand=demand)
    if what == "want":
        demand = {
            name: replace(each, want=tuple(round(amount * times) for amount in each.want))
            for name, each in shop.demand.items()
        }
        return replace(shop, demand=demand)
    if what == "bench" and shop.bench is not None:
        return replace(shop, bench=tuple(minutes * times for minutes in shop.bench))
    if what == "rules":
        return replace(shop, rules=())
    if what == "head":
        lots = tuple(replace(lot, count=lot.count + round(times)) for lot in shop.lots)
        return replace(shop, lots=lots)
    orders = tuple(
        replace(order, amount=float(round(order.amount * times))) for order in shop.orders
    )
    return replace(shop, orders=orders)


def two_days() -> AggregateModel:
    """Sell at most 2 in all, from pieces that give 0.8 each, on two days: 2 + 1 pieces are best."""
    arrays = Arrays(
        cost=np.array([-1.0, -1.1, 5.0]),
        lower=np.zeros(3),
        upper=np.array([2.0, 2.0, 2.0]),
        whole=np.array([True, True, False]),
        row_lower=np.array([0.0]),
        row_upper=np.array([np.inf]),
        row_starts=np.array([0, 3], dtype=np.int32),
        columns=np.array([0, 1, 2], dtype=np.int32),
        values=np.array([0.8, 0.8, -1.0]),
    )
    group = np.array([0, 1], dtype=np.int32)
    # 2 / 0.8 = 2.5: 3 pieces for all of it, and 0.5 x 0.8 less with 2
    row = Inequality(
        np.array([0, 1, 2], dtype=np.int32), np.array([1.0, 1.0, -2.5]), 3.0 - 2.0 * 2.5
    )
    return AggregateModel(arrays, [group], [row])


def test_the_aggregate_decides_the_sum_and_the_disaggregation_the_days():
    engine = AggregateEngine(two_days())
    assert engine.sums(EXACT).values[:2].sum() == pytest.approx(3)
    outcome = best_of(engine, EXACT)
    assert outcome.values[:3] == pytest.approx([2, 1, 2])  # 10 - 2 - 1.1 by hand; 2 pieces: 8 - 2
    assert (outcome.objective, outcome.bound) == pytest.approx((6.9, 6.9))


def test_a_changed_model_takes_the_place_of_the_one_before():
    engine = AggregateEngine(two_days())
    best_of(engine, EXACT)
    engine.add_row(
        Inequality(np.array([0], dtype=np.int32), np.array([-1.0]), 0.0)
    )  # none on the first day
    assert best_of(engine, EXACT).objective == pytest.approx(8 - 2.2)
    changed = two_days()
    changed.arrays.cost[2] = 1.0
    engine.become(changed)
    assert best_of(engine, EXACT).objective == pytest.approx(0)  # a piece costs more than 0.8
    engine.become(two_days())
    assert best_of(engine, EXACT).objective == pytest.approx(6.9)  # and the row is gone again
