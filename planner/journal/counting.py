"""What counts of a journal: all that was entered, but for what was undone since; filled orders."""

from __future__ import annotations

from collections.abc import Iterable

from planner.core.units import Quantity
from planner.journal.entries import Recorded, Undone

FILLED = 0.95
"""An order by weight that was picked up to this share is filled: nobody packs to the ounce."""

NOTHING = 1e-6
"""What is left of an order, and is less than this, is nothing."""


def undone_writings(everything: Iterable[Recorded]) -> frozenset[int]:
    """The writings that do not count."""
    return frozenset(one.entry.writing for one in everything if isinstance(one.entry, Undone))


def counting(everything: Iterable[Recorded], before: int | None = None) -> tuple[Recorded, ...]:
    """The entries that count, in their order, of all there is, the undoings too.

    With `before` as it was when the entry of this number was made: what was undone later still
    counted.
    """
    there = [one for one in everything if before is None or one.number < before]
    undone = undone_writings(there)
    return tuple(
        one for one in there if one.writing not in undone and not isinstance(one.entry, Undone)
    )


def is_filled(ordered: Quantity, filled: float) -> bool:
    """Whether an order is filled by what was picked up of it: pounds or each."""
    enough = 1.0 if ordered.by_each else FILLED
    return filled >= enough * ordered.amount - NOTHING
