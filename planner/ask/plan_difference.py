"""Two plans side by side: every figure of the period that differs. Days are not compared."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import zip_longest

from planner.core.recipe import BY_PRODUCTS
from planner.solve.plan import Plan

SAME = 0.05
"""Pounds, money or minutes by which figures of two plans may differ and still be the same."""


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
class CutChange:
    """What became of a cut: pounds or each, and money. `used` is what is sold or blended."""

    cut: str
    species: str
    by_each: bool
    made: Pair
    sold: Pair
    blended: Pair
    used: Pair
    wasted: Pair
    left: Pair
    revenue: Pair


@dataclass(frozen=True, slots=True)
class KindChange:
    """Pounds of all cuts of a kind that are made, and that are over: wasted, or left at the end."""

    kind: str
    made: Pair
    over: Pair


@dataclass(frozen=True, slots=True)
class WayChange:
    """How many of a piece are cut in a way."""

    species: str
    piece: str
    way: str
    count: Pair


@dataclass(frozen=True, slots=True)
class WholeChange:
    """How many of a piece are not cut: out of date (`wasted`), or left in date at the end."""

    species: str
    piece: str
    wasted: bool
    count: Pair


@dataclass(frozen=True, slots=True)
class BoughtChange:
    """Head bought of a lot; `lot` is its place on the rail."""

    lot: int
    species: str
    piece: str
    day: int
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
class BenchChange:
    """Minutes of a day, and those of them over the bench; all days are told."""

    day: int
    minutes: Pair
    overtime: Pair


@dataclass(frozen=True, slots=True)
class Beside:
    """One plan beside another, of scenarios with the same days, pieces and cuts.

    Attributes
    ----------
    before, after : Plan
    minutes, overtime : Pair
        Bench minutes, and those of them over the bench.
    kinds, bench : tuple
        Every kind of `BY_PRODUCTS`, every day.
    cuts, ways, whole, bought, orders : tuple
        What differs, cuts and ways in the order of the recipes, orders by day.
    """

    before: Plan
    after: Plan
    minutes: Pair
    overtime: Pair
    kinds: tuple[KindChange, ...]
    cuts: tuple[CutChange, ...]
    ways: tuple[WayChange, ...]
    whole: tuple[WholeChange, ...]
    bought: tuple[BoughtChange, ...]
    orders: tuple[OrderChange, ...]
    bench: tuple[BenchChange, ...]

    @property
    def paid(self) -> Pair:
        """Cost of the head on the rail, which is not in the score: it is paid either way."""
        return Pair(self.before.paid, self.after.paid)

    @property
    def trim(self) -> KindChange:
        """All trim."""
        return self.kinds[0]

    @property
    def money(self) -> dict[str, Pair]:
        """Money in and, with a minus, out; the score is the sum."""
        one, two = self.before, self.after
        return {
            "revenue": Pair(one.revenue, two.revenue),
            "overtime pay": Pair(-one.overtime, -two.overtime),
            "head bought": Pair(-one.buying, -two.buying),
            "disposal": Pair(-one.disposal, -two.disposal),
            "value of closing stock": Pair(one.carry, two.carry),
            "SCORE": Pair(one.score, two.score),
        }


def put_beside(before: Plan, after: Plan) -> Beside:
    """Work out what differs between two plans."""
    days = list(zip(before.bench, after.bench, strict=True))
    return Beside(
        before=before,
        after=after,
        minutes=Pair(*(sum(day.minutes for day in plan.bench) for plan in (before, after))),
        overtime=Pair(*(sum(day.overtime for day in plan.bench) for plan in (before, after))),
        kinds=tuple(_kind(before, after, kind) for kind in BY_PRODUCTS),
        cuts=tuple(_cuts(before, after)),
        ways=tuple(_ways(before, after)),
        whole=tuple(_whole(before, after)),
        bought=tuple(_bought(before, after)),
        orders=tuple(_orders(before, after)),
        bench=tuple(
            BenchChange(one.day, Pair(one.minutes, two.minutes), Pair(one.overtime, two.overtime))
            for one, two in days
        ),
    )


def _kind(before: Plan, after: Plan, kind: str) -> KindChange:
    """What ways give: cuts sold by each are left out, for nobody knows what they weigh."""
    scenario = before.scenario
    named = {
        name
        for name, cut in scenario.cuts.items()
        if cut.kind == kind and not cut.by_each and name not in scenario.blends
    }
    lines = [[line for line in plan.cuts if line.cut in named] for plan in (before, after)]
    return KindChange(
        kind,
        made=Pair(*(sum(line.made for line in each) for each in lines)),
        over=Pair(*(sum(line.wasted + line.left for line in each) for each in lines)),
    )


def _cuts(before: Plan, after: Plan) -> Iterator[CutChange]:
    for one, two in zip(before.cuts, after.cuts, strict=True):
        change = CutChange(
            cut=one.cut,
            species=one.species,
            by_each=one.by_each,
            made=Pair(one.made, two.made),
            sold=Pair(one.sold, two.sold),
            blended=Pair(one.blended, two.blended),
            used=Pair(one.sold + one.blended, two.sold + two.blended),
            wasted=Pair(one.wasted, two.wasted),
            left=Pair(one.left, two.left),
            revenue=Pair(one.revenue, two.revenue),
        )
        pairs = (change.made, change.sold, change.blended, change.wasted, change.left)
        if any(pair.differs for pair in (*pairs, change.revenue)):
            yield change


def _ways(before: Plan, after: Plan) -> Iterator[WayChange]:
    one, two = (
        _counted(((each.species, each.piece, each.way), each.count) for each in plan.breaks)
        for plan in (before, after)
    )
    for recipe in before.scenario.recipes:
        for piece, way in recipe.ways():
            key = (recipe.species, piece.name, way.name)
            if one[key] != two[key]:
                yield WayChange(*key, Pair(one[key], two[key]))


def _whole(before: Plan, after: Plan) -> Iterator[WholeChange]:
    one, two = (
        _counted(((each.piece, each.wasted), each.count) for each in plan.uncut)
        for plan in (before, after)
    )
    for recipe in before.scenario.recipes:
        for piece in recipe.pieces:
            for wasted in (False, True):
                key = (piece, wasted)
                if one[key] != two[key]:
                    yield WholeChange(recipe.species, piece, wasted, Pair(one[key], two[key]))


def _counted(things: Iterable[tuple[Hashable, int]]) -> Mapping[Hashable, int]:
    counts: Counter[Hashable] = Counter()
    for key, count in things:
        counts[key] += count
    return counts


def _bought(before: Plan, after: Plan) -> Iterator[BoughtChange]:
    """Lots keep their places on the rail; what a change adds stands behind them."""
    one, two = ({each.lot: each.head for each in plan.bought} for plan in (before, after))
    for lot in max(before.scenario.lots, after.scenario.lots, key=len):
        head = Pair(one.get(lot.index, 0), two.get(lot.index, 0))
        if head.differs:
            yield BoughtChange(lot.index, lot.recipe.species, lot.piece, lot.arrives, head)


def _orders(before: Plan, after: Plan) -> Iterator[OrderChange]:
    """Orders of the same buyer for the same thing are twins: which one is short does not matter."""
    one, two = _shorts(before), _shorts(after)
    for key in sorted({*one, *two}):
        for short in zip_longest(one.get(key, ()), two.get(key, ())):
            if None in short or Pair(*short).differs:
                yield OrderChange(*key, *short)


def _shorts(plan: Plan) -> Mapping[tuple[int, str, str, float], list[float]]:
    """What is short of the orders, by day, cut, buyer and amount."""
    short = {each.order: each.short for each in plan.short}
    shorts: dict[tuple[int, str, str, float], list[float]] = defaultdict(list)
    for order in plan.scenario.orders:
        key = (order.day, order.cut, order.buyer, order.amount)
        shorts[key].append(short.get(order.index, 0.0))
    return {key: sorted(each) for key, each in shorts.items()}
