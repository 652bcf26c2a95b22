"""Linear models as the break model is built: columns and rows with names, and sums of terms."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

from pulp import LpAffineExpression, LpConstraint, LpMaximize, LpProblem, LpVariable

Term: TypeAlias = tuple[LpVariable, float]


@dataclass(slots=True)
class Came:
    """What came into a stock on a day, usable up to `last`: a sum of terms and a fixed amount."""

    day: int
    last: int
    terms: list[Term]
    amount: float = 0.0

    def usable(self, day: int) -> bool:
        """Whether it is there and in date on a day."""
        return self.day <= day <= self.last


def total(terms: Iterable[Term], constant: float = 0.0) -> LpAffineExpression:
    """Sum of coefficient x variable; a variable may come more than once."""
    sums: dict[LpVariable, float] = defaultdict(float)
    for variable, coefficient in terms:
        sums[variable] += coefficient
    return LpAffineExpression(list(sums.items()), constant)


class LinearModel:
    """A problem, to be maximized, and its rows.

    Attributes
    ----------
    problem : LpProblem
    rows : dict of name to LpConstraint
        Every constraint of the problem, in its order.
    """

    def __init__(self) -> None:
        self.problem = LpProblem("week", LpMaximize)
        self.rows: dict[str, LpConstraint] = {}
        self._columns = 0

    def variable(self, *name: object, most: float | None = None, whole: bool = False) -> LpVariable:
        """A new variable from 0 up; the number in its name keeps names apart."""
        self._columns += 1
        words = re.sub(r"[^A-Za-z0-9]+", "_", " ".join(str(word) for word in name[1:]))
        text = f"{name[0]}{self._columns:06d}_{words}"
        kind = "Integer" if whole else "Continuous"
        return self.problem.add_variable(text[:200], 0, most, kind)

    def require(self, constraint: LpConstraint, *name: object) -> LpConstraint:
        """Add a constraint, to the problem and to `rows`."""
        words = re.sub(r"[^A-Za-z0-9]+", "_", " ".join(str(word) for word in name))
        label = f"r{len(self.rows):06d}_{words}"[:200]
        self.problem.addConstraint(constraint, label)
        self.rows[label] = constraint
        return constraint
