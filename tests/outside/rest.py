"""A week once its cutting and its batches of blends are chosen: the linear program of the rest."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from scipy.optimize import linprog

from .shop import Shop

MINUTE_TIE = 0.001
NIGHT_TIE = 0.0005
BIN_TIE = 0.002

Made = tuple[tuple[str, tuple[float, ...]], ...]  # cut and the amount made on each day
Batches = dict[tuple[str, int], int]  # blend and day: how many batches


class Rest:
    """The linear program of sales, blends and overtime, once a cutting is chosen."""

    def __init__(
        self, shop: Shop, made: Made, minutes: tuple[float, ...] | None, batches: Batches
    ) -> None:
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
        blended: dict[tuple[str, str], dict[int, float]] = defaultdict(dict)
        for name, _ in made:
            blend = shop.cuts[name].blend
            for day in self.days if blend else ():
                weights = {trim: self.column(0.0) for trim in blend.trims}
                for trim, column in weights.items():
                    uses[trim, day][column] = 1.0
                    supply[name, day][column] = -blend.out
                    blend_minutes[day][column] = blend.minutes * blend.out
                    self.gain[column] -= MINUTE_TIE * blend_minutes[day][column]
                    blended[trim, name][column] = 1.0
                if blend.fat is not None:
                    fat = {trim: shop.cuts[trim].fat for trim in weights}
                    self.between({c: fat[t] for t, c in weights.items()}, *blend.fat)
                for limit in blend.limits:
                    inside = {c: float(t in limit.group) for t, c in weights.items()}
                    self.between(inside, limit.low, limit.high)
                if blend.batch is not None:
                    out = dict.fromkeys(weights.values(), blend.out)
                    self.equal.append((out, batches[name, day] * blend.batch))
        if minutes is not None:
            self.keep_rules(blended)
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
                if last <= self.days[-1] and thing.blend is not None:
                    end -= BIN_TIE
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

    def between(self, share: dict[int, float], low: float, high: float) -> None:
        """The weighted mean of some columns lies between two values."""
        self.most.append(({column: low - part for column, part in share.items()}, 0.0))
        self.most.append(({column: part - high for column, part in share.items()}, 0.0))

    def keep_rules(self, blended: dict[tuple[str, str], dict[int, float]]) -> None:
        for rule in self.shop.blend_rules:
            into = blended.get((rule.cut, rule.blend), {})
            if rule.kind == "all":
                for (cut, blend), other in blended.items():
                    if cut == rule.cut and blend != rule.blend:
                        self.most.append((other, 0.0))
            elif rule.kind == "at least":
                self.most.append((dict.fromkeys(into, -1.0), -rule.pounds))
            else:
                self.most.append((into, 0.0 if rule.kind == "never" else rule.pounds))

    def best(self) -> tuple[float, float] | None:
        """Order value and, at its maximum, money less ties; None if the day is too short."""
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
