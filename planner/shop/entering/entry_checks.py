"""Checks of entries: days, amounts, prices, weights, and what should not be on hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.core.quantities import show_day
from planner.core.recipe import recipe_with
from planner.core.units import Quantity
from planner.journal.counting import NOTHING
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    Sold,
    Wasted,
)
from planner.shop.entering.block_checks import BREAK_CHECKS, batch_balance
from planner.shop.entering.context import Check, EntryContext, warnings_of
from planner.shop.entering.day_plan import WeighedBreak
from planner.shop.entering.duplicates import key_of
from planner.shop.entering.plausible import outside
from planner.shop.entering.warning import EntryWarning
from planner.shop.entering.weighing import FOLLOWED, Weighing, unwritten
from planner.shop.stock.on_hand import stand_at

MOST_AHEAD, MOST_BACK = 14, 60
"""Days from today within which a shop enters what happens."""

LONG_BACK = 5 * 365
"""Days back beyond which a slip in the year is likelier than a history."""

MOST_EARLY = 3
"""Days before its day on which an order may be picked up."""

MOST_POUNDS, MOST_EACH = 15.0, 10.0
"""A day's sale or waste of one cut that is never questioned by itself (no source)."""

ORDER_POUNDS, ORDER_EACH = 100.0, 50.0
"""The same of an order, which may be for a feast."""

MORE = 3.0
"""How many times the most of before is questioned; a price so many times the full one, or less."""

MOST_HEAD, MOST_BREAKS = 60, 200
FEW_HEAD = 6
"""Head at once that are never questioned."""

SLACK_POUNDS, SLACK_EACH = 5.0, 2.0
"""How much less may be expected to be there: what was cut today is often entered last."""


