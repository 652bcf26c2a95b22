"""HiGHS behind its few questions: changed objectives, starts, limits, interruption."""

from __future__ import annotations

import signal
from pathlib import Path

import numpy as np
import pytest

from planner.solve.engine import AT_LEAST, Arrays, Engine, Inequality, Limits
from planner.solve.matrix import arrays_of
from planner.solve.model import BreakModel
from tests.outside.hand_worked import SIDES_RECIPE
from tests.planning import plan_of, read

EXACT = Limits(0.0, 1e-6, 60.0)


def knapsack() -> Arrays:
    """Maximize 5a + 4b + 3c with 2a + 3b + c <= 5, 4a + b + 2c <= 11, 3a + 4b + 2c <= 8, whole."""
    return Arrays(
        cost=np.array([5.0, 4.0, 3.0]),
        lower=np.zeros(3),
        upper=np.full(3, np.inf),
        whole=np.array([True, True, True]),
        row_lower=np.full(3, -np.inf),
        row_upper=np.array([5.0, 11.0, 8.0]),
        row_starts=np.array([0, 3, 6, 9], dtype=np.int32),
        columns=np.array([0, 1, 2] * 3, dtype=np.int32),
        values=np.array([2.0, 3, 1, 4, 1, 2, 3, 4, 2]),
    )


def at_least_one(column: int) -> Inequality:
    return Inequality(np.array([column], dtype=np.int32), np.ones(1), 1.0)


def test_a_textbook_model_has_its_textbook_optimum():
    # V. Chvatal, Linear Programming (1983), chapter 2, first example: optimum 13 at (2, 0, 1)
    outcome = Engine(knapsack()).run(EXACT)
    assert outcome.values == pytest.approx([2, 0, 1])
    assert (outcome.objective, outcome.bound) == pytest.approx((13, 13))


def test_one_engine_answers_repeated_questions():
    engine = Engine(knapsack())
    engine.maximize(np.array([0.0, 1.0, 0.0]))
    assert engine.run(EXACT).objective == pytest.approx(1)  # b <= 5/3
    engine.bound(0, 1, 1)
    engine.maximize(np.array([5.0, 4.0, 3.0]))
    assert engine.run(EXACT).objective == pytest.approx(11)  # (1, 0, 2), by hand
    engine.row_bounds(2, -np.inf, np.inf)
    assert engine.run(EXACT).objective == pytest.approx(14)  # (1, 0, 3): the third row is lifted
    engine.row_bounds(2, -np.inf, 8.0)
    engine.add_row(at_least_one(1))
    assert engine.run(EXACT).objective == pytest.approx(9)  # (1, 1, 0)
    engine.add_row(at_least_one(2))
    assert engine.run(EXACT).feasible is False


def test_settling_keeps_the_whole_numbers_given():
    engine = Engine(knapsack())
    assert engine.settle(np.array([1.0, 0.0, 2.0])).objective == pytest.approx(11)
    assert engine.run(EXACT).objective == pytest.approx(13)


ONE_RACK = """
title: Invented sides
starts: 2026-11-30
days: 2
recipes: [recipe.yaml]
rail:
  - {side: 1 at 20 lb, arrives: mon, keeps: 1 day}
  - {goat: up to 2 sides at 20 lb, arrives: tue, cost: 2/lb}
demand:
  rack: {price: 40/each, orders: [{day: tue, amount: 2, price: 30, for: the inn}]}
  stew: {price: 8, want: {mon: 12 lb, tue: 6 lb}}
carry: 50%
disposal: 0.50/lb
rules: [{at most 1 side: rack}]
"""


def test_a_start_does_not_hide_a_better_plan(tmp_path):
    """HiGHS 1.16 hands back the values of the start here, with the objective of the better plan.

    By hand: monday's side is stewed, 12 x 8 less 8 lb binned at 0.50 = 92. On tuesday one side is
    bought for its rack, 30 + 6 x 8 - 40 less 7 lb binned = 34.50; and one more is bought to be
    left whole, at half of 16 x 8 less 40 = 24. Together 150.50; the second rack is short.
    """
    (tmp_path / "recipe.yaml").write_text(SIDES_RECIPE)
    (tmp_path / "shop.yaml").write_text(ONE_RACK)
    plan = plan_of(tmp_path / "shop.yaml")
    assert plan.score == pytest.approx(150.50)
    assert [each.short for each in plan.short] == [1]


@pytest.fixture(scope="module")
def holiday():
    return arrays_of(BreakModel(read(Path("scenarios/holiday.yaml"))))


def test_the_time_limit_holds_for_every_run_anew(holiday):
    engine = Engine(holiday)
    assert engine.run(Limits(0.0, 0.0, 0.3)).timed_out
    second = engine.run(Limits(0.0, 0.0, 0.3))
    assert second.timed_out
    assert second.bound >= second.objective


def test_progress_hears_of_bounds_and_can_stop_the_search(holiday):
    heard = []

    def stop_soon(seconds: float, best: float, bound: float) -> None:
        heard.append((seconds, best, bound))
        if np.isfinite(best) and len(heard) > 3:
            raise TimeoutError("enough")

    with pytest.raises(TimeoutError, match="enough"):
        Engine(holiday).run(EXACT, stop_soon)
    assert all(best <= bound for _, best, bound in heard)


def test_ctrl_c_stops_the_search(holiday):
    def press(seconds: float, best: float, bound: float) -> None:
        signal.raise_signal(signal.SIGINT)

    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # else it may be ignored
    try:
        with pytest.raises(KeyboardInterrupt):
            Engine(holiday).run(EXACT, press)
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    finally:
        signal.signal(signal.SIGINT, before)


def test_a_search_stopped_before_it_began_does_not_call_its_start_the_best(holiday):
    engine = Engine(holiday)
    start = engine.run(Limits(0.05, 0.0, 60.0)).values
    engine.start_from(start)
    outcome = engine.run(Limits(0.0, 0.0, 1e-9))
    assert outcome.timed_out
    assert np.isfinite(outcome.bound)
    assert outcome.bound > outcome.objective + 1


def test_a_run_after_one_that_was_ended_is_not_ended_too():
    engine = Engine(knapsack())
    engine.run(EXACT, lambda seconds, best, bound: True)
    assert engine.run(EXACT).objective == pytest.approx(13)
    engine.run(EXACT, lambda seconds, best, bound: True)
    assert engine.run(EXACT, lambda seconds, best, bound: False).objective == pytest.approx(13)


def test_time_spent_before_is_not_taken_off_the_next_bound():
    """HiGHS counts the time of relaxations since it began, that of searches anew."""
    engine = Engine(knapsack())
    engine.within(0.0)
    engine._highs.getRunTime = lambda: 2 * AT_LEAST  # as after many questions
    assert engine.lp_bound() == pytest.approx(13.0, abs=1.0)
    limit = engine._highs.getOptionValue("time_limit")[1]
    assert limit == pytest.approx(3 * AT_LEAST)
