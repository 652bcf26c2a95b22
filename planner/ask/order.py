"""How many head to order: the score against the number of head of each delivery."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from planner.ask.bottlenecks import Tight, tight_in
from planner.ask.comparison import NAMED, Comparer
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
class Interval:
    """Money that is known to lie between `least` and `most`."""

    least: float
    most: float

    @property
    def width(self) -> float:
        """How far it is not known."""
        return self.most - self.least


@dataclass(frozen=True, slots=True)
class Row:
    """One number of head of a delivery, all else as in the scenario.

    Attributes
    ----------
    cost : float
        Of these head.
    plan : Plan or None
        Its score has not paid for the head of this delivery. None where there is no plan.
    conflict : tuple of str
        What cannot be kept; empty where there is a plan, or none was found in the time given.
    tight : Tight or None
        What the plan runs up against.
    close : Plan or None
        Another plan, closer to the best: for what is proven.
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
        if not known:
            return None
        return Interval(max(each.score for each in known), min(each.bound for each in known))

    @property
    def net(self) -> Interval | None:
        """The best score with so many head, their cost taken off."""
        score = self.score
        return Interval(score.least - self.cost, score.most - self.cost) if score else None


@dataclass(frozen=True, slots=True)
class Delivery:
    """A lot of head, with a row for each number of them from none up."""

    lot: Lot
    cost: float
    rows: tuple[Row, ...]

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
        found = self._nets(self.best)
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
        count = self.lot.count
        if self.lot.up_to or count >= len(self.rows) or count in self.best or not self.best:
            return None
        today, best = self.rows[count].net, self._nets(self.best)
        if today is None:
            return None
        highest = max(net.most for net in best)
        return Interval(max(net.least for net in best) - today.most, highest - today.least)

    def _nets(self, heads: Sequence[int]) -> list[Interval]:
        return [net for head in heads for net in [self.rows[head].net] if net]


@dataclass(frozen=True, slots=True)
class OrderCurve:
    """The deliveries that may be ordered, in the order of the rail."""

    scenario: Scenario
    deliveries: tuple[Delivery, ...]


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

    Parameters
    ----------
    comparer : Comparer
    species : str, optional
        Deliveries of this one only.
    up_to : int
        The most head to try.
    cost : float, optional
        Money a pound, in place of that in the scenario.
    told : callable, optional

    Raises
    ------
    InputError
        There is no head of that species, or no cost.
    RulesConflictError
        The rules cannot be kept with any number of head.
    NoPlanInTimeError
        No plan was found for any number in the time given.
    """
    if not 1 <= up_to <= MOST_ROWS:
        message = f"{up_to} head cannot be tried; from 1 to {MOST_ROWS} can"
        raise InputError([Problem("--up-to", 0, message)])
    lots = _lots(comparer.scenario, species)
    _stop_without_cost(comparer.scenario, lots, cost)
    done, rows = 0, len(lots) * (up_to + 1)
    deliveries = []
    for lot in lots:
        price = lot.cost if cost is None else cost
        found = []
        for head in range(up_to + 1):
            amount = max(NAMED, price * lot.weight / ROUGH)
            found.append(_row(comparer, lot, head, price, amount))
            done += 1
            if told:
                told(done, rows)
        deliveries.append(_told_apart(comparer, Delivery(lot, price, tuple(found))))
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


def _row(comparer: Comparer, lot: Lot, head: int, price: float, amount: float) -> Row:
    cost = head * lot.weight * price
    try:
        close = None
        if (head, False) == (lot.count, lot.up_to):  # as it is: what `week` tells
            plan = comparer.shown
            close = (
                comparer.plan(amount=amount) if plan.within > amount and plan.parts <= 1 else None
            )
        else:
            plan = comparer.plan(with_head(comparer.scenario, lot, head), amount)
    except RulesConflictError as error:
        return Row(head, cost, None, error.conflict, None)
    except NoPlanInTimeError:
        return Row(head, cost, None, (), None)
    return Row(head, cost, plan, (), tight_in(plan, lot), close)


def _told_apart(comparer: Comparer, delivery: Delivery) -> Delivery:
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


def _unclear(delivery: Delivery) -> set[int]:
    found: set[int] = set()
    if len(delivery.best) > 1 and delivery.spread > NAMED:
        found |= set(delivery.best)
    for before, after in pairwise(delivery.rows):
        adds = delivery.adds(before.head)
        if adds and adds.width > NAMED and adds.least < delivery.head_cost < adds.most:
            found |= {before.head, after.head}
    return found
