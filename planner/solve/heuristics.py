"""Good solutions soon, of a model too large to search: decide a part of it, keep or relax the rest.

The relaxation, where whole numbers need not be whole, is solved in no time and is right about most
of them. A dive bounds the fractions one way or the other, those nearest to a whole number first,
sums of groups before their members, and solves again after each few, until all are whole. Where the
dive and the relaxation agree they are most likely right: these numbers are kept, and the few others
are searched (E. Danna, E. Rothberg and C. Le Pape, Exploring relaxation induced neighborhoods to
improve MIP solutions, Mathematical Programming 102, 2005; from memory).

Where that is not close, the week is decided a few days after the other, with fractions in the days
to come (relax and fix), and then days, lots and pieces are decided anew with all else kept (fix and
optimize: Y. Pochet and L. Wolsey, Production Planning by Mixed Integer Programming, 2006; from
memory). Two solutions are crossed: what they agree on is kept (E. Rothberg, An evolutionary
algorithm for polishing mixed integer programming solutions, 2007; from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import cycle

import numpy as np

from planner.solve.aggregate import AggregateEngine
from planner.solve.engine import Floats, Found, Ints, Limits, Outcome, Progress

PARTS = (0.3, 0.5, 0.2)
"""Part of the fractions bounded at once; where a dive ends without a solution, the next."""

WHOLE = 1e-6
"""What is closer to a whole number is one."""

DEAR = 1e4
"""Money for a pound or one that an order is short of while diving: there may be no other way."""

NODES = 20
"""Nodes in which the numbers left open are searched."""

LOOKS = 40
"""Looks at what a window leaves open."""


def dive(
    engine: AggregateEngine, relaxed: Floats, stopped: Callable[[], bool] = lambda: False
) -> Floats | None:
    """A solution by rounding a relaxation that obeys the rounding cuts; None if no dive ends so."""
    with engine.all_relaxed(), engine.elastic(DEAR) as held:
        for part in PARTS:
            values = _dive_by(engine, relaxed, part, stopped)
            if values is not None and np.all(values[held] >= relaxed[held] - WHOLE):
                return values
    return None


def relaxation_induced(
    engine: AggregateEngine,
    relaxed: Floats,
    known: Floats | None,
    limits: Limits,
    progress: Progress,
    found: Found | None = None,
) -> Outcome:
    """The best solution in which all is as the relaxation and a known solution agree.

    Without a known one all that is whole in the relaxation is kept.
    """
    like = np.round(relaxed) if known is None else engine.complete(known)
    agreed = _equal_columns(engine.whole_columns, relaxed, like)
    with engine.node_limit(NODES):
        if known is not None:
            engine.start_from(known)
        return engine.keeping(agreed, like, limits, progress, found)


def relax_and_fix(
    engine: AggregateEngine, limits: Limits, progress: Progress | None = None
) -> Floats | None:
    """A solution by deciding a few days after the other; None where that ends without one.

    While some days are searched, each within the limits, those before them are kept as they were
    found, and what is whole on those after them may be fractions: so the first days leave the
    others what these need.
    """
    values: Floats | None = None
    with engine.restoring_bounds():
        for span in engine.spans:
            with engine.only_whole(span), engine.node_limit(1):
                values = engine.run(limits, progress).values
            if values is None:
                return None
            whole = np.round(values[span])
            engine.bound_all(span, whole, whole)
    return values


def fix_and_optimize(
    engine: AggregateEngine,
    known: Floats,
    windows: Sequence[Ints],
    limits: Limits,
    progress: Progress,
    found: Found | None = None,
) -> Floats:
    """Make a known solution better one window at a time, until none makes it better.

    `windows` has, for each, the columns to keep while the rest is decided anew; a solution that is
    better by less than the amount of the limits is not.
    """
    idle = 0
    for kept in cycle(windows):
        looks = LookLimit(LOOKS, progress)
        outcome = _reoptimized(engine, kept, known, limits, looks, found)
        idle += 1
        better = engine.worth(known) + limits.amount
        if outcome.values is not None and outcome.objective > better:
            known, idle = outcome.values, 0
        if looks.over or idle == len(windows):
            break
    return known


def crossover(
    engine: AggregateEngine,
    one: Floats,
    other: Floats,
    limits: Limits,
    progress: Progress,
    found: Found | None = None,
) -> Outcome:
    """The best solution in which all is as in two known ones where these agree."""
    best = max(one, other, key=engine.worth)
    agreed = _equal_columns(engine.grouped, one, other)
    return _reoptimized(engine, agreed, best, limits, LookLimit(LOOKS, progress), found)


def _reoptimized(
    engine: AggregateEngine,
    kept: Ints,
    known: Floats,
    limits: Limits,
    progress: Progress,
    found: Found | None,
) -> Outcome:
    """The best solution that is as a known one in what is kept, sought from that one."""
    with engine.node_limit(NODES):
        engine.start_from(known)
        return engine.keeping(kept, known, limits, progress, found)


def count_open(engine: AggregateEngine, relaxed: Floats, known: Floats | None) -> int:
    """How many whole numbers `relaxation_induced` would search."""
    like = np.round(relaxed) if known is None else engine.complete(known)
    return len(engine.whole_columns) - len(_equal_columns(engine.whole_columns, relaxed, like))


def _equal_columns(columns: Ints, one: Floats, other: Floats) -> Ints:
    """Of some columns those that are the same in both."""
    return columns[np.abs(one[columns] - other[columns]) < WHOLE]


class LookLimit:
    """So many looks at a search; it ends with them, or when all is over."""

    def __init__(self, looks: int, progress: Progress) -> None:
        self._left, self._progress = looks, progress
        self.over = False

    def __call__(self, seconds: float, best: float, bound: float) -> bool:
        """Take a look; whether it was the last."""
        self._left -= 1
        self.over = bool(self._progress(seconds, best, bound))
        return self.over or self._left <= 0


def _dive_by(
    engine: AggregateEngine, relaxed: Floats, part: float, stopped: Callable[[], bool]
) -> Floats | None:
    """Bound fractions until none is left: first those of the sums, then all."""
    values: Floats | None = relaxed
    with engine.restoring_bounds():
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


def _bounded(engine: AggregateEngine, values: Floats, columns: Ints) -> Floats | None:
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
        found = engine.lp_values()
        if found is not None:
            return found
        engine.bound_all(several, lower, upper)
    return None