def far_day(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """A day that is far off, or that has not come or is over where it should not."""
    ahead = (entry.day - context.day).days
    when = entry.day.isoformat()
    if ahead > MOST_AHEAD:
        yield EntryWarning(f"{when} is {ahead} days ahead", f"more than {MOST_AHEAD} days ahead")
    elif ahead < -MOST_BACK:
        far = "five years" if ahead < -LONG_BACK else f"{MOST_BACK} days"
        yield EntryWarning(f"{when} is {-ahead} days ago", f"of more than {far} ago")
    elif ahead > 0 and not isinstance(entry, Delivery | OrderTaken):
        yield EntryWarning(f"{when} has not come yet", "of a day that has not come yet")
    elif ahead < 0 and isinstance(entry, OrderTaken):
        told = f"{when} is over, and this is an order for it"
        yield EntryWarning(told, "of a day that is over")


def closed_day(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """A sale or an order on a day the shop is closed."""
    sells = isinstance(entry, Sold | OrderTaken | Filled)
    if sells and entry.day.weekday() not in context.open_days:
        told = f"{entry.day.isoformat()} is a {entry.day:%A}, and the shop is closed then"
        yield EntryWarning(told, "on a day the shop is closed")


def large_amount(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """More sold, ordered or thrown away than is usual."""
    if not isinstance(entry, Sold | OrderTaken | Wasted):
        return
    name = entry.what if isinstance(entry, Wasted) else entry.cut
    want, before = context.typical.want.get(name, 0.0), context.typical.most.get(name, 0.0)
    by_each = entry.quantity.by_each
    if isinstance(entry, OrderTaken):
        most = max(ORDER_EACH if by_each else ORDER_POUNDS, MORE * want, MORE * before)
    else:
        most = max(MOST_EACH if by_each else MOST_POUNDS, want, MORE * before)
    if entry.quantity.amount > most:
        much, limit = map(context.units.show, (entry.quantity, Quantity(most, by_each)))
        told = f"{much} of {context.name(name)} is a lot for this shop (more than {limit})"
        yield EntryWarning(told, "of more than is usual here")


def far_price(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """A price far from the full one, or money without an amount."""
    units = context.units
    match entry:
        case OrderTaken(price=float(price)):
            pass
        case Sold(quantity=much, money=float(money)) if much.amount > NOTHING:
            price = money / much.amount
        case Sold(quantity=much, money=float(money)):
            if money and abs(much.amount) <= NOTHING and not entry.sold_out:
                told = f"{units.money(money)} for no {context.name(entry.cut)}"
                yield EntryWarning(told, "with money for nothing")
            return
        case _:
            return
    thing, by_each = context.catalog.by_full.get(entry.cut), entry.quantity.by_each
    full = context.catalog.price(thing) if thing else None
    if thing and full and not full / MORE <= price <= full * MORE:
        told = f"{thing.name} at {units.rate(price, by_each)}"
        told += f": {units.rate(full, by_each)} is the full price"
        yield EntryWarning(told, "at a price far from the full one")


def arrival(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """More head than come at once, or a weight far from those of before."""
    if not isinstance(entry, Delivery):
        return
    name, most = context.name(entry.what), context.typical.head.get(entry.what)
    if entry.head > (MOST_HEAD if most is None else max(FEW_HEAD, MORE * most)):
        least = "" if most is None else f"; at most {most} came at once or are on offer"
        told = f"{entry.head} head of {name} is many for this shop{least}"
        yield EntryWarning(told, "of many head")
    found = context.typical.weight(entry.what)
    for pounds in entry.pounds if found else ():
        what = f"{name} of {context.units.weight(pounds)}"
        told = outside(what, pounds, found, context.units) if found else ""
        if told:
            yield EntryWarning(told, "of weights that are not usual")
            return


def far_cost(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """A cost far from those of before, or above what any cut of it brings."""
    if not isinstance(entry, Delivery) or entry.cost is None:
        return
    catalog, rate, kind = context.catalog, context.units.rate, "at a cost that is not usual"
    told = f"{context.name(entry.what)} at {rate(entry.cost)}"
    if entry.what in context.typical.costs:
        least, most = context.typical.costs[entry.what]
        if not least / MORE <= entry.cost <= most * MORE:
            told += f": {rate(least / MORE)} to {rate(most * MORE)} is expected"
            yield EntryWarning(told, kind)
        return
    thing = catalog.by_full.get(entry.what)
    cuts = recipe_with(catalog.week.recipes, thing.name).cuts if thing else {}
    prices = [catalog.price(catalog.cuts[each]) or 0.0 for each in cuts if not cuts[each].by_each]
    if prices and entry.cost > max(prices) > 0:
        yield EntryWarning(f"{told}: no cut of it sells for more than {rate(max(prices))}", kind)


def many_pieces(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """More pieces than one cuts in a day."""
    if isinstance(entry, BreakDone) and entry.count > MOST_BREAKS:
        told = f"{entry.count} {context.name(entry.piece)} is many to cut in a day"
        yield EntryWarning(told, "of more pieces than one cuts in a day")


def wrong_meat(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """Something in a batch that the blend is not made from."""
    if not isinstance(entry, BatchMade):
        return
    name = context.name(entry.blend)
    blend = context.catalog.week.blends.get(name)
    for each in entry.took if blend else ():
        part = context.catalog.by_full.get(each.what)
        if blend and part and part.name not in blend.takes:
            told = f"{part.name} does not go into {name} (only {', '.join(blend.takes)})"
            yield EntryWarning(told, "of what does not go in")


def picked_up(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """An order picked up long before its day, or more of it than is left."""
    state = context.orders.get(entry.order) if isinstance(entry, Filled) else None
    if state is None or not isinstance(entry, Filled):
        return
    order, show = state.order, context.units.show
    early = (order.day - entry.day).days
    if early > MOST_EARLY:
        told = f"order {entry.order} is for {order.day}, {early} days after {entry.day}"
        yield EntryWarning(told, "long before the day of the order")
    if entry.amount > state.left + NOTHING:
        left = show(replace(order.quantity, amount=state.left))
        told = f"order {entry.order} is for {show(order.quantity)} of {context.name(order.cut)}, "
        told += f"of which {left if state.left > NOTHING else 'nothing'} is left; "
        told += f"{show(replace(order.quantity, amount=entry.amount))} is more"
        yield EntryWarning(told, "of more than is left of the order")


def same_entry(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """The same in the journal, or entered along with it."""
    key = key_of(entry)
    number = context.numbers.get(key)
    if number is not None:
        yield EntryWarning(f"entry {number} says the same: this would enter it twice")
    elif any(key_of(each) == key for each in context.before):
        yield EntryWarning("the same entry is given twice")


def not_on_hand(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """More sold, thrown away or picked up than should be on hand."""
    match entry:
        case Sold(cut=full, quantity=much) | Wasted(what=full, quantity=much):
            amount, number = much.amount, ""
        case Filled(order=order, amount=amount) if order in context.orders:
            full, number = context.orders[order].order.cut, f" for order {order}"
        case _:
            return
    every = [*context.recorded, *unwritten(context.recorded, context.before)]
    since = entry.day - FOLLOWED
    thing = context.catalog.by_full.get(full)
    if thing is None or not any(
        isinstance(one.entry, Delivery | Count | BreakDone) and since < one.entry.day <= entry.day
        for one in every
    ):
        return
    stand = stand_at(context.catalog.week, every, entry.day, "now")
    there = float(stand.pieces(thing.name)) if thing.piece else stand.amount(thing.name)
    slack = SLACK_EACH if thing.by_each else SLACK_POUNDS
    slack = max(slack, context.typical.want.get(thing.full, 0.0) / 2)
    if number:
        slack = amount / 2
    elif thing.piece:
        slack = 0.0
    if amount > there + slack:
        shown, have = (
            context.units.show(Quantity(each, thing.by_each)) for each in (amount, there)
        )
        told = f"{shown} of {thing.name}{number}: {have if there > 0 else 'none'} should be on hand"
        yield EntryWarning(f"{told} on {show_day(entry.day)}")


def unlikely_break(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """More pieces cut than there are, or weights that they hardly have."""
    if isinstance(entry, BreakDone):
        every = [*context.recorded, *unwritten(context.recorded, context.before)]
        weighing = Weighing(context.catalog.week, every, entry.day)
        cutting = weighing.cutting(context.name(entry.piece), entry.way, entry.count)
        then = replace(context, before=(), weighed=weighing)
        yield from warnings_of(WeighedBreak(cutting, entry), then, BREAK_CHECKS)


IMPORT_CHECKS: tuple[Check[Entry], ...] = (
    far_day,
    closed_day,
    large_amount,
    arrival,
    far_cost,
    many_pieces,
    batch_balance,
    wrong_meat,
    picked_up,
)
"""Of each entry of a file; its prices are checked sale by sale, what is there for all of it."""

ENTRY_CHECKS: tuple[Check[Entry], ...] = (*IMPORT_CHECKS[:3], far_price, *IMPORT_CHECKS[3:])
"""Of an entry by itself."""

STOCK_CHECKS: tuple[Check[Entry], ...] = (not_on_hand, unlikely_break)
"""Of an entry that nothing else is unlikely about."""
