"""Solve a break model. All calls of PuLP are here and in `planner.model`.

Why no bound can be wrong: every bound told is one of

- the relaxation of the whole model, with rounding rows that every plan obeys (`planner.rounding`
  derives them) and with nothing else fixed;
- a search of the whole model, or of it with only the sums over the period whole: HiGHS's own bound.

Each holds for every plan, so the least of them does. What fixes or frees only some of the model (a
dive, what it leaves open, a few days after the other, a window, what two plans do not agree on,
days for given sums) gives plans, whose worth is counted from their values, and never a bound. A
start is whole in all whole numbers: HiGHS would otherwise search what is left open of it, and tell
the bounds of that. Where the time ends before any of these is there, a bound is counted from prices
and amounts (`planner.solve.ceiling`). Every plan is counted again without the solver before it is
told (`planner.solve.replay`). Orders first: a bound is about the plans that fill the orders as this
one does.
"""

from planner.solve.ceiling import ceiling
from planner.solve.options import MODEL, SAME, Options, Solution, Status
from planner.solve.parts import planned_in_parts, stop_if_in_parts, too_long
from planner.solve.replay import replayed
from planner.solve.search import Search, solve
from planner.solve.side_by_side import best_of

__all__ = [
    "MODEL",
    "SAME",
    "Options",
    "Search",
    "Solution",
    "Status",
    "best_of",
    "ceiling",
    "planned_in_parts",
    "replayed",
    "solve",
    "stop_if_in_parts",
    "too_long",
]
