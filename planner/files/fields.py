"""Values of one line: pydantic types around the readers of `planner.core.quantities`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, ClassVar

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag
from pydantic_core import CoreSchema, core_schema

from planner.core import quantities as measures
from planner.core.days import read_weekday
from planner.core.name_rules import NAME_LENGTH, PLAIN_LENGTH, SPECIES_LENGTH, checked_text
from planner.core.quantities import Amount, Portion
from planner.core.recipe import KINDS
from planner.core.scenario import WALK_IN
from planner.core.spelling import nearest
from planner.files import patterns

MOST_TEXT = 200
"""Signs of a title or a tool."""


class Shape(BaseModel):
    """A map of a file: known keys only, frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False)

    example: ClassVar[str]
    """One such map as it may be written on a line."""

    stand_ins: ClassVar[Mapping[str, Any]] = {}
    """For a whole file: values for some keys without a default, where its own is missing or wrong.

    So what stands around them can still be read.
    """

    under_names: ClassVar[type[Shape] | None] = None
    """What stands under names that the user makes up, where the map takes such names."""


@dataclass(frozen=True, slots=True, eq=False)
class OneLine:
    """A text on one line, read by `reader`; editors check it by `schema`."""

    reader: Callable[[str], Any]
    schema: dict[str, Any]

    def read(self, value: Any) -> Any:
        """What the text means; raises `ValueError`."""
        if value is None:
            raise ValueError("nothing is written here")
        if not isinstance(value, str):
            raise ValueError("one value is expected here, not a map or a list")
        return self.reader(value)

    def __get_pydantic_core_schema__(self, *_: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, *_: Any) -> dict[str, Any]:
        return dict(self.schema)


def _figure(
    reader: Callable[[str], Any], example: str, pattern: str, number: str = "", least: int = 0
) -> OneLine:
    """A value of its own pattern; a bare number, where one may be written, has its own type."""
    schema: dict[str, Any] = {"type": "string", "pattern": pattern, "examples": [example]}
    if number:
        schema |= {"type": ["string", number], "minimum": least}
    return OneLine(reader, schema)


def _one_of(*words: str) -> OneLine:
    def read(value: str) -> str:
        if value not in words:
            raise ValueError(f'"{value}" is not one of {", ".join(words)}{nearest(value, words)}')
        return value

    return OneLine(read, {"enum": list(words)})


def _text(value: str) -> str:
    if not value.strip():
        raise ValueError("nothing is written here")
    return checked_text(value.strip(), "the text", MOST_TEXT)


def _name(most: int) -> OneLine:
    def read(value: str) -> str:
        return checked_text(_text(value), "the name", most)

    types = "string" if most == SPECIES_LENGTH else ["string", "number"]
    return OneLine(read, {"type": types, "pattern": patterns.TEXT, "maxLength": most})


def _buyer(value: str) -> str:
    if value.strip() in WALK_IN:
        raise ValueError(f'"{value}" cannot be a buyer; the plan uses that name for others')
    return checked_text(_text(value), "the name")


def _sign(value: str) -> str:
    if not 1 <= len(_text(value)) <= 5:
        raise ValueError(f'"{value}": write a sign of at most 5 characters such as $ or EUR')
    return value.strip()


TextField = Annotated[
    str,
    OneLine(
        _text, {"type": ["string", "number"], "pattern": patterns.TEXT, "maxLength": MOST_TEXT}
    ),
]
BUYER = OneLine(_buyer, _name(NAME_LENGTH).schema)
BuyerField = Annotated[str, BUYER]
SpeciesField = Annotated[str, _name(SPECIES_LENGTH)]
KnownAsField = Annotated[
    list[Annotated[str, _name(PLAIN_LENGTH)] | None],
    Field(
        default_factory=list,
        alias="known as",
        description="what else the trade calls it; messages then give the name to write",
    ),
]
SignField = Annotated[str, _figure(_sign, "$", patterns.TEXT)]
UnitField = Annotated[str, _one_of("lb", "kg")]
SoldByField = Annotated[str, _one_of("each", "weight")]
KindField = Annotated[str, _one_of(*(kind for kind in KINDS if kind != "ground"))]
WeekdayField = Annotated[str, OneLine(read_weekday, {"enum": list(measures.WEEKDAYS)})]
AmountField = Annotated[Amount, _figure(measures.read_amount, "6 lb", patterns.AMOUNT, "number")]
PriceField = Annotated[Amount, _figure(measures.read_price, "22.99/lb", patterns.PRICE, "number")]
MoneyField = Annotated[float, _figure(measures.read_money, "0.75", patterns.MONEY, "number")]
ShareField = Annotated[float, _figure(measures.read_share, "40%", patterns.SHARE)]
DaysField = Annotated[int, _figure(measures.read_days, "5 days", patterns.DAYS, "integer", 1)]
PeriodField = Annotated[int, _figure(measures.read_period, "6", patterns.DAYS, "integer", 1)]
MinutesField = Annotated[float, _figure(measures.read_minutes, "240", patterns.MINUTES, "number")]
MinutesPerWeightField = Annotated[
    float, _figure(measures.read_minutes_per_weight, "0.3 per lb", patterns.MINUTES_PER_WEIGHT)
]
PortionField = Annotated[Portion, _figure(measures.read_portion, "2 at 11.5%", patterns.PORTION)]
FatField = Annotated[
    tuple[float, float], _figure(measures.read_share_range, "15% to 20%", patterns.SHARE_RANGE)
]
WeightRangeField = Annotated[
    tuple[float, float],
    _figure(measures.read_weight_range, "40 lb to 85 lb", patterns.WEIGHT_RANGE),
]
DateField = Annotated[
    date,
    OneLine(measures.read_date, {"type": "string", "format": "date", "pattern": patterns.DATE}),
]
DayWeightField = Annotated[
    float, _figure(measures.read_weight_of_day, "25%", patterns.DAY_WEIGHT, "number")
]


def synonyms(known_as: list[str | None]) -> tuple[str, ...]:
    """What stands under `known as`, without what was left out for its faults."""
    return tuple(each for each in known_as if each)


def _form(value: Any) -> str:
    """Which of the forms a value may take was written: one value, a map, or a list."""
    return "map" if isinstance(value, dict) else "list" if isinstance(value, list) else "one"


BY_FORM = Discriminator(_form)

AmountByDay = Annotated[
    Annotated[AmountField, Tag("one")] | Annotated[dict[str, AmountField], Tag("map")], BY_FORM
]
"""One amount for the period, or amounts by day."""

MinutesByDay = Annotated[
    Annotated[MinutesField, Tag("one")] | Annotated[dict[str, MinutesField], Tag("map")], BY_FORM
]
"""Minutes of every day, or minutes by day."""
