"""Entries in the order in which a day goes, whatever the order they were entered in."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Filled,
    Moment,
    Recorded,
    Sold,
    Wasted,
)

COUNTED_LAST = 5
"""The step of a day in which things are counted at its close."""

_STEPS: dict[type, int] = {Delivery: 1, BreakDone: 2, BatchMade: 3, Sold: 4, Filled: 4, Wasted: 4}


def step_of(entry: object) -> int | None:
    """When in a day something happens: 0 to 5; None of what moves no stock."""
    if isinstance(entry, Count):
        return 0 if entry.at == "open" else COUNTED_LAST
    return _STEPS.get(type(entry))


def in_order(recorded: Iterable[Recorded], rank: Callable[[str], int]) -> list[Recorded]:
    """What moves stock, by day and by the steps of a day; within these as it was entered.

    Counts that a later writing for the same moment has replaced are left out. `rank` tells how many
    breaks lie before a piece: what is cut out of another is cut after it.
    """
    kept = list(recorded)
    latest = _latest(kept)
    keyed = []
    for each in kept:
        entry = each.entry
        if isinstance(entry, Count) and each.writing < latest[_counts(entry)]:
            continue
        step = step_of(entry)
        if step is not None:
            after = rank(entry.piece) if isinstance(entry, BreakDone) else 0
            keyed.append((entry.day, step, after, each.number, each))
    keyed.sort(key=lambda key: key[:4])
    return [key[4] for key in keyed]


def _counts(entry: Count) -> tuple[date, Moment, str]:
    return entry.day, entry.at, entry.what


def _latest(recorded: Iterable[Recorded]) -> dict[tuple[date, Moment, str], int]:
    """Of everything that is counted at a moment, the last writing that does so."""
    latest: dict[tuple[date, Moment, str], int] = {}
    for each in recorded:
        if isinstance(each.entry, Count):
            what = _counts(each.entry)
            latest[what] = max(each.writing, latest.get(what, 0))
    return latest
