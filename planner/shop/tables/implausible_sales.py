"""Sales of a file that are far more than can have been there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from planner.core.quantities import show_day
from planner.core.scenario import Scenario
from planner.journal.entries import BatchMade, Count, Entry, Recorded, Sold
from planner.shop.entering.catalog import Catalog
from planner.shop.entering.day_plan import DayPlan
from planner.shop.entering.warning import EntryWarning
from planner.shop.entering.weighing import Weighing, unwritten
from planner.shop.stock.entry_order import in_order
from planner.shop.stock.replay import StockBook

LATELY = timedelta(days=14)
"""What was neither counted nor made in this time may have been there in any amount."""

FAR = 1.25
SLACK_POUNDS, SLACK_EACH = 2.0, 2.0
"""How many times what should be there may be sold, and how much besides.

Common practice, no source: a day's cuts give some more than their recipes say.
"""


def more_than_there(
    entries: Sequence[Entry], recorded: Sequence[Recorded], week: Scenario
) -> Iterator[tuple[int, EntryWarning]]:
    """Warnings about sales of a file of things that were counted or made lately, with their places.

    What the plan of that day has and nobody has entered yet may be there too: sales are often
    imported before the weigh-in.
    """
    followed = {name for each in entries if (name := _stocked(each))}
    followed |= {name for each in recorded if (name := _stocked(each.entry))}
    if not any(isinstance(each, Sold) and each.cut in followed for each in entries):
        return
    every = [*recorded, *(ours := unwritten(recorded, entries))]
    last = ours[0].number
    book = StockBook(week, every)
    catalog, planned = Catalog(week), dict[date, dict[str, float]]()
    lately: dict[str, date] = {}
    for each in in_order(every, book.stocks.known.rank):
        entry = each.entry
        thing = catalog.by_full.get(entry.cut) if isinstance(entry, Sold) else None
        if isinstance(entry, Sold) and thing and each.number >= last and not thing.piece:
            when = lately.get(entry.cut)
            if when and entry.day - when < LATELY and entry.quantity.amount > 0:
                there = book.stocks.cuts[thing.name].in_date(entry.day)
                if entry.quantity.amount > _most(there, by_each=entry.quantity.by_each):
                    if entry.day not in planned:
                        planned[entry.day] = _to_come(Weighing(week, every, entry.day).plan)
                    there += planned[entry.day].get(entry.cut, 0.0)
                if entry.quantity.amount > _most(there, by_each=entry.quantity.by_each):
                    much, have = (
                        week.units.show(each)
                        for each in (entry.quantity, replace(entry.quantity, amount=there))
                    )
                    told = f"{much} of {thing.name}: {have if there > 0 else 'none'} should"
                    told += f" be on hand on {show_day(entry.day)}"
                    yield each.number - last, EntryWarning(told, "of more than can be there")
        name = _stocked(entry)
        if name:
            lately[name] = entry.day
        book.enter(each)


def _stocked(entry: Entry) -> str | None:
    """The thing of which an entry says how much there is, or was made."""
    if isinstance(entry, Count):
        return entry.what
    return entry.blend if isinstance(entry, BatchMade) else None


def _most(there: float, *, by_each: bool) -> float:
    return there * FAR + (SLACK_EACH if by_each else SLACK_POUNDS)


def _to_come(plan: DayPlan) -> dict[str, float]:
    """What the plan of the day gives that is not entered yet: pounds or each by full name."""
    found: dict[str, float] = {}
    for cutting in plan.cuttings:
        for each in cutting.expected:
            amount = (cutting.pounds or 0.0) * each.share
            if each.count is not None:
                amount = each.count * cutting.count
            found[each.thing.full] = found.get(each.thing.full, 0.0) + amount
    for batch in plan.batches:
        found[batch.blend.full] = found.get(batch.blend.full, 0.0) + batch.pounds
    return found
