"""What a way really gives in this shop: the recipe's shares drawn towards the shop's weigh-ins.

The model
---------
A way gives a composition: shares of the weight put in that add up to 1, `loss` among them. The
shop has a composition of its own, p, which lies around the recipe's, r; each weigh-in x lies around
p. For every share of it, with weigh-ins of one piece each ::

    p ~ Normal(r, s2 / w)      x ~ Normal(p, s2)      s2 ~ scaled inverse chi-squared

(the conjugate normal model with unknown variance: Gelman et al., Bayesian Data Analysis, 3.3). So
the estimate is a mean of the recipe, counted as w weigh-ins, and of the weigh-ins that there are;
a mean of compositions adds up to 1. The prior weight w is `PRIOR_TESTS`, give or take a factor of
two or so (`PRIOR_WEIGHTS`): how probable each of these is, is learned from how far all shares of
the way lie from the recipe's, by the spread between weigh-ins, and the estimates are averaged over
them. So a recipe that is far off for this shop soon counts less. From `FADES_FROM` weigh-ins on it
fades, so that in the end the estimate is the plain mean, of small shares too. The interval is
Student's t, with a spread that is itself drawn from a usual one towards that of the weigh-ins, and
wider where shop and recipe disagree. The usual spread has the form of a Dirichlet's: r (1 - r)
times a constant.

Partly weighed. Where only some of what a way gives was weighed, the rest of the weight is dealt out
to what was not in proportion to its estimates, and the estimate taken anew, until both agree: the
expectation-maximization for partly classified counts of Dempster, Laird and Rubin (1977), which is
right for a Dirichlet, as there the parts of the rest are independent of what was weighed. The
interval of a share counts only the weigh-ins in which it was on the scale.

Where the constants come from
-----------------------------
From published figures (tests/test_learned_shares.py reckons it): sources for the same pieces of a
lamb and a beef (Army handbook, Australian guide, USDA cutout; an industry cutting test, Kansas
State MF3395) differ from each other by a variance of about 0.0015 r (1 - r): how far a shop may be
from a recipe. The yields of goats that the University of Tennessee prints as a range
(bone-in 70 to 85, boneless 40 to 60), taken as two standard deviations to both sides, have 0.0090
r (1 - r): shops and weigh-ins together. So weigh-ins alone have 0.0075 (`SPREAD`), five times as
much as shops, and the recipe would be worth five. It is taken as three (`PRIOR_TESTS`), since those
sources part primals, and cuts are trimmed more differently from shop to shop: from memory, as are
how far apart prior weights may be, when they fade, `SPREAD_TESTS` and `ALIKE`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from math import exp

import numpy as np
from numpy.typing import NDArray

PRIOR_TESTS = 3.0
"""How many weigh-ins of one piece the recipe's figure is worth."""

PRIOR_WEIGHTS = tuple(
    (PRIOR_TESTS * 2.0**step, exp(-(step**2) / (2 * 1.25**2))) for step in range(-4, 3)
)
"""Prior weights there may be, with how probable they are before any weigh-in, in proportion."""

FADES_FROM, FADES_BY = 20.0, 60.0
"""From so many weigh-ins on the recipe counts half as much with every so many more."""

SPREAD = 0.0075
"""Mean variance of a share r between weigh-ins of one piece, as a part of r (1 - r)."""

SPREAD_TESTS = 4.0
"""How many weigh-ins the usual spread is worth; more than 2, for its mean to be."""

ALIKE = 0.5
"""Correlation of the pieces of one weigh-in: of one lot, under one knife."""

LOSS = "loss"
"""The name of weight that is gone."""

_LEAST = 0.002  # what is less than this of a piece spreads as if it were as much
_ROUNDS = 5000
_SAME = 1e-13

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WeighIn:
    """A weigh-in of a way.

    Attributes
    ----------
    day : date
    pieces : int
        How many were cut for it.
    found : mapping of str to float
        What was weighed, `loss` too where it is known: shares of the weight put in.
    """

    day: date
    pieces: int
    found: Mapping[str, float]

    @property
    def weight(self) -> float:
        """How many weigh-ins of one piece it is worth: many pieces at once count as two at most."""
        return self.pieces / (1 + (self.pieces - 1) * ALIKE)


