"""The shape of a scenario file: which keys there are and what kind of value each takes."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import ConfigDict, Field, Tag

from planner.files.fields import (
    BY_FORM,
    AmountByDay,
    AmountField,
    DateField,
    DaysField,
    DayWeightField,
    MinutesByDay,
    MinutesField,
    MoneyField,
    PeriodField,
    PriceField,
    Shape,
    ShareField,
    SignField,
    TextField,
    UnitField,
)


def _lot_schema(schema: dict[str, Any]) -> None:
    """Describe for editors the one key of a lot that is a name of the recipe."""
    schema["additionalProperties"] = {
        "type": "string",
        "description": "what arrives: a species or a piece, with how many and the weight of one",
        "examples": ["3 head at 58 lb", "up to 2 head at 60 lb", "2 at 9.1 lb"],
    }


class LotShape(Shape):
    """A line of the rail; the one key beside these names the species or the piece."""

    model_config = ConfigDict(extra="allow", frozen=True, json_schema_extra=_lot_schema)

    arrives: TextField | None = None
    cost: PriceField | None = None
    keeps: DaysField | None = None


class OvertimeShape(Shape):
    """Minutes beyond the bench."""

    up_to: MinutesField = Field(alias="up to")
    cost: MoneyField


class StockShape(Shape):
    """A cut in the case when the period opens."""

    amount: AmountField
    keeps: DaysField | None = None


class MarkdownShape(Shape):
    """What more is bought at a lower price."""

    price: PriceField
    want: AmountByDay


class OrderShape(Shape):
    """A promise to a buyer."""

    day: TextField
    amount: AmountField
    buyer: TextField = Field(default="an order", alias="for")
    price: PriceField | None = None


class DemandShape(Shape):
    """What is bought of one cut."""

    price: PriceField | None = None
    want: AmountByDay | None = None
    markdown: MarkdownShape | None = None
    orders: list[OrderShape | None] = Field(default_factory=list)


StockForms = Annotated[
    Annotated[AmountField, Tag("one")]
    | Annotated[StockShape, Tag("map")]
    | Annotated[list[StockShape | None], Tag("list")],
    BY_FORM,
]
"""An amount, an amount with its days left, or a list of those."""


class ScenarioShape(Shape):
    """A whole scenario file."""

    title: TextField = "A week without a title"
    starts: DateField
    days: PeriodField
    recipes: list[TextField | None]
    unit: UnitField = "lb"
    money: SignField = "$"
    rail: list[LotShape | None] = Field(default_factory=list)
    bench: MinutesByDay | None = None
    overtime: OvertimeShape | None = None
    case: dict[str, StockForms] = Field(default_factory=dict)
    traffic: dict[str, DayWeightField] | None = None
    demand: dict[str, DemandShape] = Field(default_factory=dict)
    rules: list[dict[str, TextField] | None] = Field(default_factory=list)
    carry: ShareField = 0.0
    disposal: PriceField | None = None


STAND_INS = {"starts": "2024-01-01", "days": "7", "recipes": []}
