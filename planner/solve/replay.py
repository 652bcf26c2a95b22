"""Every plan once more, without the solver: what is cut, made and used, day by day.

The solver works to a tolerance, and takes what is smaller for nothing. So its amounts are taken
from the stock that its whole numbers give: what is not there by a hair is not used, and what cannot
be so is a fault of the plan.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace

from planner.ledger import DUST, Shelf
from planner.recipe import Blend
from planner.scenario import GrindRule, Lot, Rule, Scenario
from planner.solve.options import Solution

HAIR = 1e-4
"""Share of an amount (or of 1) by which the solver may take more than is there."""

NOISE = 1e-9
"""Share below which two amounts are one: what adding them up in another order makes of them."""


class Replay:
    """The stock of a scenario under the decisions of a solution, from day to day.

    Attributes
    ----------
    day : int
        The first that is not played yet.
    cooler : mapping of (lot, piece) to Shelf
    case : mapping of cut to Shelf
    faults : list of str
        What the decisions break, in words.
    """

    def __init__(self, scenario: Scenario, solution: Solution) -> None:
        self.day = 0
        self.faults: list[str] = []
        self.cooler: dict[tuple[int, str], Shelf[None]] = defaultdict(Shelf)
        self.case: dict[str, Shelf[None]] = {name: Shelf() for name in scenario.cuts}
        for stock in scenario.case:
            self.case[stock.cut].stock(stock.amount, stock.keeps - 1)
        self._scenario = scenario
        self._weights = [lot.weights() for lot in scenario.lots]
        self._order = [{name: n for n, name in enumerate(each)} for each in self._weights]
        self._take(solution)

    def _take(self, solution: Solution) -> None:
        self._solution = solution
        self._walk_in = dict(solution.walk_in)
        self._marked_down = dict(solution.marked_down)
        self._filled = dict(solution.filled)
        self._blended = dict(solution.blended)
        self._breaks: dict[int, list[tuple[int, int, str, str, int]]] = defaultdict(list)
        for (lot, piece, way, day), count in solution.breaks.items():
            if day >= self.day:
                self._breaks[day].append((lot, self._order[lot][piece], piece, way, count))

    def go_on(self, solution: Solution, day: int) -> None:
        """Play the days before a day by decisions that agree with those so far."""
        self._take(solution)
        self.up_to(day)

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

    def up_to(self, day: int) -> None:
        """Play the days before a day."""
        while self.day < day:
            minutes = self._cut() + self._blend()
            self._sell()
            bench = self._scenario.bench
            if bench is not None:
                most = bench[self.day] + self._scenario.most_overtime(self.day)
                self._at_most(f"minutes of day {self.day}", minutes, most)
            for shelf in (*self.cooler.values(), *self.case.values()):
                shelf.close(self.day, last=self.day == self._scenario.days - 1)
            self.day += 1

    def _at_most(self, what: str, number: float, most: float) -> None:
        if number > most + DUST * max(1.0, abs(most)):
            self.faults.append(f"{what}: {number:g} of at most {most:g}")

    def _cut(self) -> float:
        """What arrives and is cut; minutes."""
        minutes = 0.0
        for lot in self._scenario.lots:
            if lot.arrives == self.day:
                self.cooler[lot.index, lot.piece].make(self._head(lot), self.day + lot.keeps - 1)
        for number, _, piece, name, count in sorted(self._breaks[self.day]):
            lot = self._scenario.lots[number]
            way = lot.recipe.pieces[piece].ways[name]
            there = self.cooler[number, piece]
            if count < 0 or count > there.left + 0.5:
                self.faults.append(f"{piece} of lot {number} cut on day {self.day}: {count}")
                continue
            there.use(count)
            minutes += count * way.minutes
            for piece_given in way.pieces:
                last = self.day + lot.keeps_of(piece_given.name) - 1
                self.cooler[number, piece_given.name].make(count * piece_given.count, last)
            for given in way.cuts:
                cut = self._scenario.cuts[given.name]
                each = given.count if cut.by_each else self._weights[number][piece] * given.share
                self.case[cut.name].make(count * each, self.day + cut.keeps - 1)
        return minutes

    def _head(self, lot: Lot) -> int:
        if not lot.up_to:
            return lot.count
        bought = self._solution.bought[lot.index]
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
                    self._blended[key] = takes[cut] = self._used(cut, self._blended[key])
            if not any(takes.values()):
                continue
            self._mixed(blend, takes)
            made = sum(takes.values()) * blend.gain
            minutes += made * blend.minutes
            self.case[name].make(made, self.day + blend.cut.keeps - 1)
        return minutes

    def _mixed(self, blend: Blend, takes: Mapping[str, float]) -> None:
        """Shares of the weight in, and whole batches."""
        weight, what = sum(takes.values()), f"{blend.cut.name} on day {self.day}"
        fat = sum(each * (self._scenario.cuts[cut].fat or 0.0) for cut, each in takes.items())
        shares = [("fat", fat, *blend.fat)]
        for limit in blend.limits:
            counted = sum(each for cut, each in takes.items() if cut in limit.takes)
            shares.append((limit.name, counted, limit.least, limit.most))
        for name, part, least, most in shares:
            if not (least * weight - HAIR <= part <= most * weight + HAIR) and not (
                least - HAIR <= part / weight <= most + HAIR
            ):
                self.faults.append(f"{name} in {what}: {part / weight:.2%}")
        if blend.batch:
            batches = self._solution.batches.get((blend.cut.name, self.day), 0)
            off = abs(weight * blend.gain - batches * blend.batch)
            if off > HAIR * max(1.0, weight):
                self.faults.append(f"{what}: not {batches} batches")

    def _sell(self) -> None:
        """Orders of the day first, then at the full price, then at the markdown."""
        day = self.day
        for order in self._scenario.orders:
            if order.day == day:
                self._at_most(f"order {order.index}", self._filled[order.index], order.amount)
                asked = self._filled[order.index]
                self._filled[order.index] = self._used(order.cut, asked, DUST / 10)
        for name, demand in self._scenario.demand.items():
            for sold, most in (
                (self._walk_in, demand.want[day]),
                (self._marked_down, demand.markdown_want[day]),
            ):
                if sold.get((name, day), 0.0) > 0:
                    self._at_most(f"{name} sold on day {day}", sold[name, day], most)
                    sold[name, day] = self._used(name, sold[name, day])

    def _used(self, name: str, asked: float, noise: float = NOISE) -> float:
        """Take a cut; how much of it is there. What lacks by less than `noise` is."""
        shelf = self.case[name]
        there, room = shelf.left, max(1.0, asked)
        taken = min(asked, there)
        if asked - there > HAIR * room:
            self.faults.append(f"{name} used on day {self.day}: {asked:g}, there is {there:g}")
        elif asked - there > noise * room:
            asked = float(int(taken + DUST)) if self._scenario.cuts[name].by_each else taken
        shelf.use(taken)
        return asked


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
        done = counted(rule, solution)
        least = rule.pounds if isinstance(rule, GrindRule) else rule.count
        slack = HAIR * max(1.0, least) if isinstance(rule, GrindRule) else 0.0
        if (done < least - slack) if rule.verb == "at least" else (done > least + slack):
            yield f"the rule {rule}: {done:g}"


def counted(rule: Rule | GrindRule, solution: Solution) -> float:
    """What a rule counts: pieces, or pounds; those that go another way where it is on all."""
    other = rule.verb == "all"
    if isinstance(rule, GrindRule):
        return sum(
            pounds
            for (blend, cut, _), pounds in solution.blended.items()
            if cut == rule.cut and (blend == rule.blend) != other
        )
    return sum(
        count
        for (_, piece, way, _), count in solution.breaks.items()
        if piece == rule.piece and (way == rule.way) != other
    )
