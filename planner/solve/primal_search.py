"""The primal search: good solutions by the quickest means first, and bounds in passing.

First a dive; then the week a few days after the other, and the days two by two anew; then what
solutions of the bound search and the best there is do not agree on; then a bound from the sums, and
the days for them; at last, whatever the bound search finds crossed with the best there is.
"""

from __future__ import annotations

import time
from collections.abc import Sequence

from planner.solve.aggregate import SUMS, AggregateEngine
from planner.solve.engine import INFINITY, LEAST, Floats, Ints, Limits, Progress
from planner.solve.heuristics import (
    LookLimit,
    count_open,
    crossover,
    dive,
    fix_and_optimize,
    relax_and_fix,
    relaxation_induced,
)
from planner.solve.shared_progress import Portfolio

AT_ONCE = 14.0
"""Steps for the dive. A bound search takes about 20 steps a second; so should this one, for
whoever is ahead when the portfolio could be over has to wait for the other."""

AROUND_STEP, DAYS_STEP, WINDOW_STEP, STEP = 0.35, 0.6, 0.1, 0.5
"""Steps for a look at what a dive leaves open, a few days, a window, and at larger searches."""

NEARBY, FEW_OPEN = 0.0125, 75
"""Share from the bound within which a dive ends, or numbers it leaves open, where to look around
pays."""

LOOKS = 30
"""Looks around: it is soon clear, or not so soon."""

THERE = 0.001
"""Share from the first bound within which only the last is still to prove: then sums come first."""

LIKELY = 0.005
"""Share from the first bound within which a solution is likely close to the best: then it is made
better before bounds are sought."""

MANY = 75
"""Looks at the sums; with more, the bound search is quicker."""

DAYS_LOOKS = 400
"""Looks at the days for them."""

TIGHT = 0.1
"""Part of the tolerance to which the sums are sought."""

HALF = 0.5
"""Part of the tolerance to which a few days are."""

FINE = 0.03
"""Part of the tolerance to which a window is."""

LATEST = 3
"""How many of the bound search's solutions the best there is is crossed with."""


