"""Values of one line: pydantic types around the readers of `planner.core.quantities`."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Annotated, Any, ClassVar, Literal, TypeVar

from pydantic import (
    BaseModel,
    ConfigDict,
    Discriminator,
    Field,
    PlainValidator,
    Tag,
    WithJsonSchema,
)

from planner.core import quantities as measures
from planner.core.name_rules import NAME_LENGTH, PLAIN_LENGTH, SPECIES_LENGTH, checked_text
from planner.core.quantities import Amount, Portion
from planner.files import patterns

T = TypeVar("T")

MOST_TEXT = 200
"""Signs of a title or a tool."""


class Shape(BaseModel):
    """A map of a file: known keys only, frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False)

    example: ClassVar[str]
    """One such map as it may be written on a line."""

    under_names: ClassVar[type[Shape] | None] = None
    """What stands under names that the user makes up, where the map takes such names."""


def one_line(reader: Callable[[str], T]) -> PlainValidator:
    """Validator for a text on one line, read by `reader`."""

    def read(value: Any) -> T:
        if value is None:
            raise ValueError("nothing is written here")
        if not isinstance(value, str):
            raise ValueError("one value is expected here, not a map or a list")
        return reader(value)

    return PlainValidator(read)


def _schema(
    example: str,
    pattern: str,
    *,
    number: Literal["number", "integer"] | None = None,
    least: int = 0,
) -> WithJsonSchema:
    """What editors check a value by: the pattern for texts; a bare number has its own type."""
    schema: dict[str, Any] = {"type": "string", "pattern": pattern, "examples": [example]}
    if number:
        schema |= {"type": ["string", number], "minimum": least}
    return WithJsonSchema(schema)


def _text(value: str) -> str:
    if not value.strip():
        raise ValueError("nothing is written here")
    return checked_text(value.strip(), "the text", MOST_TEXT)


def _name(value: str) -> str:
    return checked_text(_text(value), "the name")


def _species(value: str) -> str:
    return checked_text(_text(value), "the name", SPECIES_LENGTH)


def _synonym(value: str) -> str:
    return checked_text(_text(value), "the name", PLAIN_LENGTH)


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


TextField = Annotated[
    str,
    one_line(_text),
    WithJsonSchema(
        {"type": ["string", "number"], "pattern": patterns.TEXT, "maxLength": MOST_TEXT}
    ),
]
NameField = Annotated[
    str,
    one_line(_name),
    WithJsonSchema(
        {"type": ["string", "number"], "pattern": patterns.TEXT, "maxLength": NAME_LENGTH}
    ),
]
SpeciesField = Annotated[
    str,
    one_line(_species),
    WithJsonSchema({"type": "string", "pattern": patterns.TEXT, "maxLength": SPECIES_LENGTH}),
]
SynonymField = Annotated[
    str,
    one_line(_synonym),
    WithJsonSchema(
        {"type": ["string", "number"], "pattern": patterns.TEXT, "maxLength": PLAIN_LENGTH}
    ),
]
KnownAsField = Annotated[
    list[SynonymField | None],
    Field(
        default_factory=list,
        alias="known as",
        description="what else the trade calls it: not taken for its name, but messages tell it",
    ),
]
SignField = Annotated[str, one_line(_sign), _schema("$", patterns.TEXT)]
UnitField = Annotated[str, one_line(_unit), WithJsonSchema({"enum": ["lb", "kg"]})]
SoldByField = Annotated[bool, one_line(_sold_by), WithJsonSchema({"enum": ["each", "weight"]})]
AmountField = Annotated[
    Amount, one_line(measures.read_amount), _schema("6 lb", patterns.AMOUNT, number="number")
]
PriceField = Annotated[
    Amount, one_line(measures.read_price), _schema("22.99/lb", patterns.PRICE, number="number")
]
MoneyField = Annotated[
    float, one_line(measures.read_money), _schema("0.75", patterns.MONEY, number="number")
]
ShareField = Annotated[float, one_line(measures.read_share), _schema("40%", patterns.SHARE)]
DaysField = Annotated[
    int,
    one_line(measures.read_days),
    _schema("5 days", patterns.DAYS, number="integer", least=1),
]
PeriodField = Annotated[
    int, one_line(measures.read_period), _schema("6", patterns.DAYS, number="integer", least=1)
]
MinutesField = Annotated[
    float, one_line(measures.read_minutes), _schema("240", patterns.MINUTES, number="number")
]
MinutesPerWeightField = Annotated[
    float,
    one_line(measures.read_minutes_per_weight),
    _schema("0.3 per lb", patterns.MINUTES_PER_WEIGHT),
]
PortionField = Annotated[
    Portion, one_line(measures.read_portion), _schema("2 at 11.5%", patterns.PORTION)
]
FatField = Annotated[
    tuple[float, float],
    one_line(measures.read_share_range),
    _schema("15% to 20%", patterns.SHARE_RANGE),
]
WeightRangeField = Annotated[
    tuple[float, float],
    one_line(measures.read_weight_range),
    _schema("40 lb to 85 lb", patterns.WEIGHT_RANGE),
]
DateField = Annotated[
    date,
    one_line(measures.read_date),
    WithJsonSchema({"type": "string", "format": "date", "pattern": patterns.DATE}),
]
DayWeightField = Annotated[
    float,
    one_line(measures.read_weight_of_day),
    _schema("25%", patterns.DAY_WEIGHT, number="number"),
]


def _form(value: Any) -> str:
    """Which of the forms a value may take was written: one value, a map, or a list."""
    return "map" if isinstance(value, dict) else "list" if isinstance(value, list) else "one"


def synonyms(known_as: list[str | None]) -> tuple[str, ...]:
    """What stands under `known as`, without what was left out for its faults."""
    return tuple(each for each in known_as if each)


BY_FORM = Discriminator(_form)

AmountByDay = Annotated[
    Annotated[AmountField, Tag("one")] | Annotated[dict[str, AmountField], Tag("map")], BY_FORM
]
"""One amount for the period, or amounts by day."""

MinutesByDay = Annotated[
    Annotated[MinutesField, Tag("one")] | Annotated[dict[str, MinutesField], Tag("map")], BY_FORM
]
"""Minutes of every day, or minutes by day."""
