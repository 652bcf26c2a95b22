"""Why a list of breaks cannot be kept as it is."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from planner.ask.keep_posted import Key, List, list_of
from planner.core.errors import NoPlanInTimeError, RulesConflictError
from planner.core.recipe import piece_shares
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
        list are more than the day has. rules, bench and grind: not with all the rules, or with the
        bench once there is time for what is ground.
    day : int
        Of pieces and of a bench, else -1.
    piece, way : str
    count : float
        Pieces that are missing, or minutes that the list takes.
    most : float
        Minutes there are.
    """

    kind: Literal["way", "pieces", "bench", "rules", "grind"]
    day: int = -1
    piece: str = ""
    way: str = ""
    count: float = 0.0
    most: float = 0.0


def hindrances(scenario: Scenario, listed: List) -> tuple[Hindrance, ...]:
    """What keeps a list from being kept: the first kind of reason there is.

    Parameters
    ----------
    scenario : Scenario
    listed : mapping of (piece, way, day) to int
    """
    model = BreakModel(replace(scenario, bench=None, rules=(), orders=()))
    unknown = [key for key in listed if key not in model.alike and not _has(scenario, key)]
    if unknown:
        ways = dict.fromkeys((piece, way) for piece, way, _ in unknown)
        return tuple(Hindrance("way", piece=piece, way=way) for piece, way in ways)
    missing = _missing(model, listed)
    if missing:
        first = _topmost(scenario, missing)
        return tuple(
            Hindrance("pieces", day, piece, way, count) for (piece, way, day), count in first
        )
    over = tuple(_over(scenario, listed))
    if over:
        return over
    return (Hindrance("grind" if _possible(replace(scenario, bench=None), listed) else "rules"),)


def _has(scenario: Scenario, key: Key) -> bool:
    piece, way, _ = key
    return any(
        way in recipe.pieces[piece].ways for recipe in scenario.recipes if piece in recipe.pieces
    )


def _missing(model: BreakModel, listed: List) -> Counter[Key]:
    """Pieces that are not there when they should be cut, if all others are cut as listed."""
    for key, several in model.alike.items():
        for x in several:
            x.upBound = listed.get(key, 0)
        if listed.get(key):
            model.require(total((x, 1.0) for x in several) <= listed[key], "listed", *key)
            model.reward(((x, 1.0) for x in several), 0.0, listed[key], EACH, "listed", *key)
    found = Search(model, Options(share=0.0, amount=EACH / 2, seconds=PATIENCE)).solution()
    missing = Counter({key: count for key, count in listed.items() if count})
    missing.subtract(list_of(make_plan(model.scenario, found)))
    return Counter({key: count for key, count in missing.items() if count > 0})


def _topmost(scenario: Scenario, missing: Counter[Key]) -> Iterator[tuple[Key, int]]:
    """Without those that are missing since what they are cut from is."""
    for key, count in sorted(missing.items(), key=lambda each: each[0][2]):
        above = {
            piece
            for recipe in scenario.recipes
            for piece, _, day in missing
            if piece in recipe.pieces and day <= key[2] and piece != key[0]
            if key[0] in piece_shares(recipe, piece)
        }
        if not above:
            yield key, count


def _over(scenario: Scenario, listed: List) -> Iterator[Hindrance]:
    """Days whose list takes more minutes than there are."""
    minutes: dict[int, float] = defaultdict(float)
    for (piece, way, day), count in listed.items():
        for recipe in scenario.recipes:
            if piece in recipe.pieces:
                minutes[day] += count * recipe.pieces[piece].ways[way].minutes
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
