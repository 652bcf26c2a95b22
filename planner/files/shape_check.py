"""Fit what a file says into its shape, and tell every misfit at once."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping
from typing import Any, TypeVar, get_args

from pydantic import ValidationError

from planner.core.spelling import nearest
from planner.files.fields import Shape
from planner.files.yamlfile import Document, Place

S = TypeVar("S", bound=Shape)


def fit(document: Document, shape: type[S]) -> S:
    """Return the file in its shape; what does not fit is recorded as a fault and left out.

    So the checks that follow can go on to find the file's other faults. Whoever uses the result
    must ask `document.unsure_within(place)` before complaining about what may be missing for that
    reason.
    """
    _blame_empty(document, document.data, ())
    data = copy.deepcopy(document.data)
    while True:  # every round leaves something out, so it ends
        try:
            return shape.model_validate(data)
        except ValidationError as error:
            misfits = [(_place(data, each["loc"]), each) for each in error.errors()]
            for place, each in misfits:
                misspelt = _misspelt(document, shape, place) if each["type"] == "missing" else ""
                if misspelt:
                    document.doubt(place)
                if misspelt and _shape_at(shape, place[:-1]).model_config["extra"] == "allow":
                    document.fault((*place[:-1], misspelt), _unknown(shape, place[:-1], misspelt))
                elif not misspelt and not document.blamed_around(place):
                    document.fault(place, _message(shape, each, place))
                _leave_out(data, place, shape.stand_ins)


def _blame_empty(document: Document, data: Any, place: Place) -> None:
    """Nothing written behind a colon or a dash is a slip, also where the key may be missing."""
    entries = data.items() if isinstance(data, dict) else enumerate(data)
    for key, value in entries:
        here = (*place, key)
        if isinstance(value, dict | list):
            _blame_empty(document, value, here)
        elif value is None:
            hint = "; write a value, or leave the line out"
            if isinstance(key, str) and re.match(r"\d", key):
                hint = "; is there a comma in a number?"
            elif isinstance(key, str) and re.search(r"[:\d]", key):
                hint = "; is a colon, or the space after it, missing?"
            document.fault(here, f"{_called(here)}: nothing is written here{hint}")


def _called(place: Place) -> str:
    """What messages call a place: its key, or that of the list it stands in."""
    return next((step for step in reversed(place) if isinstance(step, str)), "the file")


def _misspelt(document: Document, shape: type[Shape], place: Place) -> str:
    """The key beside a missing one that is it, misspelt; of a shape that forbids it, told there."""
    known = _known_keys(_shape_at(shape, place[:-1]))
    beside = [key for key in document.keys(*place[:-1]) if key not in known]
    return next((key for key in beside if nearest(key, [str(place[-1])])), "")


def _place(data: Any, loc: tuple[int | str, ...]) -> Place:
    """Turn pydantic's location into keys of the file: union tags are not in the data."""
    place: Place = ()
    for number, step in enumerate(loc):
        inside = isinstance(data, dict) and step in data
        if inside or (isinstance(data, list) and isinstance(step, int) and step < len(data)):
            data = data[step]
            place = (*place, step)
        elif number == len(loc) - 1 and isinstance(data, dict):
            place = (*place, step)  # the key that is missing
    return place


def _leave_out(data: Any, place: Place, stand_ins: Mapping[str, Any]) -> None:
    """Remove the value at a place, or what is around a missing one, or put a stand-in there.

    List items become None, which shapes allow, so that the others keep their positions and lines.
    """
    *above, last = place
    inner = data
    for step in above:
        if isinstance(inner, dict) and step not in inner:
            return  # left out with something above it
        inner = inner[step]
        if inner is None:
            return
    if isinstance(inner, list):
        inner[int(last)] = None
    elif last in stand_ins and inner.get(last) != stand_ins[str(last)]:
        inner[last] = stand_ins[str(last)]
    elif last in inner:
        del inner[last]
    elif above:
        _leave_out(data, place[:-1], stand_ins)


def _message(shape: type[Shape], error: Any, place: Place) -> str:
    kind, here = error["type"], _called(place)
    if kind == "extra_forbidden":
        return _unknown(shape, place[:-1], here)
    if kind == "missing":
        where = f"{_called(place[:-1])}: " if len(place) > 1 else ""
        return f'{where}"{here}" is missing'
    if kind == "value_error":
        return f"{here}: {error['ctx']['error']}"
    if kind in ("model_type", "model_attributes_type"):
        return f"{here}: write {_shape_at(shape, place).example}"
    if kind == "dict_type":
        if isinstance(error["input"], str):
            return f'{here}: no colon in "{error["input"]}"; write a name, a colon and a value'
        return f"{here}: lines of names and values are expected here"
    if kind == "list_type":
        inner = _shape_at(shape, place)
        if inner is not _shape_at(shape, place[:-1]):
            return f"{here}: write [{inner.example}], or lines that begin with a dash"
        return f"{here}: a list is expected here, such as [lamb] or lines that begin with a dash"
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        return f"{here}: a list is not expected here"
    return f"{here}: {error['msg']}"


def _unknown(shape: type[Shape], place: Place, key: str) -> str:
    known = _known_keys(_shape_at(shape, place))
    near = nearest(key, known) or f" (known here: {', '.join(known)})"
    return f'unknown key "{key}"{near}'


def _known_keys(shape: type[Shape]) -> list[str]:
    return [field.alias or name for name, field in shape.model_fields.items()]


def _shape_at(shape: type[Shape], place: Place) -> type[Shape]:
    """The shape at a place: steps that are no keys of a shape are names or positions."""
    for step in place:
        for name, field in shape.model_fields.items():
            if step == (field.alias or name):
                shape = next(_shapes_in(field.annotation), shape)
                break
        else:
            shape = shape.under_names or shape
    return shape


def _shapes_in(annotation: Any) -> Iterator[type[Shape]]:
    if isinstance(annotation, type) and issubclass(annotation, Shape):
        yield annotation
    for inner in get_args(annotation):
        yield from _shapes_in(inner)
