"""Checks of entries by themselves, whatever lies in the case: days, amounts, prices, weights."""

from __future__ import annotations

from collections.abc import Iterator

from planner.core.quantities import show_money, show_weight
from planner.core.recipe import recipe_with
from planner.journal.counting import NOTHING
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    Sold,
    Wasted,
)
from planner.shop.entering.block_checks import batch_balance
from planner.shop.entering.context import Check, EntryContext
from planner.shop.entering.duplicates import key_of
from planner.shop.entering.plausible import outside
from planner.shop.entering.warning import EntryWarning

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
"""How many times the most of before is questioned; a price so many times the usual, or less."""

MOST_HEAD, MOST_BREAKS = 60, 200
FEW_HEAD = 6
"""Head at once that are never questioned."""


def far_day(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """A day that is far off, or that has not come or is over where it should not."""
    ahead = (entry.day - context.day).days
    when = entry.day.isoformat()
    if ahead > MOST_AHEAD:
        yield EntryWarning(f"{when} is {ahead} days ahead", f"more than {MOST_AHEAD} days ahead")
    elif ahead < -LONG_BACK:
        yield EntryWarning(f"{when} is {-ahead} days ago", "of more than five years ago")
    elif ahead < -MOST_BACK:
        yield EntryWarning(f"{when} is {-ahead} days ago", f"of more than {MOST_BACK} days ago")
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
    amount, by_each = entry.quantity.amount, entry.quantity.by_each
    want = context.typical.want.get(name, 0.0)
    before = context.typical.most.get(name, 0.0)
    if isinstance(entry, OrderTaken):
        most = max(ORDER_EACH if by_each else ORDER_POUNDS, MORE * want, MORE * before)
    else:
        most = max(MOST_EACH if by_each else MOST_POUNDS, want, MORE * before)
    if amount > most:
        much, limit = (context.amount(each, by_each) for each in (amount, most))
        told = f"{much} of {context.name(name)} is a lot for this shop (more than {limit})"
        yield EntryWarning(told, "of more than is usual here")


def far_price(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """A price far from the full one, or money without an amount."""
    if isinstance(entry, OrderTaken):
        price = entry.price
    elif not isinstance(entry, Sold) or entry.money is None:
        return
    elif entry.quantity.amount > NOTHING:
        price = entry.money / entry.quantity.amount
    else:
        if entry.money and abs(entry.quantity.amount) <= NOTHING and not entry.sold_out:
            money = show_money(entry.money, context.things.week.money)
            told = f"{money} for no {context.name(entry.cut)}"
            yield EntryWarning(told, "with money for nothing")
        return
    thing = context.things.by_full.get(entry.cut)
    full = context.things.price(thing) if thing else None
    if thing and full and price is not None and not full / MORE <= price <= full * MORE:
        told = f"{thing.name} at {context.rate(price, entry.quantity.by_each)}"
        usual = context.rate(full, entry.quantity.by_each)
        yield EntryWarning(f"{told}: {usual} is the full price", "at a price far from the full one")


def many_head(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """More head than come at once."""
    if not isinstance(entry, Delivery):
        return
    most = context.typical.head.get(entry.what)
    if entry.head > (MOST_HEAD if most is None else max(FEW_HEAD, MORE * most)):
        least = "" if most is None else f"; at most {most} came at once or are on offer"
        told = f"{entry.head} head of {context.name(entry.what)} is many for this shop{least}"
        yield EntryWarning(told, "of many head")


def arriving_weight(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """A weight of what arrives that is far from those of before."""
    found = context.typical.weight(entry.what) if isinstance(entry, Delivery) else None
    if found and isinstance(entry, Delivery):
        for pounds in entry.pounds:
            what = f"{context.name(entry.what)} of {show_weight(pounds, context.unit)}"
            told = outside(what, pounds, found, context.unit)
            if told:
                yield EntryWarning(told, "of weights that are not usual")
                return


def far_cost(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """A cost far from those of before, or above what any cut of it brings."""
    if not isinstance(entry, Delivery) or entry.cost is None:
        return
    things, kind = context.things, "at a cost that is not usual"
    told = f"{context.name(entry.what)} at {context.rate(entry.cost)}"
    if entry.what in context.typical.costs:
        least, most = context.typical.costs[entry.what]
        if not least / MORE <= entry.cost <= most * MORE:
            expected = f"{context.rate(least / MORE)} to {context.rate(most * MORE)} is expected"
            yield EntryWarning(f"{told}: {expected}", kind)
        return
    thing = things.by_full.get(entry.what)
    cuts = recipe_with(things.week.recipes, thing.name).cuts if thing else {}
    prices = [things.price(things.cuts[each]) or 0.0 for each in cuts if not cuts[each].by_each]
    if prices and entry.cost > max(prices) > 0:
        most_told = f"no cut of it sells for more than {context.rate(max(prices))}"
        yield EntryWarning(f"{told}: {most_told}", kind)


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
    blend = context.things.week.blends.get(name)
    for each in entry.took if blend else ():
        part = context.things.by_full.get(each.what)
        if blend and part and part.name not in blend.takes:
            takes = ", ".join(blend.takes)
            told = f"{part.name} does not go into {name} (only {takes})"
            yield EntryWarning(told, "of what does not go in")


def picked_up(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """An order picked up long before its day, or more of it than is left."""
    state = context.orders.get(entry.order) if isinstance(entry, Filled) else None
    if state is None or not isinstance(entry, Filled):
        return
    order, by_each = state.order, state.order.quantity.by_each
    early = (order.day - entry.day).days
    if early > MOST_EARLY:
        told = f"order {entry.order} is for {order.day}, {early} days after {entry.day}"
        yield EntryWarning(told, "long before the day of the order")
    if entry.amount > state.left + NOTHING:
        of = f"{context.amount(order.quantity.amount, by_each)} of {context.name(order.cut)}"
        left = context.amount(state.left, by_each) if state.left > NOTHING else "nothing"
        more = f"{context.amount(entry.amount, by_each)} is more"
        told = f"order {entry.order} is for {of}, of which {left} is left; {more}"
        yield EntryWarning(told, "of more than is left of the order")


def same_entry(entry: Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """The same in the journal, or entered along with it."""
    key = key_of(entry)
    number = context.numbers.get(key)
    if number is not None:
        yield EntryWarning(f"entry {number} says the same: this would enter it twice")
    elif any(key_of(each) == key for each in context.before):
        yield EntryWarning("the same entry is given twice")


IMPORT_CHECKS: tuple[Check[Entry], ...] = (
    far_day,
    closed_day,
    large_amount,
    many_head,
    arriving_weight,
    far_cost,
    many_pieces,
    batch_balance,
    wrong_meat,
    picked_up,
)
"""Of each entry of a file; its prices are checked sale by sale, what is there for all of it."""

ENTRY_CHECKS: tuple[Check[Entry], ...] = (*IMPORT_CHECKS[:3], far_price, *IMPORT_CHECKS[3:])
"""Of an entry by itself."""
