"""Solve a break model. All calls of PuLP are here and in `planner.model`."""

from planner.solve.options import SAME, Options, Solution, Status
from planner.solve.search import Search, solve

__all__ = ["SAME", "Options", "Search", "Solution", "Status", "solve"]
