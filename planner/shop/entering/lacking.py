"""What is entered as sold, thrown away, picked up or cut, and is not reckoned to be there."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from planner.journal.entries import (
    BreakDone,
    Count,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    Recorded,
    Sold,
    Wasted,
)
from planner.measures import show_day, show_weight
from planner.shop.entering.things import Thing, Things
from planner.shop.entering.usual import Usual
from planner.shop.entering.weighing import Weighing
from planner.shop.stock.stand import stand_at

FOLLOWED = timedelta(days=14)
"""Who has entered nothing in this time that puts something there does not follow the stock."""

SLACK_POUNDS, SLACK_EACH = 5.0, 2.0
"""How much less may be reckoned to be there: what was cut today is often entered last."""

_NEVER = datetime(2000, 1, 1, tzinfo=UTC)


def not_there(
    entry: Entry,
    things: Things,
    usual: Usual,
    recorded: Sequence[Recorded],
    before: Sequence[Entry] = (),
) -> tuple[str, ...]:
    """What to ask about an entry that takes away more than there is, or weighs what it can hardly.

    Parameters
    ----------
    entry : Entry
    things : Things
    usual : Usual
    recorded : sequence of Recorded
        What counts of the journal.
    before : sequence of Entry
        What is entered along with it, before it.
    """
    last = max((one.number for one in recorded), default=0) + 1
    every = [*recorded, *(Recorded(last + n, last, _NEVER, each) for n, each in enumerate(before))]
    if isinstance(entry, BreakDone):
        return _of_break(entry, things, every)
    if not isinstance(entry, Sold | Wasted | Filled) or not _followed(entry, every):
        return ()
    took = _taken(entry, every)
    thing = things.by_full.get(took[0]) if took else None
    if took is None or thing is None:
        return ()
    amount = took[1]
    stand = stand_at(things.week, every, entry.day, "now")
    there = float(stand.pieces(thing.name)) if thing.piece else stand.amount(thing.name)
    slack = SLACK_EACH if thing.by_each else SLACK_POUNDS
    slack = max(slack, usual.want.get(thing.full, 0.0) / 2)
    if isinstance(entry, Filled):
        slack = amount / 2
    elif thing.piece:
        slack = 0.0
    if amount <= there + slack:
        return ()
    much, have = _much(amount, thing, things), _much(there, thing, things)
    number = f" for order {entry.order}" if isinstance(entry, Filled) else ""
    told = f"{much} of {thing.name}{number}: {have if there > 0 else 'nothing'} is reckoned to be"
    return (f"{told} there on {show_day(entry.day)}",)


def _of_break(entry: BreakDone, things: Things, every: Sequence[Recorded]) -> tuple[str, ...]:
    weighing = Weighing(things.week, every, entry.day)
    thing = things.by_full[entry.piece]
    cutting = weighing.cutting(thing.name, entry.way, entry.count)
    return tuple(map(str, weighing.doubts(cutting, entry, ())))


def _followed(entry: Entry, every: Sequence[Recorded]) -> bool:
    since = entry.day - FOLLOWED
    return any(
        isinstance(one.entry, Delivery | Count | BreakDone) and since < one.entry.day <= entry.day
        for one in every
    )


def _taken(entry: Sold | Wasted | Filled, every: Sequence[Recorded]) -> tuple[str, float] | None:
    """The thing that is taken away, and how much of it."""
    if isinstance(entry, Sold):
        return entry.cut, entry.amount
    if isinstance(entry, Wasted):
        return entry.what, entry.amount
    for one in every:
        if one.number == entry.order and isinstance(one.entry, OrderTaken):
            return one.entry.cut, entry.amount
    return None


def _much(amount: float, thing: Thing, things: Things) -> str:
    return f"{amount:g}" if thing.by_each else show_weight(amount, things.week.unit)
