"""Units worked on in processes of this machine: what comes back, and what a killed one leaves."""

from __future__ import annotations

import os
import pickle
import signal
import time
from contextlib import suppress
from dataclasses import replace

import psutil
import pytest

from planner.files.find import shipped_names
from planner.many.processes import Processes, all_cores
from planner.many.units import Planned, Trouble, Unit, plan_unit
from planner.solve import Options
from tests import many_work
from tests.files.test_changes import shipped
from tests.many_work import DEADLY, same, silent, units_of
from tests.running import seen, started

SERVING = "planner.many.serving"
"""In the command line of a process that plans for another."""


def worked(runner, units):
    """Outcomes by number."""
    return dict(runner(enumerate(units), silent))


# ---- what travels ----


@pytest.mark.parametrize("name", shipped_names("scenarios"))
def test_a_scenario_survives_the_journey(name):
    scenario = shipped(name)
    assert pickle.loads(pickle.dumps(scenario)) == scenario


def test_a_plan_survives_the_journey_and_leaves_its_scenario_behind():
    scenario = shipped("corner-shop")
    outcome = plan_unit(Unit(scenario, Options(share=0.05)))
    there = pickle.dumps(outcome)
    assert pickle.loads(there) == outcome
    plan = outcome.plan(scenario)
    assert plan.scenario is scenario and plan.score > 0
    assert len(there) < 0.7 * len(pickle.dumps(plan))


def test_every_plan_is_the_one_made_alone(shop):
    units = units_of(shop, 5)
    for cores in (1, 2):
        outcomes = worked(Processes(cores), units)
        assert sorted(outcomes) == [0, 1, 2, 3, 4]
        assert all(same(outcomes[number], plan_unit(unit)) for number, unit in enumerate(units))


def test_no_more_run_than_there_are_cores_and_units_are_taken_as_there_is_room(shop):
    units, taken, most = units_of(shop, 6), [], []

    def one_by_one():
        for number, unit in enumerate(units):
            taken.append(number)
            yield number, unit

    def told(running):
        most.append(len(running))

    done = 0
    for _ in Processes(2, many_work.slow)(one_by_one(), told):
        done += 1
        assert len(taken) <= done + 2
    assert done == 6
    assert max(most) == 2


def test_nothing_to_do_needs_no_process():
    assert worked(Processes(2), []) == {}


def test_what_a_process_prints_goes_nowhere(shop, capfd):
    outcomes = worked(Processes(1, many_work.noisy), units_of(shop, 1))
    assert isinstance(outcomes[0], Planned)
    assert capfd.readouterr() == ("", "")


def test_all_cores_are_those_this_process_may_use():
    assert all_cores() == len(os.sched_getaffinity(0))


# ---- what goes wrong ----


def test_a_process_that_is_killed_once_loses_nothing(shop, tmp_path):
    units = units_of(shop, 5)
    marks = [tmp_path / "one", tmp_path / "two"]
    for number, mark in zip((0, 3), marks, strict=True):
        scenario = replace(units[number].scenario, title=str(mark))
        units[number] = replace(units[number], scenario=scenario)
    outcomes = worked(Processes(2, many_work.deadly_once), units)
    assert all(mark.exists() for mark in marks), "both were killed"
    assert all(same(outcomes[number], plan_unit(unit)) for number, unit in enumerate(units))


def test_a_unit_that_kills_every_process_is_told_and_the_others_are_planned(shop):
    units = units_of(shop, 3)
    units.insert(1, units_of(shop, 1, DEADLY)[0])
    outcomes = worked(Processes(2, many_work.deadly), units)
    told = outcomes.pop(1)
    assert isinstance(told, Trouble) and told.exit_code == 1
    assert told.brief == "the process that planned it was killed"
    assert "SIGKILL, as when memory runs out" in told.message
    assert sorted(outcomes) == [0, 2, 3]
    assert all(same(outcomes[each], plan_unit(units[each])) for each in outcomes)


def test_a_process_killed_from_outside_in_the_middle_loses_nothing(shop):
    units, outcomes, killed = units_of(shop, 6), {}, 0
    for number, outcome in Processes(2, many_work.slow)(enumerate(units), silent):
        outcomes[number] = outcome
        if len(outcomes) == 2:
            spawned([])[0].kill()
            killed += 1
    assert killed == 1 and sorted(outcomes) == list(range(6))
    assert all(same(outcomes[number], plan_unit(unit)) for number, unit in enumerate(units))


def cmd(process):
    with suppress(psutil.Error):  # it may just have ended
        return " ".join(process.cmdline())
    return ""


def test_a_mistake_in_the_program_is_one_line_with_its_place(shop):
    outcome = worked(Processes(1, many_work.broken), units_of(shop, 1))[0]
    assert isinstance(outcome, Trouble) and outcome.exit_code == 1
    assert outcome.message.startswith("failed unexpectedly, ZeroDivisionError: in An invented goat")
    assert "and more (many_work.py:" in outcome.message and "\n" not in outcome.message


# ---- the end ----


def test_closing_ends_all_processes_at_once(shop):
    before = set(psutil.Process().children())
    outcomes = Processes(2, many_work.slow)(enumerate(units_of(shop, 6)), silent)
    next(outcomes)
    assert len(spawned(before)) == 2
    outcomes.close()
    assert spawned(before) == []


def spawned(before, of=None):
    children = set(psutil.Process(of).children()) - set(before)
    return [each for each in children if SERVING in cmd(each)]


def at_work(*words):
    """The program, and its two processes when they are at work."""
    ran = started("week", *words)
    return ran, seen(lambda: len(found := spawned([], of=ran.pid)) == 2 and found)


def gone(processes):
    return len(psutil.wait_procs(processes, timeout=5)[1]) == 0


LONG = ("holiday", "whole-animal", "--within", "0", "--seconds", "30", "--cores", "2")


@pytest.mark.parametrize("more", [(), ("--solver", "bundled")])
def test_ctrl_c_stops_everything_at_once_and_without_a_traceback(more):
    ran, workers = at_work(*LONG, *more)
    if more:
        seen(lambda: all(worker.children() for worker in workers))
    with_solvers = [*workers, *(each for worker in workers for each in worker.children())]
    began = time.perf_counter()
    os.killpg(ran.pid, signal.SIGINT)
    out, err = ran.communicate(timeout=20)
    assert time.perf_counter() - began < 5
    assert (ran.returncode, out, err) == (130, "", "stopped\n")
    assert gone(with_solvers)


def test_processes_do_not_outlive_a_program_that_is_killed():
    ran, workers = at_work(*LONG)
    ran.kill()
    ran.communicate()
    assert gone(workers)
