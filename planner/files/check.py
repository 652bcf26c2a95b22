"""Check a file of either kind without planning anything."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from planner.errors import InputError, Problem
from planner.files.find import find, shipped_names
from planner.files.recipe_file import read_recipe
from planner.files.recipe_shape import RecipeShape
from planner.files.scenario_file import read_scenario
from planner.files.scenario_shape import ScenarioShape
from planner.yamlfile import load, nearest

Kind = Literal["recipe", "scenario"]

RECIPE_KEYS = {"species", "root", "pieces", "cuts", "blends"}


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found in one file; it is sound when there are no problems."""

    file: str
    kind: Kind | None
    problems: tuple[Problem, ...]
    oddities: tuple[Problem, ...]


def check(text: str) -> Checked:
    """Check a recipe or a scenario, by path or shipped name."""
    kind: Kind | None = None
    name = text
    try:
        path, name = _find_either(text)
        keys = set(load(path, name).keys())
        kind = "recipe" if len(keys & RECIPE_KEYS) > len(keys - RECIPE_KEYS) else "scenario"
        oddities = read_recipe(path, name)[1] if kind == "recipe" else read_scenario(path, name)[1]
    except InputError as error:
        return Checked(name, kind, error.problems, ())
    return Checked(name, kind, (), tuple(sorted(oddities)))


def _find_either(text: str) -> tuple[Path, str]:
    try:
        return find(text, "scenarios", Path())
    except InputError:
        try:
            return find(text, "recipes", Path())
        except InputError:
            names = [*shipped_names("scenarios"), *shipped_names("recipes")]
            message = f"no such file{nearest(text, names)} (shipped: {', '.join(names)})"
            raise InputError([Problem(text, 0, message)]) from None


def schema(kind: Kind) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a file kind, for editors that check while you type."""
    shape = RecipeShape if kind == "recipe" else ScenarioShape
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **shape.model_json_schema(by_alias=True),
        "title": f"breakplan {kind}",
    }
