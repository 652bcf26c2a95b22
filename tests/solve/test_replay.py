"""The replay finds what the decisions of a solution break, and takes nothing that is not there."""

from dataclasses import replace

import pytest

from planner.core.errors import UnsoundPlanError
from planner.solve import Options, Search, ceiling, replayed, solve
from planner.solve import search as searching
from planner.solve.model import BreakModel
from tests.planning import TIGHT, read
from tests.solve.test_extremes import shop

BODY = (
    "rail: [{lamb: 2 head at 50 lb}, {lamb: up to 1 head at 50 lb, cost: 9/lb}]\nbench: 20\n"
    "demand:\n  roast:\n    price: 10/lb\n    want: {mon: 30 lb}\n"
    "    orders: [{day: tue, amount: 20 lb, for: the inn}]\n"
    "  stew: {price: 8/lb, want: {tue: 3 lb}}\nrules: [at most 1 carcass: dice]\n"
)


@pytest.fixture
def solved(tmp_path):
    scenario = read(shop(tmp_path, BODY))
    return scenario, solve(scenario, TIGHT)


def test_a_sound_solution_comes_back_as_it_is(solved):
    scenario, solution = solved
    assert replayed(scenario, solution) == (solution, [])


@pytest.mark.parametrize(
    ("part", "key", "value", "words"),
    [
        ("breaks", (0, "carcass", "dice", 0), 9, "carcass of lot 0 cut on day 0: 9"),
        ("breaks", (0, "carcass", "dice", 1), -1, "less than nothing"),
        ("bought", 1, 2, "head bought of lot 1: 2 of at most 1"),
        ("walk_in", ("roast", 0), 31.0, "roast sold on day 0: 31 of at most 30"),
        ("walk_in", ("stew", 1), 3.0, "stew used on day 1: 3, there is 0"),
        ("filled", 0, 21.0, "order 0: 21 of at most 20"),
    ],
)
def test_what_is_broken_is_named(solved, part, key, value, words):
    scenario, solution = solved
    broken = replace(solution, **{part: {**getattr(solution, part), key: value}})
    assert any(words in fault for fault in replayed(scenario, broken)[1])


def test_rules_and_the_bench_are_counted_again(solved):
    scenario, solution = solved
    faults = replayed(replace(scenario, bench=(1.0, 1.0)), solution)[1]
    assert any(fault.startswith("minutes of day") for fault in faults)
    never = replace(scenario.rules[0], verb="never", count=0, way="whole")
    assert (
        "the rule never carcass: whole: 2"
        in replayed(replace(scenario, rules=(never,)), solution)[1]
    )


def test_what_is_not_there_by_a_hair_is_not_sold(solved):
    scenario, solution = solved
    sold = {**solution.walk_in, ("stew", 1): 5e-5}
    sound, faults = replayed(scenario, replace(solution, walk_in=sold))
    assert faults == [] and sound.walk_in["stew", 1] == 0


def test_a_plan_that_cannot_be_checked_is_not_shown(solved, monkeypatch):
    scenario, _ = solved
    monkeypatch.setattr(searching, "replayed", lambda scenario, solution: (solution, ["a fault"]))
    with pytest.raises(UnsoundPlanError, match="no plan could be checked: a fault") as error:
        Search(BreakModel(scenario), Options()).solution()
    assert error.value.exit_code == 4


def test_no_plan_is_above_the_ceiling(solved, tmp_path):
    scenario, solution = solved
    assert solution.objective < ceiling(scenario)
    # worked by hand: both carcasses whole, 45 lb of roast each at 10.00; a third costs 450 and
    # brings no more than that; of trim nobody wants any
    assert ceiling(replace(scenario, demand={}, orders=())) == 0
    assert ceiling(scenario) == pytest.approx(30 * 10 + 20 * 10 + 3 * 8)
