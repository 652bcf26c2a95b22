"""Two searches side by side: what they find, what they prove, and that it is always the same."""

from __future__ import annotations

import threading
import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from planner.engine import INFINITY, Limits
from planner.errors import RulesConflictError
from planner.model import BreakModel
from planner.race import Race
from planner.scenario import Scenario
from planner.solve import Options, Search, Solution, scouting, side_by_side
from tests.bench.generate import WEEKS
from tests.outside.shops import shops
from tests.planning import TIGHT, read
from tests.test_properties import SHOPS, scenario_of
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
    race = Race(Limits(0.0, 1.0, 60.0))
    race.prover.tell(bound=10.0)
    race.prover.go_on()
    race.prover.tell(bound=3.0, objective=2.5, values=TWO)  # by the clock this is first
    race.prover.go_on()
    assert not race.over.is_set()
    race.scout.tell(objective=9.5, values=ONE)
    race.scout.go_on()
    assert race.over.is_set()
    assert (race.bound, race.objective, list(race.values)) == (10.0, 9.5, [1.0])


def test_of_one_step_the_scout_counts_first():
    race = Race(Limits(0.0, 1.0, 60.0))
    race.prover.tell(bound=10.0, objective=9.2, values=TWO)
    race.prover.go_on()
    race.scout.tell(bound=10.0, objective=9.1, values=ONE)
    race.scout.go_on()
    assert list(race.values) == [1.0]


def test_a_race_is_over_when_neither_goes_on_and_knows_what_was_found():
    race = Race(Limits(0.0, 0.1, 60.0))
    race.scout.tell(objective=1.0, values=ONE)
    race.scout.end()
    assert not race.over.is_set()
    race.prover.tell(bound=5.0)
    race.prover.end()
    assert race.over.is_set()
    assert not race.close
    assert (race.bound, race.objective) == (5.0, 1.0)


def test_a_model_without_solutions_ends_a_race():
    race = Race(Limits(0.0, 0.1, 60.0))
    race.scout.end()
    race.prover.tell(bound=-INFINITY)
    race.prover.end()
    assert race.over.is_set()
    assert race.values is None


def test_a_search_sees_of_the_other_only_what_was_told_before_its_step():
    race = Race(Limits(0.0, 0.1, 60.0))
    race.prover.tell(objective=1.0, values=ONE)
    race.prover.go_on(3.0)
    race.prover.tell(objective=2.0, values=TWO)
    race.prover.go_on()
    assert [list(values) for _, values in race.prover.solutions(3.0)] == [[1.0]]
    assert [step for step, _ in race.prover.solutions(4.0)] == [0.0, 3.0]
    threading.Timer(0.2, race.over.set).start()
    assert race.prover.solutions(5.0) == []  # waits for what is not told yet, till it is over


def test_one_search_keeps_step_with_the_other_up_to_its_next_solution():
    race = Race(Limits(0.0, 0.1, 60.0))
    scout, prover = race.scout, race.prover
    scout.go_on(2.0)
    prover.go_on(5.0)
    prover.tell(objective=1.0, values=ONE)
    prover.go_on(4.0)
    prover.tell(objective=2.0, values=TWO)
    prover.go_on(4.0)
    assert scout.follow(prover, -1.0) and scout.step == 6.0  # not 13, wherever the clock is
    assert scout.follow(prover, 5.0) and scout.step == 10.0
    scout.go_on(20.0)
    prover.tell(objective=3.0, values=ONE)
    prover.end()
    assert scout.follow(prover, 9.0) and scout.step == 30.0  # never back
    assert not scout.follow(prover, 13.0)


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

    monkeypatch.setattr(scouting, "dived", fail)
    with pytest.raises(RuntimeError, match="no dive"):
        found(read(file), Options())