@dataclass(frozen=True, slots=True)
class Share:
    """What was learned of one share of a way; all figures are parts of the weight put in.

    Attributes
    ----------
    recipe : float
        The recipe's figure.
    worths : tuple of (float, float)
        How many weigh-ins that figure may be worth, with the probability of each.
    found : tuple of (date, float)
        What the new weigh-ins found, in their order.
    weight : float
        How many weigh-ins of one piece those are worth.
    mean : float or None
        Of the new weigh-ins, by their weights; None where there are none.
    squares : float
        Sum of their squared distances from the mean, by weights.
    earlier : tuple of float
        The same sum, and how many more than one they were, of those counted into the recipe.
    estimate : float
        What the planner uses.
    """

    recipe: float
    worths: tuple[tuple[float, float], ...]
    found: tuple[tuple[date, float], ...]
    weight: float
    mean: float | None
    squares: float
    estimate: float
    earlier: tuple[float, float] = field(default=(0.0, 0.0))

    @property
    def tests(self) -> int:
        """How many weigh-ins there are."""
        return len(self.found)

    @property
    def spread(self) -> float | None:
        """Standard deviation between weigh-ins; None where there are not two."""
        if self.tests < 2:
            return None
        return float(np.std([share for _, share in self.found], ddof=1))

    @property
    def usual(self) -> float:
        """Variance between weigh-ins of one piece that is usual for such a share."""
        share = min(max(self.recipe, _LEAST), 1 - _LEAST)
        return share * (1 - share) * SPREAD * (SPREAD_TESTS - 2) / SPREAD_TESTS

    def interval(self, level: float = 0.95) -> tuple[float, float]:
        """Where the shop's true share lies with this probability."""
        from scipy.special import stdtrit

        squares, more = self.earlier
        freedom = SPREAD_TESTS + self.tests + more
        apart = 0.0 if self.mean is None else self.mean - self.recipe
        fixed = SPREAD_TESTS * self.usual + self.squares + squares
        scale, kept, kept2 = 0.0, 0.0, 0.0
        for worth, chance in self.worths:
            known = worth + self.weight
            conflict = worth * self.weight / known * apart**2
            scale += chance * (fixed + conflict) / freedom / known
            kept += chance * worth / known
            kept2 += chance * (worth / known) ** 2
        between = max(0.0, kept2 - kept**2) * apart**2  # of the means, by prior weight
        scale += between * (freedom - 2) / freedom
        reach = float(stdtrit(freedom, (1 + level) / 2)) * scale**0.5
        return max(0.0, self.estimate - reach), min(1.0, self.estimate + reach)


def learn(
    recipe: Mapping[str, float],
    tests: Sequence[WeighIn],
    worth: float | None = None,
    counted: Sequence[WeighIn] = (),
) -> dict[str, Share]:
    """Learn the shares of one way.

    Parameters
    ----------
    recipe : mapping of str to float
        Its shares, which add up to 1.
    tests : sequence of WeighIn
    worth : float or None
        How many weigh-ins the recipe's figures are worth; None where nobody knows.
    counted : sequence of WeighIn
        Weigh-ins that are counted into the recipe's figures; they tell of the spread only.

    Returns
    -------
    dict of str to Share
        The estimates add up to 1.
    """
    names = list(recipe)
    weights = np.array([test.weight for test in tests])
    found = _array(names, tests)
    before = _array(names, counted)
    past = np.array([test.weight for test in counted])
    known = {}
    for number, name in enumerate(names):
        seen, was = ~np.isnan(found[:, number]), ~np.isnan(before[:, number])
        mean, squares = _moments(found[seen, number], weights[seen])
        known[name] = Share(
            recipe=recipe[name],
            worths=(),
            found=tuple(
                (test.day, float(found[at, number])) for at, test in enumerate(tests) if seen[at]
            ),
            weight=float(weights[seen].sum()),
            mean=mean,
            squares=squares,
            estimate=recipe[name],
            earlier=(_moments(before[was, number], past[was])[1], max(float(was.sum()) - 1, 0.0)),
        )
    total = float(weights.sum())
    worths: tuple[tuple[float, float], ...]
    if worth is not None:
        worths = ((worth, 1.0),)
    else:
        fade = 0.5 ** (max(0.0, total - FADES_FROM) / FADES_BY)
        worths = tuple((each * fade, chance) for each, chance in _worths(list(known.values())))
    estimates = _settled(np.array(list(recipe.values())), found, weights, mean_worth(worths, total))
    for number, name in enumerate(names):
        missed = float(past[np.isnan(before[:, number])].sum())  # never told of this share
        known[name] = replace(
            known[name],
            worths=tuple((max(each - missed, min(each, PRIOR_TESTS)), p) for each, p in worths),
            estimate=float(estimates[number]),
        )
    return known


