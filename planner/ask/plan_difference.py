"""Two plans side by side: every figure of the period that differs. Days are not compared."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Generic, TypeVar

from planner.ask.decisions import FATES, cut_counts, uncut_counts
from planner.core.plan_lines import BenchDay, CutLine
from planner.core.recipe import BY_PRODUCTS
from planner.core.scenario import Lot
from planner.solve.plan import Plan

Line = TypeVar("Line", CutLine, BenchDay)

SAME = 0.05
"""Pounds, money or minutes by which figures of two plans may differ and still be the same."""

FIGURES = ("made", "sold", "blended", "wasted", "left", "revenue")
"""What is compared of a cut: pounds or each, and money."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A figure of one plan and of the other."""

    before: float
    after: float

    @property
    def change(self) -> float:
        """What the other plan has more of it."""
        return self.after - self.before

    @property
    def differs(self) -> bool:
        """Whether the two differ by more than rounding."""
        return abs(self.change) >= SAME


@dataclass(frozen=True, slots=True)
class LineChange(Generic[Line]):
    """What became of a cut, or of a day at the bench, in one plan and in the other."""

    before: Line
    after: Line

    def pair(self, *figures: str) -> Pair:
        """The sum of some figures of both, by their names."""
        one, two = (
            sum(getattr(line, each) for each in figures) for line in (self.before, self.after)
        )
        return Pair(one, two)


@dataclass(frozen=True, slots=True)
class KindChange:
    """Pounds of all cuts of a kind that are made, and that are over: wasted, or left at the end."""

    kind: str
    made: Pair
    over: Pair


@dataclass(frozen=True, slots=True)
class CountChange:
    """How many of a piece are cut in a way; or not cut, `wasted` or `left` in date."""

    species: str
    piece: str
    fate: str
    count: Pair


@dataclass(frozen=True, slots=True)
class BoughtChange:
    """Head bought of a lot."""

    lot: Lot
    head: Pair


@dataclass(frozen=True, slots=True)
class OrderChange:
    """An order filled otherwise: what it is short of in each plan, pounds or each.

    None where there is no such order: it was dropped, or is new.
    """

    day: int
    cut: str
    buyer: str
    ordered: float
    before: float | None
    after: float | None

    @property
    def stays(self) -> bool:
        """Whether there is such an order in both plans."""
        return self.before is not None and self.after is not None


@dataclass(frozen=True, slots=True)
class PlanDifference:
    """One plan beside another, of scenarios with the same days, pieces and cuts."""

    before: Plan
    after: Plan

    @property
    def minutes(self) -> Pair:
        """Bench minutes."""
        return Pair(*(sum(day.minutes for day in plan.bench) for plan in self._plans))

    @property
    def overtime(self) -> Pair:
        """Bench minutes over the bench."""
        return Pair(*(sum(day.overtime for day in plan.bench) for plan in self._plans))

    @property
    def paid(self) -> Pair:
        """Cost of the head on the rail, which is not in the score: it is paid either way."""
        return Pair(self.before.paid, self.after.paid)

    @property
    def money(self) -> dict[str, Pair]:
        """Money in and, with a minus, out; the score is the sum."""
        one, two = self._plans
        return {
            "revenue": Pair(one.revenue, two.revenue),
            "overtime pay": Pair(-one.overtime, -two.overtime),
            "head bought": Pair(-one.buying, -two.buying),
            "disposal": Pair(-one.disposal, -two.disposal),
            "value of closing stock": Pair(one.carry, two.carry),
            "SCORE": Pair(one.score, two.score),
        }

    @property
    def kinds(self) -> tuple[KindChange, ...]:
        """Every kind of `BY_PRODUCTS`, trim first, as ways give them.

        Cuts sold by each are left out, for nobody knows what they weigh.
        """
        cuts, blends = self.before.scenario.cuts, self.before.scenario.blends
        trays = [name for name, cut in cuts.items() if cut.in_tray and name not in blends]
        changes = []
        for kind in BY_PRODUCTS:
            lines = [
                [line for line in plan.cuts if line.cut in trays and cuts[line.cut].kind == kind]
                for plan in self._plans
            ]
            made = Pair(*(sum(line.made for line in each) for each in lines))
            over = Pair(*(sum(line.wasted + line.left for line in each) for each in lines))
            changes.append(KindChange(kind, made, over))
        return tuple(changes)

    @property
    def cuts(self) -> tuple[LineChange[CutLine], ...]:
        """The cuts that differ, in the order of the recipes."""
        changes = map(LineChange, self.before.cuts, self.after.cuts)
        return tuple(each for each in changes if any(each.pair(name).differs for name in FIGURES))

    @property
    def ways(self) -> tuple[CountChange, ...]:
        """The ways in which more or fewer pieces are cut, in the order of the recipes."""
        recipes = self.before.scenario.recipes
        ways = [(recipe.species, *way) for recipe in recipes for way in recipe.ways()]
        return self._counted(
            cut_counts, [(name, piece.name, way.name) for name, piece, way in ways]
        )

    @property
    def whole(self) -> tuple[CountChange, ...]:
        """The pieces of which more or fewer are not cut, in the order of the recipes."""
        recipes = self.before.scenario.recipes
        pieces = [(recipe.species, piece) for recipe in recipes for piece in recipe.pieces]
        return self._counted(uncut_counts, [(*each, fate) for each in pieces for fate in FATES])

    def _counted(
        self,
        counts: Callable[[Plan], Counter[tuple[str, str]]],
        keys: Sequence[tuple[str, str, str]],
    ) -> tuple[CountChange, ...]:
        """Those of some pieces, by species and way or fate, of which there are not as many."""
        one, two = map(counts, self._plans)
        pairs = [(key, Pair(one[key[1:]], two[key[1:]])) for key in keys]
        return tuple(CountChange(*key, count) for key, count in pairs if count.change)

    @property
    def bought(self) -> tuple[BoughtChange, ...]:
        """Lots of which more or fewer head are bought.

        They keep their places on the rail; what a change adds stands behind them.
        """
        one, two = ({each.lot: each.head for each in plan.bought} for plan in self._plans)
        lots = max(self.before.scenario.lots, self.after.scenario.lots, key=len)
        heads = [(lot, Pair(one.get(lot.index, 0), two.get(lot.index, 0))) for lot in lots]
        return tuple(BoughtChange(lot, head) for lot, head in heads if head.differs)

    @property
    def orders(self) -> tuple[OrderChange, ...]:
        """Orders filled otherwise, by day.

        Orders of the same buyer for the same thing are twins: which one is short does not matter.
        """
        one, two = map(_shorts, self._plans)
        return tuple(
            OrderChange(*key, *short)
            for key in sorted({*one, *two})
            for short in zip_longest(one.get(key, ()), two.get(key, ()))
            if None in short or Pair(*short).differs
        )

    @property
    def bench(self) -> tuple[LineChange[BenchDay], ...]:
        """Every day."""
        return tuple(map(LineChange, self.before.bench, self.after.bench))

    @property
    def _plans(self) -> tuple[Plan, Plan]:
        return self.before, self.after


def _shorts(plan: Plan) -> Mapping[tuple[int, str, str, float], list[float]]:
    """What is short of the orders, by day, cut, buyer and amount."""
    short = {each.order: each.short for each in plan.short}
    shorts: dict[tuple[int, str, str, float], list[float]] = defaultdict(list)
    for order in plan.scenario.orders:
        key = (order.day, order.cut, order.buyer, order.amount)
        shorts[key].append(short.get(order.index, 0.0))
    return {key: sorted(each) for key, each in shorts.items()}
