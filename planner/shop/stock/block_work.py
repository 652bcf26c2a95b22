"""Work at the block and the grinder: what breaks and batches take, and what they give."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from planner.core.recipe import LOSS, Blend, Cut, Given, Piece, Way, full_name
from planner.core.stock_replay import DUST
from planner.journal.entries import BatchMade, BreakDone, Weighed
from planner.shop.stock.stocks import Stocks


def enter_break(stocks: Stocks, entry: BreakDone) -> tuple[Piece, Way] | None:
    """Take pieces out of the cooler, and put in what they gave: as weighed, else by the recipe.

    Returns what was cut and how; None, and told, where no recipe has it.
    """
    known, piece = stocks.known, stocks.piece_named(entry.piece, entry.day)
    if piece is None:
        return None
    way = piece.ways.get(entry.way)
    if way is None:
        sentence = f"no recipe here cuts {piece.name} as {entry.way}: such work is left out"
        stocks.warn(entry.day, sentence, dated=False)
        return None
    weights = stocks.take_pieces(piece, entry.count, entry.day, entry.pounds)
    gave = _gave(stocks, entry, piece.species)
    for given in way.pieces:
        each = _pieces_given(given, weights, gave.pop(given.name, None))
        stocks.put_pieces(known.pieces[given.name], each, entry.day)
    for given in way.cuts:
        cut = stocks.scenario.cuts[given.name]
        stocks.put(cut, _cut_given(cut, given, weights, gave.pop(given.name, None)), entry.day)
    for name, said in gave.items():  # the recipe does not know of it, but the scale does
        if more := stocks.scenario.cuts.get(name):
            amount = (said.count if more.by_each else said.pounds) or 0.0
            stocks.put(more, float(amount), entry.day)
        else:
            count = said.count or 1
            each = [(said.pounds or 0.0) / count] * count
            stocks.put_pieces(known.pieces[name], each, entry.day)
    return piece, way


def enter_batch(stocks: Stocks, entry: BatchMade) -> tuple[Blend, dict[str, float]] | None:
    """Take what goes into a batch out of the case, and put in what it made.

    Returns the blend and the pounds of each cut that went in; None, and told, where no recipe has
    the blend.
    """
    cut = stocks.cut_named(entry.blend, entry.day)
    if cut is None:
        return None
    blend = stocks.known.blends.get(cut.name)
    if blend is None:
        stocks.unknown(f"a blend called {cut.name}", entry.day)
        return None
    took: dict[str, float] = {}
    for each in entry.took:
        taken = stocks.cut_named(each.what, entry.day)
        if taken is not None and each.pounds is not None:
            took[taken.name] = took.get(taken.name, 0.0) + each.pounds
    if not entry.took:
        took = _taken_from_stock(stocks, blend, entry.pounds / blend.gain, entry.day)
        made = stocks.amount(entry.pounds, cut)
        sentence = f"what went into {made} was not entered: taken from what there was"
        stocks.warn(entry.day, sentence)
    for name, pounds in took.items():
        stocks.take(stocks.scenario.cuts[name], pounds, entry.day, f"put into {cut.name}")
    stocks.put(cut, entry.pounds, entry.day)
    return blend, took


def _gave(stocks: Stocks, entry: BreakDone, species: str) -> dict[str, Weighed]:
    """What was weighed of what a break gave, by today's names; alike things together."""
    found: dict[str, Weighed] = {}
    for each in entry.gave:
        thing = stocks.known.piece(each.what) or stocks.known.cut(each.what)
        if thing is not None:
            had = found.get(thing.name, Weighed("", None, None))
            count, pounds = _sum(had.count, each.count), _sum(had.pounds, each.pounds)
            found[thing.name] = Weighed(each.what, None if count is None else int(count), pounds)
        elif each.what not in (LOSS, full_name(species, LOSS)):
            stocks.unknown(each.what, entry.day)
    return found


def _sum(one: float | None, other: float | None) -> float | None:
    """What is known of both together."""
    return one if other is None else other if one is None else one + other


def _number(usual: int, said: Weighed | None) -> int:
    """How many things a break gave: as counted, but where only some were weighed, as usual."""
    if said is None or said.count is None:
        return usual
    return max(usual, said.count) if said.pounds is not None else said.count


def _pieces_given(given: Given, weights: Sequence[float], said: Weighed | None) -> list[float]:
    """Pounds of each piece that a break gave."""
    each = [weight * given.share for weight in weights for _ in range(given.count)]
    number = _number(len(each), said)
    if said and said.pounds is not None and number:
        return [said.pounds / (said.count or number)] * number
    return each if number == len(each) else [sum(each) / max(len(each), 1)] * number


def _cut_given(cut: Cut, given: Given, weights: Sequence[float], said: Weighed | None) -> float:
    """Pounds, or each, of a cut that a break gave."""
    if cut.by_each:
        return float(_number(len(weights) * given.count, said))
    weighed = said.pounds if said else None
    return sum(weights) * given.share if weighed is None else weighed


def _taken_from_stock(stocks: Stocks, blend: Blend, pounds: float, day: date) -> dict[str, float]:
    """What there is of what may go in, in the order of the recipe, as far as it is needed."""
    took: dict[str, float] = {}
    for name in blend.takes:
        pile = stocks.cuts[name]
        pile.open(day)
        took[name] = min(pile.amount, pounds)
        pounds -= took[name]
    if pounds > DUST:
        took[blend.takes[0]] += pounds  # more than there was: told when it is taken
    return {name: amount for name, amount in took.items() if amount > DUST}
