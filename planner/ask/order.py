"""How many head to order: the score against the number of head of each delivery."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from planner.ask.bottlenecks import Tight, tight_in
from planner.ask.comparison import NAMED, Comparer, Interval, best_of
from planner.core.errors import InputError, NoPlanInTimeError, Problem, RulesConflictError
from planner.core.recipe import trade_names
from planner.core.scenario import Lot, Scenario
from planner.core.spelling import nearest
from planner.solve.plan import CENT, Plan

MOST_ROWS = 60
"""No more head than this of one delivery are tried."""

ROUGH = 40
"""The first plans are within one part in so many of what a head costs, or within 1.00."""

CLOSE = 0.45 * NAMED
"""Within this, the numbers beside each other are told apart if they differ by more than 1.00."""

Told = Callable[[int, int], object]
"""Told how many of the numbers are planned, and of how many."""


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One number of head of a delivery, all else as in the scenario.

    `cost` is that of these head, which the score of the plan has not paid. Where there is none,
    `conflict` says what cannot be kept; empty where none was found in the time given. `close` is
    another plan, closer to the best: for what is proven.
    """

    head: int
    cost: float
    plan: Plan | None
    conflict: tuple[str, ...]
    tight: Tight | None
    close: Plan | None = None

    @property
    def score(self) -> Interval | None:
        """The best score with so many head, before they are paid."""
        known = [each for each in (self.plan, self.close) if each]
        return best_of(known) if known else None

    @property
    def net(self) -> Interval | None:
        """The best score with so many head, their cost taken off."""
        score = self.score
        return Interval(score.least - self.cost, score.most - self.cost) if score else None


@dataclass(frozen=True, slots=True)
class DeliveryCurve:
    """A lot of head, with a row for each number of them from none up."""

    lot: Lot
    cost: float
    rows: tuple[CurvePoint, ...]

    @property
    def head_cost(self) -> float:
        """Money for one."""
        return self.cost * self.lot.weight

    def adds(self, head: int) -> Interval | None:
        """What one more than this number adds to the score, before it is paid."""
        if head + 1 >= len(self.rows):
            return None
        before, after = self.rows[head].score, self.rows[head + 1].score
        if before is None or after is None:
            return None
        return Interval(after.least - before.most, after.most - before.least)

    @property
    def best(self) -> tuple[int, ...]:
        """The numbers that may earn the most, all costs paid: one, if it is known which."""
        known = [(row.head, row.net) for row in self.rows if row.net]
        highest = max((net.least for _, net in known), default=0.0)
        return tuple(head for head, net in known if net.most >= highest - CENT)

    @property
    def spread(self) -> float:
        """How far apart the numbers in `best` can be at most."""
        found = self._best_nets
        return max(net.most for net in found) - min(net.least for net in found) if found else 0.0

    @property
    def fills_from(self) -> int | None:
        """The least number from which on all orders are filled; None where none does."""
        last = None
        for row in reversed(self.rows):
            if row.tight is None or row.tight.short:
                break
            last = row.head
        return last

    @property
    def gain(self) -> Interval | None:
        """What the best number earns more than the number in the scenario.

        None where the scenario only says `up to`, has a number not tried, or has the best one.
        """
        count, best = self.lot.count, self._best_nets
        if self.lot.up_to or count >= len(self.rows) or count in self.best or not best:
            return None
        today = self.rows[count].net
        if today is None:
            return None
        highest = max(net.most for net in best)
        return Interval(max(net.least for net in best) - today.most, highest - today.least)

    @property
    def _best_nets(self) -> list[Interval]:
        return [net for head in self.best for net in [self.rows[head].net] if net]


@dataclass(frozen=True, slots=True)
class OrderCurve:
    """The deliveries that may be ordered, in the order of the rail."""

    scenario: Scenario
    deliveries: tuple[DeliveryCurve, ...]


