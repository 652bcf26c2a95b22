"""An aggregate before the days: first how much over the whole week, then on which day.

Some whole-number columns come in groups: the same break on different days. How many in all is what
most of the money hangs on; the days are many and nearly alike. So the aggregate asks only that
the sum of each group is whole, which is quick and bounds every plan; the disaggregation keeps these
sums and looks for days; only if the two are too far apart is everything searched, from the plan of
the disaggregation. Rounding cuts keep the aggregate honest (`planner.solve.rounding_cuts`).
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from planner.solve.engine import (
    INFINITY,
    LEAST,
    Arrays,
    Engine,
    Floats,
    Found,
    Inequality,
    Ints,
    Limits,
    Outcome,
    Progress,
)

AnyEngine = TypeVar("AnyEngine", bound=Engine)

VIOLATED = 1e-3
"""A row that the relaxation breaks by less is left out."""

SUMS = 0.25
"""Part of the tolerance to which the sums, and the days for them, are sought each."""

ROUNDS = 12
"""Times the relaxation is asked for rows that it breaks."""


@dataclass(frozen=True, slots=True)
class AggregateModel:
    """A model with what its aggregate needs to know of it.

    Attributes
    ----------
    arrays : Arrays
    groups : sequence of array
        Columns whose sums are decided first; all of them whole.
    rows : sequence of Inequality
        What every solution in whole numbers obeys; added where the relaxation does not.
    spans : sequence of array
        Columns of the groups in the order of time: a few days each, every column once.
    pairs, kinds : sequences of array
        Columns worth deciding anew together: of two days in a row, of a lot or a kind of piece.
    """

    arrays: Arrays
    groups: Sequence[Ints]
    rows: Sequence[Inequality]
    spans: Sequence[Ints] = ()
    pairs: Sequence[Ints] = ()
    kinds: Sequence[Ints] = ()

    def with_sums(self) -> Arrays:
        """The model with a whole-number column, and a row, for the sum of each group."""
        arrays, count, columns = self.arrays, len(self.groups), len(self.arrays.cost)
        sizes = np.array([len(group) + 1 for group in self.groups], dtype=np.int32)
        starts = arrays.row_starts[-1] + np.cumsum(sizes, dtype=np.int32)
        sums = [np.append(group, columns + n) for n, group in enumerate(self.groups)]
        ones = [np.append(np.ones(len(group)), -1.0) for group in self.groups]
        return Arrays(
            cost=np.append(arrays.cost, np.zeros(count)),
            lower=np.append(arrays.lower, np.zeros(count)),
            upper=np.append(arrays.upper, np.full(count, INFINITY)),
            whole=np.append(arrays.whole, np.full(count, True)),
            row_lower=np.append(arrays.row_lower, np.zeros(count)),
            row_upper=np.append(arrays.row_upper, np.zeros(count)),
            row_starts=np.append(arrays.row_starts, starts).astype(np.int32),
            columns=np.concatenate([arrays.columns, *sums]).astype(np.int32),
            values=np.concatenate([arrays.values, *ones]),
        )


class AggregateEngine(Engine):
    """An engine whose groups are decided first; values go in and out without the sums."""

    def __init__(self, model: AggregateModel) -> None:
        self._put(model)
        super().__init__(model.with_sums())

    def become(self, model: AggregateModel | Arrays) -> None:
        """Put another model in place."""
        if isinstance(model, AggregateModel):
            self._put(model)
            model = model.with_sums()
        super().become(model)

    def _put(self, model: AggregateModel) -> None:
        self._model, self._waiting = model, dict(enumerate(model.rows))
        self._asked: list[Inequality] = []

    def add_row(self, row: Inequality) -> None:
        """Add a row."""
        self._asked.append(row)
        super().add_row(row)

    def complete(self, values: Floats) -> Floats:
        """Values with the sums of the groups, where they are of the model's own columns only."""
        if len(values) > len(self._model.arrays.cost):
            return values
        return np.append(values, [values[group].sum() for group in self._model.groups])

    def sums(self, limits: Limits, progress: Progress | None = None) -> Outcome:
        """The aggregate alone: only the sums of the groups need be whole.

        Its bound holds for every solution; its values are those of none, but for the sums.
        """
        self.rounded()
        with self.relaxing(self.grouped):
            return self.run(limits, progress)

    def rounded(self) -> float:
        """A first bound at once: no number need be whole, but the rounding cuts hold.

        Infinite where that takes too long or there is no solution.
        """
        values = self.relaxation()
        return INFINITY if values is None else self.worth(values)

    def rounded_at_once(self) -> float:
        """The same of a large model: its first relaxation from the inside is the quicker one."""
        with self.all_relaxed(), self.interior_point():
            values = self.lp_values()
        return INFINITY if values is None else self.rounded()

    def relaxation(self) -> Floats | None:
        """Values of this relaxation; None where there are none.

        Adds the rounding cuts that it breaks, until it breaks none.
        """
        found: Floats | None = None
        with self.all_relaxed():
            for _ in range(ROUNDS):
                values = self.lp_values()
                if values is None:
                    break
                found = values
                broken = [
                    number
                    for number, row in self._waiting.items()
                    if row.values @ values[row.columns] < row.least - VIOLATED
                ]
                for number in broken:
                    super().add_row(self._waiting.pop(number))
                if not broken or self.late:
                    break
        return found

    def near(
        self,
        known: Floats,
        free: Iterable[int],
        limits: Limits,
        progress: Progress | None = None,
    ) -> Outcome:
        """The best solution that differs from a known one only in the groups numbered."""
        others = sorted(set(range(len(self._model.groups))) - {*free})
        kept = _joined(self._model.groups[number] for number in others)
        return self.keeping(kept, known, limits, progress)

    def keeping(
        self,
        kept: Ints,
        known: Floats,
        limits: Limits,
        progress: Progress | None = None,
        found: Found | None = None,
    ) -> Outcome:
        """The best solution in which some columns are as in a known one, sums included."""
        with self.restoring_bounds():
            whole = np.round(self.complete(known)[kept])
            self.bound_all(kept, whole, whole)
            return self.run(limits, progress, found)

    @property
    def days_alone(self) -> list[Ints]:
        """What to keep while two days in a row are decided anew, for each."""
        return [np.setdiff1d(self.grouped, window) for window in self._model.pairs]

    @property
    def kinds_alone(self) -> list[Ints]:
        """What to keep while what a lot gives, or a kind of piece becomes, is decided anew."""
        return [np.setdiff1d(self.grouped, window) for window in self._model.kinds]

    @property
    def spans(self) -> Sequence[Ints]:
        """Columns of the groups in the order of time, a few days each."""
        return self._model.spans

    @property
    def grouped(self) -> Ints:
        """Columns of all groups."""
        return _joined(self._model.groups)

    def other_sums(self, one: Floats, other: Floats) -> list[int]:
        """Numbers of the groups whose sums differ between two solutions."""
        return [
            number
            for number, group in enumerate(self._model.groups)
            if round(float(one[group].sum())) != round(float(other[group].sum()))
        ]

    def days(
        self,
        sums: Floats,
        limits: Limits,
        progress: Progress | None = None,
        found: Found | None = None,
    ) -> Outcome:
        """The disaggregation alone: the best solution with the sums of the aggregate."""
        return self.keeping(self.sum_columns, sums, limits, progress, found)

    def sums_then_days(self, limits: Limits, progress: Progress | None = None) -> Outcome:
        """Solve: sums, then the members of the groups, then everything if need be."""
        ends = time.perf_counter() + limits.seconds

        def left(share: float) -> float:
            return max(LEAST, share * (ends - time.perf_counter()))

        close = Limits(limits.share * SUMS, limits.amount * SUMS, left(0.5))
        sums = self.sums(close, progress)
        if sums.feasible is False:
            return sums
        days = Outcome(None, None, -INFINITY, INFINITY)
        allowed = limits.allowed(sums.objective)
        enough = INFINITY if sums.values is None else sums.bound - allowed
        if sums.values is not None:
            near = Limits(0.0, allowed * SUMS, left(0.5))
            days = self.days(sums.values, near, _reaching(enough, progress))
        if days.values is not None:
            if sums.bound - days.objective <= allowed:
                return replace(days, bound=max(sums.bound, days.objective))
            self.start_from(days.values)
        rest = Limits(limits.share, limits.amount, left(1.0))
        found = self.run(rest, _reaching(enough, progress))
        if found.values is None and days.values is not None:
            found = replace(days, timed_out=True, bound=INFINITY)
        return replace(found, bound=max(found.objective, min(found.bound, sums.bound)))

    @property
    def members(self) -> int:
        """How many whole numbers there are besides the sums."""
        return len(self.whole_columns) - len(self._model.groups)

    @property
    def sum_columns(self) -> Ints:
        """Columns of the sums."""
        first = len(self._model.arrays.cost)
        return np.arange(first, first + len(self._model.groups), dtype=np.int32)

    def twin(self) -> AggregateEngine:
        """Another engine with the same model as it is now, but for the rounding cuts."""
        return self._copied_to(AggregateEngine(replace(self._model, arrays=self._now())))

    def alone(self) -> Engine:
        """Another engine with the same model as it is now: no sums, no rounding cuts."""
        return self._copied_to(Engine(self._now()))

    def _now(self) -> Arrays:
        """The model's own columns and rows as they are now."""
        count, rows = len(self._model.arrays.cost), len(self._model.arrays.row_lower)
        return replace(
            self._model.arrays,
            cost=self._cost[:count],
            lower=self._lower[:count],
            upper=self._upper[:count],
            row_lower=self._row_lower[:rows],
            row_upper=self._row_upper[:rows],
        )

    def _copied_to(self, engine: AnyEngine) -> AnyEngine:
        """Give a copy the rows that were added to this one, and the time it has."""
        engine._ends, engine._overtime = self._ends, self._overtime
        for row in self._asked:
            engine.add_row(row)
        return engine


def _joined(several: Iterable[Ints]) -> Ints:
    return np.concatenate([np.array([], dtype=np.int32), *several])


def _reaching(enough: float, progress: Progress | None) -> Progress:
    """Ends a search that has found enough; tells the other in passing."""

    def tell(seconds: float, best: float, bound: float) -> bool:
        return bool(progress and progress(seconds, best, bound)) or best >= enough

    return tell
