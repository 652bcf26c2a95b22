"""The shape of a shop file: what of a scenario is the same every week, and what may be bought."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.core.days import read_weekday
from planner.core.quantities import WEEKDAYS
from planner.files.fields import (
    DayWeightField,
    MinutesByDay,
    TextField,
    one_of,
)
from planner.files.scenario_shape import LotShape, UsualDemandShape, WeekShape

WeekdayField = Annotated[str, one_of(read_weekday, WEEKDAYS)]

SIX_DAYS = WEEKDAYS[:6]
"""When a shop is open whose file does not say."""


class ShopShape(WeekShape):
    """One shop, the same for every week: what happens in a week is in its journal."""

    stand_ins = {"recipes": [], "keeps": "1 day"}

    title: TextField = Field("A shop without a title", description="what plans are headed by")
    days: list[WeekdayField | None] = Field(
        list(SIX_DAYS),
        description="weekdays on which the shop is open; mon to sat where nothing is said",
    )
    recipes: list[TextField | None] = Field(
        description="recipe files and files of blends, from this folder on"
    )
    bench: MinutesByDay | None = Field(
        None, description="minutes of cutting time: of every open day, or by day; else no limit"
    )
    traffic: dict[str, DayWeightField] | None = Field(
        None, description="how customers spread over the open days; even where nothing is said"
    )
    offers: list[LotShape | None] = Field(
        default_factory=list, description="what may be bought every week, if it pays"
    )
    demand: dict[str, UsualDemandShape] = Field(
        default_factory=dict, description="what is bought, by cut"
    )
