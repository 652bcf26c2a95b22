"""Entries in the order in which a day goes, whatever the order they were entered in."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

from planner.journal.entries import KIND_OF, BreakDone, Count, Entry, Moment, Recorded

CUT, SOLD, COUNTED_LAST = 2, 4, 5
"""Steps of a day: pieces are cut, things leave the shop, and are counted at its close."""


def step_of(entry: Entry) -> int | None:
    """When in a day something happens: 0 to 5; None of what moves no stock."""
    if isinstance(entry, Count):
        return 0 if entry.at == "open" else COUNTED_LAST
    return KIND_OF[type(entry)].step


def in_order(recorded: Iterable[Recorded], rank: Callable[[str], int]) -> list[Recorded]:
    """What moves stock, by day and by the steps of a day; within these as it was entered.

    Counts that a later writing for the same moment has replaced are left out. `rank` tells how many
    breaks lie before a piece: what is cut out of another is cut after it.
    """
    kept = list(recorded)
    latest: dict[tuple[date, Moment, str], int] = {}
    for each in kept:
        if isinstance(entry := each.entry, Count):
            moment = entry.day, entry.at, entry.what
            latest[moment] = max(each.writing, latest.get(moment, 0))
    keyed = []
    for each in kept:
        entry = each.entry
        if isinstance(entry, Count) and (each.writing < latest[entry.day, entry.at, entry.what]):
            continue
        step = step_of(entry)
        if step is not None:
            after = rank(entry.piece) if isinstance(entry, BreakDone) else 0
            keyed.append((entry.day, step, after, each.number, each))
    keyed.sort(key=lambda key: key[:4])
    return [key[4] for key in keyed]
