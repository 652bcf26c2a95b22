"""The break model: what a plan is, as variables and constraints.

Days are numbered 0..D-1, lots by their place on the rail. Weights are pounds, cuts sold by each
are counted. Of every stock only the amount on hand is kept, not its age: what arrives in turn
goes out of date in turn, so a stock is sound if and only if no day ends with more on hand than
arrived recently enough to be in date on the next.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from typing import TypeAlias

from pulp import LpAffineExpression, LpConstraint, LpMaximize, LpProblem, LpVariable

from planner.recipe import Blend, Cut
from planner.scenario import Lot, Rule, Scenario

MINUTE_TIE = 0.001
"""Among plans of equal score prefer fewer bench minutes: money a minute."""

NIGHT_TIE = 0.0005
"""Then fresher cuts: money a pound and night."""

Term: TypeAlias = tuple[LpVariable, float]


def total(terms: Iterable[Term], constant: float = 0.0) -> LpAffineExpression:
    """Sum of coefficient x variable."""
    return LpAffineExpression(list(_gathered(terms).items()), constant)


def _gathered(terms: Iterable[Term]) -> dict[LpVariable, float]:
    sums: dict[LpVariable, float] = defaultdict(float)
    for variable, coefficient in terms:
        sums[variable] += coefficient
    return sums


class BreakModel:
    """Variables, constraints and the score of one scenario.

    Parameters
    ----------
    scenario : Scenario

    Attributes
    ----------
    problem : LpProblem
        Maximizes `score` less `ties`.
    cut : dict of (lot, piece, way, day) to LpVariable
        How many pieces are cut so: whole numbers.
    bought : dict of lot to LpVariable
        Head bought of the lots that may be: whole numbers.
    whole, discarded : dict of (lot, piece, day) to LpVariable
        Pieces on hand at the end of a day, and gone out of date on it.
    on_hand, wasted : dict of (cut, day) to LpVariable
        Cuts in the case at the end of a day, and gone out of date on it.
    old_stock : dict of (number in the case, day) to LpVariable
        Use of case stock that keeps longer than the cut freshly made.
    walk_in, marked_down : dict of (cut, day) to LpVariable
        Sold at full price and at the markdown.
    filled : dict of order to LpVariable
        Filled of each order.
    blended : dict of (blend, cut, day) to LpVariable
        Pounds of a cut that go into a blend.
    overtime : dict of day to LpVariable
        Minutes beyond the bench.
    rules : dict of rule number to LpConstraint
    bench : dict of day to LpConstraint
    score, ties, order_value : LpAffineExpression
    """

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.days = range(scenario.days)
        self.blends: dict[str, Blend] = {
            name: blend for recipe in scenario.recipes for name, blend in recipe.blends.items()
        }
        self.weights = {lot.index: lot.weights() for lot in scenario.lots}
        self.problem = LpProblem("week", LpMaximize)
        self._columns = 0

        self.cut: dict[tuple[int, str, str, int], LpVariable] = {}
        self.bought: dict[int, LpVariable] = {}
        self.whole: dict[tuple[int, str, int], LpVariable] = {}
        self.discarded: dict[tuple[int, str, int], LpVariable] = {}
        self.on_hand: dict[tuple[str, int], LpVariable] = {}
        self.wasted: dict[tuple[str, int], LpVariable] = {}
        self.old_stock: dict[tuple[int, int], LpVariable] = {}
        self.walk_in: dict[tuple[str, int], LpVariable] = {}
        self.marked_down: dict[tuple[str, int], LpVariable] = {}
        self.filled: dict[int, LpVariable] = {}
        self.blended: dict[tuple[str, str, int], LpVariable] = {}
        self.overtime: dict[int, LpVariable] = {}
        self.rules: dict[int, LpConstraint] = {}
        self.bench: dict[int, LpConstraint] = {}

        self._made: dict[tuple[str, int], list[Term]] = defaultdict(list)
        self._used: dict[tuple[str, int], list[Term]] = defaultdict(list)
        self._minutes: dict[int, list[Term]] = defaultdict(list)

        for lot in scenario.lots:
            self._pieces(lot)
        self._blends()  # before sales and cuts: what is blended can be sold the same day
        self._sales()
        for cut in scenario.cuts.values():
            self._cuts(cut)
        self._bench()
        for number, rule in enumerate(scenario.rules):
            self._rule(number, rule)
        self.order_value = self._order_value()
        self.score = self._score()
        self.ties = self._ties()
        self.problem += self.score - self.ties

    def _variable(
        self, *name: object, most: float | None = None, whole: bool = False
    ) -> LpVariable:
        """A new variable from 0 up; the number in its name keeps names apart."""
        self._columns += 1
        words = re.sub(r"[^A-Za-z0-9]+", "_", " ".join(str(word) for word in name[1:]))
        text = f"{name[0]}{self._columns:06d}_{words}"
        return LpVariable(text[:200], 0, most, "Integer" if whole else "Continuous")

    def _require(self, constraint: LpConstraint, *name: object) -> LpConstraint:
        words = re.sub(r"[^A-Za-z0-9]+", "_", " ".join(str(word) for word in name))
        label = f"r{len(self.problem.constraints):06d}_{words}"[:200]
        self.problem.addConstraint(constraint, label)
        return constraint

    # -- pieces of a lot ---------------------------------------------------------------------------

    def _pieces(self, lot: Lot) -> None:
        """On hand(t) = on hand(t-1) + arrived or bought + given by ways - cut - discarded.

        A carcass may be cut from the day it arrives, a piece from the day it is made, and what a
        way gives may be cut on the same day. After `keeps` days it is discarded.
        """
        weights = self.weights[lot.index]
        arrivals: dict[str, dict[int, list[Term]]] = {name: {} for name in weights}
        arrivals[lot.piece][lot.arrives] = self._bought(lot)
        for name, weight in weights.items():
            came, keeps = arrivals[name], lot.keeps_of(name)
            days = [day for day in self.days if any(day - keeps < on <= day for on in came)]
            for day in days:
                cut = self._ways_on(lot, name, weight, day, arrivals)
                sunk = name == lot.piece and day == lot.arrives and not lot.up_to
                balance = [*came.get(day, []), *((variable, -1.0) for variable in cut)]
                if (lot.index, name, day - 1) in self.whole:
                    balance.append((self.whole[lot.index, name, day - 1], 1.0))
                if day - keeps + 1 in came:
                    out = self._variable("discard", lot.index, name, day)
                    self.discarded[lot.index, name, day] = out
                    balance.append((out, -1.0))
                in_date = [on for on in came if day - keeps + 1 < on <= day]
                if in_date:
                    left = self._variable("whole", lot.index, name, day)
                    self.whole[lot.index, name, day] = left
                    balance.append((left, -1.0))
                    if min(came) <= day - keeps + 1:  # else all that ever came is in date
                        fresh = [term for on in in_date for term in came[on]]
                        row = total([(left, 1.0), *_minus(fresh)]) <= 0
                        self._require(row, "in date", lot.index, name, day)
                arrived = float(lot.count) if sunk else 0.0
                self._require(total(balance, arrived) == 0, "pieces", lot.index, name, day)

    def _bought(self, lot: Lot) -> list[Term]:
        """Head bought: a whole number up to the lot's count; none where the lot is there anyway."""
        if not lot.up_to:
            return []
        self.bought[lot.index] = self._variable("buy", lot.index, most=lot.count, whole=True)
        return [(self.bought[lot.index], 1.0)]

    def _ways_on(
        self,
        lot: Lot,
        name: str,
        weight: float,
        day: int,
        arrivals: dict[str, dict[int, list[Term]]],
    ) -> list[LpVariable]:
        """Create the cuttings of a piece on a day, and hand on what they give and take."""
        variables = []
        for way in lot.recipe.pieces[name].ways.values():
            x = self._variable("cut", lot.index, name, way.name, day, whole=True)
            self.cut[lot.index, name, way.name, day] = x
            variables.append(x)
            for given in way.pieces:
                arrivals[given.name].setdefault(day, []).append((x, float(given.count)))
            for given in way.cuts:
                each = self.scenario.cuts[given.name].by_each
                amount = float(given.count) if each else weight * given.share
                self._made[given.name, day].append((x, amount))
            self._minutes[day].append((x, way.minutes))
        return variables

    # -- cuts --------------------------------------------------------------------------------------

    def _cuts(self, cut: Cut) -> None:
        """On hand(t) = on hand(t-1) + made - sold - blended - wasted.

        Something made on day t may be used on days t..t+keeps-1, case stock on its days left.
        """
        case = [stock for stock in self.scenario.case if stock.cut == cut.name]
        turn = [stock for stock in case if stock.keeps <= cut.keeps]  # goes out of date in turn
        self._old_stock(cut)
        for day in self.days:
            if not self._may_lie(cut, day):
                continue
            made = self._made.get((cut.name, day), [])
            opening = sum(stock.amount for stock in turn) if day == 0 else 0.0
            balance = [*made, *_minus(self._used.get((cut.name, day), []))]
            if (cut.name, day - 1) in self.on_hand:
                balance.append((self.on_hand[cut.name, day - 1], 1.0))
            balance.extend((use, 1.0) for use in self._old_uses(cut, day))
            ends = (cut.name, day - cut.keeps + 1) in self._made
            if ends or any(stock.keeps == day + 1 for stock in turn):
                self.wasted[cut.name, day] = self._variable("waste", cut.name, day)
                balance.append((self.wasted[cut.name, day], -1.0))
            recent = range(max(0, day - cut.keeps + 2), day + 1)
            fresh = [term for on in recent for term in self._made.get((cut.name, on), [])]
            in_date = [stock for stock in turn if stock.keeps > day + 1]
            if fresh or in_date:
                left = self._variable("hold", cut.name, day)
                self.on_hand[cut.name, day] = left
                balance.append((left, -1.0))
                older = any((cut.name, on) in self._made for on in range(recent.start))
                if older or len(in_date) < len(turn):
                    limit = sum(stock.amount for stock in in_date)
                    row = total([(left, 1.0), *_minus(fresh)]) <= limit
                    self._require(row, "in date", cut.name, day)
            self._require(total(balance, opening) == 0, "cuts", cut.name, day)

    def _old_stock(self, cut: Cut) -> None:
        """Case stock that keeps longer than the cut freshly made is used out of turn."""
        for number, stock in enumerate(self.scenario.case):
            if stock.cut == cut.name and stock.keeps > cut.keeps:
                uses = []
                for day in self.days[: stock.keeps]:
                    self.old_stock[number, day] = self._variable("case", cut.name, number, day)
                    uses.append((self.old_stock[number, day], 1.0))
                self._require(total(uses) <= stock.amount, "case", cut.name, number)

    def _old_uses(self, cut: Cut, day: int) -> list[LpVariable]:
        case = self.scenario.case
        return [
            use
            for (number, on), use in self.old_stock.items()
            if on == day and case[number].cut == cut.name
        ]

    # -- sold on day t -----------------------------------------------------------------------------

    def _sales(self) -> None:
        """Orders of the day, then at most `want` at full price and the rest at the markdown."""
        cuts = self.scenario.cuts
        for order in self.scenario.orders:
            may = self._may_lie(cuts[order.cut], order.day)
            sold = self._variable("order", order.index, most=order.amount if may else 0.0)
            self.filled[order.index] = sold
            self._used[order.cut, order.day].append((sold, 1.0))
        for name, demand in self.scenario.demand.items():
            for day in self.days:
                if not self._may_lie(cuts[name], day):
                    continue
                if demand.want[day] > 0:
                    sold = self._variable("sell", name, day, most=demand.want[day])
                    self.walk_in[name, day] = sold
                    self._used[name, day].append((sold, 1.0))
                if demand.markdown_want[day] > 0:
                    sold = self._variable("mark", name, day, most=demand.markdown_want[day])
                    self.marked_down[name, day] = sold
                    self._used[name, day].append((sold, 1.0))

    # -- blends ------------------------------------------------------------------------------------

    def _blends(self) -> None:
        """Weight out = weight in x (1 + added); the fat share of the weight in has limits."""
        for name, blend in self.blends.items():
            for day in self.days:
                weight_in: list[Term] = []
                for taken in blend.takes:
                    if self._may_lie(self.scenario.cuts[taken], day):
                        pounds = self._variable("blend", name, taken, day)
                        self.blended[name, taken, day] = pounds
                        self._used[taken, day].append((pounds, 1.0))
                        weight_in.append((pounds, self.scenario.cuts[taken].fat or 0.0))
                if not weight_in:
                    continue
                least, most = blend.fat
                if least > 0:
                    row = total((pounds, fat - least) for pounds, fat in weight_in) >= 0
                    self._require(row, "least fat", name, day)
                if most < 1:
                    row = total((pounds, fat - most) for pounds, fat in weight_in) <= 0
                    self._require(row, "most fat", name, day)
                for pounds, _ in weight_in:
                    self._made[name, day].append((pounds, 1 + blend.added))
                    self._minutes[day].append((pounds, blend.minutes * (1 + blend.added)))

    def _may_lie(self, cut: Cut, day: int) -> bool:
        """Whether any of a cut can be in date on a day."""
        made = any(
            (cut.name, on) in self._made for on in range(max(0, day - cut.keeps + 1), day + 1)
        )
        return made or any(
            stock.cut == cut.name and day < stock.keeps for stock in self.scenario.case
        )

    # -- bench -------------------------------------------------------------------------------------

    def _bench(self) -> None:
        """Minutes of ways and blends <= bench(t) + overtime(t); overtime(t) has a limit."""
        bench = self.scenario.bench
        if bench is None:
            return
        for day in self.days:
            terms = [term for term in self._minutes[day] if term[1]]
            if self.scenario.overtime(day) > 0:
                most = self.scenario.overtime(day)
                self.overtime[day] = self._variable("overtime", day, most=most)
                terms.append((self.overtime[day], -1.0))
            self.bench[day] = self._require(total(terms) <= bench[day], "bench", day)

    # -- rules -------------------------------------------------------------------------------------

    def _rule(self, number: int, rule: Rule) -> None:
        """Counts of a rule go over all lots and days."""

        def cut(way: str) -> bool:
            return way != rule.way if rule.verb == "all" else way == rule.way

        pieces = [
            (x, 1.0)
            for (_, piece, way, _), x in self.cut.items()
            if piece == rule.piece and cut(way)
        ]
        count = total(pieces)
        row = count >= rule.count if rule.verb == "at least" else count <= rule.count
        self.rules[number] = self._require(row, "rule", number, rule)

    # -- orders first, the score, the ties ---------------------------------------------------------

    def _order_value(self) -> LpAffineExpression:
        """Money of the orders filled: as much as can be is filled before the score counts."""
        return total((self.filled[order.index], order.price) for order in self.scenario.orders)

    def _score(self) -> LpAffineExpression:
        """Revenue - overtime pay - head bought - disposal + carry."""
        return self._revenue() - self._spending() + self._carry()

    def _revenue(self) -> LpAffineExpression:
        demand = self.scenario.demand
        full = [(sold, demand[cut].price or 0.0) for (cut, _), sold in self.walk_in.items()]
        less = [(sold, demand[cut].markdown_price) for (cut, _), sold in self.marked_down.items()]
        return total([*full, *less]) + self._order_value()

    def _spending(self) -> LpAffineExpression:
        scenario = self.scenario
        terms = [(minutes, scenario.overtime_cost) for minutes in self.overtime.values()]
        for lot in scenario.lots:
            if lot.up_to:
                terms.append((self.bought[lot.index], lot.weight * lot.cost))
        for (number, name, _), pieces in self.discarded.items():
            weight = self.weights[number][name]
            terms.append((pieces, weight * scenario.disposal))
        for (cut, _), amount in self.wasted.items():
            if not scenario.cuts[cut].by_each:
                terms.append((amount, scenario.disposal))
        constant = 0.0
        for number, rest in self._old_rests(ends=True):
            if not scenario.cuts[scenario.case[number].cut].by_each:
                terms.extend((use, -scenario.disposal) for use in rest)
                constant += scenario.case[number].amount * scenario.disposal
        return total(terms, constant)

    def _carry(self) -> LpAffineExpression:
        """What is in date on the day after the last, at a share of its full price."""
        scenario, after = self.scenario, self.scenario.days - 1
        terms: list[Term] = []
        for (cut, day), amount in self.on_hand.items():
            if day == after:
                terms.append((amount, scenario.carry * scenario.price(cut)))
        for (number, name, day), pieces in self.whole.items():
            if day == after:
                lot = scenario.lots[number]
                value = scenario.full_value(lot, name, self.weights[number][name])
                terms.append((pieces, scenario.carry * value))
        constant = 0.0
        for number, rest in self._old_rests(ends=False):
            worth = scenario.carry * scenario.price(scenario.case[number].cut)
            terms.extend((use, -worth) for use in rest)
            constant += scenario.case[number].amount * worth
        return total(terms, constant)

    def _old_rests(self, *, ends: bool) -> Iterable[tuple[int, list[LpVariable]]]:
        """Uses of old case stock that goes out of date in the period, or that does not."""
        for number, stock in enumerate(self.scenario.case):
            uses = [use for (at, _), use in self.old_stock.items() if at == number]
            if uses and (stock.keeps <= self.scenario.days) == ends:
                yield number, uses

    def _ties(self) -> LpAffineExpression:
        """Fewer minutes, then fresher cuts: what lies over a night inside the period."""
        nights = self.scenario.days - 1
        terms = [
            (variable, MINUTE_TIE * minutes)
            for day in self.days
            for variable, minutes in self._minutes[day]
        ]
        for (cut, day), amount in self.on_hand.items():
            if day < nights and not self.scenario.cuts[cut].by_each:
                terms.append((amount, NIGHT_TIE))
        constant = 0.0
        for number, stock in enumerate(self.scenario.case):
            uses = {day: use for (at, day), use in self.old_stock.items() if at == number}
            if not self.scenario.cuts[stock.cut].by_each and uses:
                over = min(nights, stock.keeps - 1)
                constant += NIGHT_TIE * over * stock.amount
                terms.extend((use, -NIGHT_TIE * max(0, over - day)) for day, use in uses.items())
        return total(terms, constant)


def _minus(terms: Iterable[Term]) -> list[Term]:
    return [(variable, -coefficient) for variable, coefficient in terms]
