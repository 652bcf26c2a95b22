"""Head and pieces on the rail."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from planner.core import quantities as measures
from planner.core.quantities import MOST_WEIGHT, POUNDS
from planner.core.scenario import Lot, Scenario
from planner.files.change.words import is_step, name_and_day, parted
from planner.files.context import Setting
from planner.files.rail import unknown, what
from planner.files.yamlfile import Place

MOST_HEAD = 100_000
SAME = 1e-6
"""Pounds by which two weights may differ and be the same."""

_WEIGHT = r"[0-9.,]+\s*[a-zA-Z]+"
_SIZE = re.compile(
    r"(?!.*\b(?:at|cost:?)\s*$)"  # a number is missing
    r"(?P<up_to>up\s+to\s+)?(?P<sign>[+-]\s*)?(?P<count>[0-9]+)\s*(?P<word>[a-z][a-z ]{0,29}?)?"
    r"(?:\s*\bat\s+(?P<weight>[0-9.]+\s*[a-z]*))?(?:\s*,?\s*\bcost:?\s+(?P<cost>.+))?",
    re.IGNORECASE,
)
_FORM = "4 head, up to 6 head, +1 head, 4 head at 60 lb, or 4 head at 60 lb, cost 7.10/lb"


@dataclass(frozen=True, slots=True)
class _Size:
    """What a lot shall be; `count` is added to the present one when it is a `step`.

    `given` has what else is written: its word, the pounds of one, the cost a pound.
    """

    count: int
    step: bool
    up_to: bool
    given: Mapping[str, Any]


def change_head(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`lamb mon: 4 head`, `lamb mon: up to 6 head`, `lamb mon 58 lb: +1 head`: the size of a lot.

    A lot is named by its species or piece and, where several are there, by its day and its weight.
    A weight behind the number is the lot's new one; where no such lot is on that day, it is added.
    """
    head, value = parted(text, "lamb mon: 4 head", first=True)
    size = _size(setting, place, text, value)
    word, new, weight = size.given.get("word", ""), size.given.get("weight"), None
    weighed = re.fullmatch(rf"(.+?)(?:\s+at)?\s+({_WEIGHT})", head)
    if weighed and not what(setting, head, word):
        head, weight = weighed[1], _pounds(setting, head, weighed[2])
    name, said = name_and_day(head, lambda each: what(setting, each, word) is not None)
    meant = what(setting, name, word)
    if meant is None:
        raise ValueError(unknown(setting, name))
    recipe, piece = meant
    day = setting.period.one(said) if said else None
    found = [lot for lot in scenario.lots if lot.piece == piece and day in (None, lot.arrives)]
    if weight is not None:
        found = _weighing(found, weight, scenario.unit)
    elif len(found) > 1 and new is not None:
        found = _weighing(found, new, scenario.unit) or found
    if len(found) > 1:
        raise ValueError(f'"{text}" may mean several lots; {_apart(scenario, found)}')
    if found:
        lot = _sized(text, found[0], size)
        lots = tuple(lot if each.index == lot.index else each for each in scenario.lots)
        return replace(scenario, lots=lots)
    if day is None or size.step or (weight is None) == (new is None):
        known = ", ".join(_named(scenario, lot) for lot in scenario.lots)
        known = f"the lots are {known}" if known else "there are no lots"
        more = "to add one, write its day and the weight of one: lamb mon: 4 head at 58 lb"
        raise ValueError(f'no such lot: "{text}"; {known}; {more}')
    keeps = recipe.pieces[piece].keeps
    each = weight or new or 0.0
    lot = Lot(len(scenario.lots), recipe, piece, 0, "", each, day, keeps, False, 0.0)
    return replace(scenario, lots=(*scenario.lots, _sized(text, lot, size)))


def _size(setting: Setting, place: Place, text: str, value: str) -> _Size:
    found = _SIZE.fullmatch(value)
    if found is None or (found["sign"] and (found["up_to"] or found["weight"])):
        raise ValueError(f'cannot read "{text}"; write {_FORM}')
    count = int(found["count"][:9])
    if count > MOST_HEAD:
        raise ValueError(f'"{text}" is more than a count can be ({MOST_HEAD:,})')
    given: dict[str, Any] = {"word": found["word"]} if found["word"] else {}
    if found["weight"]:
        given["weight"] = _pounds(setting, text, found["weight"])
    if found["cost"]:
        given["cost"] = setting.per_pound(place, measures.read_price(found["cost"]))
    count = -count if value.startswith("-") else count
    return _Size(count, is_step(value), bool(found["up_to"]), given)


def _pounds(setting: Setting, text: str, written: str) -> float:
    pounds = measures.pounds(measures.read_amount(written), setting.shape.unit)
    if not 0 < pounds <= MOST_WEIGHT:
        raise ValueError(f'"{text}": one weighs more than 0 and at most {MOST_WEIGHT} lb')
    return pounds


def _weighing(lots: Sequence[Lot], weight: float, unit: str) -> list[Lot]:
    """Lots of a weight: exactly, or else rounded to a tenth of the unit."""
    exactly = [lot for lot in lots if abs(lot.weight - weight) < SAME]
    tenth = POUNDS[unit] / 20
    return exactly or [lot for lot in lots if abs(lot.weight - weight) <= tenth + SAME]


def _sized(text: str, lot: Lot, size: _Size) -> Lot:
    """The lot with its new size; what is not written stays as it is."""
    count = lot.count + size.count if size.step else size.count
    up_to = lot.up_to if size.step else size.up_to
    if count < 0:
        raise ValueError(f'"{text}" takes away more than there are ({lot.count})')
    if up_to and not lot.up_to and not lot.cost and "cost" not in size.given:
        message = "what may be bought has a cost: up to 6 head, cost 7.10/lb"
        raise ValueError(f'"{text}": {message}')
    return replace(lot, count=count, up_to=up_to, **size.given)


def _named(scenario: Scenario, lot: Lot) -> str:
    """How a lot is told from others: `lamb mon 58 lb`."""
    return f"{_name_on_day(scenario, lot)} {lot.weight / POUNDS[scenario.unit]:g} {scenario.unit}"


def _name_on_day(scenario: Scenario, lot: Lot) -> str:
    return f"{lot.name} {scenario.day_labels[lot.arrives]}"


def _apart(scenario: Scenario, lots: Sequence[Lot]) -> str:
    """What to write for one of several lots."""
    for name in (_name_on_day, _named):
        names = dict.fromkeys(name(scenario, lot) for lot in lots)
        if len(names) == len(lots):
            return f"write {' or '.join(names)}"
    return f"they cannot be told apart here ({', '.join(names)}): change the file"
