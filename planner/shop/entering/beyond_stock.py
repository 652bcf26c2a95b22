"""What is entered as sold, thrown away, picked up or cut, and should not be on hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

from planner.core.quantities import show_day
from planner.journal.entries import BreakDone, Count, Delivery, Entry, Filled, Sold, Wasted
from planner.shop.entering.block_checks import BREAK_CHECKS
from planner.shop.entering.context import Check, EntryContext, warnings_of
from planner.shop.entering.day_plan import WeighedBreak
from planner.shop.entering.warning import EntryWarning
from planner.shop.entering.weighing import Weighing, unwritten
from planner.shop.stock.on_hand import stand_at

FOLLOWED = timedelta(days=14)
"""Who has entered nothing in this time that puts something there does not follow the stock."""

SLACK_POUNDS, SLACK_EACH = 5.0, 2.0
"""How much less may be expected to be there: what was cut today is often entered last."""


def not_on_hand(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """More taken away than should be on hand."""
    if isinstance(entry, Sold):
        full = entry.cut
    elif isinstance(entry, Wasted):
        full = entry.what
    elif isinstance(entry, Filled) and entry.order in context.orders:
        full = context.orders[entry.order].order.cut
    else:
        return
    every = [*context.recorded, *unwritten(context.recorded, context.before)]
    since = entry.day - FOLLOWED
    thing = context.things.by_full.get(full)
    if thing is None or not any(
        isinstance(one.entry, Delivery | Count | BreakDone) and since < one.entry.day <= entry.day
        for one in every
    ):
        return
    stand = stand_at(context.things.week, every, entry.day, "now")
    there = float(stand.pieces(thing.name)) if thing.piece else stand.amount(thing.name)
    slack = SLACK_EACH if thing.by_each else SLACK_POUNDS
    slack = max(slack, context.typical.want.get(thing.full, 0.0) / 2)
    amount = entry.amount if isinstance(entry, Filled) else entry.quantity.amount
    if isinstance(entry, Filled):
        slack = amount / 2
    elif thing.piece:
        slack = 0.0
    if amount > there + slack:
        number = f" for order {entry.order}" if isinstance(entry, Filled) else ""
        what = f"{context.amount(amount, thing.by_each)} of {thing.name}{number}"
        have = context.amount(there, thing.by_each) if there > 0 else "none"
        yield EntryWarning(f"{what}: {have} should be on hand on {show_day(entry.day)}")


def unlikely_break(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """More pieces cut than there are, or weights that they hardly have."""
    if isinstance(entry, BreakDone):
        every = [*context.recorded, *unwritten(context.recorded, context.before)]
        weighing = Weighing(context.things.week, every, entry.day)
        cutting = weighing.cutting(context.name(entry.piece), entry.way, entry.count)
        then = replace(context, before=(), weighed=weighing)
        yield from warnings_of(WeighedBreak(cutting, entry), then, BREAK_CHECKS)


STOCK_CHECKS: tuple[Check[Entry], ...] = (not_on_hand, unlikely_break)
"""Of an entry that nothing else is unlikely about."""
