"""Which kind of file one is, by the keys at its top."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from planner.core.errors import InputError, Problem
from planner.files.blend_shape import BookShape
from planner.files.fields import Shape
from planner.files.recipe_shape import RecipeShape
from planner.files.scenario_shape import ScenarioShape, ShopShape
from planner.files.yamlfile import Document

Kind = Literal["recipe", "scenario", "blends", "shop"]

SHOP_FILE = "shop.yaml"
"""What the file of a shop is called in every shop folder."""

SHAPES: dict[Kind, type[Shape]] = {
    "recipe": RecipeShape,
    "scenario": ScenarioShape,
    "blends": BookShape,
    "shop": ShopShape,
}
NAMES: dict[Kind, str] = {
    "recipe": "recipe",
    "scenario": "scenario",
    "blends": "file of blends",
    "shop": "shop file",
}
"""What messages call them."""


def kind_of(document: Document) -> Kind | None:
    """The kind that more keys speak for; None where no kind has more than the others.

    A shop file has hardly a key that a scenario does not have: it is one by its list of days, by
    its offers, or by its name where nothing says when it starts.
    """
    keys = set(document.keys())
    known = {
        kind: {field.alias or name for name, field in shape.model_fields.items()}
        for kind, shape in SHAPES.items()
    }
    others = (known["recipe"] | known["scenario"] | known["shop"]) - known["blends"] - {"title"}
    if keys & known["blends"] - {"unit"} and not keys & others:
        return "blends"
    is_shop = (
        (Path(document.name).name == SHOP_FILE and "starts" not in keys)
        or "offers" in keys
        or isinstance(document.data.get("days"), list)
    )
    week: Kind = "shop" if is_shop else "scenario"
    other: Kind = "scenario" if is_shop else "shop"
    speak = {kind: len(keys & names) for kind, names in known.items() if kind != other}
    speak[week] = len(keys & (known["scenario"] | known["shop"]))
    most = [kind for kind, number in speak.items() if number == max(speak.values())]
    return most[0] if len(most) == 1 else None


def stop_unless(wanted: Kind, document: Document) -> None:
    """Raise `InputError` for a file that is plainly of another kind."""
    found = kind_of(document)
    if found not in (wanted, None):
        message = f"this is a {NAMES[found]}, but a {NAMES[wanted]} is expected here"
        raise InputError([Problem(document.name, 0, message)])
