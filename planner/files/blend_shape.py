"""The shape of a blend, in a recipe, a scenario or a file of blends."""

from __future__ import annotations

from typing import Any

from pydantic import ConfigDict, Field

from planner.core.standards import STANDARDS
from planner.files import fields
from planner.files.fields import Shape
from planner.files.patterns import SHARE_LIMITS


def _limit_schema(schema: dict[str, Any]) -> None:
    """Describe for editors the keys of a blend that are names of what goes in."""
    schema["additionalProperties"] = {
        "type": "string",
        "description": "a species, or one of `from`: the limit on its share of the weight in",
        "pattern": SHARE_LIMITS,
        "examples": ["at least 60%", "at most 20%", "20% to 30%"],
    }


class BlendShape(Shape):
    """A ground product or sausage, or something made from bones or fat."""

    model_config = ConfigDict(extra="allow", title="blend", json_schema_extra=_limit_schema)
    example = "{from: [trim 85, trim 70], fat: 15% to 25%, keeps: 2 days}"

    takes: list[fields.TextField | None] = Field(
        alias="from", description="cuts by weight that it may be made from"
    )
    imps: fields.TextField | None = Field(None, description="IMPS item number, in quotes")
    known_as: fields.KnownAsField
    fat: fields.FatField | None = Field(
        None, description="least and most fat in the mixture; left out: no limit"
    )
    added: fields.ShareField = Field(
        0.0, description="seasoning and water, as a share of the meat that goes in"
    )
    water: fields.ShareField | None = Field(
        None, description="the part of `added` that is water or ice; left out: all of it"
    )
    loss: fields.ShareField = Field(
        0.0, description="share of the weight that is lost in the making"
    )
    batch: fields.AmountField | None = Field(
        None, description="weight of a batch, of which only whole ones are made"
    )
    minutes: fields.MinutesPerWeightField = Field(
        0.0, description="bench minutes for a weight of what is made"
    )
    keeps: fields.DaysField = Field(description="days it may be sold, the day it is made counted")
    standard: fields.TextField | None = Field(
        None, description=f"the standardized product it is sold as: {', '.join(STANDARDS)}"
    )

    @property
    def limits(self) -> dict[str, Any]:
        """What stands under keys that the file makes up: limits on what goes in."""
        return self.model_extra or {}


class BookShape(Shape):
    """Blends that belong to no single recipe."""

    stand_ins = {"takes from": [], "blends": {}, "keeps": "1 day"}
    model_config = ConfigDict(title="blends")
    example = "{takes from: [lamb, hog], blends: {...}}"

    takes_from: list[fields.TextField | None] = Field(
        alias="takes from", description="species whose cuts may stand under `from`"
    )
    unit: fields.UnitField = Field("lb", description="unit of weight of this file")
    blends: dict[str, BlendShape] = Field(description="what is made, by name")
