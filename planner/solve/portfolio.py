"""The best solution of a model by two searches side by side: a primal search and a bound search.

The bound search is a plain search of the whole model; the primal search seeks good solutions
(`primal_search.py`). Both tell bounds of the same model, so the lower one holds; a solution
of either is one of the model.
"""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from functools import partial

from planner.solve.aggregate import AggregateEngine
from planner.solve.engine import INFEASIBLE, INFINITY, Engine, Floats, Limits, Outcome, Progress
from planner.solve.primal_search import PrimalSearch
from planner.solve.shared_progress import PAUSE, Portfolio

FEW = 100
"""Whole numbers up to which the sums and then the days are quicker."""

COARSE = 0.5
"""Money from which on two searches pay; for less, the sums and then the days do as well."""


def _bound_search(portfolio: Portfolio, engine: Engine) -> None:
    """One plain search of everything; each look at it is a step."""
    worker = portfolio.bounding

    def look(seconds: float, best: float, bound: float) -> bool:
        worker.report(bound=bound)
        return worker.advance()

    def found(values: Floats) -> None:
        worker.report(objective=engine.worth(values), values=values)

    outcome = engine.run(portfolio.limits, look, found)
    if not outcome.possible:
        worker.report(bound=-INFINITY)
    elif outcome.values is not None:
        worker.report(outcome.bound, outcome.objective, outcome.values)


def best_of(engine: AggregateEngine, limits: Limits, progress: Progress | None = None) -> Outcome:
    """Solve a model within limits; `progress` is told in the thread that calls."""
    fine = limits.share == 0 and limits.amount < COARSE
    if fine or engine.members <= FEW:
        return engine.sums_then_days(limits, progress)
    start = engine.take_start()
    alone = engine.alone()
    alone.tune_for_bounds()
    portfolio = Portfolio(limits)
    portfolio.bounding.advance()  # what the other has at once need not wait for its first look
    primal = PrimalSearch(portfolio, engine.twin(), limits, start)
    threads = ThreadPoolExecutor(2)
    searches = [
        threads.submit(portfolio.bounding.run, partial(_bound_search, portfolio, alone)),
        threads.submit(portfolio.primal.run, primal.search),
    ]
    try:
        _wait(portfolio, progress)
    finally:
        portfolio.over.set()  # both end at their next look, which need not be waited for
        threads.shutdown(wait=False)
    for search in searches:
        if search.done():
            search.result()  # raises what failed in it
    if portfolio.bound == -INFINITY:
        return INFEASIBLE
    if portfolio.values is None:
        return Outcome(None, None, -INFINITY, portfolio.bound, True)
    bound = max(portfolio.bound, portfolio.objective)
    return Outcome(True, portfolio.values, portfolio.objective, bound, not portfolio.close)


def _wait(portfolio: Portfolio, progress: Progress | None) -> None:
    """Wait until the portfolio is over; progress may end it."""
    began = time.perf_counter()
    while not portfolio.over.wait(PAUSE):
        if progress and progress(time.perf_counter() - began, portfolio.objective, portfolio.bound):
            return
