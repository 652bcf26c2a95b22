"""Head and pieces on the rail."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.core import quantities as measures
from planner.core.quantities import MOST_WEIGHT, POUNDS
from planner.core.recipe import Recipe
from planner.core.scenario import Lot, Scenario
from planner.files.change.words import is_step, name_and_day, parted
from planner.files.context import Setting
from planner.files.rail import blame_name, what
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
class _Meant:
    """Which lot is meant: what arrives, and the day and weight (pounds) where they are written."""

    recipe: Recipe
    piece: str
    day: int | None
    weight: float | None


@dataclass(frozen=True, slots=True)
class _Size:
    """What a lot shall be; `count` is added to the present one when it is a `step`.

    Weight in pounds and cost a pound are None, the word is empty, where nothing is written.
    """

    count: int
    step: bool
    up_to: bool
    word: str
    weight: float | None
    cost: float | None


def change_head(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`lamb mon: 4 head`, `lamb mon: up to 6 head`, `lamb mon 58 lb: +1 head`: the size of a lot.

    A lot is named by its species or piece and, where several are there, by its day and its weight.
    A weight behind the number is the lot's new one; where no such lot is on that day, it is added.
    """
    parts = parted(setting, place, text, "lamb mon: 4 head", first=True)
    size = _size(setting, place, text, parts[1]) if parts else None
    meant = _meant(setting, place, parts[0], size.word if size else "") if parts else None
    if meant is None or size is None:
        return scenario
    found = _matching(scenario, meant, size)
    if len(found) > 1:
        message = f'"{text}" may mean several lots; {_apart(scenario, found)}'
        setting.document.fault(place, message)
        return scenario
    lot = found[0] if found else _new_lot(setting, scenario, place, text, meant, size)
    if lot is None:
        return scenario
    lot = _sized(setting, place, text, lot, size)
    if found:
        lots = tuple(lot if each.index == lot.index else each for each in scenario.lots)
    else:
        lots = (*scenario.lots, lot)
    return replace(scenario, lots=lots)


def _meant(setting: Setting, place: Place, text: str, word: str) -> _Meant | None:
    """Read `lamb`, `lamb mon`, `lamb mon 58 lb`; the counting word may tell which quarter."""
    weighed = re.fullmatch(rf"(.+?)(?:\s+at)?\s+({_WEIGHT})", text)
    weight = None
    if weighed and not what(setting, text, word):
        weight = _pounds(setting, place, text, weighed[2])
        text = weighed[1]
    name, day = name_and_day(text, lambda each: what(setting, each, word) is not None)
    found = what(setting, name, word)
    if found is None:
        blame_name(setting, place, name)
        return None
    number = setting.attempt(place, lambda: setting.period.one(day)) if day else None
    if (day and number is None) or (weighed and weight is None):
        return None
    return _Meant(*found, number, weight)


def _size(setting: Setting, place: Place, text: str, value: str) -> _Size | None:
    found = _SIZE.fullmatch(value)
    if found is None or (found["sign"] and (found["up_to"] or found["weight"])):
        setting.document.fault(place, f'cannot read "{text}"; write {_FORM}')
        return None
    count = int(found["count"][:9])
    if count > MOST_HEAD:
        setting.document.fault(place, f'"{text}" is more than a count can be ({MOST_HEAD:,})')
        return None
    weight = _pounds(setting, place, text, found["weight"]) if found["weight"] else None
    cost = None
    if found["cost"]:
        read = setting.attempt(place, lambda: measures.read_price(found["cost"]))
        cost = setting.per_pound(place, read) if read else None
    if (found["weight"] and weight is None) or (found["cost"] and cost is None):
        return None
    return _Size(
        count=-count if value.startswith("-") else count,
        step=is_step(value),
        up_to=bool(found["up_to"]),
        word=found["word"] or "",
        weight=weight,
        cost=cost,
    )


def _pounds(setting: Setting, place: Place, text: str, written: str) -> float | None:
    def read() -> float:
        pounds = measures.pounds(measures.read_amount(written), setting.shape.unit)
        if not 0 < pounds <= MOST_WEIGHT:
            raise ValueError(f'"{text}": one weighs more than 0 and at most {MOST_WEIGHT} lb')
        return pounds

    return setting.attempt(place, read)


def _matching(scenario: Scenario, meant: _Meant, size: _Size) -> list[Lot]:
    """The lots that may be meant; a weight written picks those that have it as it is shown."""
    found = [
        lot
        for lot in scenario.lots
        if (lot.recipe.species, lot.piece) == (meant.recipe.species, meant.piece)
        and meant.day in (None, lot.arrives)
    ]
    if meant.weight is not None:
        return _weighing(found, meant.weight, scenario.unit)
    if len(found) > 1 and size.weight is not None:
        return _weighing(found, size.weight, scenario.unit) or found
    return found


def _weighing(lots: Sequence[Lot], weight: float, unit: str) -> list[Lot]:
    """Lots of a weight: exactly, or else rounded to a tenth of the unit."""
    exactly = [lot for lot in lots if abs(lot.weight - weight) < SAME]
    tenth = POUNDS[unit] / 20
    return exactly or [lot for lot in lots if abs(lot.weight - weight) <= tenth + SAME]


def _new_lot(
    setting: Setting, scenario: Scenario, place: Place, text: str, meant: _Meant, size: _Size
) -> Lot | None:
    """A lot that is not there yet; None, and a fault, where its day or its weight is missing."""
    weight = size.weight if meant.weight is None else meant.weight
    twice = meant.weight is not None and size.weight is not None
    if meant.day is None or weight is None or twice or size.step:
        known = ", ".join(_named(scenario, lot) for lot in scenario.lots)
        known = f"the lots are {known}" if known else "there are no lots"
        more = "to add one, write its day and the weight of one: lamb mon: 4 head at 58 lb"
        setting.document.fault(place, f'no such lot: "{text}"; {known}; {more}')
        return None
    keeps = meant.recipe.pieces[meant.piece].keeps
    index = len(scenario.lots)
    return Lot(index, meant.recipe, meant.piece, 0, "", weight, meant.day, keeps, False, 0.0)


def _sized(setting: Setting, place: Place, text: str, lot: Lot, size: _Size) -> Lot:
    """The lot with its new size; what is not written stays as it is."""
    count = lot.count + size.count if size.step else size.count
    up_to = lot.up_to if size.step else size.up_to
    if count < 0:
        message = f'"{text}" takes away more than there is ({lot.count})'
        setting.document.fault(place, message)
    if up_to and not lot.up_to and not lot.cost and size.cost is None:
        message = f'"{text}": what may be bought has a cost: up to 6 head, cost 7.10/lb'
        setting.document.fault(place, message)
    return replace(
        lot,
        count=count,
        word=size.word or lot.word,
        weight=size.weight or lot.weight,
        up_to=up_to,
        cost=lot.cost if size.cost is None else size.cost,
    )


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
    return f"nothing tells them apart here ({', '.join(names)}): change the file"
