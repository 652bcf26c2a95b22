"""The break model: what a plan is, as variables and constraints.

Days are numbered 0..D-1, lots by their place on the rail. Weights are pounds, cuts sold by each
are counted. Of every stock only the amount on hand is kept, not its age: what arrives in turn
goes out of date in turn, so a stock is sound if and only if no day ends with more on hand than
arrived recently enough to be in date on the next.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from copy import copy

from pulp import LpAffineExpression, LpConstraint, LpVariable

from planner.core.recipe import Blend, Cut
from planner.core.scenario import BlendKey, BreakKey, GrindRule, Lot, Rule, Scenario, Stock
from planner.solve.later_orders import LaterOrders
from planner.solve.linear import Came, Term, total
from planner.solve.size import stop_if_too_large

MINUTE_TIE = 0.001
"""Among plans of equal score prefer fewer bench minutes: money a minute."""

NIGHT_TIE = 0.0005
"""Then fresher cuts: money a pound and night."""

GRIND_TIE = 0.00001
"""Less ground: money a pound that goes in; what nobody wants stays trim."""

BIN_TIE = 0.002
"""No blend made to be binned: money a pound, as much as trim that lies over for four nights."""

AFTER_TIE = 0.0001
"""Fewer pieces kept whole for orders after the period: money for one cut then."""

HELD = 0.01
"""What an order after the period counts beside one of the period, which come first."""


class BreakModel(LaterOrders):
    """Variables, constraints and the score of one scenario; maximizes `score` less `ties`.

    Every variable is kept under what it decides; `LaterOrders` adds `held` and `cut_after`.
    """

    def __init__(self, scenario: Scenario) -> None:
        stop_if_too_large(scenario)
        super().__init__()
        self.scenario = scenario
        self.days = range(scenario.days)
        self.weights = {lot.index: lot.weights() for lot in scenario.lots}
        self.rewarded = 0.0  # the most money that rewards add to the score

        # pieces cut, head bought and batches made are whole numbers
        self.breaks: dict[BreakKey, LpVariable] = {}
        self.bought: dict[int, LpVariable] = {}  # by lot
        self.batches: dict[tuple[str, int], LpVariable] = {}  # by blend and day
        # pieces on hand at the end of a day, and gone out of date on it, by lot, piece and day
        self.whole = {}
        self.discarded: dict[tuple[int, str, int], LpVariable] = {}
        # the same of cuts, by cut, day and the number of case stock that is kept apart
        self.on_hand = {}
        self.wasted: dict[tuple[str, int, int | None], LpVariable] = {}
        # sold at full price and at the markdown, by cut and day; filled of each order
        self.walk_in: dict[tuple[str, int], LpVariable] = {}
        self.marked_down: dict[tuple[str, int], LpVariable] = {}
        self.filled: dict[int, LpVariable] = {}
        self.blended: dict[BlendKey, LpVariable] = {}  # pounds that go in
        self.overtime: dict[int, LpVariable] = {}  # minutes beyond the bench of a day
        self.rules: dict[int, LpConstraint] = {}  # by number
        self.bench: dict[int, LpConstraint] = {}  # by day

        self._made: dict[str, dict[int, Came]] = defaultdict(dict)
        self._used: dict[tuple[str, int], list[Term]] = defaultdict(list)
        self._minutes: dict[int, list[Term]] = defaultdict(list)
        self._pieces_came, self._cuts_came = {}, {}

        for lot in scenario.lots:
            self._pieces(lot)
        self._blends()  # before sales and cuts: what is blended can be sold the same day
        self._sales()
        for cut in scenario.cuts.values():
            self._cuts(cut)
        self._bench()
        for number, rule in enumerate(scenario.rules):
            self._rule(number, rule)
        self._later_orders()
        self.order_value = self._order_value()
        self.score = self._score()
        self.ties = self._ties()
        self.problem += self.score - self.ties
        if not self._columns:  # nothing to decide, but a model without columns is none to a solver
            nothing = total([(self.variable("nothing", most=0.0), 1.0)])
            self.problem.setObjective(nothing)
            self.require(nothing <= 0, "nothing")

    # -- pieces of a lot ---------------------------------------------------------------------------

    def _pieces(self, lot: Lot) -> None:
        """On hand(t) = on hand(t-1) + arrived or bought + given by ways - cut - discarded.

        A carcass may be cut from the day it arrives, a piece from the day it is made, and what a
        way gives may be cut on the same day. After `keeps` days it is discarded.
        """
        came: dict[str, dict[int, Came]] = {name: {} for name in self.weights[lot.index]}
        came[lot.piece][lot.arrives] = self._bought(lot)
        for name in self.weights[lot.index]:  # parents first: all that comes of a piece is known
            usable = {day for each in came[name].values() for day in self.days if each.usable(day)}
            cut = {day: self._ways_on(lot, name, day, came) for day in sorted(usable)}
            self._pieces_came[lot.index, name] = list(came[name].values())
            left, gone = self._stock(list(came[name].values()), cut, "pieces", lot.index, name)
            self.whole |= {(lot.index, name, day): x for day, x in left.items()}
            self.discarded |= {(lot.index, name, day): x for day, x in gone.items()}

    def _ways_on(
        self, lot: Lot, name: str, day: int, came: dict[str, dict[int, Came]]
    ) -> list[Term]:
        """Cut a piece on a day: what every way takes, and what it gives to pieces and cuts."""
        weight = self.weights[lot.index][name]
        taken: list[Term] = []
        for way in lot.recipe.pieces[name].ways.values():
            x = self.variable("cut", lot.index, name, way.name, day, whole=True)
            self.breaks[lot.index, name, way.name, day] = x
            taken.append((x, 1.0))
            self._minutes[day].append((x, way.minutes))
            for given in way.pieces:
                last = day + lot.keeps_of(given.name) - 1
                piece = came[given.name].setdefault(day, Came(day, last, []))
                piece.terms.append((x, float(given.count)))
            for cut, amount in self.scenario.gives(way, weight):
                self._make(cut, day, x, amount)
        return taken

    # -- cuts --------------------------------------------------------------------------------------

    def _cuts(self, cut: Cut) -> None:
        """On hand(t) = on hand(t-1) + made - sold - blended - wasted.

        Something made on day t may be used on days t..t+keeps-1, case stock on its days left.
        """
        came = list(self._made[cut.name].values())
        old: dict[int, list[Term]] = defaultdict(list)
        for number, stock in enumerate(self.scenario.case):
            if stock.cut == cut.name and stock.keeps <= cut.keeps:
                came.append(Came(0, stock.keeps - 1, [], stock.amount))
            elif stock.cut == cut.name:
                for day, use in self._old_stock(number, stock).items():
                    old[day].append((use, -1.0))
        used = {day: [*self._used[cut.name, day], *old[day]] for day in self.days}
        for day in [day for day in self.days if old[day]]:  # old stock is used, never made fresh
            self.require(total(used[day]) >= 0, "old", cut.name, day)
        self._cuts_came[cut.name] = came
        left, gone = self._stock(came, used, "cuts", cut.name)
        self.on_hand |= {(cut.name, day, None): x for day, x in left.items()}
        self.wasted |= {(cut.name, day, None): x for day, x in gone.items()}
        if self._never_too_much(cut):
            for day, x in gone.items():
                x.upBound = sum(each.amount for each in came if each.last == day)

    def _never_too_much(self, cut: Cut) -> bool:
        """Whether nothing made of a blend goes out of date: it would only cost trim and time.

        Not where a batch may be more than is wanted, where what is lost in the making costs nothing
        to be rid of, or where a rule wants so much.
        """
        blend = self.scenario.blends.get(cut.name)
        if blend is None or blend.batch or blend.loss:
            return False
        rules = [each for each in self.scenario.rules if isinstance(each, GrindRule)]
        return not any(each.verb == "at least" and each.blend == cut.name for each in rules)

    def _old_stock(self, number: int, stock: Stock) -> dict[int, LpVariable]:
        """Case stock that keeps longer than the cut freshly made is used out of turn."""
        uses = {
            day: self.variable("case", stock.cut, number, day) for day in self.days[: stock.keeps]
        }
        came = [Came(0, stock.keeps - 1, [], stock.amount)]
        used = {day: [(use, 1.0)] for day, use in uses.items()}
        left, gone = self._stock(came, used, "case", stock.cut, number)
        self.on_hand |= {(stock.cut, day, number): x for day, x in left.items()}
        self.wasted |= {(stock.cut, day, number): x for day, x in gone.items()}
        return uses

    def _stock(
        self, came: list[Came], used: Mapping[int, list[Term]], *name: object
    ) -> tuple[dict[int, LpVariable], dict[int, LpVariable]]:
        """Balance a stock day by day: what is on hand at the end of each, and what is wasted on it.

        What is on hand at the end of a day came recently enough to be in date on the next.
        """
        on_hand: dict[int, LpVariable] = {}
        wasted: dict[int, LpVariable] = {}
        for day in self.days:
            usable = [each for each in came if each.usable(day)]
            balance = [(x, -amount) for x, amount in used.get(day, [])]
            balance += [term for each in usable if each.day == day for term in each.terms]
            arrived = sum(each.amount for each in usable if each.day == day)
            if day - 1 in on_hand:
                balance.append((on_hand[day - 1], 1.0))
            if any(each.last == day for each in usable):
                wasted[day] = self.variable("waste", *name, day)
                balance.append((wasted[day], -1.0))
            in_date = [each for each in usable if each.last > day]
            if in_date:
                on_hand[day] = self.variable("hold", *name, day)
                balance.append((on_hand[day], -1.0))
                if any(each.day <= day and each.last <= day for each in came):
                    fresh = [(x, -amount) for each in in_date for x, amount in each.terms]
                    most = sum(each.amount for each in in_date)
                    row = total([(on_hand[day], 1.0), *fresh]) <= most
                    self.require(row, "in date", *name, day)
            if balance:
                self.require(total(balance, arrived) == 0, *name, day)
        return on_hand, wasted

    # -- sold on day t -----------------------------------------------------------------------------

    def _sales(self) -> None:
        """Orders of the day, then at most `want` at full price and the rest at the markdown."""
        cuts = self.scenario.cuts
        for order in self.scenario.orders:
            may = self._may_lie(cuts[order.cut], order.day)
            sold = self.variable("order", order.index, most=order.amount if may else 0.0)
            self.filled[order.index] = sold
            self._used[order.cut, order.day].append((sold, 1.0))
        for name, demand in self.scenario.demand.items():
            for day in self.days:
                if not self._may_lie(cuts[name], day):
                    continue
                for word, most, sales in (
                    ("sell", demand.want[day], self.walk_in),
                    ("mark", demand.markdown_want[day], self.marked_down),
                ):
                    if most > 0:
                        sales[name, day] = sold = self.variable(word, name, day, most=most)
                        self._used[name, day].append((sold, 1.0))

    # -- blends ------------------------------------------------------------------------------------

    def _blends(self) -> None:
        """Weight out = weight in x (1 + added) x (1 - loss); shares of the weight in have limits.

        Of a blend made in batches a day makes a whole number of them.
        """
        for name, blend in self.scenario.blends.items():
            for day in self.days:
                pounds: dict[str, LpVariable] = {}
                for taken in blend.takes:
                    if self._may_lie(self.scenario.cuts[taken], day):
                        pounds[taken] = self.variable("blend", name, taken, day)
                        self.blended[name, taken, day] = pounds[taken]
                        self._used[taken, day].append((pounds[taken], 1.0))
                if not pounds:
                    continue
                fats = {taken: self.scenario.cuts[taken].fat or 0.0 for taken in pounds}
                self._share_of(pounds, fats, *blend.fat, "fat", name, day)
                for limit in blend.limits:
                    counted = {taken: float(taken in limit.takes) for taken in pounds}
                    limits = limit.least, limit.most
                    self._share_of(pounds, counted, *limits, limit.name, name, day)
                for weight in pounds.values():
                    self._make(blend.cut, day, weight, blend.gain)
                    self._minutes[day].append((weight, blend.minutes * blend.gain))
                if blend.batch:
                    self._whole_batches(blend, day, list(pounds.values()))

    def _share_of(
        self,
        pounds: Mapping[str, LpVariable],
        share: Mapping[str, float],
        least: float,
        most: float,
        *name: object,
    ) -> None:
        """Least and most of something of which each cut that goes in has a share."""
        if least > 0:
            row = total((weight, share[taken] - least) for taken, weight in pounds.items()) >= 0
            self.require(row, "least", *name)
        if most < 1:
            row = total((weight, share[taken] - most) for taken, weight in pounds.items()) <= 0
            self.require(row, "most", *name)

    def _whole_batches(self, blend: Blend, day: int, pounds: Iterable[LpVariable]) -> None:
        number = self.variable("batch", blend.cut.name, day, whole=True)
        self.batches[blend.cut.name, day] = number
        made = [(weight, blend.gain) for weight in pounds]
        row = total([*made, (number, -blend.batch)]) == 0
        self.require(row, "batches", blend.cut.name, day)

    def _make(self, cut: Cut, day: int, variable: LpVariable, amount: float) -> None:
        made = self._made[cut.name].setdefault(day, Came(day, day + cut.keeps - 1, []))
        made.terms.append((variable, amount))

    def _may_lie(self, cut: Cut, day: int) -> bool:
        """Whether any of a cut can be in date on a day."""
        made = any(each.usable(day) for each in self._made[cut.name].values())
        case = self.scenario.case
        return made or any(stock.cut == cut.name and day < stock.keeps for stock in case)

    # -- bench -------------------------------------------------------------------------------------

    def _bench(self) -> None:
        """Minutes of ways and blends <= bench(t) + overtime(t); overtime(t) has a limit."""
        bench = self.scenario.bench
        if bench is None:
            return
        for day in self.days:
            terms = [term for term in self._minutes[day] if term[1]]
            if self.scenario.most_overtime(day) > 0:
                most = self.scenario.most_overtime(day)
                self.overtime[day] = self.variable("overtime", day, most=most)
                terms.append((self.overtime[day], -1.0))
            self.bench[day] = self.require(total(terms) <= bench[day], "bench", day)

    # -- rules -------------------------------------------------------------------------------------

    def _rule(self, number: int, rule: Rule | GrindRule) -> None:
        """Counts of a rule, and the pounds of one on the grind, go over all lots and days."""
        terms = self.counted(rule)
        at_least = rule.verb == "at least"
        row = total(terms) >= rule.number if at_least else total(terms) <= rule.number
        self.rules[number] = self.require(row, "rule", number, rule)

    def counted(self, rule: Rule | GrindRule) -> list[Term]:
        """What a rule counts: pieces cut a way, or pounds of a cut that go into a blend."""
        return [(x, 1.0) for x in rule.counted(self.breaks, self.blended)]

    # -- bought head -------------------------------------------------------------------------------

    def _bought(self, lot: Lot) -> Came:
        """Bought head (or pieces): a whole number between 0 and `up to`; the others are there."""
        last = lot.arrives + lot.keeps - 1
        if not lot.up_to:
            return Came(lot.arrives, last, [], float(lot.count))
        self.bought[lot.index] = self.variable("buy", lot.index, most=lot.count, whole=True)
        return Came(lot.arrives, last, [(self.bought[lot.index], 1.0)])

    # -- orders first, the score, the ties ---------------------------------------------------------

    def objective_at(self, scenario: Scenario) -> LpAffineExpression:
        """The score less the ties at the prices of another scenario that has the same variables."""
        other = copy(self)
        other.scenario = scenario
        other.order_value = other._order_value()
        return other._score() - self.ties

    def _order_value(self) -> LpAffineExpression:
        """Money of the orders filled: as much as can be is filled before the score counts.

        Orders after the period count next to nothing beside those of it, but before the score.
        """
        held = [
            (self.held[each.order.index], HELD * (each.order.price or 1.0))
            for each in self.scenario.held
        ]
        return total([*self._filled_value(), *held])

    def _filled_value(self) -> list[Term]:
        return [(self.filled[order.index], order.price) for order in self.scenario.orders]

    def _score(self) -> LpAffineExpression:
        """Revenue - overtime pay - head bought - disposal + carry."""
        return self._revenue() - self._spending() + self._carry()

    def _revenue(self) -> LpAffineExpression:
        demand = self.scenario.demand
        full = [(sold, demand[cut].price or 0.0) for (cut, _), sold in self.walk_in.items()]
        less = [(sold, demand[cut].markdown_price) for (cut, _), sold in self.marked_down.items()]
        return total([*full, *less, *self._filled_value()])

    def _spending(self) -> LpAffineExpression:
        scenario = self.scenario
        terms = [(minutes, scenario.overtime_cost) for minutes in self.overtime.values()]
        for lot in scenario.lots:
            if lot.up_to:
                terms.append((self.bought[lot.index], lot.weight * lot.cost))
        for (number, name, _), pieces in self.discarded.items():
            weight = self.weights[number][name]
            terms.append((pieces, weight * scenario.disposal))
        for (cut, _, _), amount in self.wasted.items():
            if not scenario.cuts[cut].by_each:
                terms.append((amount, scenario.disposal))
        return total(terms)

    def _carry(self) -> LpAffineExpression:
        """What is in date on the day after the last, at a share of its full price."""
        scenario, after = self.scenario, self.scenario.days - 1
        terms: list[Term] = []
        for (cut, day, _), amount in self.on_hand.items():
            if day == after:
                terms.append((amount, scenario.carry * scenario.price(cut)))
        values = {lot.index: scenario.full_values(lot) for lot in scenario.lots}
        for (number, name, day), pieces in self.whole.items():
            if day == after:
                terms.append((pieces, scenario.carry * values[number][name]))
        return total(terms)

    def _ties(self) -> LpAffineExpression:
        """Fewer minutes, fresher cuts (nights in the period), no blend for the bin, less ground."""
        nights = self.scenario.days - 1
        terms = [
            (variable, MINUTE_TIE * minutes)
            for day in self.days
            for variable, minutes in self._minutes[day]
        ]
        blends = self.scenario.blends
        terms += [(pounds, GRIND_TIE) for pounds in self.blended.values()]
        terms += [(pieces, AFTER_TIE) for pieces in self.cut_after.values()]
        terms += [(x, BIN_TIE) for (cut, _, _), x in self.wasted.items() if cut in blends]
        for (cut, day, _), amount in self.on_hand.items():
            if day < nights and not self.scenario.cuts[cut].by_each:
                terms.append((amount, NIGHT_TIE))
        return total(terms)

    # -- what questions add ----------------------------------------------------------------------

    def reward(
        self, terms: Iterable[Term], constant: float, most: float, money: float, *name: object
    ) -> LpVariable:
        """Maximize also money for each of a sum of terms and a constant, up to a most.

        It is neither in the score nor in the ties. Returns the variable that counts.
        """
        self.rewarded += most * money
        counted = self.variable("reward", *name, most=most)
        less = ((x, -n) for x, n in terms)
        self.require(total([(counted, 1.0), *less]) <= constant, "reward", *name)
        self.problem.setObjective(self.problem.objective + total([(counted, money)]))
        return counted

    def cut_as(self, breaks: Mapping[BreakKey, int]) -> None:
        """Leave no choice but these breaks."""
        for key, x in self.breaks.items():
            x.lowBound = x.upBound = breaks.get(key, 0)

    @property
    def alike(self) -> dict[tuple[str, str, int], list[LpVariable]]:
        """How many pieces are cut in a way on a day, of whatever lot."""
        found: dict[tuple[str, str, int], list[LpVariable]] = defaultdict(list)
        for (_, piece, way, day), x in self.breaks.items():
            found[piece, way, day].append(x)
        return found

    def cut_list(self, listed: Mapping[tuple[str, str, int], int]) -> None:
        """Leave no choice but a list of breaks: of which lots is left open."""
        for key, several in self.alike.items():
            count = listed.get(key, 0)
            for x in several:
                x.lowBound, x.upBound = (count if len(several) == 1 else 0), count
            if len(several) > 1 and count:
                self.require(total((x, 1.0) for x in several) == count, "list", *key)
