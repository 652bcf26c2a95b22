"""The week once more, with explicit ages of stock, for scipy's milp.

Whole numbers x[lot, piece, way, day] say what is cut; continuous flows say from which day's
stock each cutting, sale or blend is taken. Given whole x the flows of pieces are a network with
whole supplies, so they need no integrality of their own.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from .shop import Blend, Shop

MINUTE_TIE = 0.001
NIGHT_TIE = 0.0005
BIN_TIE = 0.002


Expression = dict[int, float]


def add(total: Expression, part: Expression, factor: float = 1.0) -> None:
    for column, coefficient in part.items():
        total[column] = total.get(column, 0.0) + factor * coefficient


class SecondModel:
    """Columns, rows and the parts of the objective (money, ties, order value) of one shop."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.days = range(len(shop.days))
        self.upper: list[float] = []
        self.whole: list[int] = []
        self.rows: list[tuple[Expression, float, float]] = []
        self.constant = 0.0
        self.money: Expression = {}
        self.ties: Expression = {}
        self.order_value: Expression = {}
        self.shortfalls: list[int] = []
        self.made: dict[tuple[str, int], Expression] = defaultdict(dict)
        self.minutes: dict[int, Expression] = defaultdict(dict)
        self.cut_so: dict[tuple[str, str], Expression] = defaultdict(dict)
        self.uses: dict[tuple[str, int], Expression] = defaultdict(dict)
        self.blended: dict[tuple[str, str], Expression] = defaultdict(dict)
        # What each column of a decision says, for whoever writes the plan down.
        self.heads: list[int] = []
        self.cut: dict[int, tuple[int, int, str, str]] = {}  # day, lot, piece, way
        self.ground: dict[int, tuple[int, str, str]] = {}  # day, blend, trim
        self.sold: dict[int, tuple[int, str, float, str]] = {}  # day, cut, price, to
        for index in range(len(shop.lots)):
            self.cut_lot(index)
        self.mix_blends()
        self.sell()
        for cut in shop.cuts:
            self.age_cut(cut)
        self.keep_bench()
        self.keep_rules()

    def column(self, upper: float = np.inf, whole: bool = False) -> int:
        self.upper.append(upper)
        self.whole.append(int(whole))
        return len(self.upper) - 1

    def row(self, terms: Expression, low: float, high: float) -> None:
        self.rows.append((terms, low, high))

    def cut_lot(self, index: int) -> None:
        shop, lot = self.shop, self.shop.lots[index]
        weights = shop.weights(lot)
        arriving: dict[tuple[str, int], Expression] = defaultdict(dict)
        heads = self.column(lot.count, whole=True)
        self.heads.append(heads)
        if lot.up_to:
            self.money[heads] = -lot.cost * lot.weight
        else:
            self.row({heads: 1.0}, lot.count, lot.count)
        arriving[lot.piece, lot.arrives] = {heads: 1.0}

        cut: dict[tuple[str, int], Expression] = defaultdict(dict)
        for piece, heavy in weights.items():
            most = int(lot.count * lot.weight / heavy + 1e-6)  # no more than the lot's weight
            for name, way in shop.pieces[piece].ways.items():
                for day in range(lot.arrives, len(self.days)):
                    x = self.column(most, whole=True)
                    self.cut[x] = (day, index, piece, name)
                    cut[piece, day][x] = 1.0
                    self.cut_so[piece, name][x] = 1.0
                    self.minutes[day][x] = way.minutes
                    self.ties[x] = MINUTE_TIE * way.minutes
                    for child, (count, _) in way.pieces.items():
                        add(arriving[child, day], {x: float(count)})
                    for thing, (count, share) in way.cuts.items():
                        out = count if shop.cuts[thing].each else heavy * share
                        add(self.made[thing, day], {x: out})

        for piece, heavy in weights.items():
            worth = shop.carry * shop.value(piece, heavy)
            taken: dict[int, Expression] = defaultdict(dict)
            for day in self.days:
                supply = arriving.get((piece, day))
                if not supply:
                    continue
                last = shop.last_day(lot, piece, day)
                rest = dict(supply)
                for later in range(day, min(last, self.days[-1]) + 1):
                    flow = self.column()
                    rest[flow] = -1.0
                    taken[later][flow] = -1.0
                unused = self.column()
                rest[unused] = -1.0
                self.row(rest, 0.0, 0.0)
                self.money[unused] = worth if last > self.days[-1] else -shop.disposal * heavy
            for day in self.days:
                terms = taken[day]
                add(terms, cut[piece, day])
                if terms:
                    self.row(terms, 0.0, 0.0)

    def mix_blends(self) -> None:
        for name, blend in self.shop.blends().items():
            for day in self.days:
                grinds = {trim: self.column() for trim in blend.trims}
                for trim, grind in grinds.items():
                    self.ground[grind] = (day, name, trim)
                    add(self.uses[trim, day], {grind: 1.0})
                    self.made[name, day][grind] = blend.out
                    self.minutes[day][grind] = blend.minutes * blend.out
                    self.ties[grind] = MINUTE_TIE * blend.minutes * blend.out
                    self.blended[trim, name][grind] = 1.0
                self.mix(blend, grinds)

    def mix(self, blend: Blend, grinds: dict[str, int]) -> None:
        """Limits of what goes in on one day, and whole batches of what comes out."""
        shares = [
            ({trim: float(trim in limit.group) for trim in grinds}, limit.low, limit.high)
            for limit in blend.limits
        ]
        if blend.fat is not None:
            shares.append(({trim: self.shop.cuts[trim].fat for trim in grinds}, *blend.fat))
        for share, low, high in shares:
            self.row({column: share[t] - low for t, column in grinds.items()}, 0.0, np.inf)
            self.row({column: share[t] - high for t, column in grinds.items()}, -np.inf, 0.0)
        if blend.batch is not None:
            batches = {self.column(whole=True): -blend.batch}
            self.row(batches | dict.fromkeys(grinds.values(), blend.out), 0.0, 0.0)

    def sell(self) -> None:
        for cut, demand in self.shop.demand.items():
            for day in self.days:
                for most, price, to in (
                    (demand.want[day], demand.price, "walk-in"),
                    (demand.markdown[day], demand.markdown_price, "markdown"),
                ):
                    if most > 0:
                        sold = self.column(most)
                        self.sold[sold] = (day, cut, price, to)
                        self.uses[cut, day][sold] = 1.0
                        self.money[sold] = price
        for order in self.shop.orders:
            filled = self.column(order.amount)
            self.sold[filled] = (order.day, order.cut, order.price, order.buyer)
            self.uses[order.cut, order.day][filled] = 1.0
            self.money[filled] = order.price
            self.order_value[filled] = order.price
            self.shortfalls.append(filled)

    def age_cut(self, cut: str) -> None:
        """Stock of each day of making, and of the case, used up to its own last day."""
        shop, last_day = self.shop, self.days[-1]
        thing, price = shop.cuts[cut], shop.price(cut)
        batches: list[tuple[int, int, Expression, float]] = [
            (day, day + thing.keeps - 1, self.made[cut, day], 0.0)
            for day in self.days
            if self.made[cut, day]
        ]
        if cut in shop.case:
            amount, keeps = shop.case[cut]
            batches.append((0, keeps - 1, {}, amount))
        taken: dict[int, Expression] = defaultdict(dict)
        tie = 0.0 if thing.each else NIGHT_TIE
        for start, last, supply, on_hand in batches:
            rest = dict(supply)
            for day in range(start, min(last, last_day) + 1):
                flow = self.column()
                rest[flow] = -1.0
                taken[day][flow] = -1.0
                self.ties[flow] = tie * (day - start)
            unused = self.column()
            rest[unused] = -1.0
            self.ties[unused] = tie * (min(last, last_day) - start)
            self.row(rest, -on_hand, -on_hand)
            if last <= last_day and thing.blend is not None:
                self.ties[unused] += BIN_TIE
            if last > last_day:
                self.money[unused] = shop.carry * price
            elif not thing.each:
                self.money[unused] = -shop.disposal
        for day in self.days:
            terms = taken[day]
            add(terms, self.uses[cut, day])
            if terms:
                self.row(terms, 0.0, 0.0)

    def keep_bench(self) -> None:
        bench = self.shop.bench
        if bench is None:
            return
        for day in self.days:
            terms = dict(self.minutes[day])
            if bench[day] > 0:
                overtime = self.column(self.shop.overtime_limit)
                self.money[overtime] = -self.shop.overtime_cost
                terms[overtime] = -1.0
            self.row(terms, -np.inf, bench[day])

    def keep_rules(self) -> None:
        for rule in self.shop.rules:
            if rule.kind == "all":
                for way in self.shop.pieces[rule.piece].ways:
                    if way != rule.way:
                        self.row(self.cut_so[rule.piece, way], 0.0, 0.0)
                continue
            low = rule.number if rule.kind == "at least" else 0
            high = {"never": 0, "at most": rule.number}.get(rule.kind, np.inf)
            self.row(self.cut_so[rule.piece, rule.way], low, high)
        for rule in self.shop.blend_rules:
            if rule.kind == "all":
                for other in self.shop.blends():
                    if other != rule.blend:
                        self.row(self.blended[rule.cut, other], 0.0, 0.0)
                continue
            low = rule.pounds if rule.kind == "at least" else 0
            high = {"never": 0, "at most": rule.pounds}.get(rule.kind, np.inf)
            self.row(self.blended[rule.cut, rule.blend], low, high)

    def matrix(self, rows: list[tuple[Expression, float, float]]) -> LinearConstraint:
        entries = [(v, i, c) for i, (terms, _, _) in enumerate(rows) for c, v in terms.items()]
        data, at_row, at_column = zip(*entries, strict=True) if entries else ((), (), ())
        shape = (len(rows), len(self.upper))
        return LinearConstraint(
            csr_array((data, (at_row, at_column)), shape=shape),
            [low for _, low, _ in rows],
            [high for _, _, high in rows],
        )

    def vector(self, terms: Expression) -> np.ndarray:
        full = np.zeros(len(self.upper))
        full[list(terms)] = list(terms.values())
        return full

    def solve(self, objective, lower, extra, gap: float):
        """Maximize; `extra` are rows that hold for this solve only."""
        return milp(
            -objective,
            integrality=self.whole,
            bounds=Bounds(lower, self.upper),
            constraints=self.matrix(self.rows + extra),
            options={"mip_rel_gap": gap},
        )
