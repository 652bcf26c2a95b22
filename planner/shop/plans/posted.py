"""A plan as it is kept in the journal: the list on the wall, and what it was made on.

Names have their species in front (`planner.core.recipe.full_name`), days are dates, weights are
pounds: so a plan of Monday can be put beside one of Wednesday, and beside what happened in between.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from pydantic import TypeAdapter
from pydantic_core import from_json

from planner.journal.entries import BreakDone, PlanKept, Recorded, Weighed
from planner.shop.plans.facts import Facts, FirstFormat

FORMAT: Literal["breakplan-kept/2"] = "breakplan-kept/2"

FIRST_FORMAT = "breakplan-kept/1"
"""The same without `week`: it had some of what is in there by other names."""


@dataclass(frozen=True, slots=True)
class KeptBreak:
    """Alike pieces cut alike on a day, those of all lots together; `pounds` is before the cut.

    `gives` has the pieces first, then cuts for the case, then what falls into trays.
    """

    day: date
    piece: str
    way: str
    count: int
    pounds: float
    gives: tuple[Weighed, ...]


@dataclass(frozen=True, slots=True)
class KeptBatch:
    """A blend to be made on a day: pounds out, and what goes in."""

    day: date
    blend: str
    pounds: float
    takes: tuple[Weighed, ...]


@dataclass(frozen=True, slots=True)
class KeptPieces:
    """How many of a piece there are, and what all of them weigh."""

    count: int = 0
    pounds: float = 0.0

    def __add__(self, other: KeptPieces) -> KeptPieces:
        """These and others together."""
        return KeptPieces(self.count + other.count, self.pounds + other.pounds)


@dataclass(frozen=True, slots=True)
class KeptMorning:
    """What should be there when a day opens: cuts in pounds or each, pieces.

    What arrives that day is not there yet, but for the first day.
    """

    day: date
    cuts: Mapping[str, float]
    pieces: Mapping[str, KeptPieces]


@dataclass(frozen=True, slots=True)
class KeptArrival:
    """Head or pieces that arrive after the first day, or are bought on any (`offer`)."""

    day: date
    what: str
    head: int
    pounds: float
    offer: bool


@dataclass(frozen=True, slots=True)
class KeptShort:
    """What an order lacks in a plan: pounds or each."""

    day: date
    cut: str
    buyer: str
    amount: float


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan that was told: its list, and what is needed to say later what is otherwise.

    It is for the days from `first` until `until`; no plan could exceed `bound`, by proof. `facts`
    is a digest of the scenario it was made of: the same where nothing at all is otherwise; empty in
    plans of the first format, where it was of other data. `breaks` are by day, in the order of the
    morning's sheet; `mornings` what it expected to be there when each of its days opens. `week` is
    what the shop said of the calendar week, before anything was sold or done in it
    (`planner.shop.plans.facts`); a group that nobody kept is not there. `best` is the best score
    that was found beside it, where it is a list that was held to; `short` the orders that it does
    not fill, None where nobody kept them. A `sheet` was only shown as a day's: it is what that day
    weighs in and counts, while the list on the wall stays that of the plan before.
    """

    format: Literal["breakplan-kept/2"]
    first: date
    until: date
    score: float
    bound: float
    facts: str
    breaks: tuple[KeptBreak, ...]
    batches: tuple[KeptBatch, ...]
    mornings: tuple[KeptMorning, ...]
    arrivals: tuple[KeptArrival, ...]
    week: Facts
    best: float | None = None
    short: tuple[KeptShort, ...] | None = None
    sheet: bool = False

    def covers(self, day: date) -> bool:
        """Whether a day is one of those it is for."""
        return self.first <= day <= self.until

    def text(self) -> str:
        """The plan as JSON text, the same for the same plan; in ASCII, whatever names it has."""
        return json.dumps(_READER.dump_python(self, mode="json"), separators=(",", ":"))


_READER = TypeAdapter(KeptPlan)

_FIRST_READER = TypeAdapter(FirstFormat)


def read_kept(text: str) -> KeptPlan | None:
    """A plan from its JSON text; None where it is broken, or of a format of later versions."""
    try:
        said = from_json(text)
        if isinstance(said, dict) and said.get("format") == FIRST_FORMAT:
            week = _FIRST_READER.validate_python(said).facts()
            said = {**said, "format": FORMAT, "facts": "", "week": week}
        return _READER.validate_python(said)
    except ValueError:
        return None


def last_kept(
    recorded: Iterable[Recorded], day: date, entry: int | None = None, *, wall: bool = False
) -> tuple[int, KeptPlan] | None:
    """The latest plan that covers a day, with the number of its entry: what was last shown for it.

    `entry` is the number of the one meant instead, `wall` leaves out sheets. None where there is
    none that can be read.
    """
    for each in sorted(recorded, key=lambda each: -each.number):
        if isinstance(each.entry, PlanKept) and entry in (None, each.number):
            kept = read_kept(each.entry.plan)
            if kept and kept.covers(day) and not (wall and kept.sheet):
                return each.number, kept
    return None


def done_since(
    kept: KeptPlan, number: int, recorded: Iterable[Recorded]
) -> Counter[tuple[date, str, str]]:
    """Breaks of the days of a plan that were entered as done and are not in it already.

    On its first day those that had been entered before it are none of its list.
    """
    done: Counter[tuple[date, str, str]] = Counter()
    for each in recorded:
        entry = each.entry
        if not isinstance(entry, BreakDone) or not kept.covers(entry.day):
            continue
        if entry.day > kept.first or each.number > number:
            done[entry.day, entry.piece, entry.way] += entry.count
    return done


def listed_in(kept: KeptPlan) -> Counter[tuple[date, str, str]]:
    """The list of a plan."""
    listed: Counter[tuple[date, str, str]] = Counter()
    for each in kept.breaks:
        listed[each.day, each.piece, each.way] += each.count
    return listed


def still_listed(
    kept: KeptPlan, number: int, recorded: Sequence[Recorded], first: date
) -> Counter[tuple[date, str, str]]:
    """What is still to be done of a plan's list from a day on: less what that day has done."""
    left = listed_in(kept)
    left.subtract(done_since(kept, number, recorded))
    return Counter({key: count for key, count in left.items() if count > 0 and key[0] >= first})
