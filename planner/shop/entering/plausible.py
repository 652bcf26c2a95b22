"""What can hardly be: expected ranges of what is weighed and counted, and what to ask about.

The range of a weight is three standard deviations to either side of what is expected, so that of
a thousand honest entries about three are asked about. Where the deviations come from:

- The shares of a way vary as those of a Dirichlet distribution do that has the recipe's shares as
  its means: the variance of a share r is r (1 - r) times a constant, the `SPREAD` between weigh-ins
  of `planner.learn.shares`, which has its source there. So a share of two thirds has 4 points, one
  of a tenth 2.5, one of a fiftieth 1.2: a large share varies little for its size, a few ounces of
  trim vary much. The shop's own weigh-ins draw that deviation towards what they show.
- A piece varies by 8% of its weight around what its lot makes one expect: head of a lot by 7%, the
  share of one head that a piece is by 4 to 5% (from memory).

Nothing here is refused: what is doubted is asked about, and a person who looked at the scale may
insist.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from planner.journal.entries import BreakDone, Weighed
from planner.learn.shares import SPREAD, SPREAD_TESTS
from planner.measures import POUNDS, show_weight
from planner.shop.entering.things import Expected, Thing
from planner.shop.stock.scales import SCALE_POUNDS, SCALE_SHARE

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
class Range:
    """Least and most that is expected, in pounds."""

    least: float
    most: float

    def has(self, pounds: float) -> bool:
        """Whether a weight lies in it, as exactly as a scale tells."""
        return self.least - SCALE_POUNDS <= pounds <= self.most + SCALE_POUNDS

    def told(self, unit: str) -> str:
        """`4.0 to 5.0 lb`."""
        least = show_weight(self.least, unit).removesuffix(f" {unit}")
        return f"{least} to {show_weight(self.most, unit)}"


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
) -> Range:
    """What pieces of a weight are expected to give of a thing.

    Parameters
    ----------
    share : float
        The thing's share of the weight of the piece.
    pounds : float
        Weight of all the pieces.
    weighed : bool
        Whether they were weighed; else their own weight is uncertain too.
    deviation : float, optional
        Of the share, as the shop's weigh-ins tell it.
    """
    own = 0.0 if weighed else PIECE_SPREAD * share
    half = DEVIATIONS * math.hypot(deviation or share_deviation(share), own)
    return Range(pounds * max(share - half, 0.0), pounds * min(share + half, 1.0 + own))


def piece_range(pounds: float) -> Range:
    """What pieces are expected to weigh that are reckoned at so many pounds."""
    return Range(pounds * (1 - DEVIATIONS * PIECE_SPREAD), pounds * (1 + DEVIATIONS * PIECE_SPREAD))


def doubt_of_pieces(name: str, count: int, pounds: float, reckoned: float | None, unit: str) -> str:
    """What to ask about the weight of pieces before they are cut; empty where it may be so."""
    what = f"{count} {name}"
    if pounds <= 0:
        return f"{what} that weigh nothing"
    if reckoned is None or reckoned <= 0:
        return f"{what} of {show_weight(pounds, unit)}" if pounds > HUGE_POUNDS else ""
    return outside(f"{what} of {show_weight(pounds, unit)}", pounds, piece_range(reckoned), unit)


def doubt_of_given(
    expected: Expected,
    got: Weighed,
    piece: str,
    count: int,
    pounds: float | None,
    unit: str,
    *,
    weighed: bool,
) -> str:
    """What to ask about one thing that pieces gave; empty where it may be so.

    Parameters
    ----------
    expected : Expected
    got : Weighed
        Of all the pieces.
    piece, count, pounds
        What was cut, how many, and what they weigh together; None where nobody knows.
    weighed : bool
        Whether that weight was on the scale; else it is reckoned.
    """
    name = expected.thing.name
    of = f"from {count} {piece}"
    if got.count is not None and expected.count is not None:
        most = expected.count * count
        if got.count > most:
            return f"{got.count} {name} {of}: {most} expected"
        if got.count == 0 and got.pounds:
            return f"no {name}, but {show_weight(got.pounds, unit)} of it"
        if got.pounds == 0 and got.count:
            return f"{got.count} {name} that weigh nothing"
    if got.pounds is None:
        return ""
    if pounds is None or pounds <= 0:
        return f"{show_weight(got.pounds, unit)} of {name}" if got.pounds > HUGE_POUNDS else ""
    of += f" of {show_weight(pounds, unit)}"
    share = expected.share
    if got.count is not None and expected.count:  # fewer of them came out whole
        share *= got.count / (expected.count * count)
    found = given_range(share, pounds, weighed=weighed, deviation=expected.deviation)
    return outside(f"{show_weight(got.pounds, unit)} of {name} {of}", got.pounds, found, unit)


def doubt_of_sum(
    piece: str,
    count: int,
    gave: Sequence[Weighed],
    pounds: float | None,
    unit: str,
    *,
    weighed: bool,
) -> str:
    """What to ask where all that was weighed of what pieces gave is more than they are."""
    total = math.fsum(each.pounds or 0.0 for each in gave)
    if pounds is None or pounds <= 0:
        return ""
    most = pounds if weighed else piece_range(pounds).most
    if total <= most * (1 + SCALE_SHARE) + SCALE_POUNDS:
        return ""
    are = "weigh" if count != 1 else "weighs"
    known = show_weight(pounds, unit) if weighed else f"at most {show_weight(most, unit)}"
    what = f"{count} {piece}"
    return f"what {what} gave adds up to {show_weight(total, unit)}, but {what} {are} {known}"


def doubt_of_missing(
    piece: str,
    count: int,
    expected: Sequence[Expected],
    gave: Sequence[Weighed],
    pounds: float | None,
    unit: str,
) -> str:
    """What to ask where all that pieces gave was weighed, and far too little of them is there.

    Parameters
    ----------
    pounds : float or None
        What they weighed; None where they were not weighed, and nothing can be said.
    """
    had = {each.what: each.pounds for each in gave}
    if pounds is None or any(had.get(each.thing.full) is None for each in expected):
        return ""
    missing = pounds - math.fsum(each or 0.0 for each in had.values())
    loss = max(1.0 - math.fsum(each.share for each in expected), 0.0)
    most = loss + DEVIATIONS * share_deviation(max(loss, 0.005)) + SCALE_SHARE
    if missing <= pounds * most + SCALE_POUNDS * max(1, len(expected)) ** 0.5:
        return ""
    what = f"{count} {piece}"
    gone, lost = show_weight(missing, unit), show_weight(pounds * most, unit)
    return (
        f"{gone} of {what} of {show_weight(pounds, unit)} is in nothing that was weighed: "
        f"at most {lost} is expected to be lost"
    )


def doubts_of_break(
    piece: Thing,
    expected: Sequence[Expected],
    done: BreakDone,
    reckoned: float | None,
    unit: str,
) -> tuple[str, ...]:
    """All there is to ask about a break that was entered.

    Parameters
    ----------
    piece : Thing
    expected : sequence of Expected
        What one piece gives in that way.
    done : BreakDone
    reckoned : float or None
        What all the pieces were reckoned to weigh; None where nobody knows.
    unit : str
        What weights are told in.
    """
    weighed = done.pounds is not None
    pounds = done.pounds if done.pounds is not None else reckoned
    told: list[str] = []
    if done.pounds is not None:
        told.append(doubt_of_pieces(piece.name, done.count, done.pounds, reckoned, unit))
    for got in done.gave:
        one = next(each for each in expected if each.thing.full == got.what)
        told.append(
            doubt_of_given(
                one,
                got,
                piece.name,
                done.count,
                pounds,
                unit,
                weighed=weighed,
            )
        )
    told.append(doubt_of_sum(piece.name, done.count, done.gave, pounds, unit, weighed=weighed))
    told.append(doubt_of_missing(piece.name, done.count, expected, done.gave, done.pounds, unit))
    return tuple(each for each in told if each)


def doubt_of_batch(blend: str, gain: float, made: float, took: float | None, unit: str) -> str:
    """What to ask about a batch: more came out, or far less, than went in.

    Parameters
    ----------
    gain : float
        Weight made for each pound that goes in, as the blend has it.
    took : float or None
        Pounds that went in; None where they were not all weighed.
    """
    what = f"{show_weight(made, unit)} of {blend}"
    if took is None or made > HUGE_POUNDS:
        return what if made > HUGE_POUNDS else ""
    found = Range(took * gain * (1 - BATCH_SLACK), took * gain * (1 + BATCH_SLACK))
    return outside(f"{what} from {show_weight(took, unit)}", made, found, unit)


def outside(what: str, pounds: float, expected: Range, unit: str) -> str:
    """What to ask about a weight that is not in a range; empty where it is."""
    if expected.has(pounds):
        return ""
    mixed = mixed_up(pounds, expected, unit)
    return f"{what}: {expected.told(unit)} is expected{mixed}"


def mixed_up(pounds: float, expected: Range, unit: str) -> str:
    """`; did you mean 3.5?` where the point may have slipped, or `kg?` where the unit may have.

    What is next to nothing would fit nearly any figure, so it has to be a third of the most.
    """
    least, figure = max(expected.least, expected.most / 3), pounds / POUNDS[unit]
    for shift in SHIFTS:
        if least <= pounds * shift <= expected.most:
            return f"; did you mean {figure * shift:.4g}?"
    for other in POUNDS:
        if other != unit and least <= figure * POUNDS[other] <= expected.most:
            return f"; did you mean {other}?"
    return ""
