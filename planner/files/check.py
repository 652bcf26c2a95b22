"""Check a file of any kind without planning anything."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic.json_schema import GenerateJsonSchema

from planner.core.errors import InputError, Problem
from planner.files.blend_file import read_book
from planner.files.file_kind import SHAPES, Kind, kind_of
from planner.files.find import find
from planner.files.recipe_file import read_recipe
from planner.files.scenario_file import read_scenario
from planner.files.shop_file import read_shop_file
from planner.files.yamlfile import load

READERS: dict[Kind, Callable[[Path, str], tuple[object, list[Problem]]]] = {
    "recipe": read_recipe,
    "scenario": read_scenario,
    "blends": read_book,
    "shop": read_shop_file,
}


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found in one file; it is sound when there are no problems."""

    file: str
    kind: Kind | None
    problems: tuple[Problem, ...]
    warnings: tuple[Problem, ...]


def check(text: str) -> Checked:
    """Check a recipe, a scenario, a file of blends or a shop file, by path or shipped name."""
    kind: Kind | None = None
    name = text
    try:
        path, name = find(text, None, Path())
        kind = kind_of(load(path, name)) or "scenario"
        warnings = READERS[kind](path, name)[1]
    except InputError as error:
        return Checked(name, kind, error.problems, ())
    return Checked(name, kind, (), tuple(sorted(warnings)))


class _ForEditors(GenerateJsonSchema):
    """A schema of what is written, not of what is read: no defaults as read, no nulls."""

    def default_schema(self, schema: Any) -> dict[str, Any]:
        return self.generate_inner(schema["schema"])

    nullable_schema = default_schema


def schema(kind: Kind) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a file kind, for editors that check while you type."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **SHAPES[kind].model_json_schema(by_alias=True, schema_generator=_ForEditors),
        "title": f"breakplan {kind}",
    }
