"""Why a list of breaks cannot be kept as it is."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from planner.ask.keep_posted import List, list_of
from planner.core.errors import NoPlanInTimeError, RulesConflictError
from planner.core.recipe import piece_shares, way_of
from planner.core.scenario import Scenario
from planner.solve import Options, Search
from planner.solve.linear import total
from planner.solve.model import BreakModel
from planner.solve.plan import make_plan

PATIENCE = 3.0
"""Seconds for one question."""

EACH = 1000.0
"""Money for a piece that can be cut as listed: more than it is worth in any way."""


@dataclass(frozen=True, slots=True)
class Hindrance:
    """One reason.

    Attributes
    ----------
    kind : str
        way: no recipe has it. pieces: they are not there, or out of date. bench: the minutes of the
        list are more than the day has. rules, grind: not with all the rules, or with the bench once
        there is time for what is ground.
    day : int
        Of pieces and of a bench, else -1.
    count, most : float
        Pieces that are missing; or minutes that the list takes, and those there are.
    """

    kind: Literal["way", "pieces", "bench", "rules", "grind"]
    day: int = -1
    piece: str = ""
    way: str = ""
    count: float = 0.0
    most: float = 0.0


def hindrances(scenario: Scenario, listed: List) -> tuple[Hindrance, ...]:
    """What keeps a list from being kept: the first kind of reason there is."""
    known = {(piece.name, way.name) for each in scenario.recipes for piece, way in each.ways()}
    unknown = dict.fromkeys(key[:2] for key in listed if key[:2] not in known)
    found = [Hindrance("way", piece=piece, way=way) for piece, way in unknown]
    found = found or [*_missing(scenario, listed)] or [*_over(scenario, listed)]
    if not found:
        grind = _possible(replace(scenario, bench=None), listed)
        found = [Hindrance("grind" if grind else "rules")]
    return tuple(found)


def _missing(scenario: Scenario, listed: List) -> Iterator[Hindrance]:
    """Pieces that are not there when they should be cut, if all others are cut as listed.

    Those that are missing since what they are cut from is missing are left out.
    """
    model = BreakModel(replace(scenario, bench=None, rules=(), orders=()))
    for key, several in model.alike.items():
        for x in several:
            x.upBound = listed.get(key, 0)
        if listed.get(key):
            model.require(total((x, 1.0) for x in several) <= listed[key], "listed", *key)
            model.reward(((x, 1.0) for x in several), 0.0, listed[key], EACH, "listed", *key)
    found = Search(model, Options(share=0.0, amount=EACH / 2, seconds=PATIENCE)).solution()
    missing = Counter(listed) - list_of(make_plan(model.scenario, found))
    for (piece, way, day), count in sorted(missing.items(), key=lambda each: each[0][2]):
        if not any(
            other in recipe.pieces and piece in piece_shares(recipe, other)
            for recipe in scenario.recipes
            for other, _, before in missing
            if before <= day and other != piece
        ):
            yield Hindrance("pieces", day, piece, way, count)


def _over(scenario: Scenario, listed: List) -> Iterator[Hindrance]:
    """Days whose list takes more minutes than there are."""
    minutes: dict[int, float] = defaultdict(float)
    for (piece, way, day), count in listed.items():
        minutes[day] += count * way_of(scenario.recipes, piece, way).minutes
    for day, taken in sorted(minutes.items()):
        if scenario.bench is not None and day < scenario.days:
            most = scenario.bench[day] + scenario.most_overtime(day)
            if taken > most + 1e-6:
                yield Hindrance("bench", day, count=taken, most=most)


def _possible(scenario: Scenario, listed: List) -> bool:
    model = BreakModel(scenario)
    model.cut_list(listed)
    try:
        Search(model, Options(seconds=PATIENCE)).solution()
    except (RulesConflictError, NoPlanInTimeError):
        return False
    return True
