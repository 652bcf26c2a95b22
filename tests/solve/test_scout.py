"""Means of the primal search: solutions of the whole model, none worse than their start."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from scipy.sparse import csr_array

from planner.solve.aggregate import AggregateEngine
from planner.solve.engine import Engine, Limits
from planner.solve.heuristics import (
    count_open,
    crossover,
    dive,
    fix_and_optimize,
    relax_and_fix,
    relaxation_induced,
)
from planner.solve.matrix import aggregate_of, arrays_of
from planner.solve.model import BreakModel
from tests.bench.generate import WEEKS
from tests.outside.shops import shops
from tests.planning import read
from tests.solve.test_properties import SHOPS, scenario_of

CLOSE = Limits(0.0, 0.01, 20.0)


def on(*_: float) -> bool:
    return False


def nothing(values) -> None:
    pass


def holds(model: BreakModel, values) -> bool:
    """Whether values are a solution, by the plain arrays of the model alone."""
    arrays = arrays_of(model)
    values = values[: len(arrays.cost)]  # without those of the sums
    shape = len(arrays.row_starts) - 1, len(values)
    rows = csr_array((arrays.values, arrays.columns, arrays.row_starts), shape=shape) @ values
    whole = values[arrays.whole]
    return bool(
        np.all(values >= arrays.lower - 1e-6)
        and np.all(values <= arrays.upper + 1e-6)
        and np.all(rows >= arrays.row_lower - 1e-5)
        and np.all(rows <= arrays.row_upper + 1e-5)
        and np.all(np.abs(whole - np.round(whole)) < 1e-5)
    )


@pytest.fixture(params=[WEEKS[0], WEEKS[3], WEEKS[11]], ids=lambda week: week.name)
def model(request, tmp_path):
    file = tmp_path / "week.yaml"
    file.write_text(request.param.text())
    return BreakModel(read(file))


@settings(SHOPS, max_examples=40)
@given(shops())
def test_a_week_decided_day_by_day_is_a_week_and_below_the_bound(pair):
    model = BreakModel(scenario_of(pair))
    engine = AggregateEngine(aggregate_of(model))
    relaxed = engine.relaxation()
    values = relax_and_fix(engine, CLOSE, on)
    if values is not None:
        assert holds(model, values)
        assert engine.worth(values) <= engine.worth(relaxed) + 1e-4
        best = Engine(arrays_of(model)).run(CLOSE)
        assert engine.worth(values) <= best.bound + 1e-4


def test_a_generated_week_day_by_day_is_close_to_the_best(model):
    engine = AggregateEngine(aggregate_of(model))
    bound = engine.worth(engine.relaxation())
    values = relax_and_fix(engine, replace(CLOSE, amount=1.0), on)
    assert values is not None and holds(model, values)
    assert engine.worth(values) >= 0.99 * bound


def test_windows_make_a_dive_better_and_leave_the_engine_as_it_was(model):
    engine = AggregateEngine(aggregate_of(model))
    relaxed = engine.relaxation()
    known = dive(engine, relaxed)
    told = []
    found = fix_and_optimize(
        engine, known, engine.days_alone, replace(CLOSE, amount=1.0), on, told.append
    )
    assert holds(model, known) and holds(model, found)
    assert engine.worth(found) > engine.worth(known)
    assert all(holds(model, each) for each in told)
    again = engine.relaxation()
    assert engine.worth(again) == pytest.approx(engine.worth(relaxed), rel=1e-9)


def test_two_solutions_crossed_keep_what_they_agree_on(model):
    engine = AggregateEngine(aggregate_of(model))
    relaxed = engine.relaxation()
    one = dive(engine, relaxed)
    other = relax_and_fix(engine, replace(CLOSE, amount=1.0), on)
    best = crossover(engine, one, other, CLOSE, on, nothing)
    assert holds(model, best.values)
    assert best.objective >= max(engine.worth(one), engine.worth(other)) - 1e-6
    agreed = engine.grouped[np.abs(one[engine.grouped] - other[engine.grouped]) < 1e-6]
    assert 0 < len(agreed) < len(engine.grouped)
    assert np.allclose(best.values[agreed], one[agreed], atol=1e-6)


def test_a_look_around_is_as_large_as_it_says(model):
    engine = AggregateEngine(aggregate_of(model))
    relaxed = engine.relaxation()
    known = dive(engine, relaxed)
    whole = engine.whole_columns
    differ = int(np.sum(np.abs(relaxed[whole] - known[whole]) >= 1e-6))
    assert count_open(engine, relaxed, known) == differ > 0
    found = relaxation_induced(engine, relaxed, known, CLOSE, on, nothing)
    assert holds(model, found.values)
    assert found.objective >= engine.worth(known) - 1e-6


def test_spans_have_every_break_and_batch_once_in_the_order_of_time(model):
    aggregate = aggregate_of(model)
    spans = np.concatenate(aggregate.spans)
    assert sorted(spans) == sorted(np.concatenate(aggregate.groups))
    column = {variable: n for n, variable in enumerate(model.problem.variables())}
    days = {column[x]: key[-1] for key, x in [*model.breaks.items(), *model.batches.items()]}
    of_span = [{days[each] for each in span} for span in aggregate.spans]
    assert all(max(one) < min(other) for one, other in zip(of_span, of_span[1:], strict=False))
    assert all(len(each) <= 2 for each in of_span)
