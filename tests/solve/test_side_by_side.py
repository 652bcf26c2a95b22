"""Two searches side by side: what they find, what they prove, and that it is always the same."""

from __future__ import annotations

import threading
import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from planner.core.errors import RulesConflictError
from planner.core.scenario import Scenario
from planner.solve import Options, Search, Solution
from planner.solve import portfolio as side_by_side
from planner.solve import primal_search as scouting
from planner.solve.engine import INFINITY, Engine, Limits
from planner.solve.model import BreakModel
from planner.solve.shared_progress import Portfolio
from tests.bench.generate import WEEKS
from tests.outside.shops import shops
from tests.planning import TIGHT, read
from tests.solve.test_properties import SHOPS, scenario_of
from tests.two_measures import thorough

COARSE = Options(share=0.0, amount=0.5)
ONE, TWO = np.array([1.0]), np.array([2.0])


def found(shop: Scenario, options: Options) -> Solution | None:
    try:
        return Search(BreakModel(shop), options).solution()
    except RulesConflictError:
        return None


@pytest.fixture
def both(monkeypatch):
    """Let even the smallest shop be searched by two."""
    monkeypatch.setattr(side_by_side, "FEW", -1)


@settings(SHOPS, max_examples=60)
@given(shops())
def test_two_searches_prove_what_is_true(both, pair):
    """The plan of a close search is no better than their bound, and no worse than their plan."""
    shop = scenario_of(pair)
    coarse, close = found(shop, COARSE), found(shop, replace(TIGHT, plain=True))
    assert (coarse is None) == (close is None)
    if coarse and close:
        slack = TIGHT.amount + 1e-5 * abs(close.objective)
        assert close.objective <= coarse.bound + slack
        assert coarse.objective <= close.bound + slack
        assert coarse.status in ("proven", "within tolerance")


@pytest.mark.parametrize(
    "week", [WEEKS[0], *thorough(WEEKS[3], WEEKS[11])], ids=lambda week: week.name
)
def test_a_generated_week_has_the_same_plan_however_busy_the_machine(week, tmp_path):
    file = tmp_path / "week.yaml"
    file.write_text(week.text())
    shop = read(file)
    alone = found(shop, Options())
    stop = threading.Event()
    others = [threading.Thread(target=_busy, args=(stop,)) for _ in range(3)]
    for each in others:
        each.start()
    try:
        beside = found(shop, Options())
    finally:
        stop.set()
    assert alone is not None
    assert replace(alone, seconds=0.0) == replace(beside, seconds=0.0)


def test_no_phase_of_a_search_is_given_a_share_of_the_time(tmp_path, monkeypatch):
    """It would end elsewhere on a slow machine, though the search as a whole has time enough."""
    file = tmp_path / "week.yaml"
    file.write_text(WEEKS[5].text())
    seconds, run = [], Engine.run

    def noted(engine, limits, *more):
        seconds.append(limits.seconds)
        return run(engine, limits, *more)

    monkeypatch.setattr(Engine, "run", noted)
    plan = found(read(file), Options(seconds=3000.0))
    assert plan is not None and plan.status == "within tolerance"
    assert len(seconds) > 2 and min(seconds) > 2000


def _busy(stop: threading.Event) -> None:
    while not stop.is_set():
        sum(n * n for n in range(3000))


@pytest.mark.parametrize("week", [WEEKS[0], WEEKS[3]], ids=lambda week: week.name)
def test_the_bound_of_a_generated_week_holds_for_the_best_plan(week, tmp_path):
    file = tmp_path / "week.yaml"
    file.write_text(week.text())
    shop = read(file)
    coarse, close = found(shop, Options()), found(shop, Options(share=0.0, amount=0.05, plain=True))
    assert coarse is not None
    assert close is not None
    assert close.status != "time limit"
    assert coarse.objective - 0.05 <= close.objective <= coarse.bound + 1e-4
    assert coarse.bound - coarse.objective <= max(1.0, 0.001 * coarse.objective) * (1 + 1e-6)


