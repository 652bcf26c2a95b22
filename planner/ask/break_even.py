"""The price at which one more piece cut a way breaks even."""

from __future__ import annotations

from dataclasses import dataclass

from planner.core.scenario import with_price
from planner.solve.engine import INFINITY, Floats
from planner.solve.sensitivity import Sensitivity, WayOf

MOST = 10.0
"""Times today's price: dearer than that nothing is sold."""

BESIDE = 0.01
"""The answer is tried at this share of it below and above."""

DEAREST = MOST * (1 + BESIDE)
"""Times today's price: no dearer one is tried."""

SAME = 1e-7
"""Money that makes no difference."""

TRIES = 4
"""Times a better plan may move the price."""


@dataclass(frozen=True, slots=True)
class BreakEven:
    """Price of a way's main cut from which one more piece cut so costs nothing.

    Attributes
    ----------
    now : float
        Full price of the cut today, per pound or each.
    price : float or None
        None where no price up to ten times today's makes it pay: no more of the cut is wanted.
        Today's where one more costs nothing: what it would cost at less is not asked.
    proven : bool
        At 1% more no plan without the piece is better than one with it, and at 1% less no plan
        with it is better than one without, each within `within`. With `price` None: at ten times
        the price a plan without it is still the best.
    within : float
        Money: 0.01 where the model is small, else 1.00, or as far as the proof came.
    """

    cut: str
    now: float
    price: float | None
    proven: bool
    within: float


@dataclass(slots=True)
class _Side:
    """Plans with the piece, or without: those found, and what none exceeds.

    What the best of them is worth grows with the price, but by no more than the most that can be
    sold, its `slope`: a bound at today's price, and with it, bounds all dearer prices.
    """

    plans: list[Floats]
    bound: float
    slope: float
    counts: tuple[float, float]

    def at_most(self, more: float) -> float:
        return self.bound + self.slope * max(0.0, more)


class _Trial:
    """The plans found so far with the piece and without, and what they are worth by price."""

    def __init__(
        self,
        sensitivity: Sensitivity,
        way: WayOf,
        more: int,
        cut: str,
        without: tuple[Floats, float],
        with_it: tuple[Floats, float],
    ) -> None:
        self._sensitivity, self._way, self._cut = sensitivity, way, cut
        self.now = sensitivity.scenario.price(cut)

        def side(found: tuple[Floats, float], *counts: float) -> _Side:
            slope = sensitivity.most_sold(cut, DEAREST, way, *counts)
            return _Side([found[0]], found[1], slope, (counts[0], counts[1]))

        self._without = side(without, 0.0, more - 1.0)
        self._with_it = side(with_it, float(more), INFINITY)

    def crossing(self) -> float | None:
        """How much dearer it must be for the best plan with it to reach the best without.

        What a plan is worth is all but a straight line of the price (only what is left whole bends
        it), so where straight lines meet is tried in turn with the middle.
        """
        low, high = 0.0, (MOST - 1) * self.now
        behind, ahead = self._behind(low), -self._behind(high)
        if ahead < 0:
            return None
        if behind <= 0:
            return low
        for turn in range(60):
            share = behind / (behind + ahead) if turn % 2 == 0 else 0.5
            middle = low + share * (high - low)
            gap = self._behind(middle)
            if abs(gap) < SAME:
                return middle
            if gap > 0:
                low, behind = middle, gap
            else:
                high, ahead = middle, -gap
        return high

    def better(self, price: float, *, with_it: bool) -> tuple[bool, float]:
        """Look for a better plan on one side at a price.

        Returns
        -------
        bool
            Whether one was found.
        float
            Money by which the best of this side can be ahead of the other at most.
        """
        more = price - self.now
        side, opposite = self._with_it, self._without
        if not with_it:
            side, opposite = opposite, side
        other = self._best(opposite, more)
        enough = other + self._sensitivity.close
        if side.at_most(more) <= enough:
            return False, max(0.0, side.at_most(more) - other)
        self._put(more)
        found = self._sensitivity.better(enough, self._way, *side.counts)
        if found.objective > enough and found.values is not None:
            side.plans.append(found.values)
            return True, found.bound - other
        return False, max(0.0, found.bound - other) if found.possible else 0.0

    def _behind(self, more: float) -> float:
        return self._best(self._without, more) - self._best(self._with_it, more)

    def _best(self, side: _Side, more: float) -> float:
        self._put(more)
        return max(self._sensitivity.worth(values) for values in side.plans)

    def _put(self, more: float) -> None:
        self._sensitivity.price(with_price(self._sensitivity.scenario, self._cut, self.now + more))


def break_even(
    sensitivity: Sensitivity,
    way: WayOf,
    more: int,
    cut: str,
    without: tuple[Floats, float],
    with_it: tuple[Floats, float],
) -> BreakEven:
    """Find the price of a way's main cut, and try it 1% below and above.

    `more` is one more than are cut so now; `without` and `with_it` are the values of today's plan,
    and what no plan exceeds, and the same with one more.
    """
    try:
        price, within = _search(_Trial(sensitivity, way, more, cut, without, with_it))
    finally:
        sensitivity.price(sensitivity.scenario)
    now = sensitivity.scenario.price(cut)
    return BreakEven(cut, now, price, within <= sensitivity.close, max(within, sensitivity.close))


def _search(trial: _Trial) -> tuple[float | None, float]:
    """The price, or None, and money within which it was proven."""
    for turn in range(TRIES):
        last = turn == TRIES - 1  # then a better plan no longer moves the price, but is told
        rise = trial.crossing()
        if rise is None:
            better, ahead = trial.better(MOST * trial.now, with_it=True)
            if last or not better:
                return None, ahead
            continue
        price = trial.now + rise
        worse, without_ahead = trial.better(price * (1 + BESIDE), with_it=False)
        if worse and not last:
            continue
        better, with_ahead = False, 0.0  # it costs nothing today, and may not at less either
        if rise > 0:
            better, with_ahead = trial.better(price * (1 - BESIDE), with_it=True)
        if last or not (worse or better):
            return price, max(without_ahead, with_ahead)
    raise AssertionError("the last turn returns")
