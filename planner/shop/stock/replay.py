"""The stock replayed from the journal: every entry in turn, in the order of the days."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from planner.core.quantities import show_day
from planner.core.recipe import Cut, Piece, Way
from planner.core.scenario import Scenario
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Filled,
    Moment,
    OrderTaken,
    Recorded,
    Sold,
    Wasted,
)
from planner.shop.stock.block_work import enter_batch, enter_break
from planner.shop.stock.dated_stock import Whole
from planner.shop.stock.entry_order import in_order, step_of
from planner.shop.stock.stocks import Stocks

TOLD = timedelta(days=7)
"""What was unlikely longer ago is not told: by now it is sold, out of date, or counted."""


@dataclass(frozen=True, slots=True)
class Broke:
    """Pieces that were cut on a day, by the names of the recipes in use."""

    day: date
    piece: str
    count: int
    way: Way

    @property
    def minutes(self) -> float:
        """Bench time by the recipe."""
        return self.count * self.way.minutes


@dataclass(frozen=True, slots=True)
class Ground:
    """A batch of a blend: pounds made, pounds of each cut that went in, minutes by the recipe."""

    day: date
    blend: str
    made: float
    took: dict[str, float]
    minutes: float


@dataclass(slots=True)
class PromisedOrder:
    """An order, and how much of it was picked up."""

    number: int
    cut: Cut
    taken: OrderTaken
    filled: float = 0.0


class StockBook:
    """What there is, and what was done lately, entry by entry.

    Of all that counts, orders are looked up when they are filled, and deliveries tell weights.
    Warnings go back `TOLD` before `day`; `broke`, `ground` and `sold` (over the counter: pounds
    or each by day and cut) are kept from its Monday on. Without a day it is only stock. `promises`
    are orders by the number of their entry.
    """

    def __init__(
        self, scenario: Scenario, recorded: Iterable[Recorded], day: date | None = None
    ) -> None:
        self.scenario, self.stocks = scenario, Stocks(scenario, day - TOLD if day else date.max)
        self._kept_from = day - timedelta(days=day.weekday()) if day else date.max
        self.broke: list[Broke] = []
        self.ground: list[Ground] = []
        self.sold: defaultdict[tuple[date, str], float] = defaultdict(float)
        self._counted: dict[str, tuple[date, Moment, int]] = {}
        self._recorded = list(recorded)
        self._note_weights(self._recorded)
        self.promises: dict[int, PromisedOrder] = {}
        for each in self._recorded:
            if isinstance(order := each.entry, OrderTaken):
                by_each = order.quantity.by_each
                cut = self.stocks.cut_named(order.cut, order.day, by_each=by_each)
                if cut is not None:
                    self.promises[each.number] = PromisedOrder(each.number, cut, order)

    @cached_property
    def _waiting(self) -> deque[Recorded]:
        return deque(in_order(self._recorded, self.stocks.known.rank))

    def up_to(self, day: date, step: int) -> None:
        """Put in all up to a step of a day (`step_of`) that is not in yet."""
        while self._waiting:
            entry = self._waiting[0].entry
            if (entry.day, step_of(entry) or 0) > (day, step):
                return
            self.enter(self._waiting.popleft())

    def enter(self, recorded: Recorded) -> None:
        """Put in what happened; entries come in the order of the days (`in_order`)."""
        stocks = self.stocks
        match recorded.entry:
            case Sold(day, full, quantity):
                cut = stocks.cut_named(full, day, by_each=quantity.by_each)
                if cut is not None:
                    stocks.take(cut, quantity.amount, day, "sold")
                    if day >= self._kept_from:
                        self.sold[day, cut.name] += quantity.amount
            case BreakDone() as entry:
                broke = enter_break(stocks, entry)
                if broke and entry.day >= self._kept_from:
                    piece, way = broke
                    self.broke.append(Broke(entry.day, piece.name, entry.count, way))
            case BatchMade(day, _, pounds) as entry:
                ground = enter_batch(stocks, entry)
                if ground and day >= self._kept_from:
                    blend, took = ground
                    minutes = pounds * blend.minutes
                    self.ground.append(Ground(day, blend.cut.name, pounds, took, minutes))
            case Filled(day, order, amount):
                promise = self.promises.get(order)
                if promise is None:
                    sentence = f"order {order} was picked up, but is not in the journal: left out"
                    stocks.warn(day, sentence)
                else:
                    promise.filled += amount
                    stocks.take(promise.cut, amount, day, "picked up")
            case Delivery(day, what) as entry:
                whole = stocks.piece_named(what, day)
                if whole is not None:
                    stocks.put_pieces(whole, entry.each, day, entry.cost or 0.0)
            case Count(day, _, what, quantity) as entry:
                thing = stocks.thing_named(what, day, by_each=quantity.by_each)
                if thing is not None:
                    self._count(entry, thing, recorded.writing)
            case Wasted(day, what, quantity):
                thing = stocks.thing_named(what, day, by_each=quantity.by_each)
                if thing is not None:
                    stocks.throw(thing, quantity.amount, day)

    def _count(self, entry: Count, thing: Cut | Piece, writing: int) -> None:
        """Put a count in place of what was expected; the last writing of a moment counts."""
        stocks, name = self.stocks, thing.name
        begins = self._counted.get(name) != (entry.day, entry.at, writing)
        self._counted[name] = entry.day, entry.at, writing
        made = min(entry.made or entry.day, entry.day)
        last = made + timedelta(days=thing.keeps - 1)
        amount, count = entry.quantity.amount, round(entry.quantity.amount)
        if last < entry.day and amount > 0:
            what = f"{count} {name}" if isinstance(thing, Piece) else stocks.amount(amount, thing)
            sentence = f"counted {what} made {show_day(made)}: out of date, so left out of the plan"
            stocks.warn(entry.day, sentence)
        if isinstance(thing, Cut):
            pile = stocks.cuts[name]
            if begins:
                pile.clear()
                stocks.counted(name)
            pile.put(amount, made, last)
            return
        cooler = stocks.pieces[name]
        cooler.open(entry.day)
        there = [each.pounds for each in cooler.there or cooler.late]  # the same, counted
        pounds = entry.pounds / count if entry.pounds and count else None
        pounds = pounds or (sum(there) / len(there) if there else stocks.usual(name))
        if begins:
            cooler.clear()
            stocks.counted(name)
        if count and pounds is None:
            sentence = f"the weight of a {name} is not known: those counted are left out"
            stocks.warn(entry.day, sentence)
        elif count and pounds is not None:
            cooler.put([Whole(pounds, made, last)] * count)
            stocks.weighed(name, pounds)

    def _note_weights(self, recorded: Iterable[Recorded]) -> None:
        """Note what a head weighs where no entry of before tells: by offers, then by deliveries."""
        for lot in self.scenario.lots:
            self.stocks.weighs_about(lot.piece, lot.weight)
        deliveries = [each.entry for each in recorded if isinstance(each.entry, Delivery)]
        for entry in sorted(deliveries, key=lambda each: each.day):
            piece = self.stocks.known.piece(entry.what)
            if piece is not None:
                self.stocks.weighs_about(piece.name, entry.total / entry.head)
