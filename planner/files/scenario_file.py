"""Read a scenario file: its recipes, its shape, then every part against the others."""

from __future__ import annotations

from pathlib import Path

from planner.core.errors import Problem
from planner.core.scenario import Scenario
from planner.files.context import Setting
from planner.files.file_kind import stop_unless
from planner.files.rail import read_rail
from planner.files.recipes import read_recipes
from planner.files.rules import read_rules
from planner.files.scenario_parts import read_bench, read_case, read_demand, read_traffic
from planner.files.scenario_shape import ScenarioShape
from planner.files.scenario_warnings import LOOKS, point_out
from planner.files.shape_check import fit
from planner.files.yamlfile import load


def read_scenario(path: Path, name: str) -> tuple[Scenario, list[Problem]]:
    """Read and check a scenario and the recipes it names; the second is what is legal but odd.

    Raises `InputError` with every fault of the scenario and of its recipes.
    """
    document = load(path, name)
    stop_unless("scenario", document)
    shape = fit(document, ScenarioShape)
    named = read_recipes(document, shape, path.parent)
    setting = Setting(document, shape, named.recipes, named.own)
    scenario = scenario_of(setting)
    document.stop_if_faulty()
    point_out(setting, scenario, LOOKS)
    return scenario, [*named.oddities, *document.oddities]


def scenario_of(setting: Setting) -> Scenario:
    """Read every part; faults are recorded with the document, so it may not be sound."""
    shape = setting.shape
    traffic = read_traffic(setting)
    demand, orders = read_demand(setting, traffic)
    disposal = shape.disposal
    return Scenario(
        title=shape.title,
        starts=shape.starts,
        days=shape.days,
        recipes=setting.recipes,
        unit=shape.unit,
        money=shape.money,
        lots=read_rail(setting),
        bench=read_bench(setting),
        overtime_limit=shape.overtime.up_to if shape.overtime else 0.0,
        overtime_cost=shape.overtime.cost if shape.overtime else 0.0,
        case=read_case(setting),
        demand=demand,
        orders=orders,
        rules=read_rules(setting),
        traffic=traffic,
        carry=shape.carry,
        disposal=setting.per_pound(("disposal",), disposal) if disposal else 0.0,
        own_blends=setting.own_blends,
        aside=setting.aside,
    )
