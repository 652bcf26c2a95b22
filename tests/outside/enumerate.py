"""Tiny shops solved by trying every cutting there is.

A cutting says, for each day, lot and piece, how many are cut in each way, oldest first, and how
many head are bought. For each of them the rest (sales, blends, overtime) is a small linear
program; cuts that go into no blend are each a program of their own, solved once for each amount
made by day.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.optimize import linprog

from .reader import Shop, read_shop

MINUTE_TIE = 0.001
NIGHT_TIE = 0.0005
LIMIT = 2000

Made = tuple[tuple[str, tuple[float, ...]], ...]  # cut and the amount made on each day


@dataclass(frozen=True)
class Cutting:
    money: float  # carry of whole pieces less buying and the disposal of pieces
    minutes: tuple[float, ...]
    made: Made
    counts: tuple[tuple[tuple[str, str], int], ...]  # (piece, way): how many


@dataclass(frozen=True)
class Best:
    feasible: bool
    objective: float = 0.0  # score less tie weights
    filled: float = 0.0  # order value
    cuttings: int = 0


def splits(most: int, ways: int) -> Iterator[tuple[int, ...]]:
    """All counts for a number of ways that add up to at most `most`."""
    if ways == 0:
        yield ()
        return
    for first in range(most + 1):
        for rest in splits(most - first, ways - 1):
            yield (first, *rest)


def parents_first(shop: Shop, root: str) -> list[str]:
    depth = {root: 0}
    waiting = [root]
    while waiting:
        parent = waiting.pop()
        for way in shop.pieces[parent].ways.values():
            for child in way.pieces:
                if depth.get(child, 0) <= depth[parent]:
                    depth[child] = depth[parent] + 1
                    waiting.append(child)
    return sorted(depth, key=lambda piece: depth[piece])


class Cuttings:
    """Walks through all cuttings, changing one record and taking each change back."""

    def __init__(self, shop: Shop, heads: tuple[int, ...]) -> None:
        self.shop, self.days = shop, len(shop.days)
        self.weights = [shop.weights(lot) for lot in shop.lots]
        # stock[lot][piece][day]: pieces that came on that day and are not cut
        self.stock = [{piece: [0] * self.days for piece in heavy} for heavy in self.weights]
        self.money = 0.0
        for index, lot in enumerate(shop.lots):
            self.stock[index][lot.piece][lot.arrives] = heads[index]
            if lot.up_to:
                self.money -= heads[index] * lot.cost * lot.weight
        self.made: dict[str, list[float]] = {cut: [0.0] * self.days for cut in shop.cuts}
        self.minutes = [0.0] * self.days
        self.counts: dict[tuple[str, str], int] = defaultdict(int)
        self.steps = [
            (day, index, piece)
            for day in range(self.days)
            for index, lot in enumerate(shop.lots)
            for piece in parents_first(shop, lot.piece)
        ]

    def walk(self, step: int = 0) -> Iterator[Cutting]:
        if step == len(self.steps):
            yield self.record()
            return
        day, index, piece = self.steps[step]
        shop, lot, stock = self.shop, self.shop.lots[index], self.stock[index][piece]
        usable = [s for s in range(day + 1) if stock[s] and shop.last_day(lot, piece, s) >= day]
        ways = shop.pieces[piece].ways
        if not usable or not ways:
            yield from self.walk(step + 1)
            return
        most = sum(stock[s] for s in usable)
        for counts in splits(most, len(ways)):
            before = list(stock)
            need = sum(counts)
            for s in usable:
                taken = min(need, stock[s])
                stock[s] -= taken
                need -= taken
            for name, count in zip(ways, counts, strict=True):
                self.cut(day, index, piece, name, count)
            if self.fits(day):
                yield from self.walk(step + 1)
            for name, count in zip(ways, counts, strict=True):
                self.cut(day, index, piece, name, -count)
            stock[:] = before

    def cut(self, day: int, index: int, piece: str, name: str, count: int) -> None:
        way, heavy = self.shop.pieces[piece].ways[name], self.weights[index][piece]
        self.minutes[day] += count * way.minutes
        self.counts[piece, name] += count
        for child, (pieces, _) in way.pieces.items():
            self.stock[index][child][day] += count * pieces
        for cut, (pieces, share) in way.cuts.items():
            self.made[cut][day] += count * (pieces if self.shop.cuts[cut].each else heavy * share)

    def fits(self, day: int) -> bool:
        bench = self.shop.bench
        if bench is None:
            return True
        more = self.shop.overtime_limit if bench[day] > 0 else 0.0
        return self.minutes[day] <= bench[day] + more + 1e-9

    def record(self) -> Cutting:
        shop, money = self.shop, self.money
        for index, lot in enumerate(shop.lots):
            for piece, heavy in self.weights[index].items():
                for day, count in enumerate(self.stock[index][piece]):
                    if shop.last_day(lot, piece, day) >= self.days:
                        money += count * shop.carry * shop.value(piece, heavy)
                    else:
                        money -= count * shop.disposal * heavy
        made = tuple(
            (cut, tuple(round(amount, 9) + 0.0 for amount in by_day))
            for cut, by_day in self.made.items()
        )
        counts = tuple((key, count) for key, count in self.counts.items() if count)
        return Cutting(money, tuple(round(m, 9) for m in self.minutes), made, counts)


def rules_kept(shop: Shop, cutting: Cutting) -> bool:
    counts = dict(cutting.counts)
    for rule in shop.rules:
        so = counts.get((rule.piece, rule.way), 0)
        total = sum(count for (piece, _), count in counts.items() if piece == rule.piece)
        kept = {
            "all": so == total,
            "never": so == 0,
            "at least": so >= rule.number,
            "at most": so <= rule.number,
        }
        if not kept[rule.kind]:
            return False
    return True


def cuttings(shop: Shop) -> Iterator[Cutting]:
    choices = [range(lot.count + 1) if lot.up_to else (lot.count,) for lot in shop.lots]
    for heads in itertools.product(*choices):
        yield from Cuttings(shop, heads).walk()


def tiny_enough(scenario_path: str | Path, limit: int = LIMIT) -> bool:
    """Whether a shop has no more cuttings than the limit."""
    some = itertools.islice(cuttings(read_shop(scenario_path)), limit + 1)
    return sum(1 for _ in some) <= limit


class Rest:
    """The linear program of sales, blends and overtime, once a cutting is chosen."""

    def __init__(self, shop: Shop, made: Made, minutes: tuple[float, ...] | None) -> None:
        self.shop, self.days = shop, range(len(shop.days))
        self.gain: list[float] = []
        self.order: list[float] = []
        self.upper: list[float | None] = []
        self.equal: list[tuple[dict[int, float], float]] = []
        self.most: list[tuple[dict[int, float], float]] = []
        stock: dict[tuple[str, int], dict[int, float]] = {}
        blend_minutes: list[dict[int, float]] = [{} for _ in self.days]
        supply: dict[tuple[str, int], dict[int, float]] = defaultdict(dict)
        uses: dict[tuple[str, int], dict[int, float]] = defaultdict(dict)
        for name, _ in made:
            blend = shop.cuts[name].blend
            for day in self.days if blend else ():
                weights = {trim: self.column(0.0) for trim in blend.trims}
                for trim, column in weights.items():
                    uses[trim, day][column] = 1.0
                    supply[name, day][column] = -(1 + blend.added)
                    blend_minutes[day][column] = blend.minutes * (1 + blend.added)
                    self.gain[column] -= MINUTE_TIE * blend_minutes[day][column]
                fat = {trim: shop.cuts[trim].fat for trim in weights}
                self.most.append(({c: fat[t] - blend.high for t, c in weights.items()}, 0.0))
                self.most.append(({c: blend.low - fat[t] for t, c in weights.items()}, 0.0))
        for name, by_day in made:
            thing, worth = shop.cuts[name], shop.carry * shop.price(name)
            night = 0.0 if thing.each else NIGHT_TIE
            batches = [(s, s + thing.keeps - 1, by_day[s], supply[name, s]) for s in self.days]
            if name in shop.case:
                amount, keeps = shop.case[name]
                batches.append((0, keeps - 1, amount, {}))
            for first, last, amount, more in batches:
                row = dict(more)
                for day in range(first, min(last, self.days[-1]) + 1):
                    column = self.column(-night * (day - first))
                    row[column] = 1.0
                    stock.setdefault((name, day), {})[column] = -1.0
                end = worth if last > self.days[-1] else -shop.disposal * (not thing.each)
                row[self.column(end - night * (min(last, self.days[-1]) - first))] = 1.0
                self.equal.append((row, amount))
            for day in self.days:
                if name in shop.demand:
                    demand = shop.demand[name]
                    full = self.column(demand.price, demand.want[day])
                    low = self.column(demand.markdown_price, demand.markdown[day])
                    uses[name, day] |= {full: 1.0, low: 1.0}
                for order in shop.orders:
                    if (order.cut, order.day) == (name, day):
                        column = self.column(order.price, order.amount)
                        self.order[column] = order.price
                        uses[name, day][column] = 1.0
                self.equal.append((uses[name, day] | stock.get((name, day), {}), 0.0))
        if minutes is not None:
            for day in self.days:
                if shop.bench is not None:
                    limit = shop.overtime_limit if shop.bench[day] > 0 else 0.0
                    over = self.column(-shop.overtime_cost, limit)
                    row = blend_minutes[day] | {over: -1.0}
                    self.most.append((row, shop.bench[day] - minutes[day]))

    def column(self, gain: float, upper: float | None = None) -> int:
        self.gain.append(gain)
        self.order.append(0.0)
        self.upper.append(upper)
        return len(self.gain) - 1

    def best(self) -> tuple[float, float] | None:
        """Order value and, at its most, money less ties; None if the day is too short."""
        if not self.gain:
            return 0.0, 0.0
        width = len(self.gain)

        def dense(rows):
            table = np.zeros((len(rows), width))
            for i, (terms, _) in enumerate(rows):
                table[i, list(terms)] = list(terms.values())
            return table, np.array([side for _, side in rows])

        filled = 0.0
        most = list(self.most)
        for objective in (self.order, self.gain) if any(self.order) else (self.gain,):
            up, up_side = dense(most) if most else (None, None)
            equal, equal_side = dense(self.equal) if self.equal else (None, None)
            bounds = [(0, upper) for upper in self.upper]
            result = linprog(
                -np.array(objective), up, up_side, equal, equal_side, bounds, method="highs"
            )
            if result.x is None:
                return None
            if objective is self.order:
                filled = -result.fun
                keep = {c: -value for c, value in enumerate(self.order) if value}
                most.append((keep, -filled + 1e-9 * max(1.0, filled)))
        return filled, -result.fun


def best_by_enumeration(scenario_path: str | Path) -> Best:
    """The best objective (score less ties) of a tiny shop, orders first."""
    shop = read_shop(scenario_path)
    mixed = {name for name, thing in shop.cuts.items() if thing.blend}
    mixed |= {trim for name in mixed for trim in shop.cuts[name].blend.trims}
    known: dict[tuple[Made, tuple[float, ...] | None], tuple[float, float] | None] = {}
    best: tuple[float, float] | None = None
    tried = 0
    for cutting in cuttings(shop):
        tried += 1
        if not rules_kept(shop, cutting):
            continue
        parts: list[tuple[Made, tuple[float, ...] | None]] = [
            ((entry,), None) for entry in cutting.made if entry[0] not in mixed
        ]
        parts.append((tuple(e for e in cutting.made if e[0] in mixed), cutting.minutes))
        for part in parts:
            if part not in known:
                known[part] = Rest(shop, *part).best()
        found = [known[part] for part in parts]
        if None in found:
            continue
        filled = round(sum(value for value, _ in found), 6)
        money = cutting.money + sum(gain for _, gain in found)
        money -= MINUTE_TIE * sum(cutting.minutes)
        if best is None or (filled, money) > best:
            best = (filled, money)
    if best is None:
        return Best(False, cuttings=tried)
    return Best(True, best[1], best[0], tried)
