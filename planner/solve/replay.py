"""Every plan once more, without the solver: what is cut, made and used, day by day.

The solver works to a tolerance, and takes what is smaller for nothing. So its amounts are taken
from the stock that its whole numbers give: what is not there by a hair is not used, and what cannot
be so is a fault of the plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from planner.core.plan_lines import Batch, Sale, breaks_of
from planner.core.recipe import Blend
from planner.core.scenario import GrindRule, Lot, Scenario
from planner.core.stock_replay import DUST, DayStock, Ledger, PieceStock, StockRecord
from planner.solve.options import Solution

HAIR = 1e-4
"""Share of an amount (or of 1) by which the solver may take more than is there."""

NOISE = 1e-9
"""Share below which two amounts are one: what adding them up in another order makes of them."""


class Replay:
    """The decisions of a solution played and checked from day to day.

    Attributes
    ----------
    ledger : Ledger
        The stock as it is on the first day that is not played yet.
    batches, sales : list of Batch, of Sale
        Of the days played, in the order in which they are made and served.
    minutes : list of float
        Bench minutes of each day played.
    stock : StockRecord
        Of the days played.
    faults : list of str
        What the decisions break, in words.
    """

    def __init__(self, scenario: Scenario, solution: Solution) -> None:
        self.ledger = Ledger(scenario)
        self.batches: list[Batch] = []
        self.sales: list[Sale] = []
        self.minutes: list[float] = []
        self.faults: list[str] = []
        self._scenario = scenario
        self._closed: list[tuple[Mapping[str, DayStock], tuple[PieceStock, ...]]] = []
        self._take(solution)

    def _take(self, solution: Solution) -> None:
        self._solution = solution
        self._walk_in = dict(solution.walk_in)
        self._marked_down = dict(solution.marked_down)
        self._filled = dict(solution.filled)
        self._blended = dict(solution.blended)
        self.breaks = breaks_of(self._scenario, solution.breaks)

    @property
    def day(self) -> int:
        """The first that is not played yet."""
        return self.ledger.day

    @property
    def stock(self) -> StockRecord:
        """Every portion of every day played."""
        cuts, pieces = zip(*self._closed, strict=True)
        return StockRecord(cuts, pieces)

    @property
    def solution(self) -> Solution:
        """The decisions, with nothing used that is not there."""
        return replace(
            self._solution,
            walk_in=self._walk_in,
            marked_down=self._marked_down,
            filled=self._filled,
            blended=self._blended,
        )

    def go_on(self, solution: Solution, day: int) -> None:
        """Play the days before a day by decisions that agree with those so far."""
        self._take(solution)
        self.up_to(day)

    def up_to(self, day: int) -> None:
        """Play the days before a day."""
        while self.day < day:
            self.minutes.append(self._cut() + self._blend())
            self._sell()
            bench = self._scenario.bench
            if bench is not None:
                most = bench[self.day] + self._scenario.most_overtime(self.day)
                self._at_most(f"minutes of day {self.day}", self.minutes[-1], most)
            self._closed.append(self.ledger.close())

    def _at_most(self, what: str, number: float, most: float) -> None:
        if number > most + DUST * max(1.0, abs(most)):
            self.faults.append(f"{what}: {number:g} of at most {most:g}")

    def _cut(self) -> float:
        """What arrives and is cut; minutes."""
        minutes = 0.0
        for lot in self._scenario.lots:
            if lot.arrives == self.day:
                self.ledger.arrive(lot, self._head(lot))
        for each in [each for each in self.breaks if each.day == self.day]:
            there = self.ledger.pieces[each.lot][each.piece].left
            if each.count < 0 or each.count > there + 0.5:
                what = f"{each.piece} of lot {each.lot} cut on day {self.day}"
                self.faults.append(f"{what}: {each.count}")
                continue
            self.ledger.cut(each)
            minutes += each.minutes
        return minutes

    def _head(self, lot: Lot) -> int:
        if not lot.up_to:
            return lot.count
        bought = self._solution.bought.get(lot.index, 0)
        self._at_most(f"head bought of lot {lot.index}", bought, lot.count)
        return bought

    def _blend(self) -> float:
        """What is made of the blends; minutes."""
        minutes = 0.0
        for name, blend in self._scenario.blends.items():
            takes = {}
            for cut in blend.takes:
                key = (name, cut, self.day)
                if self._blended.get(key, 0.0) > 0:
                    self._blended[key] = self._there(cut, self._blended[key])
                    if self._blended[key] > DUST:
                        takes[cut] = self._blended[key]
            if takes:
                batch = self._mixed(blend, takes)
                minutes += batch.minutes
                self.batches.append(batch)
                self.ledger.blend(batch)
        return minutes

    def _mixed(self, blend: Blend, takes: Mapping[str, float]) -> Batch:
        """A batch, its shares of the weight in and whole batches checked."""
        name, day, weight = blend.cut.name, self.day, sum(takes.values())
        what, made = f"{name} on day {day}", weight * blend.gain
        known = {cut: self._scenario.cuts[cut].fat for cut in takes}
        fat = sum(each * (known[cut] or 0.0) for cut, each in takes.items())
        batches = self._solution.batches.get((name, day))
        shares = [("fat", fat, *blend.fat)]
        for limit in blend.limits:
            counted = sum(each for cut, each in takes.items() if cut in limit.takes)
            shares.append((limit.name, counted, limit.least, limit.most))
        for share, part, least, most in shares:
            if not (least * weight - HAIR <= part <= most * weight + HAIR) and not (
                least - HAIR <= part / weight <= most + HAIR
            ):
                self.faults.append(f"{share} in {what}: {part / weight:.2%}")
        if blend.batch:
            off = abs(made - (batches or 0) * blend.batch)
            if off > HAIR * max(1.0, weight):
                self.faults.append(f"{what}: not {batches or 0} batches")
        fat_share = None if None in known.values() else fat / weight
        return Batch(day, name, made, fat_share, takes, made * blend.minutes, batches)

    def _sell(self) -> None:
        """Orders of the day first, then at the full price, then at the markdown."""
        day = self.day
        for order in self._scenario.orders:
            if order.day == day:
                self._at_most(f"order {order.index}", self._filled[order.index], order.amount)
                amount = self._there(order.cut, self._filled[order.index], DUST / 10)
                self._filled[order.index] = amount
                sale = Sale(day, order.cut, amount, order.price, order.buyer, order.index)
                self._serve(sale)
        for name, demand in self._scenario.demand.items():
            for sold, most, price, to in (
                (self._walk_in, demand.want[day], demand.price or 0.0, "walk-in"),
                (self._marked_down, demand.markdown_want[day], demand.markdown_price, "markdown"),
            ):
                if sold.get((name, day), 0.0) > 0:
                    self._at_most(f"{name} sold on day {day}", sold[name, day], most)
                    amount = sold[name, day] = self._there(name, sold[name, day])
                    self._serve(Sale(day, name, amount, price, to))

    def _serve(self, sale: Sale) -> None:
        if sale.amount > 0:
            self.sales.append(sale)
            self.ledger.sell(sale)

    def _there(self, name: str, asked: float, noise: float = NOISE) -> float:
        """How much of a cut is there of what is asked. What lacks by less than `noise` is."""
        there, room = self.ledger.cuts[name].left, max(1.0, asked)
        if asked - there <= noise * room:
            return asked
        if asked - there > HAIR * room:
            self.faults.append(f"{name} used on day {self.day}: {asked:g}, there is {there:g}")
        return float(int(there + DUST)) if self._scenario.cuts[name].by_each else there


def replayed(scenario: Scenario, solution: Solution) -> tuple[Solution, list[str]]:
    """The decisions with nothing used that is not there, and what they break all the same."""
    replay = Replay(scenario, solution)
    replay.up_to(scenario.days)
    numbers = (*solution.breaks.values(), *solution.bought.values(), *solution.batches.values())
    amounts = (solution.walk_in, solution.marked_down, solution.filled, solution.blended)
    if min([0, *numbers, *(min(each.values(), default=0.0) for each in amounts)]) < 0:
        replay.faults.append("less than nothing cut, bought or sold")
    return replay.solution, [*replay.faults, *_rules_broken(scenario, replay.solution)]


def _rules_broken(scenario: Scenario, solution: Solution) -> Iterable[str]:
    for rule in scenario.rules:
        done, wanted = sum(rule.counted(solution.breaks, solution.blended)), rule.number
        slack = HAIR * max(1.0, wanted) if isinstance(rule, GrindRule) else 0.0
        if (done < wanted - slack) if rule.verb == "at least" else (done > wanted + slack):
            yield f"the rule {rule}: {done:g}"
