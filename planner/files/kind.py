"""Which of the two kinds of file one is, by the keys at its top."""

from __future__ import annotations

from typing import Literal

from planner.errors import InputError, Problem
from planner.files.recipe_shape import RecipeShape
from planner.files.scenario_shape import ScenarioShape
from planner.yamlfile import Document

Kind = Literal["recipe", "scenario"]


def kind_of(document: Document) -> Kind | None:
    """The kind that more keys speak for; None where neither has more."""
    keys = document.keys()
    recipe = sum(key in RecipeShape.model_fields for key in keys)
    scenario = sum(key in ScenarioShape.model_fields for key in keys)
    if recipe == scenario:
        return None
    return "recipe" if recipe > scenario else "scenario"


def stop_unless(wanted: Kind, document: Document) -> None:
    """Raise `InputError` for a file that is plainly of the other kind."""
    found = kind_of(document)
    if found not in (wanted, None):
        message = f"this is a {found}, and a {wanted} is wanted here"
        raise InputError([Problem(document.name, 0, message)])
