"""Whether the clock of the machine can be right, seen from what the journal has."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from planner.core.quantities import show_day
from planner.journal.entries import Recorded

BEHIND = timedelta(days=1)
"""How much later than now an entry may have been made: clocks are put right by less."""

AHEAD = timedelta(days=183)
"""How long a shop may have entered nothing; one that was closed for longer says so once."""


def clock_doubt(recorded: Sequence[Recorded], now: datetime) -> str:
    """What is wrong between the clock and the newest entry that counts, or nothing.

    Entries of a wrong day are worse than none: stock, learned yields and the plan on the wall go by
    them. Either the clock is wrong, or it was when that entry was made, which is undone then.
    """
    newest = max(recorded, key=lambda each: (each.entered, each.number), default=None)
    if newest is None or -BEHIND <= now - newest.entered <= AHEAD:
        return ""
    made = newest.entered.astimezone(now.tzinfo)
    days = abs((now.date() - made.date()).days)
    side = "before" if now < newest.entered else "after"
    remedy = "set the clock"
    if side == "before":
        remedy += f", or if it is right undo that entry: breakplan journal undo {newest.number}"
    return (
        f"the clock of this machine says {_full(now)}, {days:,} days {side} entry {newest.number}, "
        f"the newest, was made ({_full(made)}); {remedy}"
    )


def _full(when: datetime) -> str:
    return f"{show_day(when.date())} {when.year}"
