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

How often it is right. At nominal 95% the interval covers the truth 93 to 98 times of 100 in shops
drawn by the prior, and in shops whose shares are log-normal around the recipe with a deviation of
10% (tests/learn/test_learned_shares.py). Where they are 25% off it covers 89 of 100 with one
weigh-in of four pieces (the main cut 84), and 93 or more from three on: a recipe so far off is not
believed in until something says so.

Written into the recipe. Once the estimates are the recipe's figures, with weigh-ins counted in,
the mean's prior is these figures and the weight that was written with them, W. What the figures
were before follows from both: with N the weight of the weigh-ins x counted in ::

    r = (W * figures - sum of x) / (W - N)

and the interval is learned from those and from all weigh-ins, as if nothing had been written (but
for what the figures were rounded by). So the writing changes neither estimate nor interval. But the
mean keeps W: how much the recipe was worth is not judged anew by later weigh-ins, as it would be
without the writing, so that figures put right by hand after it count for what they are.

Where the constants come from
-----------------------------
From published figures (tests/learn/test_learned_shares.py computes it): sources for the same pieces
of a lamb and a beef (Army handbook, Australian guide, USDA cutout; an industry cutting test, Kansas
State MF3395) differ from each other by a variance of about 0.0015 r (1 - r): how far a shop may be
from a recipe. The yields of goats that the University of Tennessee prints as a range (bone-in 70 to
85, boneless 40 to 60), taken as two standard deviations to both sides, have 0.0090 r (1 - r): shops
and weigh-ins together. So weigh-ins alone have 0.0075 (`SPREAD`), five times as much as shops, and
the recipe would be worth five. It is taken as three (`PRIOR_TESTS`), since those sources part
primals, and cuts are trimmed more differently from shop to shop: from memory, as are how far apart
prior weights may be, when they fade, `SPREAD_TESTS` and `ALIKE`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from planner.learn.joint_fit import LOSS, NotSettledError
from planner.learn.prior_weight import (
    PRIOR_TESTS,
    PRIOR_WEIGHTS,
    SPREAD,
    SPREAD_TESTS,
    Worths,
    basis_of,
    deviation_of,
    mean_worth,
    usual_variance,
    without,
)
from planner.learn.weigh_ins import ALIKE, Floats, WeighedShares, WeighIn, full_of, seen, weighed

__all__ = [
    "ALIKE",
    "LOSS",
    "PRIOR_TESTS",
    "PRIOR_WEIGHTS",
    "SPREAD",
    "SPREAD_TESTS",
    "Share",
    "WeighIn",
    "learn",
]

_ROUNDS = 50_000
_SAME = 1e-13


@dataclass(frozen=True, slots=True)
class Share:
    """What was learned of one share of a way; all figures are parts of the weight put in.

    The recipe's figure may be worth so many weigh-ins, each with its probability (`worths`). The
    new weigh-ins `found` shares, worth so many weigh-ins of one piece (`weight`), with this mean by
    weights (None where there are none) and sum of squared distances from it. The `estimate` is what
    the planner uses; around it lies Student's t of these degrees of freedom and this scale
    (`deviation`). `earlier` is the same sum of squares, and how many more than one they were, of
    the weigh-ins that are counted into the recipe.
    """

    recipe: float
    worths: Worths
    found: tuple[tuple[date, float], ...]
    weight: float
    mean: float | None
    squares: float
    estimate: float
    freedom: float
    deviation: float
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
        return usual_variance(self.recipe)

    def interval(self, level: float = 0.95) -> tuple[float, float]:
        """Where the shop's true share lies with this probability."""
        from scipy.special import stdtrit

        reach = float(stdtrit(self.freedom, (1 + level) / 2)) * self.deviation
        return max(0.0, self.estimate - reach), min(1.0, self.estimate + reach)


def learn(
    recipe: Mapping[str, float],
    tests: Sequence[WeighIn],
    worth: float | None = None,
    counted: Sequence[WeighIn] = (),
) -> dict[str, Share]:
    """Learn the shares of one way; the estimates add up to 1.

    `worth` is how many weigh-ins the recipe's figures (which add up to 1) are worth, None where
    nobody knows. Weigh-ins `counted` into these figures tell of the interval only. Raises
    `NotSettledError`.
    """
    figures = np.array(list(recipe.values()))
    new, old = weighed(recipe, tests), weighed(recipe, counted)
    basis = basis_of(figures, worth, new, old)
    prior = basis.worths if worth is None else ((worth, 1.0),)
    estimates = _settled(figures, new, mean_worth(prior, new.weight))
    shares = {}
    for number, name in enumerate(recipe):
        said, was = seen(new, number), seen(old, number)
        freedom, deviation = deviation_of(basis, number)
        shares[name] = Share(
            recipe=recipe[name],
            worths=without(prior, old.weight - was.weight),
            found=tuple((each.day, each.found[name]) for each in tests if name in each.found),
            weight=said.weight,
            mean=said.mean,
            squares=said.squares,
            estimate=float(estimates[number]),
            freedom=freedom,
            deviation=deviation,
            earlier=(was.squares, max(was.tests - 1.0, 0.0)),
        )
    return shares


def _settled(recipe: Floats, weighed: WeighedShares, worth: float) -> Floats:
    """Estimates that agree with what they say of the parts that were not weighed."""
    if not len(weighed.found):
        return recipe
    estimate = recipe
    for _ in range(_ROUNDS):
        total = weighed.weights @ full_of(weighed.found, estimate)
        new: Floats = (worth * recipe + total) / (worth + weighed.weight)
        if np.abs(new - estimate).max() < _SAME:
            return new
        estimate = new
    raise NotSettledError("the shares of a way do not settle")
