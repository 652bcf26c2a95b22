"""Checks of a count of the case and the cooler: against the stock, else what a week sells."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import timedelta

from planner.core.quantities import show_count, show_day
from planner.core.stock_replay import DUST
from planner.core.units import Quantity
from planner.shop.entering.block_reader import CountedPortion
from planner.shop.entering.context import Check, EntryContext
from planner.shop.entering.counting import ItemCount
from planner.shop.entering.plausible import (
    HUGE_POUNDS,
    WeightRange,
    mixed_up,
    outside,
    piece_range,
    unlikely_pieces,
)
from planner.shop.entering.warning import EntryWarning
from planner.shop.stock.scales import SCALE_POUNDS

SLACK = 0.25
"""How much more than expected may be there: three times the 8% that a piece varies by."""

HUGE_COUNT = 10_000
"""What no shop has of one thing."""

MORE = 3.0
"""How many times what a week sells is questioned, where the journal tells nothing."""

FEW_POUNDS, FEW_EACH = 50.0, 6.0
"""So much of a thing is never questioned for what a week sells (common practice, no source)."""


def large_count(count: ItemCount, context: EntryContext) -> Iterator[EntryWarning]:
    """More than can be there by the journal."""
    line, amount, could, units = count.line, count.counted, count.line.could, context.units
    thing, what = line.thing, _what(count, context)
    if _is_huge(count):
        told = f"{what} is more than a shop has"
    elif could is None or amount <= could or could <= DUST and amount <= SCALE_POUNDS:
        return
    elif could <= DUST:
        told = f"{what}: by the journal there can be none"
    else:
        mixed, most = "", float(math.ceil(could - DUST))
        if not thing.by_each:
            most = could * (1 + SLACK)
            mixed = mixed_up(amount, WeightRange(0.0, most), units)
        if amount <= most + (0.0 if thing.by_each else SCALE_POUNDS):
            return
        told = f"{what}: at most {units.show(Quantity(most, thing.by_each))} can be there{mixed}"
    if thing.piece and line.one and piece_range(line.one).has(amount * units.pounds):
        told += f"; did you mean 1 {thing.name} at {amount:g} {units.unit}?"
    yield EntryWarning(told)


def beyond_need(count: ItemCount, context: EntryContext) -> Iterator[EntryWarning]:
    """Far more than a week sells, where the journal does not tell what can be there.

    Of pieces it is their weight against all that is sold of the species.
    """
    thing, amount, units = count.line.thing, count.counted, context.units
    if count.line.could is not None or _is_huge(count):
        return
    typical, species = context.typical, context.catalog.species(thing)
    of_species, what = typical.sold_of_species.get(species, 0.0), _what(count, context)
    if thing.piece:
        one, by_species = _mean(count.portions) or count.line.one, typical.by_species(thing)
        if amount > FEW_EACH and of_species and by_species:
            least = amount * (one or by_species.least)
            if least > MORE * of_species:
                weigh = f"{what} weigh{'' if one else ' at least'} {units.weight(least)}"
                week = f"a week sells about {units.weight(of_species)} of {species}"
                yield EntryWarning(f"{weigh}: {week}")
        return
    sold, few, of = typical.sold.get(thing.name, 0.0), FEW_EACH, ""
    if thing.by_each:
        told = f"about {math.ceil(sold)}" if sold else "none"
    else:
        few = FEW_POUNDS
        if not sold:  # trim, bones: less than all that is sold of the animal
            sold, of = of_species, f" of {species} in all"
        told = f"about {units.weight(sold)}{of}"
    if amount > max(MORE * sold, few):
        yield EntryWarning(f"{what}: a week sells {told}")


def counts_delivery(count: ItemCount, context: EntryContext) -> Iterator[EntryWarning]:
    """The delivery of the day seems to be in an opening count."""
    line = count.line
    if line.arrives and count.counted > line.amount:
        one = line.arrives == 1
        come, them = ("comes in and is", "it") if one else ("come in and are", "them")
        what = f"{line.arrives} {line.thing.name} {come} added to this count"
        delivery = f"delivery of {show_day(context.day)}"
        yield EntryWarning(f"{what} ({delivery}): count without {them}")


def out_of_date(count: ItemCount, context: EntryContext) -> Iterator[EntryWarning]:
    """Older than it keeps."""
    thing = count.line.thing
    for each in count.portions:
        last = each.made and each.made + timedelta(days=thing.keeps - 1)
        if each.made and last and last < context.day and each.amount:
            days = show_count(thing.keeps, "day")
            yield EntryWarning(
                f"{thing.name} made {show_day(each.made)} keeps {days}, "
                f"so it was out of date after {show_day(last)}"
            )


def portion_weights(count: ItemCount, context: EntryContext) -> Iterator[EntryWarning]:
    """Pieces that weigh far more or less than they should."""
    line, units, name = count.line, context.units, count.line.thing.name
    by_species = context.typical.by_species(line.thing) if line.thing.piece else None
    for each in count.portions:
        told = ""
        if not each.pounds or not each.amount:
            continue
        if line.one is not None:
            number = round(each.amount)
            expected = (_mean(line.expected) or line.one) * number
            told = unlikely_pieces(name, number, each.pounds, expected, units)
        elif by_species:
            one = each.pounds / each.amount
            told = outside(f"{name} of {units.weight(one)}", one, by_species, units)
        if told:
            yield EntryWarning(told)


COUNT_CHECKS: tuple[Check[ItemCount], ...] = (
    large_count,
    beyond_need,
    counts_delivery,
    out_of_date,
    portion_weights,
)


def _is_huge(count: ItemCount) -> bool:
    return count.counted > (HUGE_COUNT if count.line.thing.by_each else HUGE_POUNDS)


def _what(count: ItemCount, context: EntryContext) -> str:
    """`3 leg`, `3.5 lb of loin chops`."""
    thing = count.line.thing
    of = "" if thing.by_each else "of "
    return f"{context.units.show(Quantity(count.counted, thing.by_each))} {of}{thing.name}"


def _mean(portions: Sequence[CountedPortion]) -> float | None:
    """What one of the pieces weighs that were weighed."""
    known = [(each.amount, each.pounds) for each in portions if each.pounds]
    number = math.fsum(amount for amount, _ in known)
    return math.fsum(pounds for _, pounds in known) / number if number else None
