"""Read a scenario file: its recipes, its shape, then every part against the others."""

from __future__ import annotations

from pathlib import Path

from planner.errors import InputError, Problem
from planner.files.bench import read_bench, read_traffic
from planner.files.case import read_case
from planner.files.demand import read_demand
from planner.files.find import find
from planner.files.fit import fit
from planner.files.kind import stop_unless
from planner.files.oddities import point_out
from planner.files.rail import read_rail
from planner.files.recipe_file import read_recipe
from planner.files.rules import read_rules
from planner.files.scenario_shape import STAND_INS, ScenarioShape
from planner.files.setting import Setting
from planner.recipe import Recipe, merged_names, names_apart
from planner.scenario import Scenario
from planner.yamlfile import Document, load


def read_scenario(path: Path, name: str) -> tuple[Scenario, list[Problem]]:
    """Read and check a scenario and the recipes it names.

    Returns
    -------
    scenario : Scenario
    oddities : list of Problem
        What is legal but odd, of the scenario and its recipes.

    Raises
    ------
    InputError
        With every fault of the scenario and of its recipes.
    """
    document = load(path, name)
    stop_unless("scenario", document)
    shape = fit(document, ScenarioShape, STAND_INS)
    recipes, oddities = _recipes(document, shape, path.parent)
    setting = Setting(document, shape, recipes)
    scenario = _scenario(setting)
    document.stop_if_faulty()
    point_out(setting, scenario)
    return scenario, [*oddities, *document.oddities]


def _recipes(
    document: Document, shape: ScenarioShape, folder: Path
) -> tuple[tuple[Recipe, ...], list[Problem]]:
    found: dict[str, Recipe] = {}
    oddities: list[Problem] = []
    for number, text in enumerate(shape.recipes):
        place = ("recipes", number)
        if text is None:
            continue
        try:
            path, name = find(text, "recipes", folder)
        except InputError as error:
            document.fault(place, f"{text}: {error.problems[0].message}")
            continue
        try:
            recipe, odd = read_recipe(path, name)
        except InputError as error:
            if any(problem.line for problem in error.problems):
                document.problems.extend(error.problems)
                document.fault(place, f"the recipe {text} has faults")
            else:  # nothing in it could be read
                document.fault(place, f"{text}: {error.problems[0].message}")
            continue
        oddities.extend(odd)
        if recipe.species in found:
            document.fault(place, f'a second recipe for the species "{recipe.species}"')
        found[recipe.species] = recipe
    if not shape.recipes and not document.unsure_within(("recipes",)):
        document.fault(("recipes",), "no recipe is named; write recipes: [lamb]")
    for name in merged_names(list(found.values())):
        message = f'"{name}" would be the name of two things in these recipes; rename one of them'
        document.fault(("recipes",), message)
    return names_apart(list(found.values())), oddities


def _scenario(setting: Setting) -> Scenario:
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
    )
