"""The plan against a second model, a checker, plain enumeration, and PuLP's own solver.

The second model has explicit ages of stock and is solved by scipy's milp; like the checker it was
written from the meaning of a plan alone and shares no code with the planner.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from tests.outside.compare import disagreements
from tests.outside.enumerate import best_by_enumeration, tiny_enough
from tests.outside.shops import shops, tiny_shops, write_shop
from tests.planning import TIGHT, json_of

SHOPS = settings(
    deadline=None,
    suppress_health_check=list(HealthCheck),
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],  # a shop is small enough to be read unshrunk
)


@settings(SHOPS, max_examples=200)
@given(shops())
def test_small_shops_agree_with_the_second_model_and_the_checker(pair):
    with TemporaryDirectory() as folder:
        path = write_shop(pair, Path(folder))
        assert disagreements(path, json_of(path), asked=TIGHT.amount) == []


@settings(SHOPS, max_examples=60)
@given(tiny_shops())
def test_tiny_shops_agree_with_plain_enumeration(pair):
    with TemporaryDirectory() as folder:
        path = write_shop(pair, Path(folder))
        if not tiny_enough(path, 500):
            return
        best, plan = best_by_enumeration(path), json_of(path)
        assert (plan is not None) == best.feasible
        if plan:
            assert plan["bound"] >= best.objective - 1e-3
            assert plan["score"] >= best.objective - 2e-3


@settings(SHOPS, max_examples=20)
@given(shops())
def test_small_shops_agree_with_the_bundled_solver(pair):
    with TemporaryDirectory() as folder:
        path = write_shop(pair, Path(folder))
        plan, other = json_of(path), json_of(path, replace(TIGHT, bundled=True))
        if plan is None or other is None:
            assert plan is other
        else:
            assert other["score"] == pytest.approx(plan["score"], abs=0.03, rel=1e-5)
            assert disagreements(path, other, asked=TIGHT.amount) == []
