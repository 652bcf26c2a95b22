"""JSON for machines: a `shape` declares what each field of an answer is, and `Data` walks it.

What is not known, or has no end, is null.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite
from types import MappingProxyType
from typing import Any, TypeAlias

from planner.core.scenario import Scenario
from planner.core.units import Quantity, figure

FORMAT = "breakplan/1"


def json_text(data: Mapping[str, Any], indent: int = 1) -> str:
    """Maps and lists as JSON text."""
    return json.dumps(data, indent=indent, ensure_ascii=False)


def head(scenario: Scenario) -> dict[str, Any]:
    """How most answers begin."""
    return {
        "format": FORMAT,
        "title": scenario.title,
        "unit": scenario.unit,
        "money": scenario.money,
    }


@dataclass(frozen=True, slots=True)
class JsonField:
    """A field of an answer in its JSON.

    Attributes
    ----------
    key : str
    paths : tuple of str
        Where it is, or the parts of a list are: an attribute of an attribute; a number is a place
        in a tuple, and `self` alone is the answer itself.
    kind : str or tuple of JsonField
        What it is, see `shape`; fields of its own where it is an answer in itself, or many.
    cut : str
        Where the cut is that an amount or a price is of.
    optional : bool
        Whether it is left out where there is nothing of it.
    """

    key: str
    paths: tuple[str, ...]
    kind: str | Shape
    cut: str = "cut"
    optional: bool = False


Shape: TypeAlias = tuple[JsonField, ...]

BETWEEN: Shape = (JsonField("least", ("least",), "number"), JsonField("most", ("most",), "number"))
CHANGE: Shape = (JsonField("kind", ("kind",), ""), JsonField("text", ("text",), ""))


def shape(text: str, **shapes: Shape) -> Shape:
    """Fields as they follow each other: `day: day, cut, for = buyer, ordered: amount`.

    Each has its key, with a `?` where it is left out if there is nothing of it; after `=` the
    attribute, where that has another name (`_` stands for a space), or several (`least & most`) for
    a list; after `:` what it is. Without that it is passed on as it is. A name among `shapes` is an
    answer in itself. Else it is one of these, or a map or sequence of them:

    number : money, minutes, shares: rounded to nine digits
    weight : pounds, told in the scenario's unit
    rate : money a pound, told as money for one of the unit
    by day, by name : pairs of a day or a name and pounds, as a map of weights
    amount, price : of the answer's `cut`: in the unit, or each; `amount of order.cut`
    count : a whole number
    option : the name of one, `--` before it
    day : the label of a day of the period
    date : the same as a date; a date needs no word
    sold : whether it is sold by each: `each`, or the unit
    state : whether it is wasted: `wasted` or `left`
    text : null where it is empty
    between : `least` and `most` of it
    change : its `kind` and `text`
    """
    shapes = {"between": BETWEEN, "change": CHANGE, **shapes}
    fields = []
    for part in text.split(","):
        name, _, kind = part.partition(":")
        key, _, attribute = (each.strip() for each in name.partition("="))
        optional, key = key.endswith("?"), key.rstrip("?")
        paths = (attribute or key.replace(" ", "_")).split(" & ")
        kind, _, cut = (each.strip() for each in kind.partition(" of "))
        fields.append(JsonField(key, tuple(paths), shapes.get(kind, kind), cut or "cut", optional))
    return tuple(fields)


Kinds: TypeAlias = Mapping[str, Callable[[Any], Any]]
OfCut: TypeAlias = Mapping[str, Callable[[str, Any], Any]]

_PLAIN: Kinds = {
    "": lambda value: value,
    "number": lambda value: figure(value) if isfinite(value) else None,
    "state": lambda wasted: "wasted" if wasted else "left",
    "text": lambda text: text or None,
    "count": round,
    "option": lambda kind: f"--{kind}",
}


class Answers:
    """Answers that are about no scenario, without weights, amounts and days, as maps and lists."""

    _kinds: Kinds = _PLAIN
    _of_cut: OfCut = MappingProxyType({})
    _of_pairs: Kinds = MappingProxyType({})

    def one(self, fields: Shape, answer: Any) -> dict[str, Any]:
        """The map of one answer."""
        told = {each.key: (each.optional, self._shown(each, answer)) for each in fields}
        return {key: value for key, (optional, value) in told.items() if value or not optional}

    def all(self, fields: Shape, answers: Sequence[Any]) -> list[dict[str, Any]]:
        """The maps of several."""
        return [self.one(fields, each) for each in answers]

    def _shown(self, field: JsonField, answer: Any) -> Any:
        values, kind = [_at(answer, path) for path in field.paths], field.kind
        value = values if len(values) > 1 else values[0]
        if not isinstance(kind, str):
            return _each(lambda part: self.one(kind, part), value)
        if kind in self._of_pairs:
            return {self._of_pairs[kind](key): self._kinds["weight"](part) for key, part in value}
        if kind in self._of_cut:
            cut = _at(answer, field.cut)
            return _each(lambda part: self._of_cut[kind](cut, part), value)
        return _each(self._kinds[kind], value)


one, rows = Answers().one, Answers().all


class Data(Answers):
    """Answers about one scenario as maps and lists."""

    def __init__(self, scenario: Scenario) -> None:
        units, labels = scenario.units, scenario.day_labels
        self._cuts, self._units = scenario.cuts, units
        self._kinds = {
            **_PLAIN,
            "weight": self.weight,
            "rate": units.price,
            "day": lambda day: labels[day],
            "date": scenario.date,
            "sold": units.by,
        }
        self._of_cut = {"amount": self.amount, "price": self.price}
        self._of_pairs = {"by day": lambda day: labels[day], "by name": str}

    number = staticmethod(figure)

    def weight(self, pounds: float) -> float:
        """Pounds in the unit."""
        return self._units.number(Quantity(pounds))

    def amount(self, cut: str, value: float) -> float:
        """Of a cut: in the unit, or each."""
        return self._units.number(Quantity(value, self._cuts[cut].by_each))

    def price(self, cut: str, value: float) -> float:
        """Of a cut: money for one of the unit, or for each."""
        return self._units.price(value, self._cuts[cut].by_each)


def _at(answer: Any, path: str) -> Any:
    for name in path.split(".") if path != "self" else ():
        answer = answer[int(name)] if name.isdigit() else getattr(answer, name)
    return answer


def _each(show: Callable[[Any], Any], value: Any) -> Any:
    """A value shown, or each of a map or sequence of them; dates in ISO format, None as it is."""
    if isinstance(value, Mapping):
        return {key: _each(show, part) for key, part in value.items()}
    if isinstance(value, (tuple, list, set, frozenset)):
        return [None if part is None else show(part) for part in value]
    found = None if value is None else show(value)
    return found.isoformat() if isinstance(found, date) else found
