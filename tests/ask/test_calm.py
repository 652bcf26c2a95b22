"""A list on the wall stays where it costs less than the calm, and never where it costs more."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from planner.ask.keep_posted import as_listed, list_of, repaired_plan
from planner.ask.posting import kept_of
from planner.ask.replan import Before, replan
from planner.files.changes import Change, read_changes
from planner.files.find import shipped_folder
from planner.shop.stock.on_hand import stand_at
from planner.solve import Options
from planner.solve.plan import plan_week
from tests.planning import TIGHT, read

TIES = 0.1  # minutes and nights of the day, which bounds are told with

RULES = ("all shoulder: stew", "all breast: riblets", "at least 2 leg: whole")


@pytest.fixture(scope="module")
def scenario():
    return read(shipped_folder("scenarios") / "one-lamb.yaml")


@pytest.fixture(scope="module", params=RULES)
def case(request, scenario):
    """A list that is not the best, what it costs, and the best score."""
    listed = list_of(plan_week(read_changes(scenario, [Change("rule", request.param)]), TIGHT))
    whole = repaired_plan(scenario, listed, TIGHT, 1e6)
    best = plan_week(scenario, TIGHT)
    assert whole.kept == "all" and list_of(whole.plan) == listed
    assert whole.cost == pytest.approx(best.score - whole.plan.score, abs=0.02)
    assert whole.cost > 1, "else there is nothing to hold to"
    return listed, whole.cost, best.score


def test_a_list_stays_up_to_the_calm_and_not_beyond(scenario, case):
    listed, cost, best = case
    for part in (1.001, 0.999, 0.5, 0.1):
        found = repaired_plan(scenario, listed, TIGHT, part * cost)
        assert (found.kept == "all") == (part > 1), part
        assert found.plan.score >= best - part * cost - 0.01
        assert found.plan.bound >= best - TIES, "what is proven of the best holds for this one too"
        least, most = found.keeping
        assert least - 0.02 <= cost <= most + 0.02


def test_more_calm_keeps_no_less(scenario, case):
    listed, cost, _ = case
    kept = [
        as_listed(repaired_plan(scenario, listed, TIGHT, part * cost).plan, listed)
        for part in (0.0, 0.2, 0.5, 0.9, 1.001)
    ]
    assert kept == sorted(kept)
    assert kept[-1] == sum(listed.values()) > kept[0]


def test_a_list_better_than_a_rough_search_found_is_the_best_that_is_known(scenario):
    listed = list_of(plan_week(scenario, TIGHT))
    rough = Options(share=0.2)
    found = repaired_plan(scenario, listed, rough, 0.5)
    assert found.kept == "all" and found.cost == 0
    assert found.plan.bound >= plan_week(scenario, TIGHT).score - TIES
    assert found.keeping[0] == 0.0


def test_a_list_that_was_held_to_is_not_taken_for_the_best(scenario, case):
    listed, cost, best = case
    held = repaired_plan(scenario, listed, TIGHT, 1.1 * cost)
    assert held.held
    kept = kept_of(held.plan, best=held.best.score)
    nothing = stand_at(scenario, (), scenario.starts)
    state = SimpleNamespace(
        everything=(), recorded=(), week=scenario, scenario=scenario, opening=nothing, stand=nothing
    )
    again = replan(Before(1, kept, ()), state, TIGHT, 0.0)
    assert again.plan.score == pytest.approx(best, abs=0.02) and again.changes
    same = replan(Before(1, kept, ()), state, TIGHT, 1.1 * cost)
    assert list_of(same.plan) == listed and not same.changes
    assert same.repair.cost == pytest.approx(cost, abs=0.02)
