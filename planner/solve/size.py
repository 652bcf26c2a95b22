"""How large a scenario is, told before its model is built."""

from __future__ import annotations

from planner.core.errors import TooLargeError
from planner.core.scenario import Lot, Scenario

COLUMNS = 80_000
"""Amounts and numbers to decide for which there is memory: about a gigabyte and a half."""

PIECES = 10_000_000
"""Pieces of one kind up to which one more or less still counts to the solver."""

A_CUT = 4
"""What is decided of a cut on a day: what is sold, marked down, kept and thrown away."""

LONG, FEW = 14, 600
"""Days from which on a period is long, unless so little is to be decided about its pieces."""

MANY, WHOLE = 15_000, 30_000
"""Amounts to decide in a part of a period, and in one that is planned as a whole."""


def days_of(lot: Lot, first: int, last: int) -> dict[str, int]:
    """For each piece of a lot the days, of those from `first` to `last`, on which it may lie."""
    spans: dict[str, tuple[int, int]] = {lot.piece: (lot.arrives, lot.arrives + lot.keeps - 1)}
    for name in lot.weights():  # parents first
        begins, ends = spans[name]
        for way in lot.recipe.pieces[name].ways.values():
            for given in way.pieces:
                until = ends + lot.keeps_of(given.name) - 1
                known = spans.get(given.name, (begins, until))
                spans[given.name] = min(begins, known[0]), max(until, known[1])
    return {
        name: max(0, min(last, ends) - max(first, begins) + 1)
        for name, (begins, ends) in spans.items()
    }


def decisions(scenario: Scenario, first: int, last: int) -> tuple[int, int]:
    """What is to be decided on some days: about the pieces of all lots, and about cuts."""
    breaks = 0
    for lot in scenario.lots:
        ways = lot.recipe.pieces
        days = days_of(lot, first, last)
        breaks += sum((len(ways[name].ways) + 2) * count for name, count in days.items())
    blends = sum(len(blend.takes) for blend in scenario.blends.values())
    return breaks, (A_CUT * len(scenario.cuts) + blends) * (last - first + 1)


def stop_if_too_large(scenario: Scenario) -> None:
    """Stop before a model is built for which there is no memory, or that no solver can count.

    Raises
    ------
    TooLargeError
    """
    for lot in scenario.lots:
        for name, count in _counts(lot).items():
            if count > PIECES:
                raise TooLargeError(
                    f"lot {lot.index + 1} gives {count:,} {name}: "
                    f"more than {PIECES:,} of one kind cannot be planned"
                )
    breaks, cuts = decisions(scenario, 0, scenario.days - 1)
    if breaks + cuts <= COLUMNS:
        return
    what, word = f"`days: {scenario.days}` is", "`days`"
    if scenario.days <= LONG:
        number = len(scenario.lots if breaks > cuts else scenario.cuts)
        word = "lots" if breaks > cuts else "cuts"
        what = f"{number} {word} are"
        word = f"the number of {word}"
    raise TooLargeError(
        f"{what} too large to be planned at once: {breaks + cuts:,} amounts to decide, and "
        f"{COLUMNS:,} are possible; make {word} smaller"
    )


def _counts(lot: Lot) -> dict[str, int]:
    """The most there can be of each piece of a lot."""
    counts = dict.fromkeys(lot.weights(), 0)
    counts[lot.piece] = lot.count
    for name in counts:  # parents first
        most: dict[str, int] = {}
        for way in lot.recipe.pieces[name].ways.values():
            for given in way.pieces:
                most[given.name] = max(most.get(given.name, 0), given.count)
        for child, number in most.items():
            counts[child] += counts[name] * number
    return counts
