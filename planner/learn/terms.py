"""What is known of the shares of one way, as terms of the one problem for all ways.

With r the recipe's shares and x those wanted, a way that gives shared pieces has these terms, in
which n * (difference)^2 / r is what weigh-ins of weight n count, as in the normal model with the
spreads of a Dirichlet ::

    weigh-ins           n (x - found)^2 / r               for each share that was weighed
                        n (sum x - rest)^2 / sum r        for those that were not, together
    recipe, shared      (w / ways + c) (x - r)^2 / r      w: what its figure is worth, told once,
                                                          however many ways give the piece
    recipe, the others  v (sum x - sum r)^2 / sum r       v: mean of (w / ways) by r, plus c
                        u (x - r sum x / sum r)^2 / r     u: what the way's own figures are worth

where c is the weight of the way's weigh-ins that are counted into the figures. So what was not
weighed gives way first and in the recipe's proportions, and no misfit falls on one share alone. All
other ways have (u + n) (x - learned)^2 / r: they stay what was learned of them, unless pieces that
come from them must weigh something else by another path.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from planner.learn.joint_fit import Floats, Term
from planner.learn.prior_weight import mean_worth
from planner.learn.shares import Share
from planner.learn.weigh_ins import History, WeighIn

_LEAST = 1e-4  # a share below this counts as if it were as much, so that no weight is endless


def counted_in(name: str, history: History) -> float:
    """The weight of the weigh-ins counted in that tell of a share."""
    return sum(test.weight for test in history.counted if name in test.found)


def _variances(shares: Mapping[str, Share]) -> Floats:
    return np.maximum([share.recipe for share in shares.values()], _LEAST)


def terms_alone(shares: Mapping[str, Share]) -> list[Term]:
    """Terms of a way that shares nothing with another."""
    rows = np.eye(len(shares))
    return [
        Term(row, share.estimate, (mean_worth(share.worths, share.weight) + share.weight) / part)
        for row, share, part in zip(rows, shares.values(), _variances(shares), strict=True)
    ]


def terms_together(
    shares: Mapping[str, Share], parts: Mapping[str, float], history: History
) -> list[Term]:
    """Terms of a way that gives shared pieces; `parts`: what their figures are worth in it."""
    recipe = np.array([share.recipe for share in shares.values()])
    variances, rows = _variances(shares), np.eye(len(shares))
    own = np.array([float(name not in parts) for name in shares])
    total = float(own @ recipe)
    terms = []
    for number, (name, share) in enumerate(shares.items()):
        variance = float(variances[number])
        if name in parts:
            weight = parts[name] + counted_in(name, history)
            terms.append(Term(rows[number], share.recipe, weight / variance))
        elif total > 0:
            row = rows[number] - own * share.recipe / total
            weight = mean_worth(share.worths, share.weight)
            terms.append(Term(row, 0.0, weight / variance))
    if total > 0:
        shared = {name: shares[name].recipe for name in parts}
        mean = sum(parts[name] * shared[name] for name in parts) / sum(shared.values())
        weight = mean + history.in_figures
        terms.append(Term(own, total, weight / float(own @ variances)))
    return terms + _terms_of_tests(list(shares), variances, history.tests)


def _terms_of_tests(
    names: Sequence[str], variances: Floats, tests: Sequence[WeighIn]
) -> list[Term]:
    """Terms of weigh-ins; those that weighed the same things are one, at their mean."""
    alike: dict[tuple[str, ...], list[WeighIn]] = {}
    for test in tests:
        alike.setdefault(tuple(name for name in names if name in test.found), []).append(test)
    terms = []
    for seen, each in alike.items():
        weights = [test.weight for test in each]
        rest = 1.0
        for name in seen:
            number = names.index(name)
            mean = float(np.average([test.found[name] for test in each], weights=weights))
            row = np.zeros(len(names))
            row[number] = 1.0
            terms.append(Term(row, mean, sum(weights) / float(variances[number])))
            rest -= mean
        row = np.array([float(name not in seen) for name in names])
        if row.any():
            terms.append(Term(row, max(rest, 0.0), sum(weights) / float(row @ variances)))
    return terms
