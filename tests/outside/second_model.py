"""The week once more, with explicit ages of stock, for scipy's milp.

Whole numbers x[lot, piece, way, day] say what is cut; continuous flows say from which day's
stock each cutting, sale or blend is taken. Given whole x the flows of pieces are a network with
whole supplies, so they need no integrality of their own.
"""

from __future__ import annotations

import time
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from .reader import Shop, read_shop

MINUTE_TIE = 0.001
NIGHT_TIE = 0.0005


@dataclass(frozen=True)
class Answer:
    """What the second model found.

    `score` is the pure score at its plan, `objective` the score less the tie weights, `bound`
    the proven upper limit of `objective`, `filled` the order value (`ordered` if all is filled).
    """

    feasible: bool
    score: float = 0.0
    objective: float = 0.0
    bound: float = 0.0
    filled: float = 0.0
    ordered: float = 0.0
    all_filled: bool = True
    seconds: float = 0.0


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
        for name, thing in self.shop.cuts.items():
            blend = thing.blend
            if blend is None:
                continue
            for day in self.days:
                lean_side: Expression = {}
                fat_side: Expression = {}
                for trim in blend.trims:
                    fat, grind = self.shop.cuts[trim].fat, self.column()
                    add(self.uses[trim, day], {grind: 1.0})
                    add(self.made[name, day], {grind: 1 + blend.added})
                    add(self.minutes[day], {grind: blend.minutes * (1 + blend.added)})
                    self.ties[grind] = MINUTE_TIE * blend.minutes * (1 + blend.added)
                    lean_side[grind] = fat - blend.low
                    fat_side[grind] = fat - blend.high
                self.row(lean_side, 0.0, np.inf)
                self.row(fat_side, -np.inf, 0.0)

    def sell(self) -> None:
        for cut, demand in self.shop.demand.items():
            for day in self.days:
                for most, price in (
                    (demand.want[day], demand.price),
                    (demand.markdown[day], demand.markdown_price),
                ):
                    if most > 0:
                        sold = self.column(most)
                        self.uses[cut, day][sold] = 1.0
                        self.money[sold] = price
        for order in self.shop.orders:
            filled = self.column(order.amount)
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


def best_score(scenario_path: str | Path, gap: float = 1e-6, ties: bool = True) -> Answer:
    """The best score of a scenario, orders first.

    With ``ties=False`` the tie weights are left out, so that `objective` and `bound` are pure.
    """
    began = time.perf_counter()
    model = SecondModel(read_shop(scenario_path))
    money, order_value = model.vector(model.money), model.vector(model.order_value)
    objective = money - model.vector(model.ties) if ties else money
    ordered = sum(order.amount * order.price for order in model.shop.orders)
    lower = np.zeros(len(model.upper))
    every = lower.copy()
    every[model.shortfalls] = np.array(model.upper)[model.shortfalls]

    result = model.solve(objective, every, [], gap)
    all_filled = result.x is not None
    if not all_filled and model.shortfalls:
        most = model.solve(order_value, lower, [], 0.0)
        if most.x is not None:
            floor = order_value @ most.x
            hold = [(model.order_value, floor - 1e-8 * max(1.0, floor), np.inf)]
            result = model.solve(objective, lower, hold, gap)
            assert result.x is not None, result.message
    if result.x is None:
        assert result.status == 2, result.message
        return Answer(False, seconds=time.perf_counter() - began)
    return Answer(
        True,
        money @ result.x,
        objective @ result.x,
        -result.mip_dual_bound,
        order_value @ result.x,
        ordered,
        all_filled,
        time.perf_counter() - began,
    )
