"""What is odd about an entry: it can be, but a slip is likelier, and it needs a yes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from planner.journal.entries import (
    BatchMade,
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
from planner.measures import POUNDS, show_count, show_weight
from planner.recipe import piece_shares, recipe_with
from planner.shop.entering.orders import NOTHING, OrderState
from planner.shop.entering.plausible import doubt_of_batch
from planner.shop.entering.things import Thing, Things

MOST_AHEAD, MOST_BACK = 14, 60
"""Days from today within which a shop enters what happens."""

MOST_EARLY = 3
"""Days before its day on which an order may be picked up."""

MOST_POUNDS, MOST_EACH = 100.0, 50.0
"""A day's sale, waste or order of one cut that is never odd by itself (no source)."""

MORE = 3.0
"""How many times the most there was before, or a whole week's want, is odd."""

MOST_HEAD, MOST_BREAKS = 200, 200

HEAVIER = 1.6
"""How far from the weights that are usual one may be, as a factor."""

USUAL_POUNDS = {
    "lamb": (25.0, 115.0),
    "goat": (15.0, 115.0),
    "hog": (60.0, 400.0),
    "veal": (40.0, 450.0),
    "beef": (60.0, 1000.0),
}
"""Pounds of what a shop buys of a species, a quarter, a side or a carcass (from memory)."""


@dataclass(frozen=True, slots=True)
class Usual:
    """What is usual at a shop.

    Attributes
    ----------
    most : mapping of str to float
        The most of a thing that was entered at once, or that a week wants: pounds or each.
    weights : mapping of str to tuple of float
        Least and most pounds of one of what arrives.
    """

    most: Mapping[str, float]
    weights: Mapping[str, tuple[float, float]]


def usual_of(things: Things, entries: Iterable[Recorded]) -> Usual:
    """What is usual, out of shop.yaml and of the journal."""
    most: dict[str, float] = {}
    weights: dict[str, tuple[float, float]] = {}
    for name, demand in things.week.demand.items():
        if name in things.cuts:
            most[things.cuts[name].full] = sum(demand.want)
    for lot in things.week.lots:
        _widen(weights, things.pieces[lot.piece].full, (lot.weight,))
    for one in entries:
        entry = one.entry
        if isinstance(entry, Sold | OrderTaken):
            most[entry.cut] = max(most.get(entry.cut, 0.0), entry.amount)
        elif isinstance(entry, Delivery):
            _widen(weights, entry.what, entry.pounds)
    return Usual(most, weights)


def oddities(
    entry: Entry,
    things: Things,
    usual: Usual,
    orders: Mapping[int, OrderState],
    today: date,
) -> list[str]:
    """What is odd about an entry, each a sentence that begins with what it is about."""
    told = [*_of_day(entry, today)]
    match entry:
        case Sold(cut=name) | OrderTaken(cut=name) | Wasted(what=name):
            told += _of_amount(name, entry.amount, entry.by_each, things, usual)
        case Delivery():
            told += _of_delivery(entry, things, usual)
        case BreakDone(piece=name, count=count) if count > MOST_BREAKS:
            told.append(f"{count} {_short(name, things)} is many to cut in a day")
        case BatchMade():
            told += _of_batch(entry, things)
        case Filled():
            told += _of_filled(entry, orders, things)
        case _:
            pass
    return told


def _of_day(entry: Entry, today: date) -> list[str]:
    ahead = (entry.day - today).days
    when = entry.day.isoformat()
    if ahead > MOST_AHEAD:
        return [f"{when} is {ahead} days ahead"]
    if ahead < -MOST_BACK:
        return [f"{when} is {-ahead} days ago"]
    if ahead > 0 and not isinstance(entry, Delivery | OrderTaken):
        return [f"{when} has not come yet"]
    if ahead < 0 and isinstance(entry, OrderTaken):
        return [f"{when} is over, and this is an order for it"]
    return []


def _of_amount(name: str, amount: float, by_each: bool, things: Things, usual: Usual) -> list[str]:
    floor = MOST_EACH if by_each else MOST_POUNDS
    most = max(floor, MORE * usual.most.get(name, 0.0))
    if amount <= most:
        return []
    unit = things.week.unit
    much = f"{amount:g}" if by_each else show_weight(amount, unit)
    limit = f"{most:g}" if by_each else show_weight(most, unit)
    return [f"{much} of {_short(name, things)} is a lot for this shop (more than {limit})"]


def _of_delivery(entry: Delivery, things: Things, usual: Usual) -> list[str]:
    told = []
    name, unit = _short(entry.what, things), things.week.unit
    if entry.head > MOST_HEAD:
        told.append(f"{entry.head} head of {name} is many for a shop")
    bounds = _bounds(entry.what, things, usual)
    if bounds:
        least, most = bounds
        off = next((each for each in entry.pounds if not least <= each <= most), None)
        if off is not None:
            usual_text = f"{show_weight(least, unit).removesuffix(f' {unit}')} to "
            usual_text += f"{show_weight(most, unit)} is expected"
            mixed = _mixed_up(off, least, most, unit)
            told.append(f"{name} of {show_weight(off, unit)}: {usual_text}{mixed}")
    return told


