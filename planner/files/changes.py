"""Read changes to a scenario: single ones, or a file of named alternatives."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, ClassVar

from pydantic import ConfigDict, Field, Tag

from planner.core.errors import InputError, Problem
from planner.core.scenario import Scenario
from planner.files.blends import blame_text
from planner.files.change.decisions import change_drop_order, change_rule
from planner.files.change.figures import (
    PRICES,
    change_bench,
    change_keeps,
    change_price,
    change_want,
)
from planner.files.change.head import change_head
from planner.files.context import Setting
from planner.files.fields import BY_FORM, Shape, TextField
from planner.files.file_kind import kind_of
from planner.files.shape_check import fit
from planner.files.yamlfile import Document, Place, load

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


_Reader = Callable[[Setting, Scenario, Place, str], Scenario]
"""The scenario with a change made; `ValueError`, or a fault recorded, where it is wrong."""

_READERS: Mapping[str, tuple[str, _Reader]] = {
    "rule": ("rules", change_rule),
    "price": ("prices", change_price),  # before wants: a cut that gets its first price is wanted
    "want": ("wants", change_want),
    "head": ("head", change_head),
    "bench": ("bench", change_bench),
    "keeps": ("keeps", change_keeps),
    "drop-order": ("drop orders", change_drop_order),
}
"""By the kind of change: its key in a file of alternatives, and what reads it."""

KINDS = tuple(_READERS)
"""Kinds of changes, in the order in which they are made."""

TELLING = {"starts", "species"}
"""Keys at the top of a scenario or a recipe that name no alternative."""


@dataclass(frozen=True, slots=True)
class Change:
    """One change as it is written: `Change("price", "loin chops: 24.99/lb")`."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Alternative:
    """Changes under a name, and the scenario with all of them made."""

    name: str
    changes: tuple[Change, ...]
    scenario: Scenario


def read_changes(scenario: Scenario, changes: Sequence[Change]) -> Scenario:
    """The scenario with changes made: kind by kind in the order of `KINDS`, then one by one.

    Raises `InputError` with every fault; the option that names the kind, such as `--price`, stands
    for the file.
    """
    documents = {kind: Document(f"--{kind}") for kind in KINDS}
    for change in sorted(changes, key=lambda each: KINDS.index(each.kind)):
        scenario = _changed(documents[change.kind], scenario, (), change)
        if documents["price"].problems:
            documents["want"].doubt(PRICES)
    problems = [problem for document in documents.values() for problem in document.problems]
    if problems:
        raise InputError(problems)
    return scenario


def read_alternatives(scenario: Scenario, path: Path, name: str) -> tuple[Alternative, ...]:
    """The alternatives of a file, in its order, each a change of the same scenario.

    Raises `InputError` with every fault of the file, which messages call by the name.
    """
    document = load(path, name)
    shape = _fitted(document)
    titles = document.keys()
    found = shape.model_extra or {}
    alternatives = [
        _alternative(document, scenario, title, found[title]) for title in titles if title in found
    ]
    document.stop_if_faulty()
    return tuple(alternatives)


def read_titles(path: Path, name: str) -> tuple[str, ...]:
    """Names of the alternatives of a file, whatever it is that they change.

    Raises `InputError` with every fault that it has for any scenario.
    """
    document = load(path, name)
    _fitted(document)
    document.stop_if_faulty()
    return tuple(document.keys())


def _fitted(document: Document) -> AlternativesShape:
    """A file of alternatives in its shape; raises `InputError` for a file of another kind."""
    titles = document.keys()
    other = kind_of(document)
    if other and TELLING & set(titles):
        message = f"this is a {other}, but a file of alternatives is expected here"
        raise InputError([Problem(document.name, 0, message)])
    for title in titles:
        _check_title(document, title)
    shape = fit(document, AlternativesShape)
    if not titles:
        document.fault((), "no alternative is written here")
    return shape


def _alternative(
    document: Document, scenario: Scenario, title: str, shape: AlternativeShape
) -> Alternative:
    written = list(_written(title, shape))
    if document.unsure_within((title,)):  # what does not fit may have been meant for a price
        document.doubt((title, *PRICES))
    for place, change in written:
        scenario = _changed(document, scenario, place, change)
    if not written and not document.unsure_within((title,)):
        document.fault((title,), f"{title}: no change is written here")
    return Alternative(title, tuple(change for _, change in written), scenario)


def _changed(document: Document, scenario: Scenario, place: Place, change: Change) -> Scenario:
    """The scenario with one change; without it, and with a fault recorded, where it is wrong."""
    setting, (_, read) = Setting.of(scenario, document), _READERS[change.kind]
    return setting.attempt(place, lambda: read(setting, scenario, place, change.text)) or scenario


def _check_title(document: Document, title: str) -> None:
    blame_text(document, (title,), title)
    if title.replace(" ", "_") in AlternativeShape.model_fields:
        message = f"{title}: write the name of the alternative first, and its changes under it"
        document.fault((title,), message)


def _written(title: str, one: AlternativeShape) -> Iterator[tuple[Place, Change]]:
    """The changes of an alternative with their places, kind by kind in the order of `KINDS`."""
    for kind, (key, _) in _READERS.items():
        entries = getattr(one, key.replace(" ", "_"))
        by_name = isinstance(entries, dict)
        for step, item in entries.items() if by_name else enumerate(entries):
            said = {step: item} if by_name else item or {}
            texts = [said] if isinstance(said, str) else [f"{k}: {v}" for k, v in said.items()]
            yield from (((title, key, step), Change(kind, text)) for text in texts)
