"""What others entered of the same things while somebody was still typing."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence

from planner.journal.entries import BatchMade, BreakDone, Count, Entry, Recorded


def same_things(entries: Iterable[Entry], others: Iterable[Recorded]) -> Sequence[Recorded]:
    """Those of the others that are counts, breaks or batches of the same things and day."""
    ours = {_what(each) for each in entries}
    return [each for each in others if _what(each.entry) in ours - {None}]


def _what(entry: Entry) -> Hashable:
    match entry:
        case Count(day=day, at=at, what=what):
            return Count, day, at, what
        case BreakDone(day=day, piece=piece, way=way):
            return BreakDone, day, piece, way
        case BatchMade(day=day, blend=blend):
            return BatchMade, day, blend
    return None
