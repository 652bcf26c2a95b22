"""What is implausible: expected ranges of what is weighed.

The range of a weight is three standard deviations to either side of what is expected, so that of
a thousand honest entries about three are asked about. Where the deviations come from:

- The shares of a way vary as those of a Dirichlet distribution do that has the recipe's shares as
  its means: the variance of a share r is r (1 - r) times a constant, the `SPREAD` between weigh-ins
  of `planner.learn.shares`, which has its source there. So a share of two thirds has 4 points, one
  of a tenth 2.5, one of a fiftieth 1.2: a large share varies little for its size, a few ounces of
  trim vary much. The shop's own weigh-ins draw that deviation towards what they show.
- A piece varies by 8% of its weight around what its lot makes one expect: head of a lot by 7%, the
  share of one head that a piece is by 4 to 5% (from memory).

Nothing here is refused: a person who looked at the scale may insist.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.core.quantities import POUNDS
from planner.core.units import Units
from planner.learn.shares import SPREAD, SPREAD_TESTS
from planner.shop.stock.scales import SCALE_POUNDS

PIECE_SPREAD = 0.08
"""Standard deviation of a piece's weight, as a share of what is expected."""

DEVIATIONS = 3.0
"""Standard deviations to either side that are taken without a question."""

BATCH_SLACK = 0.25
"""How far what a batch gives may lie from what went into it, moisture and what sticks counted."""

SHIFTS = (0.1, 10.0, 0.01)
"""Where a point slips to, the likeliest first."""

HUGE_POUNDS = 20_000.0
"""What no shop weighs of one thing."""


@dataclass(frozen=True, slots=True)
class WeightRange:
    """Least and most that is expected, in pounds."""

    least: float
    most: float

    def has(self, pounds: float) -> bool:
        """Whether a weight lies in it, as exactly as a scale tells."""
        return self.least - SCALE_POUNDS <= pounds <= self.most + SCALE_POUNDS

    def told(self, units: Units) -> str:
        """`4.0 to 5.0 lb`."""
        least = units.weight(self.least).removesuffix(f" {units.unit}")
        return f"{least} to {units.weight(self.most)}"


def share_deviation(share: float) -> float:
    """Standard deviation of the share that one piece gives of a thing, where none was learned."""
    return math.sqrt(SPREAD * max(share * (1 - share), 0.0))


def learned_deviation(share: float, tests: int, spread: float) -> float:
    """The same, drawn towards the standard deviation (`spread`) between a shop's weigh-ins."""
    own = (tests - 1) * spread**2
    supposed = SPREAD_TESTS * share_deviation(share) ** 2
    return math.sqrt((supposed + own) / (SPREAD_TESTS + tests - 1))


def given_range(
    share: float, pounds: float, *, weighed: bool, deviation: float | None = None
) -> WeightRange:
    """What pieces of a weight in all are expected to give of a thing, by its share of them.

    Unless they were `weighed`, their own weight is uncertain too; `deviation` is that of the share,
    as the shop's weigh-ins tell it.
    """
    own = 0.0 if weighed else PIECE_SPREAD * share
    half = DEVIATIONS * math.hypot(deviation or share_deviation(share), own)
    return WeightRange(pounds * max(share - half, 0.0), pounds * min(share + half, 1.0 + own))


def piece_range(pounds: float) -> WeightRange:
    """What pieces are expected to weigh, given what all of them should."""
    return WeightRange(
        pounds * (1 - DEVIATIONS * PIECE_SPREAD), pounds * (1 + DEVIATIONS * PIECE_SPREAD)
    )


def unlikely_pieces(
    name: str, count: int, pounds: float, expected: float | None, units: Units
) -> str:
    """What is unlikely about the weight of whole pieces; empty where it may be so."""
    what = f"{count} {name}"
    if pounds <= 0:
        return f"{what} that weigh nothing"
    what = f"{what} of {units.weight(pounds)}"
    if expected is None or expected <= 0:
        return what if pounds > HUGE_POUNDS else ""
    return outside(what, pounds, piece_range(expected), units)


def outside(what: str, pounds: float, expected: WeightRange, units: Units) -> str:
    """What is unlikely about a weight that is not in a range; empty where it is."""
    if expected.has(pounds):
        return ""
    mixed = mixed_up(pounds, expected, units)
    return f"{what}: {expected.told(units)} is expected{mixed}"


def mixed_up(pounds: float, expected: WeightRange, units: Units) -> str:
    """`; did you mean 3.5?` where the point may have slipped, or `kg?` where the unit may have.

    What is next to nothing would fit nearly any figure, so it has to be a third of the most.
    """
    least, figure = max(expected.least, expected.most / 3), pounds / units.pounds
    for shift in SHIFTS:
        if least <= pounds * shift <= expected.most:
            return f"; did you mean {figure * shift:.4g}?"
    for other in POUNDS:
        if other != units.unit and least <= figure * POUNDS[other] <= expected.most:
            return f"; did you mean {other}?"
    return ""
