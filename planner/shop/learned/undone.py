"""Writings of yields, and weigh-ins counted in by them, that were undone since.

What was written into a recipe file stays there: an undoing changes the journal only. So these
figures say something of which the journal says no more that it counts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.core.recipe import Recipe, full_name
from planner.journal.entries import BreakDone, Recorded, Undone, YieldsWritten


@dataclass(frozen=True, slots=True)
class TakenBack:
    """What was undone of what a way's figures have in them.

    `writings` of its estimates do not count any more, and their weigh-ins count as new; `weigh_ins`
    were undone after they had been counted in.
    """

    species: str
    piece: str
    way: str
    writings: int
    weigh_ins: int


def taken_back(recipes: Sequence[Recipe], everything: Iterable[Recorded]) -> tuple[TakenBack, ...]:
    """Ways whose figures have something in them that was undone; of all there is in the journal."""
    entries = list(everything)
    undone = {each.entry.writing: each.number for each in entries if isinstance(each.entry, Undone)}
    of_ways: dict[tuple[str, str], list[Recorded]] = defaultdict(list)
    for each in entries:
        if isinstance(entry := each.entry, BreakDone | YieldsWritten):
            of_ways[entry.piece, entry.way].append(each)
    found = []
    for recipe in recipes:
        for piece, way in recipe.ways():
            of_way = of_ways[full_name(recipe.species, piece.name), way.name]
            writings = [each for each in of_way if isinstance(each.entry, YieldsWritten)]
            counting = [each.number for each in writings if each.writing not in undone]
            gone = sum(
                isinstance(each.entry, BreakDone)
                and any(one.pounds is not None for one in each.entry.gave)
                and any(each.number < at < undone.get(each.writing, 0) for at in counting)
                for each in of_way
            )
            lost = len(writings) - len(counting)
            if lost or gone:
                found.append(TakenBack(recipe.species, piece.name, way.name, lost, gone))
    return tuple(found)
