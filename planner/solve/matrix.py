"""A break model as plain arrays, for HiGHS to take in one go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
import pulp

from planner.solve.aggregate import AggregateModel
from planner.solve.engine import INFINITY, Arrays, Inequality, Ints
from planner.solve.model import BreakModel
from planner.solve.rounding_cuts import rounding_cuts

SPAN = 2
"""Days that are decided together."""


def arrays_of(model: BreakModel) -> Arrays:
    """The PuLP problem as plain arrays, for HiGHS to take in one go."""
    problem = model.problem
    variables = problem.variables()
    column = {variable: n for n, variable in enumerate(variables)}
    rows = list(model.rows.values())
    entries = [[(column[v], a) for v, a in row.items() if a] for row in rows]
    starts = np.cumsum([0, *(len(each) for each in entries)])
    flat = [pair for each in entries for pair in each]
    bounds = np.array([bounds_of(row) for row in rows], dtype=np.float64).reshape(-1, 2)
    return Arrays(
        cost=np.array([problem.objective.get(v, 0.0) for v in variables], dtype=np.float64),
        lower=np.array([_or(v.lowBound, -INFINITY) for v in variables], dtype=np.float64),
        upper=np.array([_or(v.upBound, INFINITY) for v in variables], dtype=np.float64),
        whole=np.array([v.cat == pulp.LpInteger for v in variables], dtype=np.bool_),
        row_lower=bounds[:, 0].copy(),
        row_upper=bounds[:, 1].copy(),
        row_starts=starts.astype(np.int32),
        columns=np.array([at for at, _ in flat], dtype=np.int32),
        values=np.array([a for _, a in flat], dtype=np.float64),
    )


def aggregate_of(model: BreakModel) -> AggregateModel:
    """The same break on different days is a group: how many in all is decided first.

    So are the batches of a blend; their groups come after those of the breaks.
    """
    column = {variable: n for n, variable in enumerate(model.problem.variables())}
    groups: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for (lot, piece, way, _), x in model.breaks.items():
        groups[lot, piece, way].append(column[x])
    for (blend, _), number in model.batches.items():
        groups[(blend,)].append(column[number])
    rows = [
        Inequality(
            columns=np.array([column[variable] for variable, _ in row.terms], dtype=np.int32),
            values=np.array([value for _, value in row.terms], dtype=np.float64),
            least=row.least,
        )
        for row in rounding_cuts(model)
    ]
    return AggregateModel(arrays_of(model), _arrays(groups.values()), rows, *_parts(model, column))


def _parts(
    model: BreakModel, column: Mapping[pulp.LpVariable, int]
) -> tuple[list[Ints], list[Ints], list[Ints]]:
    """Columns of a few days each; of every two days in a row; of a lot, and of a kind of piece."""
    days: dict[int, list[int]] = defaultdict(list)
    lots: dict[int, list[int]] = defaultdict(list)
    pieces: dict[str, list[int]] = defaultdict(list)
    for (lot, piece, _, day), x in model.breaks.items():
        for several in (days[day], lots[lot], pieces[piece]):
            several.append(column[x])
    for (_, day), number in model.batches.items():
        days[day].append(column[number])
    spans: dict[int, list[int]] = defaultdict(list)
    for number, day in enumerate(sorted(days)):
        spans[number // SPAN].extend(days[day])
    pairs = [days[day] + days[day + 1] for day in sorted(days) if day + 1 in days]
    return _arrays(spans.values()), _arrays(pairs), _arrays([*lots.values(), *pieces.values()])


def _arrays(several: Iterable[Sequence[int]]) -> list[Ints]:
    return [np.array(each, dtype=np.int32) for each in several]


def bounds_of(row: pulp.LpConstraint) -> tuple[float, float]:
    """Least and most of a row; infinite where there is none."""
    return _or(row.getLb(), -INFINITY), _or(row.getUb(), INFINITY)


def _or(bound: float | None, otherwise: float) -> float:
    return otherwise if bound is None else bound
