"""The shape of a recipe file: which keys there are and what kind of value each takes."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, WithJsonSchema

from planner.files.fields import (
    DaysField,
    FatField,
    MinutesField,
    MinutesPerWeightField,
    PortionField,
    Shape,
    ShareField,
    SoldByField,
    TextField,
    UnitField,
    one_line,
)
from planner.recipe import KINDS
from planner.yamlfile import nearest

_SOLD_KINDS = tuple(kind for kind in KINDS if kind != "ground")


def _kind(value: str) -> str:
    if value not in _SOLD_KINDS:
        known = ", ".join(_SOLD_KINDS)
        raise ValueError(f'no kind called "{value}"{nearest(value, _SOLD_KINDS)} ({known})')
    return value


KindField = Annotated[str, one_line(_kind), WithJsonSchema({"enum": list(_SOLD_KINDS)})]


class WayShape(Shape):
    """One way to cut a piece."""

    minutes: MinutesField = 0.0
    tool: TextField = "knife"
    gives: dict[str, PortionField]


class PieceShape(Shape):
    """Something whole that is cut."""

    imps: TextField | None = None
    keeps: DaysField
    ways: dict[str, WayShape]


class CutShape(Shape):
    """Something the case sells or the grinder takes."""

    imps: TextField | None = None
    kind: KindField
    keeps: DaysField
    sold_by: SoldByField = Field(default=False, alias="sold by")
    lean: ShareField | None = None


class BlendShape(Shape):
    """A ground product or sausage."""

    takes: list[TextField | None] = Field(alias="from")
    imps: TextField | None = None
    fat: FatField = (0.0, 1.0)
    added: ShareField = 0.0
    minutes: MinutesPerWeightField = 0.0
    keeps: DaysField


class RecipeShape(Shape):
    """A whole recipe file."""

    species: TextField
    unit: UnitField = "lb"
    root: TextField
    pieces: dict[str, PieceShape]
    cuts: dict[str, CutShape]
    blends: dict[str, BlendShape] = Field(default_factory=dict)


STAND_INS = {
    "species": "this recipe",
    "root": "?",
    "pieces": {},
    "cuts": {},
    "keeps": "1 day",
    "kind": "roast",
}
