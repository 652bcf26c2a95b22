"""A good solution soon: round the relaxation, then search what it leaves open.

The relaxation, where whole numbers need not be whole, is solved in no time and is right about most
of them. A dive bounds the fractions one way or the other, those nearest to a whole number first,
sums of groups before their members, and solves again after each few, until all are whole. Where the
dive and the relaxation agree they are most likely right: these numbers are kept, and the few others
are searched (E. Danna, E. Rothberg and C. Le Pape, Exploring relaxation induced neighborhoods to
improve MIP solutions, Mathematical Programming 102, 2005; from memory).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from planner.engine import Floats, Found, Ints, Limits, Outcome, Progress
from planner.stages import StagedEngine

PARTS = (0.3, 0.5, 0.2)
"""Part of the fractions bounded at once; where a dive ends without a solution, the next."""

WHOLE = 1e-6
"""What is closer to a whole number is one."""

DEAR = 1e4
"""Money for a pound or one that an order is short of while diving: there may be no other way."""

NODES = 10
"""Nodes in which the numbers left open are searched."""


def dived(
    engine: StagedEngine, relaxed: Floats, stopped: Callable[[], bool] = lambda: False
) -> Floats | None:
    """A solution by rounding; None where no dive ends with one.

    Parameters
    ----------
    engine : StagedEngine
        With the rounding rows that its relaxation needs.
    relaxed : array
        Values of its relaxation, with those of the sums.
    stopped : callable
        Asked now and then; when it says yes there is no solution.
    """
    with engine.in_parts(), engine.eased(DEAR) as held:
        for part in PARTS:
            values = _dive(engine, relaxed, part, stopped)
            if values is not None and np.all(values[held] >= relaxed[held] - WHOLE):
                return values
    return None


def around(
    engine: StagedEngine,
    relaxed: Floats,
    known: Floats | None,
    limits: Limits,
    progress: Progress,
    found: Found,
) -> Outcome:
    """A good solution in which all is as the relaxation and a known solution agree.

    Parameters
    ----------
    engine : StagedEngine
    relaxed : array
        Values of its relaxation, with those of the sums.
    known : array or None
        Values of a solution; without one, all that is whole in the relaxation is kept.
    limits : Limits
    progress : callable
    found : callable
        Given the values of every better solution.
    """
    whole = engine.whole_columns
    like = np.round(relaxed) if known is None else known
    agreed = whole[np.abs(relaxed[whole] - like[whole]) < WHOLE]
    with engine.narrowed(), engine.briefly(NODES):
        engine.bound_all(agreed, np.round(like[agreed]), np.round(like[agreed]))
        if known is not None:
            engine.start_from(engine.without_sums(known))
        return engine.run(limits, progress, found)


def _dive(
    engine: StagedEngine, relaxed: Floats, part: float, stopped: Callable[[], bool]
) -> Floats | None:
    """Bound fractions until none is left: first those of the sums, then all."""
    values: Floats | None = relaxed
    with engine.narrowed():
        for columns in (engine.sum_columns, engine.whole_columns):
            while values is not None and len(open_ := _fractions(values, columns)):
                if stopped():
                    return None
                several = open_[: max(1, int(part * len(open_)))]
                values = _bounded(engine, values, several)
    return values


def _fractions(values: Floats, columns: Ints) -> Ints:
    """Columns that are no whole numbers, nearest to one first."""
    off = np.abs(values[columns] - np.round(values[columns]))
    order = np.argsort(off, kind="stable")
    return columns[order[off[order] > WHOLE]]


def _bounded(engine: StagedEngine, values: Floats, columns: Ints) -> Floats | None:
    """Bound columns towards the whole numbers that are nearest, and solve again.

    Where that cannot be, only the first; and the other way, if that cannot be either.
    """
    for several, nearest in ((columns, True), (columns[:1], True), (columns[:1], False)):
        lower, upper = engine.bounds_of(several)
        value = values[several]
        rise = (np.round(value) > value) == nearest
        engine.bound_all(
            several, np.where(rise, np.ceil(value), lower), np.where(rise, upper, np.floor(value))
        )
        found = engine.values_in_parts()
        if found is not None:
            return found
        engine.bound_all(several, lower, upper)
    return None