def _bounds(name: str, things: Things, usual: Usual) -> tuple[float, float] | None:
    """Least and most pounds expected of one: by what came before, else by the species."""
    if name in usual.weights:
        least, most = usual.weights[name]
        return least / HEAVIER, most * HEAVIER
    thing = things.by_full.get(name)
    if thing is None:
        return None
    recipe = recipe_with(things.week.recipes, thing.name)
    if recipe.species not in USUAL_POUNDS:
        return None
    least, most = USUAL_POUNDS[recipe.species]
    for root in recipe.roots:
        share = piece_shares(recipe, root).get(thing.name)
        if share:
            return least * share, most * share
    return None


def _of_batch(entry: BatchMade, things: Things) -> list[str]:
    thing = things.by_full.get(entry.blend)
    blend = things.week.blends.get(thing.name) if thing else None
    if thing is None or blend is None or not entry.took:
        return []
    told = []
    weights = [each.pounds for each in entry.took if each.pounds is not None]
    whole = sum(weights) if len(weights) == len(entry.took) else None
    doubt = doubt_of_batch(thing.name, blend.gain, entry.pounds, whole, things.week.unit)
    if doubt:
        told.append(doubt)
    for each in entry.took:
        part = things.by_full.get(each.what)
        if part and part.name not in blend.takes:
            takes = ", ".join(blend.takes)
            told.append(f"{part.name} does not go into {thing.name} (only {takes})")
    return told


def _of_filled(entry: Filled, orders: Mapping[int, OrderState], things: Things) -> list[str]:
    state = orders.get(entry.order)
    if state is None:
        return []
    unit, order = things.week.unit, state.order
    early = (order.day - entry.day).days
    when = [f"order {entry.order} is for {order.day}, {early} days after {entry.day}"]
    soon = when if early > MOST_EARLY else []
    if entry.amount <= state.left + NOTHING:
        return soon

    def told(amount: float) -> str:
        return f"{amount:g}" if order.by_each else show_weight(amount, unit)

    of = f"{told(order.amount)} of {_short(order.cut, things)}"
    left = told(state.left) if state.open else "nothing"
    more = f"{told(entry.amount)} is more"
    return [*soon, f"order {entry.order} is for {of}, of which {left} is left; {more}"]


def _mixed_up(weight: float, least: float, most: float, unit: str) -> str:
    """`; did you mean kg?` where the same figure would do in the other unit."""
    other = "kg" if unit == "lb" else "lb"
    swapped = weight / POUNDS[unit] * POUNDS[other]
    return f"; did you mean {other}?" if least <= swapped <= most else ""


def _widen(weights: dict[str, tuple[float, float]], name: str, pounds: Iterable[float]) -> None:
    each = (*weights.get(name, ()), *pounds)
    weights[name] = min(each), max(each)


def _short(name: str, things: Things) -> str:
    thing: Thing | None = things.by_full.get(name)
    return thing.name if thing else name


def imported_oddities(
    entries: Iterable[Entry], recorded: Iterable[Recorded], today: date
) -> list[str]:
    """What is odd about many entries at once: they are there already, or of a time to come.

    The same again is what most entries of some day are: of the same kind, thing and amount. Sales
    of another sum, or of other days, may well be entered in several files.
    """
    there = {_same(one.entry) for one in recorded}
    of_day: dict[date, list[bool]] = {}
    ahead = 0
    for entry in entries:
        of_day.setdefault(entry.day, []).append(_same(entry) in there)
        ahead += entry.day > today and not isinstance(entry, Delivery | OrderTaken)
    again = sorted(day for day, each in of_day.items() if 2 * sum(each) > len(each))
    told = []
    if again:
        some = again[0].isoformat()
        days = some if len(again) == 1 else f"{len(again)} days ({some} to {again[-1]})"
        entered = sum(sum(of_day[day]) for day in again)
        number = show_count(entered, "entry", "entries")
        told.append(f"{number} of {days} stand in the journal already")
    if ahead:
        told.append(f"{show_count(ahead, 'entry', 'entries')} of a day that has not come yet")
    return told


def _same(entry: Entry) -> tuple[object, ...]:
    """What makes two entries the same to whoever enters a file again."""
    match entry:
        case Sold() | Count() | Wasted() | OrderTaken():
            name = entry.cut if isinstance(entry, Sold | OrderTaken) else entry.what
            return type(entry), entry.day, name, round(entry.amount, 6)
        case Filled(day=day, amount=amount):
            return type(entry), day, round(amount, 6)
        case _:
            return type(entry), entry
