"""Fit what a file says into its shape, and tell every misfit at once."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from planner.files.fields import Shape
from planner.yamlfile import Document, Place, nearest

S = TypeVar("S", bound=Shape)


def fit(document: Document, shape: type[S], stand_ins: Mapping[str, Any]) -> S:
    """Return the file in its shape; what does not fit is recorded as a fault and left out.

    So the checks that follow can go on to find the file's other faults. Whoever uses the result
    must ask `document.faulty(place)` before complaining about what may be missing for that reason.

    Parameters
    ----------
    document : Document
    shape : type
        The pydantic model of the whole file.
    stand_ins : mapping
        Values for top-level keys without a default, used where the file's own is missing or wrong.
    """
    data = copy.deepcopy(document.data)
    while True:  # every round leaves something out, so it ends
        try:
            return shape.model_validate(data)
        except ValidationError as error:
            for each in error.errors(include_url=False, include_context=True):
                place = _place(data, each["loc"])
                if not _told_already(document, place):
                    document.fault(place, _message(shape, each, place))
                _leave_out(data, place, stand_ins)


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


def _told_already(document: Document, place: Place) -> bool:
    above = any(document.faulty_at(place[:length]) for length in range(len(place) + 1))
    return above or document.faulty(place)


def _leave_out(data: Any, place: Place, stand_ins: Mapping[str, Any]) -> None:
    """Remove the value at a place, or what is around a missing one.

    List items become None, which shapes allow, so that the others keep their positions and lines.
    """
    *above, last = place
    inner = data
    for step in above:
        gone = inner is None or (isinstance(inner, dict) and step not in inner)
        if gone:
            return  # left out with something above it
        inner = inner[step]
    if isinstance(inner, list):
        inner[int(last)] = None
    elif isinstance(inner, dict) and last in inner:
        del inner[last]
    elif above:
        _leave_out(data, place[:-1], stand_ins)
    if not above and last in stand_ins:
        data[last] = stand_ins[str(last)]


def _message(shape: type[BaseModel], error: Any, place: Place) -> str:
    kind, here = error["type"], str(place[-1]) if place else "the file"
    if kind == "extra_forbidden":
        known = _known_keys(shape, place[:-1])
        return f'unknown key "{here}"{nearest(here, known)}'
    if kind == "missing":
        return f'"{here}" is missing'
    if kind == "value_error":
        return f"{here}: {error['ctx']['error']}"
    if kind in ("dict_type", "model_type", "model_attributes_type"):
        return f"{here}: lines of names and values are wanted here"
    if kind == "list_type":
        return f"{here}: a list is wanted here, such as [lamb] or lines that begin with a dash"
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        return f"{here}: a list is not wanted here"
    return f"{here}: {error['msg']}"


def _known_keys(shape: type[BaseModel], place: Place) -> list[str]:
    """Keys of the shape at a place: steps that are no keys of a shape are names or positions."""
    for step in place:
        for name, field in shape.model_fields.items():
            if step == (field.alias or name):
                shape = next(_shapes_in(field.annotation), shape)
                break
    return [field.alias or name for name, field in shape.model_fields.items()]


def _shapes_in(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _shapes_in(inner)
