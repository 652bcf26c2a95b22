"""The shapes of a scenario file and of a shop file: their keys, and what each takes."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import ConfigDict, Field, Tag

from planner.core.quantities import WEEKDAYS
from planner.files import fields
from planner.files.blend_shape import BlendShape
from planner.files.fields import Shape
from planner.files.patterns import LOT_SIZE


def _lot_schema(schema: dict[str, Any]) -> None:
    """Describe for editors the one key of a lot that is a name of the recipe."""
    schema["additionalProperties"] = {
        "type": "string",
        "description": "what arrives, a species or a piece: how many and the weight of one",
        "pattern": LOT_SIZE,
        "examples": ["3 head at 58 lb", "up to 2 head at 60 lb", "2 at 9.1 lb"],
    }


class LotShape(Shape):
    """Head or pieces that arrive together and weigh about the same."""

    model_config = ConfigDict(extra="allow", title="lot on the rail", json_schema_extra=_lot_schema)
    example = "{lamb: 3 head at 58 lb, arrives: mon}"

    arrives: fields.TextField | None = Field(
        None, description="weekday or date it arrives; the first day where nothing is said"
    )
    cost: fields.PriceField | None = Field(None, description="what the shop pays, by weight")
    keeps: fields.DaysField | None = Field(
        None, description="days it keeps, the day of arrival counted; else as in the recipe"
    )


class OvertimeShape(Shape):
    """Minutes beyond the bench, on days that have a bench."""

    model_config = ConfigDict(title="overtime")
    example = "{up to: 30, cost: 0.75}"

    up_to: fields.MinutesField = Field(
        alias="up to", description="most minutes of overtime on a day"
    )
    cost: fields.MoneyField = Field(description="money for a minute of overtime")


class StockShape(Shape):
    """A cut in the case when the period opens."""

    model_config = ConfigDict(title="stock in the case")
    example = "{amount: 6 lb, keeps: 2 days}"

    amount: fields.AmountField = Field(description="how much of it there is")
    keeps: fields.DaysField | None = Field(
        None, description="days left to sell it, the first day counted; else as if cut that day"
    )


class MarkdownShape(Shape):
    """What more is bought at a lower price."""

    model_config = ConfigDict(title="markdown")
    example = "{price: 16.49/lb, want: 6 lb}"

    price: fields.PriceField = Field(description="the lower price, by weight or each")
    want: fields.AmountByDay = Field(
        description="what more is bought at that price: in all, or by day"
    )


class OrderShape(Shape):
    """A promise to a buyer, filled before anything else is sold."""

    model_config = ConfigDict(title="order")
    example = "{day: fri, amount: 9 lb, for: the corner bistro}"

    day: fields.TextField = Field(description="weekday or date it is picked up")
    amount: fields.AmountField = Field(description="how much is promised")
    buyer: fields.BuyerField = Field("an order", alias="for", description="who gets it")
    price: fields.PriceField | None = Field(
        None, description="the buyer's own price; else the full price of the cut"
    )


class UsualDemandShape(Shape):
    """What is bought of one cut in a usual week."""

    model_config = ConfigDict(title="demand for a cut")
    example = "{price: 22.99/lb, want: 8 lb}"

    price: fields.PriceField | None = Field(None, description="the full price, by weight or each")
    want: fields.AmountByDay | None = Field(
        None,
        description="what is bought at the full price: in a week (spread by traffic), or by day",
    )
    markdown: MarkdownShape | None = Field(None, description="what more is bought at a lower price")


class DemandShape(UsualDemandShape):
    """What is bought of one cut."""

    want: fields.AmountByDay | None = Field(
        None, description="what is bought at the full price: in all (spread by traffic), or by day"
    )
    orders: list[OrderShape | None] = Field(
        default_factory=list, description="what is promised to buyers"
    )


StockForms = Annotated[
    Annotated[fields.AmountField, Tag("one")]
    | Annotated[StockShape, Tag("map")]
    | Annotated[list[StockShape | None], Tag("list")],
    fields.BY_FORM,
]
"""An amount, an amount with its days left, or a list of those."""


class WeekShape(Shape):
    """What the file of a scenario and that of a shop have in common."""

    unit: fields.UnitField = Field("lb", description="unit of bare numbers here and of the plan")
    money: fields.SignField = Field("$", description="sign of the money, such as $ or EUR")
    overtime: OvertimeShape | None = Field(None, description="minutes beyond the bench")
    blends: dict[str, BlendShape] = Field(
        default_factory=dict,
        description="what is made from trim, fat and bones, beside the blends of the recipes",
    )
    rules: list[dict[str, fields.TextField] | None] = Field(
        default_factory=list,
        description='the butcher\'s own decisions, such as "at least 1 leg: whole"',
    )
    carry: fields.ShareField = Field(
        0.0, description="worth of what is left in date, as a share of its full price"
    )
    disposal: fields.PriceField | None = Field(
        None, description="what it costs to throw meat away, by weight"
    )


class ScenarioShape(WeekShape):
    """One planned period of one shop."""

    stand_ins = {"starts": "2024-01-01", "days": "7", "recipes": [], "keeps": "1 day"}

    title: fields.TextField = Field(
        "A week without a title", description="what the plan is headed by"
    )
    starts: fields.DateField = Field(description="date of the first day, such as 2026-11-30")
    days: fields.PeriodField = Field(description="how many days are planned")
    recipes: list[fields.TextField | None] = Field(
        description="recipe files and files of blends, or names of shipped ones"
    )
    rail: list[LotShape | None] = Field(
        default_factory=list, description="what hangs there, arrives or may be bought"
    )
    bench: fields.MinutesByDay | None = Field(
        None, description="minutes of cutting time: of every day, or by day; else no limit"
    )
    case: dict[str, StockForms] = Field(
        default_factory=dict, description="what is in the case when the period opens, by cut"
    )
    traffic: dict[str, fields.DayWeightField] | None = Field(
        None, description="how customers spread over the days; even where nothing is said"
    )
    demand: dict[str, DemandShape] = Field(
        default_factory=dict, description="what is bought, by cut"
    )


SIX_DAYS = WEEKDAYS[:6]
"""When a shop is open whose file does not say."""


class ShopShape(WeekShape):
    """One shop, the same for every week: what happens in a week is in its journal."""

    stand_ins = {"recipes": [], "keeps": "1 day"}

    title: fields.TextField = Field(
        "A shop without a title", description="what plans are headed by"
    )
    days: list[fields.WeekdayField | None] = Field(
        list(SIX_DAYS),
        description="weekdays on which the shop is open; mon to sat where nothing is said",
    )
    recipes: list[fields.TextField | None] = Field(
        description="recipe files and files of blends, from this folder on"
    )
    bench: fields.MinutesByDay | None = Field(
        None, description="minutes of cutting time: of every open day, or by day; else no limit"
    )
    traffic: dict[str, fields.DayWeightField] | None = Field(
        None, description="how customers spread over the open days; even where nothing is said"
    )
    offers: list[LotShape | None] = Field(
        default_factory=list, description="what may be bought every week, if it pays"
    )
    demand: dict[str, UsualDemandShape] = Field(
        default_factory=dict, description="what is bought, by cut"
    )
