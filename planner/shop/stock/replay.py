"""The stock replayed from the journal: every entry in turn, in the order of the days."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from planner.core.recipe import Cut, Way
from planner.core.scenario import Scenario
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Filled,
    OrderTaken,
    Recorded,
    Sold,
    Wasted,
)
from planner.shop.stock.block_work import enter_batch, enter_break
from planner.shop.stock.counted import Counted
from planner.shop.stock.entry_order import in_order, step_of
from planner.shop.stock.stocks import Stocks


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

    Of all that counts, orders are looked up when they are filled, and deliveries tell weights. What
    was odd before `told_from` is not told: nobody can put it right any more. `broke`, `ground` and
    `sold` (over the counter: pounds or each by day and cut) are kept from `kept_from` on;
    `promises` are orders by the number of their entry.
    """

    def __init__(
        self, scenario: Scenario, recorded: Iterable[Recorded], told_from: date, kept_from: date
    ) -> None:
        self.scenario, self.stocks = scenario, Stocks(scenario, told_from)
        self.broke: list[Broke] = []
        self.ground: list[Ground] = []
        self.sold: defaultdict[tuple[date, str], float] = defaultdict(float)
        self._kept_from = kept_from
        self._counted = Counted(self.stocks)
        self._recorded = list(recorded)
        self._note_weights(self._recorded)
        self.promises = dict(self._promises(self._recorded))

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
        match recorded.entry:
            case Sold() as entry:
                self._sold(entry)
            case BreakDone() as entry:
                self._break(entry)
            case BatchMade() as entry:
                self._batch(entry)
            case Filled() as entry:
                self._filled(entry)
            case Delivery() as entry:
                self._delivery(entry)
            case Count() as entry:
                self._counted.enter(entry, recorded.writing)
            case Wasted() as entry:
                self._wasted(entry)

    def _promises(self, recorded: Iterable[Recorded]) -> Iterator[tuple[int, PromisedOrder]]:
        for each in recorded:
            entry = each.entry
            if isinstance(entry, OrderTaken):
                cut = self.stocks.cut_named(entry.cut, entry.day, by_each=entry.quantity.by_each)
                if cut is not None:
                    yield each.number, PromisedOrder(each.number, cut, entry)

    def _note_weights(self, recorded: Iterable[Recorded]) -> None:
        """Note what a head weighs where no entry of before tells: by offers, then by deliveries."""
        for lot in self.scenario.lots:
            self.stocks.weighs_about(lot.piece, lot.weight)
        deliveries = [each.entry for each in recorded if isinstance(each.entry, Delivery)]
        for entry in sorted(deliveries, key=lambda each: each.day):
            piece = self.stocks.known.piece(entry.what)
            if piece is not None:
                self.stocks.weighs_about(piece.name, entry.total / entry.head)

    def _delivery(self, entry: Delivery) -> None:
        piece = self.stocks.piece_named(entry.what, entry.day)
        if piece is not None:
            self.stocks.put_pieces(piece, entry.each, entry.day, entry.cost or 0.0)

    def _sold(self, entry: Sold) -> None:
        cut = self.stocks.cut_named(entry.cut, entry.day, by_each=entry.quantity.by_each)
        if cut is not None:
            self.stocks.take(cut, entry.quantity.amount, entry.day, "sold")
            if entry.day >= self._kept_from:
                self.sold[entry.day, cut.name] += entry.quantity.amount

    def _filled(self, entry: Filled) -> None:
        promise = self.promises.get(entry.order)
        if promise is None:
            sentence = f"order {entry.order} was picked up, but is not in the journal: left out"
            self.stocks.odd(entry.day, sentence)
            return
        promise.filled += entry.amount
        self.stocks.take(promise.cut, entry.amount, entry.day, "picked up")

    def _wasted(self, entry: Wasted) -> None:
        piece = self.stocks.known.piece(entry.what)
        if piece is not None and entry.quantity.by_each:
            self.stocks.throw_pieces(piece, round(entry.quantity.amount), entry.day)
        elif piece is not None:
            sentence = f"{piece.name} is counted, but was thrown away by weight: left out"
            self.stocks.odd(entry.day, sentence)
        else:
            cut = self.stocks.cut_named(entry.what, entry.day, by_each=entry.quantity.by_each)
            if cut is not None:
                self.stocks.throw(cut, entry.quantity.amount, entry.day)

    def _break(self, entry: BreakDone) -> None:
        found = enter_break(self.stocks, entry)
        if found and entry.day >= self._kept_from:
            piece, way = found
            self.broke.append(Broke(entry.day, piece.name, entry.count, way))

    def _batch(self, entry: BatchMade) -> None:
        found = enter_batch(self.stocks, entry)
        if found and entry.day >= self._kept_from:
            blend, took = found
            minutes = entry.pounds * blend.minutes
            self.ground.append(Ground(entry.day, blend.cut.name, entry.pounds, took, minutes))
