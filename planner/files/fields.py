"""Values of one line: pydantic types around the readers of `planner.measures`."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, ConfigDict, Discriminator, PlainValidator, Tag, WithJsonSchema

from planner import measures
from planner.measures import Amount, Portion

T = TypeVar("T")


class Shape(BaseModel):
    """A map of a file: known keys only, frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False)


def one_line(reader: Callable[[str], T]) -> PlainValidator:
    """Validator for a text on one line, read by `reader`."""

    def read(value: Any) -> T:
        if value is None:
            raise ValueError("nothing is written here")
        if not isinstance(value, str):
            raise ValueError("one value is wanted here, not a map or a list")
        return reader(value)

    return PlainValidator(read)


def _schema(what: str, example: str, *, number: bool = True) -> WithJsonSchema:
    kinds = ["string", "number"] if number else ["string"]
    return WithJsonSchema({"type": kinds, "description": what, "examples": [example]})


def _text(value: str) -> str:
    if not value.strip():
        raise ValueError("nothing is written here")
    if len(value) > 200:
        raise ValueError("longer than 200 characters")
    if not value.strip().isprintable():
        raise ValueError("one line without control characters is wanted")
    return value.strip()


def _sign(value: str) -> str:
    if not 1 <= len(_text(value)) <= 5:
        raise ValueError(f'"{value}": write a sign of at most 5 characters such as $ or EUR')
    return value.strip()


def _unit(value: str) -> str:
    if value not in ("lb", "kg"):
        raise ValueError(f'"{value}" is not a unit of a file; write lb or kg')
    return value


def _sold_by(value: str) -> bool:
    if value not in ("each", "weight"):
        raise ValueError(f'"{value}": a cut is sold by each or by weight')
    return value == "each"


TextField = Annotated[str, one_line(_text), _schema("a text", "leg")]
SignField = Annotated[str, one_line(_sign), _schema("sign of the money", "$", number=False)]
UnitField = Annotated[str, one_line(_unit), WithJsonSchema({"enum": ["lb", "kg"]})]
SoldByField = Annotated[bool, one_line(_sold_by), WithJsonSchema({"enum": ["each", "weight"]})]
AmountField = Annotated[Amount, one_line(measures.read_amount), _schema("an amount", "6 lb")]
PriceField = Annotated[Amount, one_line(measures.read_price), _schema("a price", "22.99/lb")]
MoneyField = Annotated[float, one_line(measures.read_money), _schema("money", "0.75")]
ShareField = Annotated[
    float, one_line(measures.read_share), _schema("a share", "40%", number=False)
]
DaysField = Annotated[int, one_line(measures.read_days), _schema("whole days", "5 days")]
PeriodField = Annotated[int, one_line(measures.read_period), _schema("planned days", "6")]
MinutesField = Annotated[float, one_line(measures.read_minutes), _schema("minutes", "240")]
MinutesPerWeightField = Annotated[
    float,
    one_line(measures.read_minutes_per_weight),
    _schema("minutes for a weight", "0.3 per lb", number=False),
]
PortionField = Annotated[
    Portion,
    one_line(measures.read_portion),
    _schema(
        "a share of the parent's weight, of each thing where counted", "2 at 11.5%", number=False
    ),
]
FatField = Annotated[
    tuple[float, float],
    one_line(measures.read_share_range),
    _schema("least and most fat", "15% to 20%", number=False),
]
DateField = Annotated[
    date, one_line(measures.read_date), WithJsonSchema({"type": "string", "format": "date"})
]
DayWeightField = Annotated[
    float, one_line(measures.read_weight_of_day), _schema("a relative weight", "25%")
]


def _form(value: Any) -> str:
    """Which of the forms a value may take was written: one value, a map, or a list."""
    return "map" if isinstance(value, dict) else "list" if isinstance(value, list) else "one"


FORMS = ("one", "map", "list")
BY_FORM = Discriminator(_form)

AmountByDay = Annotated[
    Annotated[AmountField, Tag("one")] | Annotated[dict[str, AmountField], Tag("map")], BY_FORM
]
"""One amount for the period, or amounts by day."""

MinutesByDay = Annotated[
    Annotated[MinutesField, Tag("one")] | Annotated[dict[str, MinutesField], Tag("map")], BY_FORM
]
"""Minutes of every day, or minutes by day."""
