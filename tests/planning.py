"""A scenario file planned in the process, as its JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from planner.errors import RulesConflictError
from planner.files.scenario_file import read_scenario
from planner.plan import Plan, plan_week
from planner.scenario import Scenario
from planner.show.json import plan_data
from planner.solve import Options

TIGHT = Options(share=0.0, amount=0.001)


def read(path: Path) -> Scenario:
    return read_scenario(path, path.name)[0]


def plan_of(path: Path, options: Options = TIGHT) -> Plan:
    return plan_week(read(path), options)


def json_of(path: Path, options: Options = TIGHT) -> dict[str, Any] | None:
    """The plan's JSON, or None where the rules cannot be kept."""
    try:
        return plan_data(plan_of(path, options))
    except RulesConflictError:
        return None
