"""The shape of a file of alternatives: named sets of changes to a scenario."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import ConfigDict, Field, Tag

from planner.files.fields import BY_FORM, Shape, TextField

TextOrMap = Annotated[
    Annotated[TextField, Tag("one")] | Annotated[dict[str, TextField], Tag("map")], BY_FORM
]
"""`the corner bistro`, or `the corner bistro: shoulder roast`; quoted or not, it is the same."""


class AlternativeShape(Shape):
    """Changes that are made together, in the words of the scenario."""

    model_config = ConfigDict(title="alternative")
    example = "{prices: {loin chops: 24.99/lb}, bench: {fri: +30}}"

    rules: list[TextOrMap | None] = Field(
        default_factory=list, description="rules that are added, or lifted"
    )
    prices: dict[str, TextField] = Field(
        default_factory=dict, description="full prices, or steps such as +10%, by cut"
    )
    wants: dict[str, TextField] = Field(
        default_factory=dict, description="amounts, or steps such as +20%, by cut or cut and day"
    )
    head: dict[str, TextField] = Field(
        default_factory=dict, description="how many, such as up to 6 head, by lot"
    )
    bench: dict[str, TextField] = Field(
        default_factory=dict, description="minutes, or steps such as +30, by day or for all"
    )
    keeps: dict[str, TextField] = Field(
        default_factory=dict, description="days, or steps such as +1 day, by cut, blend or piece"
    )
    drop_orders: list[TextOrMap | None] = Field(
        default_factory=list, alias="drop orders", description="buyers whose orders are dropped"
    )


class AlternativesShape(Shape):
    """Every key is the name of an alternative."""

    model_config = ConfigDict(extra="allow", title="alternatives")
    example = "bone out every shoulder: {rules: [all shoulder: boneless roast]}"
    under_names: ClassVar[type[Shape] | None] = AlternativeShape

    __pydantic_extra__: dict[str, AlternativeShape]
