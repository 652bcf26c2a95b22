"""A break model as plain arrays, for HiGHS to take in one go."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import pulp

from planner.engine import INFINITY, Arrays
from planner.model import BreakModel
from planner.rounding import rounding_rows
from planner.stages import Row, Staged


def arrays_of(model: BreakModel) -> Arrays:
    """The PuLP problem as plain arrays, for HiGHS to take in one go."""
    problem = model.problem
    variables = problem.variables()
    column = {variable: n for n, variable in enumerate(variables)}
    rows = list(model.rows.values())
    entries = [[(column[v], a) for v, a in row.items() if a] for row in rows]
    starts = np.cumsum([0, *(len(each) for each in entries)])
    flat = [pair for each in entries for pair in each]
    return Arrays(
        cost=np.array([problem.objective.get(v, 0.0) for v in variables], dtype=np.float64),
        lower=np.array([_or(v.lowBound, -INFINITY) for v in variables], dtype=np.float64),
        upper=np.array([_or(v.upBound, INFINITY) for v in variables], dtype=np.float64),
        whole=np.array([v.cat == pulp.LpInteger for v in variables], dtype=np.bool_),
        row_lower=np.array([_or(row.getLb(), -INFINITY) for row in rows], dtype=np.float64),
        row_upper=np.array([_or(row.getUb(), INFINITY) for row in rows], dtype=np.float64),
        row_starts=starts.astype(np.int32),
        columns=np.array([at for at, _ in flat], dtype=np.int32),
        values=np.array([a for _, a in flat], dtype=np.float64),
    )


def staged_of(model: BreakModel) -> Staged:
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
        Row(
            columns=np.array([column[variable] for variable, _ in row.terms], dtype=np.int32),
            values=np.array([value for _, value in row.terms], dtype=np.float64),
            least=row.least,
        )
        for row in rounding_rows(model)
    ]
    arrays = [np.array(group, dtype=np.int32) for group in groups.values()]
    return Staged(arrays_of(model), arrays, rows)


def _or(bound: float | None, otherwise: float) -> float:
    return otherwise if bound is None else bound
