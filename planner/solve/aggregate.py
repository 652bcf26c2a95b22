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

import numpy as np

from planner.solve.engine import (
    INFINITY,
    Arrays,
    Engine,
    Floats,
    Found,
    Ints,
    Limits,
    Outcome,
    Progress,
)

VIOLATED = 1e-3
"""A row that the relaxation breaks by less is left out."""

SUMS = 0.25
"""Part of the tolerance to which the sums, and the days for them, are sought each."""

ROUNDS = 12
"""Times the relaxation is asked for rows that it breaks."""


@dataclass(frozen=True, slots=True)
class ValidInequality:
    """Sum of values x columns >= least."""

    columns: Ints
    values: Floats
    least: float


@dataclass(frozen=True, slots=True)
class AggregateModel:
    """A model with what its aggregate needs to know of it.

    Attributes
    ----------
    arrays : Arrays
    groups : sequence of array
        Columns whose sums are decided first; all of them whole.
    rows : sequence of ValidInequality
        What every solution in whole numbers obeys; added where the relaxation does not.
    spans : sequence of array
        Columns of the groups in the order of time: a few days each, every column once.
    pairs, kinds : sequences of array
        Columns worth deciding anew together: of two days in a row, of a lot or a kind of piece.
    """

    arrays: Arrays
    groups: Sequence[Ints]
    rows: Sequence[ValidInequality]
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
        self._model = model
        super().__init__(model.with_sums())
        self._waiting = dict(enumerate(model.rows))
        self._asked: list[ValidInequality] = []

    def become(self, model: AggregateModel) -> None:  # type: ignore[override]
        """Put another model in place."""
        self._model, self._waiting = model, dict(enumerate(model.rows))
        self._asked = []
        super().become(model.with_sums())

    def at_least(self, columns: Sequence[int], values: Sequence[float], least: float) -> None:
        """Add a row."""
        row = ValidInequality(
            np.array(columns, dtype=np.int32), np.array(values, dtype=np.float64), least
        )
        self._asked.append(row)
        super().at_least(columns, values, least)

    def maximize(self, cost: Floats) -> None:
        """Put another objective in place."""
        super().maximize(np.append(cost, np.zeros(len(self._model.groups))))

    def start_from(self, values: Floats) -> None:
        """Begin the next run with a known solution."""
        super().start_from(self.with_sums(values))

    def settle(self, values: Floats) -> Outcome:
        """Fix the whole-number columns at `values` and solve for the rest."""
        return self._plain(super().settle(self.with_sums(values)))

    def run(
        self, limits: Limits, progress: Progress | None = None, found: Found | None = None
    ) -> Outcome:
        """Solve in one go."""
        tell = found and (lambda values: found(self.without_sums(values)))
        return self._plain(super().run(limits, progress, tell))

    def sums(self, limits: Limits, progress: Progress | None = None) -> Outcome:
        """The aggregate alone: only the sums of the groups need be whole.

        Its bound holds for every solution; its values are those of none, but for the sums.
        """
        self.rounded()
        with self.relaxing(self.grouped):
            return self._plain(super().run(limits, progress))

    def rounded(self) -> float:
        """A first bound at once: no number need be whole, but the rounding cuts hold.

        Adds the rows that the relaxation breaks, until it breaks none. Infinite where that takes
        too long or there is no solution.
        """
        values = self.relaxation()
        return INFINITY if values is None else self.worth(values)

    def rounded_at_once(self) -> float:
        """The same of a large model: its first relaxation from the inside is the quicker one."""
        with self.in_parts(), self.inside():
            values = self.values_in_parts()
        return INFINITY if values is None else self.rounded()

    def relaxation(self) -> Floats | None:
        """Values of this relaxation, those of the sums last; None where there are none."""
        with self.in_parts():
            return self._rounded()

    def _rounded(self) -> Floats | None:
        found: Floats | None = None
        for _ in range(ROUNDS):
            values = self.values_in_parts()
            if values is None:
                return found
            found = values
            broken = [
                number
                for number, row in self._waiting.items()
                if row.values @ values[row.columns] < row.least - VIOLATED
            ]
            for number in broken:
                row = self._waiting.pop(number)
                super().at_least(list(row.columns), list(row.values), row.least)
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
        others = set(range(len(self._model.groups))) - {*free}
        groups = (self._model.groups[number] for number in others)
        kept = np.concatenate([np.array([], dtype=np.int32), *groups])
        return self.keeping(kept, self.with_sums(known), limits, progress)

    def keeping(
        self,
        kept: Ints,
        known: Floats,
        limits: Limits,
        progress: Progress | None = None,
        found: Found | None = None,
    ) -> Outcome:
        """The best solution in which some columns are as in a known one, sums included."""
        with self.narrowed():
            whole = np.round(known[kept])
            self.bound_all(kept, whole, whole)
            return self.run(limits, progress, found)

    @property
    def days_alone(self) -> list[Ints]:
        """What to keep while some days are decided anew."""
        return self._all_but(self._model.pairs)

    @property
    def kinds_alone(self) -> list[Ints]:
        """What to keep while what a lot gives, or a kind of piece becomes, is decided anew."""
        return self._all_but(self._model.kinds)

    @property
    def spans(self) -> Sequence[Ints]:
        """Columns of the groups in the order of time, a few days each."""
        return self._model.spans

    def _all_but(self, windows: Iterable[Ints]) -> list[Ints]:
        """Columns of the groups to keep while those of a window are decided anew, for each."""
        grouped = self.grouped
        return [np.setdiff1d(grouped, window) for window in windows]

    @property
    def grouped(self) -> Ints:
        """Columns of all groups."""
        return np.concatenate([np.array([], dtype=np.int32), *self._model.groups])

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
        return self.keeping(self.sum_columns, self.with_sums(sums), limits, progress, found)

    def sums_then_days(self, limits: Limits, progress: Progress | None = None) -> Outcome:
        """Solve: sums, then the members of the groups, then everything if need be."""
        ends = time.perf_counter() + limits.seconds

        def left(share: float) -> float:
            return max(0.1, share * (ends - time.perf_counter()))

        close = Limits(limits.share * SUMS, limits.amount * SUMS, left(0.5))
        sums = self.sums(close, progress)
        if sums.feasible is False:
            return sums
        days = Outcome(None, None, -INFINITY, INFINITY, False)
        allowed = max(limits.amount, limits.share * abs(sums.objective))
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
        return self.whole_numbers - len(self._model.groups)

    @property
    def sum_columns(self) -> Ints:
        """Columns of the sums."""
        first = len(self._model.arrays.cost)
        return np.arange(first, first + len(self._model.groups), dtype=np.int32)

    def without_sums(self, values: Floats) -> Floats:
        """Values of the model's own columns."""
        return values[: len(self._model.arrays.cost)]

    def twin(self) -> AggregateEngine:
        """Another engine with the same model as it is now, but for the rounding cuts."""
        twin = AggregateEngine(replace(self._model, arrays=self._now()))
        twin.as_long_as(self)
        self._ask_also(twin)
        first = self.sum_columns
        twin.bound_all(first, *self.bounds_of(first))
        return twin

    def _now(self) -> Arrays:
        """The model's own columns and rows as they are now."""
        arrays, count = self._model.arrays, len(self._model.arrays.cost)
        rows = len(arrays.row_lower)
        lifted = self._lifted[:rows]
        return replace(
            arrays,
            cost=self._cost[:count],
            lower=self._lower[:count],
            upper=self._upper[:count],
            row_lower=np.where(lifted, -INFINITY, self._row_lower[:rows]),
            row_upper=np.where(lifted, INFINITY, self._row_upper[:rows]),
        )

    def alone(self) -> Engine:
        """Another engine with the same model as it is now: no sums, no rounding cuts."""
        engine = Engine(self._now())
        engine.as_long_as(self)
        self._ask_also(engine)
        return engine

    def _ask_also(self, engine: Engine) -> None:
        """Give another engine the rows that were added to this one."""
        for row in self._asked:
            engine.at_least(list(row.columns), list(row.values), row.least)

    def _plain(self, outcome: Outcome) -> Outcome:
        if outcome.values is None:
            return outcome
        return replace(outcome, values=self.without_sums(outcome.values))

    def with_sums(self, values: Floats) -> Floats:
        """Values of the model's own columns, and the sums after them."""
        return np.append(values, [values[group].sum() for group in self._model.groups])


def _reaching(enough: float, progress: Progress | None) -> Progress:
    """Ends a search that has found enough; tells the other in passing."""

    def tell(seconds: float, best: float, bound: float) -> bool:
        return bool(progress and progress(seconds, best, bound)) or best >= enough

    return tell
