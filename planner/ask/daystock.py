"""The stock of a day, portion by portion: what each was made of, and what it is used for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

from planner.ledger import DUST, Portion, Shelf
from planner.lines import Batch, Break, Sale
from planner.plan import Cooler, Plan, cuts_given, fill_cooler
from planner.scenario import Lot

Maker: TypeAlias = Break | Batch
"""What made a portion."""

Part: TypeAlias = Portion[Maker]
"""Pounds or each of a cut; without an origin it lay in the case when the period opened."""


@dataclass(frozen=True, slots=True)
class Use:
    """A part of a cut that a sale or a batch takes on a day."""

    cut: str
    day: int
    part: Part
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

    `gone` is out of date tonight, `left` lies over.
    """

    cut: str
    day: int
    had: tuple[Part, ...]
    made: tuple[Part, ...]
    uses: tuple[Use, ...]
    gone: tuple[Part, ...]
    left: tuple[Part, ...]

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


def total(parts: tuple[Part, ...]) -> float:
    """Pounds, or each, of several parts."""
    return sum(part.amount for part in parts)


def stock_by_day(plan: Plan) -> tuple[Mapping[str, DayStock], ...]:
    """For every day of the period the stock of every cut, by name."""
    scenario = plan.scenario
    shelves: dict[str, Shelf[Maker]] = {name: Shelf() for name in scenario.cuts}
    for stock in scenario.case:
        shelves[stock.cut].stock(stock.amount, stock.keeps - 1)
    return tuple(_day(plan, shelves, day) for day in range(scenario.days))


def _day(plan: Plan, shelves: Mapping[str, Shelf[Maker]], day: int) -> Mapping[str, DayStock]:
    scenario = plan.scenario
    had = {name: _parts(shelf) for name, shelf in shelves.items()}
    made: dict[str, list[Part]] = {name: [] for name in shelves}
    uses: dict[str, list[Use]] = {name: [] for name in shelves}

    def make(cut: str, amount: float, maker: Break | Batch) -> None:
        if amount > DUST:
            part: Part = Portion(amount, day + scenario.cuts[cut].keeps - 1, maker)
            shelves[cut].make(part.amount, part.last_day, part.origin)
            made[cut].append(part)

    def use(cut: str, amount: float, taker: Sale | Batch) -> None:
        taken = shelves[cut].use(amount)
        uses[cut] += [Use(cut, day, part, taker) for part in taken if part.amount > DUST]

    for each in plan.breaks:
        if each.day == day:
            for cut, amount in cuts_given(scenario, each):
                make(cut.name, amount, each)
    for batch in plan.batches:
        if batch.day == day:
            for name, weight in batch.takes.items():
                use(name, weight, batch)
            make(batch.blend, batch.made, batch)
    for sale in plan.sales:
        if sale.day == day:
            use(sale.cut, sale.amount, sale)
    last = day == scenario.days - 1
    gone = {name: shelf.close(day, last=last) for name, shelf in shelves.items()}
    return {
        name: DayStock(
            cut=name,
            day=day,
            had=had[name],
            made=tuple(made[name]),
            uses=tuple(uses[name]),
            gone=tuple(part for part in gone[name] if part.amount > DUST),
            left=_parts(shelf),
        )
        for name, shelf in shelves.items()
    }


def _parts(shelf: Shelf[Maker]) -> tuple[Part, ...]:
    return tuple(part for part in shelf.portions if part.amount > DUST)


@dataclass(frozen=True, slots=True)
class PieceStock:
    """Whole pieces of a lot on a day, how many of each.

    `had` lies there before anyone begins, `gone` may not be cut tomorrow, `left` lies over; `until`
    is the last day on which the oldest of these may be cut.
    """

    lot: int
    had: Mapping[str, int]
    gone: Mapping[str, int]
    left: Mapping[str, int]
    until: Mapping[str, int]


def pieces_by_day(plan: Plan) -> tuple[tuple[PieceStock, ...], ...]:
    """For every day the pieces of every lot; what arrives that day counts as lying there."""
    lots = [_lot_by_day(plan, lot) for lot in plan.scenario.lots]
    return tuple(tuple(days[day] for days in lots) for day in range(plan.scenario.days))


def _lot_by_day(plan: Plan, lot: Lot) -> list[PieceStock]:
    count, days = plan.head(lot), plan.scenario.days
    cooler: Cooler = {name: Shelf() for name in lot.weights()}
    found = []
    for day in range(days):
        had = _counts(cooler)
        if day == lot.arrives:
            had[lot.piece] = had.get(lot.piece, 0) + count
        breaks = [each for each in plan.breaks if (each.day, each.lot) == (day, lot.index)]
        fill_cooler(cooler, lot, count, day, breaks)
        lost = {name: shelf.close(day, last=day == days - 1) for name, shelf in cooler.items()}
        gone = {
            name: round(sum(part.amount for part in parts)) for name, parts in lost.items() if parts
        }
        left = _counts(cooler)
        until = {name: min(part.last_day for part in cooler[name].portions) for name in left}
        found.append(PieceStock(lot.index, had, gone, left, until))
    return found


def _counts(cooler: Cooler) -> dict[str, int]:
    """Of every piece that is there, how many."""
    counts = {name: round(shelf.left) for name, shelf in cooler.items()}
    return {name: number for name, number in counts.items() if number}