def order(
    comparer: Comparer,
    species: str | None = None,
    up_to: int = 12,
    cost: float | None = None,
    told: Told | None = None,
) -> OrderCurve:
    """Plan the scenario with every number of head of each delivery, one delivery at a time.

    Numbers side by side are planned more closely until it is known which of the two earns more,
    after their cost, or they are within 1.00 of each other, or the time for a plan is over.

    Of one `species` only, if it is named, with at most `up_to` head; `cost` is money a pound, in
    place of that in the scenario.

    Raises
    ------
    InputError
        There is no head of that species, or no cost.
    RulesConflictError, NoPlanInTimeError
        There is no plan with any number of head.
    """
    if not 1 <= up_to <= MOST_ROWS:
        message = f"{up_to} head cannot be tried; from 1 to {MOST_ROWS} can"
        raise InputError([Problem("--up-to", 0, message)])
    lots = _lots(comparer.scenario, species)
    _stop_without_cost(comparer.scenario, lots, cost)
    deliveries = []
    for number, lot in enumerate(lots):
        price, rows = lot.cost if cost is None else cost, []
        for head in range(up_to + 1):
            amount = max(NAMED, price * lot.weight / ROUGH)
            rows.append(_row(comparer, lot, head, price, amount))
            if told:
                told(number * (up_to + 1) + head + 1, len(lots) * (up_to + 1))
        deliveries.append(_told_apart(comparer, DeliveryCurve(lot, price, tuple(rows))))
    if not any(row.plan for each in deliveries for row in each.rows):
        comparer.plan()  # says why there is none
    return OrderCurve(comparer.scenario, tuple(deliveries))


def _lots(scenario: Scenario, species: str | None) -> list[Lot]:
    """Lots that arrive whole as head, of one species or of all."""
    head = [lot for lot in scenario.lots if lot.piece in lot.recipe.roots]
    there = list(dict.fromkeys(name for lot in head for name in (lot.recipe.species, lot.name)))
    if not head:
        message = "nothing on the rail arrives as whole head, so there is none to order"
        raise InputError([Problem("rail", 0, message)])
    if species is not None and species not in there:
        known_as = trade_names(scenario.recipes)
        hint, known = nearest(species, there, known_as), ", ".join(there)
        message = f'no head of "{species}" on the rail{hint}; there is {known}'
        raise InputError([Problem("--species", 0, message)])
    return [lot for lot in head if species in (None, lot.recipe.species, lot.name)]


def _stop_without_cost(scenario: Scenario, lots: Sequence[Lot], cost: float | None) -> None:
    unit = scenario.unit
    problems = [
        Problem(
            "--cost",
            0,
            f"{lot.recipe.species} arriving {scenario.day_labels[lot.arrives]}, "
            f"{scenario.units.weight(lot.weight)} each, has no cost in the file; "
            f"give it with --cost 7.10/{unit}, or --cost 0/{unit} if it is free",
        )
        for lot in lots
        if cost is None and not lot.cost
    ]
    if problems:
        raise InputError(problems)


def with_head(scenario: Scenario, lot: Lot, head: int) -> Scenario:
    """The scenario with this number of head of a lot, there to be cut whether it pays or not."""
    new = replace(lot, count=head, up_to=False)
    lots = tuple(new if each.index == lot.index else each for each in scenario.lots)
    return replace(scenario, lots=lots)


def _row(comparer: Comparer, lot: Lot, head: int, price: float, amount: float) -> CurvePoint:
    cost, close = head * lot.weight * price, None
    try:
        if (head, False) == (lot.count, lot.up_to):  # as it is: what `week` tells
            plan = comparer.shown
            if plan.within > amount and plan.parts <= 1:
                close = comparer.plan(amount=amount)
        else:
            plan = comparer.plan(with_head(comparer.scenario, lot, head), amount)
    except RulesConflictError as error:
        return CurvePoint(head, cost, None, error.conflict, None)
    except NoPlanInTimeError:
        return CurvePoint(head, cost, None, (), None)
    return CurvePoint(head, cost, plan, (), tight_in(plan, lot), close)


def _told_apart(comparer: Comparer, delivery: DeliveryCurve) -> DeliveryCurve:
    """Plan again, more closely, what cannot be told from the number beside it or from the best."""
    rows = list(delivery.rows)
    for head in sorted(_unclear(delivery)):
        score, plan = rows[head].score, rows[head].close or rows[head].plan
        if plan is None or score is None or score.width <= CLOSE or plan.status == "time limit":
            continue
        closer = _row(comparer, delivery.lot, head, delivery.cost, CLOSE)
        if closer.score and closer.score.width < score.width:
            rows[head] = closer
    return replace(delivery, rows=tuple(rows))


def _unclear(delivery: DeliveryCurve) -> set[int]:
    found: set[int] = set()
    if len(delivery.best) > 1 and delivery.spread > NAMED:
        found |= set(delivery.best)
    for before, after in pairwise(delivery.rows):
        adds = delivery.adds(before.head)
        if adds and adds.width > NAMED and adds.least < delivery.head_cost < adds.most:
            found |= {before.head, after.head}
    return found
