"""Stock replayed day by day: what each portion was made of, what it is used for, what lies over.

Every figure about stock comes from here: `planner.solve.replay` plays the decisions of a plan on a
`Ledger`, and checks them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from planner.core.plan_lines import Batch, Break, Sale, way_cut
from planner.core.scenario import Lot, Scenario

DUST = 1e-6
"""Amounts below this are rounding of the solver."""

SLIPS = 1e-7
"""A share of what there is, the same: the bundled solver writes eight digits."""

Maker: TypeAlias = Break | Batch
"""What made a portion."""


@dataclass(frozen=True, slots=True)
class StockPortion:
    """A part of a stock: its amount, the last day it may be used, and what made it.

    Without an origin it was there when the period opened, or arrived.
    """

    amount: float
    last_day: int
    origin: Maker | None = None


def total(portions: Iterable[StockPortion]) -> float:
    """Pounds, or each, of several portions."""
    return sum(portion.amount for portion in portions)


@dataclass(slots=True)
class Shelf:
    """One stock: its portions, in the order in which they go out of date and are used."""

    portions: list[StockPortion] = field(default_factory=list)

    @property
    def left(self) -> float:
        """On hand now."""
        return total(self.portions)

    def put(self, portion: StockPortion) -> None:
        """Put a portion on the shelf; what is alike keeps its turn."""
        if portion.amount > 0:
            self.portions.append(portion)
            self.portions.sort(key=lambda each: each.last_day)

    def use(self, amount: float) -> list[StockPortion]:
        """Take an amount off, the oldest first, and say which portions it came from.

        Raises
        ------
        ArithmeticError
            More is taken than lies there: the plan would be unsound.
        """
        taken, rest, there = [], [], self.portions
        for portion in self.portions:
            part = min(amount, portion.amount)
            amount -= part
            if part > 0:
                taken.append(StockPortion(part, portion.last_day, portion.origin))
            if portion.amount > part:
                rest.append(StockPortion(portion.amount - part, portion.last_day, portion.origin))
        if amount > 1e-4 and amount > SLIPS * total(there):
            raise ArithmeticError(f"{amount} more used than there is")
        self.portions = rest
        return taken

    def close(self, day: int) -> list[StockPortion]:
        """End a day: what may not be used tomorrow is wasted and returned, the rest lies over."""
        gone = [portion for portion in self.portions if portion.last_day <= day]
        if gone:
            self.portions = [portion for portion in self.portions if portion.last_day > day]
        if self.portions and self.left < DUST:
            self.portions = []
        return gone


@dataclass(frozen=True, slots=True)
class Use:
    """A portion of a cut that a sale or a batch takes on a day."""

    cut: str
    day: int
    part: StockPortion
    taker: Sale | Batch

    @property
    def to(self) -> str:
        """`walk-in`, `markdown`, or who ordered; empty for a batch."""
        return self.taker.to if isinstance(self.taker, Sale) else ""

    @property
    def ordered(self) -> bool:
        """Whether it is for an order."""
        return isinstance(self.taker, Sale) and self.taker.order is not None

    @property
    def made(self) -> int:
        """The day it was made; -1 where it lay in the case when the period opened."""
        return self.part.origin.day if self.part.origin else -1


@dataclass(frozen=True, slots=True)
class DayStock:
    """A cut on a day, the oldest used first: had + made = used + gone + left.

    `had` lies there in the morning, `gone` is out of date tonight, `left` lies over.
    """

    cut: str
    day: int
    had: tuple[StockPortion, ...]
    made: tuple[StockPortion, ...]
    uses: tuple[Use, ...]
    gone: tuple[StockPortion, ...]
    left: tuple[StockPortion, ...]

    @property
    def ground(self) -> Mapping[str, float]:
        """What goes into each blend."""
        into: dict[str, float] = defaultdict(float)
        for use in self.uses:
            if isinstance(use.taker, Batch):
                into[use.taker.blend] += use.part.amount
        return dict(into)

    @property
    def sold(self) -> float:
        """What is sold, orders among it."""
        return sum(use.part.amount for use in self.uses if isinstance(use.taker, Sale))


@dataclass(frozen=True, slots=True)
class PieceStock:
    """Whole pieces of a lot on a day, how many of each.

    `had` lies there before anyone begins, the `came` head that arrive that day among it; `gone` may
    not be cut tomorrow, `left` lies over; `until` is the last day on which the oldest of these may
    be cut.
    """

    lot: int
    came: int
    had: Mapping[str, int]
    gone: Mapping[str, int]
    left: Mapping[str, int]
    until: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class StockRecord:
    """The stock of a period.

    Attributes
    ----------
    cuts : tuple of mapping of str to DayStock
        For every day the stock of every cut, by name.
    pieces : tuple of tuple of PieceStock
        For every day the pieces of every lot.
    """

    cuts: tuple[Mapping[str, DayStock], ...]
    pieces: tuple[tuple[PieceStock, ...], ...]


class Ledger:
    """The stock of a scenario, played forward one day after the other.

    Attributes
    ----------
    day : int
        The first that is not closed yet.
    pieces : tuple of mapping of str to Shelf
        For every lot its whole pieces, parents first.
    cuts : mapping of str to Shelf
    """

    def __init__(self, scenario: Scenario) -> None:
        self.day = 0
        self.pieces = tuple({name: Shelf() for name in lot.weights()} for lot in scenario.lots)
        self.cuts = {name: Shelf() for name in scenario.cuts}
        for stock in scenario.case:
            self.cuts[stock.cut].put(StockPortion(stock.amount, stock.keeps - 1))
        self._scenario = scenario
        self._open()

    def _open(self) -> None:
        self._came: dict[int, int] = {}
        self._had = {name: _seen(shelf.portions) for name, shelf in self.cuts.items()}
        self._made: dict[str, list[StockPortion]] = defaultdict(list)
        self._uses: dict[str, list[Use]] = defaultdict(list)
        self._there = [_counts(shelves) for shelves in self.pieces]

    def arrive(self, lot: Lot, head: int) -> None:
        """So many of a lot arrive today."""
        self._came[lot.index] = head
        self.pieces[lot.index][lot.piece].put(StockPortion(head, self.day + lot.keeps - 1))

    def cut(self, each: Break) -> None:
        """Cut pieces that are there."""
        lot, pieces = self._scenario.lots[each.lot], self.pieces[each.lot]
        way = way_cut(self._scenario, each)
        pieces[each.piece].use(each.count)
        for given in way.pieces:
            last_day = self.day + lot.keeps_of(given.name) - 1
            pieces[given.name].put(StockPortion(each.count * given.count, last_day, each))
        for cut, amount in self._scenario.gives(way, each.weight, each.count):
            self._make(cut.name, amount, each)

    def blend(self, batch: Batch) -> None:
        """Make a batch of cuts that are there."""
        for name, weight in batch.takes.items():
            self._use(name, weight, batch)
        self._make(batch.blend, batch.made, batch)

    def sell(self, sale: Sale) -> None:
        """Sell what is there."""
        self._use(sale.cut, sale.amount, sale)

    def _make(self, name: str, amount: float, maker: Maker) -> None:
        portion = StockPortion(amount, self.day + self._scenario.cuts[name].keeps - 1, maker)
        self.cuts[name].put(portion)
        self._made[name].append(portion)

    def _use(self, name: str, amount: float, taker: Sale | Batch) -> None:
        taken = self.cuts[name].use(amount)
        self._uses[name] += [Use(name, self.day, part, taker) for part in _seen(taken)]

    def close(self) -> tuple[Mapping[str, DayStock], tuple[PieceStock, ...]]:
        """End the day: the stock of every cut and of the pieces of every lot on it."""
        cuts = {
            name: DayStock(
                cut=name,
                day=self.day,
                had=self._had[name],
                made=_seen(self._made[name]),
                uses=tuple(self._uses[name]),
                gone=_seen(shelf.close(self.day)),
                left=_seen(shelf.portions),
            )
            for name, shelf in self.cuts.items()
        }
        pieces = tuple(self._close_lot(lot) for lot in self._scenario.lots)
        self.day += 1
        self._open()
        return cuts, pieces

    def _close_lot(self, lot: Lot) -> PieceStock:
        had, came = self._there[lot.index], self._came.get(lot.index, 0)
        if came:
            had = {**had, lot.piece: had.get(lot.piece, 0) + came}
        filled = {name: shelf for name, shelf in self.pieces[lot.index].items() if shelf.portions}
        gone = {name: round(total(shelf.close(self.day))) for name, shelf in filled.items()}
        left = _counts(filled)
        return PieceStock(
            lot=lot.index,
            came=came,
            had=had,
            gone={name: number for name, number in gone.items() if number},
            left=left,
            until={name: filled[name].portions[0].last_day for name in left},
        )


def _seen(portions: Iterable[StockPortion]) -> tuple[StockPortion, ...]:
    return tuple(portion for portion in portions if portion.amount > DUST)


def _counts(shelves: Mapping[str, Shelf]) -> dict[str, int]:
    """Of every piece that is there, how many."""
    counts = {name: round(shelf.left) for name, shelf in shelves.items() if shelf.portions}
    return {name: number for name, number in counts.items() if number}
