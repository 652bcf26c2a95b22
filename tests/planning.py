"""A scenario file planned in the process, as its JSON."""

from __future__ import annotations

import os
import pickle
import sqlite3
from collections.abc import Callable
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from planner.core.errors import RulesConflictError
from planner.core.scenario import Scenario
from planner.files.scenario_file import read_scenario
from planner.show.json import plan_data
from planner.solve import Options
from planner.solve.plan import Plan, plan_week

TIGHT = Options(share=0.0, amount=0.001)
SCENARIOS = Path(__file__).resolve().parent.parent / "scenarios"
T = TypeVar("T")
SHARED = "BREAKPLAN_TESTS_SHARED"
"""Variable of the environment: a folder of this run of pytest, for all its processes."""


def read(path: Path) -> Scenario:
    return read_scenario(path, path.name)[0]


def plan_of(path: Path, options: Options = TIGHT) -> Plan:
    return plan_week(read(path), options)


@cache
def shipped_plan(name: str) -> Plan:
    """A shipped week, planned once a run, and not to the last cent where that takes long."""
    share = {"one-lamb": 0.0, "whole-animal": 0.01}.get(name, 0.001)
    return once(name, lambda: plan_of(SCENARIOS / f"{name}.yaml", Options(share=share)))


def once(name: str, work: Callable[[], T]) -> T:
    """What `work` makes, made once in a run: who else asks, in whichever process, waits for it."""
    path = Path(os.environ[SHARED]) / f"{name}.db"
    with closing(sqlite3.connect(path, timeout=600, isolation_level=None)) as shared:
        shared.execute("BEGIN EXCLUSIVE")
        shared.execute("CREATE TABLE IF NOT EXISTS made (pickled BLOB)")
        known = shared.execute("SELECT pickled FROM made").fetchone()
        if known:
            return pickle.loads(known[0])
        made = work()
        shared.execute("INSERT INTO made VALUES (?)", [pickle.dumps(made)])
        shared.execute("COMMIT")
    return made


def json_of(path: Path, options: Options = TIGHT) -> dict[str, Any] | None:
    """The plan's JSON, or None where the rules cannot be kept."""
    try:
        return plan_data(plan_of(path, options))
    except RulesConflictError:
        return None
