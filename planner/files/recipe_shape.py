"""The shape of a recipe file: which keys there are and what kind of value each takes."""

from __future__ import annotations

from pydantic import ConfigDict, Field

from planner.files import fields
from planner.files.blend_shape import BlendShape
from planner.files.fields import Shape


class WayShape(Shape):
    """One of the ways to cut a piece; a piece is cut one way or left whole."""

    model_config = ConfigDict(title="way to cut a piece")
    example = "{minutes: 11, tool: knife, gives: {shoulder roast: 88%, bones: 12%}}"

    minutes: fields.MinutesField = Field(0.0, description="bench minutes to cut one piece this way")
    tool: fields.TextField = Field("knife", description="what it is cut with, such as knife or saw")
    gives: dict[str, fields.PortionField] = Field(
        description="shares of the piece's weight, 100% in all: pieces and cuts sold by each as "
        '"2 at 11.5%" (each of them 11.5%), cuts by weight and loss as "12%"'
    )


class PieceShape(Shape):
    """Something whole that hangs or lies in the cooler until it is cut."""

    model_config = ConfigDict(title="piece")
    example = "{keeps: 5 days, ways: {whole: {minutes: 3, gives: {leg roast: 1 at 100%}}}}"

    imps: fields.TextField | None = Field(None, description="IMPS item number, in quotes")
    keeps: fields.DaysField = Field(
        description="days it keeps before it is cut, the first one counted"
    )
    weighs: fields.WeightRangeField | None = Field(
        None, description="what one usually weighs, of what is bought whole; others draw a warning"
    )
    known_as: fields.KnownAsField
    ways: dict[str, WayShape] = Field(description="the ways to cut it, by name")


class CutShape(Shape):
    """Something the case sells or the grinder takes."""

    model_config = ConfigDict(title="cut")
    example = "{kind: roast, keeps: 5 days}"

    imps: fields.TextField | None = Field(None, description="IMPS item number, in quotes")
    kind: fields.KindField = Field(description="what kind of cut it is")
    keeps: fields.DaysField = Field(description="days it may be sold, the day it is cut counted")
    sold_by: fields.SoldByField = Field(
        "weight", alias="sold by", description="each, in whole numbers, or weight"
    )
    lean: fields.ShareField | None = Field(
        None, description="lean share of a trim; the rest is fat (needed to go into a blend)"
    )
    known_as: fields.KnownAsField


class RecipeShape(Shape):
    """How one species comes apart."""

    stand_ins = {
        "species": "this recipe",
        "root": "?",
        "pieces": {},
        "cuts": {},
        "keeps": "1 day",
        "kind": "roast",
    }

    species: fields.SpeciesField = Field(description="the animal, such as lamb")
    known_as: fields.KnownAsField
    unit: fields.UnitField = Field("lb", description="unit of weight of this file")
    root: fields.TextField = Field(
        description="the piece that everything comes from, such as carcass"
    )
    pieces: dict[str, PieceShape] = Field(description="what is cut, by name")
    cuts: dict[str, CutShape] = Field(description="what is sold or ground, by name")
    blends: dict[str, BlendShape] = Field(
        default_factory=dict, description="what is ground or stuffed from trim and fat, by name"
    )