def test_what_is_found_at_a_step_counts_before_later_steps_whoever_comes_first():
    portfolio = Portfolio(Limits(0.0, 1.0, 60.0))
    portfolio.bounding.report(bound=10.0)
    portfolio.bounding.advance()
    portfolio.bounding.report(bound=3.0, objective=2.5, values=TWO)  # by the clock this is first
    portfolio.bounding.advance()
    assert not portfolio.over.is_set()
    portfolio.primal.report(objective=9.5, values=ONE)
    portfolio.primal.advance()
    assert portfolio.over.is_set()
    assert (portfolio.bound, portfolio.objective, list(portfolio.values)) == (10.0, 9.5, [1.0])


def test_of_one_step_the_primal_search_counts_first():
    portfolio = Portfolio(Limits(0.0, 1.0, 60.0))
    portfolio.bounding.report(bound=10.0, objective=9.2, values=TWO)
    portfolio.bounding.advance()
    portfolio.primal.report(bound=10.0, objective=9.1, values=ONE)
    portfolio.primal.advance()
    assert list(portfolio.values) == [1.0]


def test_a_portfolio_is_over_when_neither_goes_on_and_knows_what_was_found():
    portfolio = Portfolio(Limits(0.0, 0.1, 60.0))
    portfolio.primal.report(objective=1.0, values=ONE)
    portfolio.primal.end()
    assert not portfolio.over.is_set()
    portfolio.bounding.report(bound=5.0)
    portfolio.bounding.end()
    assert portfolio.over.is_set()
    assert not portfolio.close
    assert (portfolio.bound, portfolio.objective) == (5.0, 1.0)


def test_a_model_without_solutions_ends_a_portfolio():
    portfolio = Portfolio(Limits(0.0, 0.1, 60.0))
    portfolio.primal.end()
    portfolio.bounding.report(bound=-INFINITY)
    portfolio.bounding.end()
    assert portfolio.over.is_set()
    assert portfolio.values is None


def test_a_search_sees_of_the_other_only_what_was_told_before_its_step():
    portfolio = Portfolio(Limits(0.0, 0.1, 60.0))
    portfolio.bounding.report(objective=1.0, values=ONE)
    portfolio.bounding.advance(3.0)
    portfolio.bounding.report(objective=2.0, values=TWO)
    portfolio.bounding.advance()
    assert [list(values) for _, values in portfolio.bounding.solutions(3.0)] == [[1.0]]
    assert [step for step, _ in portfolio.bounding.solutions(4.0)] == [0.0, 3.0]
    threading.Timer(0.2, portfolio.over.set).start()
    assert portfolio.bounding.solutions(5.0) == []  # waits for what is not told, till it is over


def test_one_search_keeps_step_with_the_other_up_to_its_next_solution():
    portfolio = Portfolio(Limits(0.0, 0.1, 60.0))
    primal, bounding = portfolio.primal, portfolio.bounding
    primal.advance(2.0)
    bounding.advance(5.0)
    bounding.report(objective=1.0, values=ONE)
    bounding.advance(4.0)
    bounding.report(objective=2.0, values=TWO)
    bounding.advance(4.0)
    assert primal.follow(bounding, -1.0) and primal.step == 6.0  # not 13, wherever the clock is
    assert primal.follow(bounding, 5.0) and primal.step == 10.0
    primal.advance(20.0)
    bounding.report(objective=3.0, values=ONE)
    bounding.end()
    assert primal.follow(bounding, 9.0) and primal.step == 30.0  # never back
    assert not primal.follow(bounding, 13.0)


def test_progress_that_raises_ends_both_searches(tmp_path):
    file = tmp_path / "week.yaml"
    file.write_text(WEEKS[12].text())

    def stop(seconds: float, best: float, bound: float) -> None:
        raise KeyboardInterrupt

    before = threading.active_count()
    with pytest.raises(KeyboardInterrupt):
        Search(BreakModel(read(file)), Options()).solution(stop)
    ends = time.perf_counter() + 20
    while threading.active_count() > before and time.perf_counter() < ends:
        time.sleep(0.05)
    assert threading.active_count() <= before


def test_a_search_that_fails_says_so(tmp_path, monkeypatch):
    file = tmp_path / "week.yaml"
    file.write_text(WEEKS[0].text())

    def fail(*_: object) -> None:
        raise RuntimeError("no dive")

    monkeypatch.setattr(scouting, "dive", fail)
    with pytest.raises(RuntimeError, match="no dive"):
        found(read(file), Options())