class PrimalSearch:
    """Solutions, each phase from the best there is; each says whether to go on."""

    def __init__(
        self, portfolio: Portfolio, engine: AggregateEngine, limits: Limits, start: Floats | None
    ) -> None:
        self.portfolio, self.worker = portfolio, portfolio.primal
        self._engine, self._limits, self._start = engine, limits, start
        self._ends = time.perf_counter() + limits.seconds
        self._incumbent: Floats | None = None
        self._bound = INFINITY
        self._seen = -1.0  # the bound search's step up to which its solutions are known here

    def search(self) -> None:
        """Go on until the portfolio is over or there is nothing more to do."""
        if self._start is not None:
            self._found(self._start)
        if not self._at_once():
            return
        phases = [self._by_days, self._by_sums]
        if self._incumbent is not None and self._gap(self._incumbent) < THERE:
            phases.reverse()
        if all(phase() for phase in phases):
            self._alongside()

    def _at_once(self) -> bool:
        """The bound of the relaxation and a solution near it."""
        engine = self._engine
        relaxed = engine.relaxation()
        if relaxed is None:
            return False
        self._bound = engine.worth(relaxed)
        self.worker.report(bound=self._bound)
        if self.worker.advance(AROUND_STEP):
            return False
        begun = dive(engine, relaxed, self._stopped)
        if begun is not None:
            self._found(begun)
        best = self._incumbent
        near = best is not None and self._gap(best) < NEARBY
        if not self._stopped() and (near or count_open(engine, relaxed, best) <= FEW_OPEN):
            looks = LookLimit(LOOKS, self._advancing(AROUND_STEP))
            relaxation_induced(engine, relaxed, best, self._phase_limits(SUMS), looks, self._found)
        self.worker.advance(AT_ONCE)
        return not self._stopped()

    def _by_days(self) -> bool:
        """The week a few days after the other; then what the bound search has, too."""
        values = relax_and_fix(self._engine, self._phase_limits(HALF), self._advancing(DAYS_STEP))
        if values is not None:
            self._found(values)
        if self._incumbent is not None and self._gap(self._incumbent) < LIKELY:
            self._reoptimized(self._engine.days_alone)
        self._cross()
        return not self._stopped()

    def _by_sums(self) -> bool:
        """A bound from the sums, and the days for them; then all anew."""
        engine = self._engine
        limits = Limits(self._limits.share * TIGHT, self._limits.amount * TIGHT, self._left())
        with engine.node_limit(MANY):
            sums = engine.sums(limits, LookLimit(MANY, self._bounding))
        self.worker.report(bound=sums.bound)
        if self._stopped():
            return False
        allowed = self._limits.allowed(sums.objective)
        close = sums.bound - sums.objective <= allowed * SUMS
        if close and sums.values is not None:
            until = self._until(sums.bound - allowed)
            with engine.node_limit(MANY):
                looks = LookLimit(DAYS_LOOKS, until)
                engine.days(sums.values, self._phase_limits(SUMS), looks, self._found)
        self._cross()
        if close:
            self._reoptimized([*engine.days_alone, *engine.kinds_alone])
        return not self._stopped()

    def _alongside(self) -> None:
        """Whatever the bound search finds, crossed with the best there is; then the days anew."""
        while self.worker.follow(self.portfolio.bounding, self._seen):
            self._cross()
            self._reoptimized(self._engine.days_alone)

    def _reoptimized(self, windows: Sequence[Ints]) -> None:
        """The best there is made better, window by window."""
        if self._incumbent is not None and not self._stopped():
            steps = self._advancing(WINDOW_STEP)
            fix_and_optimize(
                self._engine, self._incumbent, windows, self._phase_limits(FINE), steps, self._found
            )

    def _cross(self) -> None:
        """The best of what the best there is and solutions of the bound search do not agree on.

        Of those that it told at steps before this one, so they do not depend on the clock.
        """
        theirs = self.portfolio.bounding.solutions(self.worker.step)
        news = [values for step, values in theirs if step > self._seen]
        self._seen = max([self._seen, *(step for step, _ in theirs)])
        for values in reversed(news[-LATEST:]):
            if self._incumbent is None or self._stopped():
                return
            steps = self._advancing(WINDOW_STEP)
            crossover(
                self._engine, self._incumbent, values, self._phase_limits(FINE), steps, self._found
            )

    def _found(self, values: Floats) -> None:
        worth = self._engine.worth(values)
        self.worker.report(objective=worth, values=values)
        if self._incumbent is None or worth > self._engine.worth(self._incumbent):
            self._incumbent = values

    def _gap(self, values: Floats) -> float:
        """Share from the first bound to a solution."""
        return (self._bound - self._engine.worth(values)) / max(1.0, abs(self._bound))

    def _phase_limits(self, part: float) -> Limits:
        """Part of the tolerance, and all the time there is left: looks and nodes end a phase."""
        return Limits(0.0, self._limits.allowed(self._bound) * part, self._left())

    def _left(self) -> float:
        return max(LEAST, self._ends - time.perf_counter())

    def _stopped(self) -> bool:
        return self.portfolio.over.is_set() or time.perf_counter() >= self._ends

    def _advancing(self, steps: float) -> Progress:
        """Takes so many steps at each look."""
        return lambda seconds, best, bound: self.worker.advance(steps) or self._stopped()

    def _bounding(self, seconds: float, best: float, bound: float) -> bool:
        """A step of a search whose bound holds for every solution."""
        self.worker.report(bound=bound)
        return self.worker.advance(STEP)

    def _until(self, enough: float) -> Progress:
        """Ends a search of some solutions when one is good enough."""
        return lambda seconds, best, bound: best >= enough or self.worker.advance(STEP)