def mean_worth(worths: Sequence[tuple[float, float]], weight: float) -> float:
    """The one prior weight that draws weigh-ins of this weight as far as all of them on average."""
    kept = sum(chance * worth / (worth + weight) for worth, chance in worths)
    if kept >= 1:
        return sum(chance * worth for worth, chance in worths)
    return weight * kept / (1 - kept)


def _worths(shares: Sequence[Share]) -> tuple[tuple[float, float], ...]:
    """How probable each prior weight is by what was weighed.

    All shares of the way are taken to spread alike here, but for r (1 - r): so three weigh-ins tell
    enough of the spread. They tell of each other too, so that all of them count as one less.
    """
    alone = (len(shares) - 1) / len(shares)
    logs = np.log([chance for _, chance in PRIOR_WEIGHTS])
    seen = [each for each in shares if each.mean is not None]
    freedom = SPREAD_TESTS + alone * sum(each.tests + each.earlier[1] for each in seen)
    for number, (worth, _) in enumerate(PRIOR_WEIGHTS):
        total = SPREAD_TESTS
        for each in seen:
            kept = worth / (worth + each.weight)
            apart = each.weight * ((each.mean or 0.0) - each.recipe) ** 2
            total += alone * (each.squares + each.earlier[0] + kept * apart) / each.usual
            logs[number] += alone * np.log(kept) / 2
        logs[number] -= freedom / 2 * np.log(total)
    chances = np.exp(logs - logs.max())
    chances /= chances.sum()
    return tuple(
        (worth, float(chance)) for (worth, _), chance in zip(PRIOR_WEIGHTS, chances, strict=True)
    )


def _array(names: Sequence[str], tests: Sequence[WeighIn]) -> Floats:
    """A row for each weigh-in; what was not weighed is not a number."""
    rows = [[test.found.get(name, np.nan) for name in names] for test in tests]
    return np.array(rows, dtype=float).reshape(len(tests), len(names))


def _moments(values: Floats, weights: Floats) -> tuple[float | None, float]:
    if not len(values):
        return None, 0.0
    mean = float(np.average(values, weights=weights))
    return mean, float((weights * (values - mean) ** 2).sum())


def _settled(recipe: Floats, found: Floats, weights: Floats, worth: float) -> Floats:
    """Estimates that agree with what they say of the parts that were not weighed."""
    if not len(found):
        return recipe
    missing = np.isnan(found)
    known = np.where(missing, 0.0, found)
    rest = np.clip(1 - known.sum(axis=1), 0.0, None)
    estimate = recipe
    for _ in range(_ROUNDS):
        dealt = np.where(missing, estimate, 0.0)
        total = dealt.sum(axis=1)
        full = known + dealt * (rest / np.where(total > 0, total, 1.0))[:, None]
        full /= full.sum(axis=1)[:, None]
        new = (worth * recipe + weights @ full) / (worth + weights.sum())
        done = np.abs(new - estimate).max() < _SAME
        estimate = new
        if done:
            break
    return estimate
