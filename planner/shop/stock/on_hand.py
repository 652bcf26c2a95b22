"""What the shop has at a moment: cuts in the case, pieces in the cooler, open orders."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Literal, TypeAlias

from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.journal.counting import is_filled
from planner.journal.entries import Recorded
from planner.shop.stock.entry_order import COUNTED_LAST
from planner.shop.stock.replay import PromisedOrder, StockBook

When: TypeAlias = Literal["open", "now", "close"]
"""Of a day: before it begins, with all that was entered for it so far, after its counts."""


@dataclass(frozen=True, slots=True)
class OnHand:
    """A portion of a cut or blend: pounds or each, the day it was made, the last it may be used."""

    cut: str
    amount: float
    made: date
    last: date


@dataclass(frozen=True, slots=True)
class InCooler:
    """Pieces alike: the pounds of each, the day they came or were made, the last they may be cut.

    `cost` is money a pound where they were delivered at one, else 0.
    """

    piece: str
    count: int
    pounds: float
    made: date
    last: date
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class OpenOrder:
    """What is still to be picked up of an order; `number` is that of its entry.

    `price` is per pound or each; None is the full price. `begun`: some of it was picked up already.
    """

    number: int
    cut: str
    day: date
    amount: float
    price: float | None
    buyer: str
    begun: bool = False


@dataclass(frozen=True)
class Stand:
    """What there is at a moment of a day by the journal; the oldest stands first.

    What is in date stands in the order of the recipes, open orders by their day, overdue ones among
    them. `warnings` is what of the last days does not fit together, a sentence each.
    """

    day: date
    cuts: tuple[OnHand, ...]
    cooler: tuple[InCooler, ...]
    orders: tuple[OpenOrder, ...]
    warnings: tuple[str, ...]

    def amount(self, cut: str) -> float:
        """Pounds, or each, of a cut."""
        return self._amounts.get(cut, 0.0)

    def pieces(self, piece: str) -> int:
        """How many there are of a piece."""
        return sum(each.count for each in self.cooler if each.piece == piece)

    @cached_property
    def _amounts(self) -> Mapping[str, float]:
        amounts: dict[str, float] = {}
        for each in self.cuts:
            amounts[each.cut] = amounts.get(each.cut, 0.0) + each.amount
        return amounts


def stand_at(
    shop_week: Scenario, recorded: Sequence[Recorded], day: date, moment: When = "open"
) -> Stand:
    """What there is at a moment of a day, by what counts of the journal.

    open: all that was before the day, and its opening counts. now: also what was entered for that
    day, but for its closing counts. close: these too, less what is out of date tonight.
    """
    return stand_of(booked(shop_week, recorded, day, moment), day, moment)


def booked(
    shop_week: Scenario, recorded: Sequence[Recorded], day: date, moment: When = "now"
) -> StockBook:
    """The stock replayed up to a moment of a day; its work is kept from that week's Monday on."""
    return opened_and_booked(shop_week, recorded, day, moment)[1]


def opened_and_booked(
    shop_week: Scenario, recorded: Sequence[Recorded], day: date, moment: When = "now"
) -> tuple[Stand, StockBook]:
    """What there is when a day opens, and the stock up to a moment of it, in one replay."""
    book = StockBook(shop_week, recorded, day)
    book.up_to(day, 0)
    opened = stand_of(book, day, "open")
    book.up_to(day, {"open": 0, "now": COUNTED_LAST - 1, "close": COUNTED_LAST}[moment])
    return opened, book


def stand_of(book: StockBook, day: date, moment: When = "now") -> Stand:
    """What a book says there is; in date tomorrow, where it is asked for at the close."""
    tonight = day + timedelta(days=1) if moment == "close" else day
    return Stand(
        day=day,
        cuts=tuple(_on_hand(book, tonight)),
        cooler=tuple(_in_cooler(book, tonight)),
        orders=tuple(
            sorted(_open_orders(book.promises.values()), key=lambda each: (each.day, each.number))
        ),
        warnings=book.stocks.warnings,
    )


def _on_hand(book: StockBook, day: date) -> Iterator[OnHand]:
    for name in book.scenario.cuts:
        found: defaultdict[tuple[date, date], float] = defaultdict(float)
        for each in book.stocks.cuts[name].there:
            if each.last >= day and each.amount > DUST:
                found[each.made, each.last] += each.amount
        for (made, last), amount in found.items():
            yield OnHand(name, amount, made, last)


def _in_cooler(book: StockBook, day: date) -> Iterator[InCooler]:
    for recipe in book.scenario.recipes:
        for name in recipe.pieces:
            there = Counter(each for each in book.stocks.pieces[name].there if each.last >= day)
            for one, count in there.items():
                yield InCooler(name, count, one.pounds, one.made, one.last, one.cost)


def _open_orders(promises: Iterable[PromisedOrder]) -> Iterator[OpenOrder]:
    """What is still to be picked up; the rest of an order all but filled is let go."""
    for each in promises:
        entry, filled = each.taken, each.filled
        if not is_filled(entry.quantity, filled):
            yield OpenOrder(
                each.number,
                each.cut.name,
                entry.day,
                entry.quantity.amount - filled,
                entry.price,
                entry.buyer,
                begun=filled > 0,
            )
