"""What was wanted on a day that was sold out: tails of distributions given by mean m and phi.

The variance is phi m throughout. Customers come one by one, their number a Poisson one whose own
mean is scattered by a gamma. Of what is counted each takes one: a negative binomial. Of what is
weighed each takes a portion: a compound of Poisson and gamma, as good as a gamma where many come.
Where few come, on many days nobody does, and the gamma is that of the other days alone.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

PORTION = 0.5
"""Spread of one customer's portion, as a share of it: common practice, no source.

Of cuts with a customer a day that are sold out on two days of five, what is learned is 7% too high
if it is 0.25 in truth, and 15% too low if it is 0.8; of others less
(tests/learn/test_small_wants.py).
"""

_EVEN = 1.01
"""Least phi of a negative binomial; at 1 it is a Poisson, and is not more even than one."""


def wanted_of(
    sold: Floats, out: Bools, mean: Floats, phi: Floats, by_each: Bools
) -> tuple[Floats, Floats, Floats]:
    """What was wanted, the mean square of its distance from what was expected, and what it tells.

    `sold` (pounds or each), `out` (whether it was sold out), `mean` (what was expected) and `phi`
    (its variance over that) are arrays of (cuts, 7), as are the answers; `by_each` is one of
    (cuts,). What it tells is 1 for a day that was not sold out, else the share of the variance that
    it ends.
    """
    least = np.where(out, sold, 0.0)
    counted = beyond_counts(np.ceil(least), mean, phi)
    weighed = beyond_portions(least, mean, phi)
    first, second = (
        np.where(by_each[:, None], *both) for both in zip(counted, weighed, strict=True)
    )
    wanted = np.where(out, np.maximum(first, sold), sold)
    open_ = np.maximum(second - first**2, 0.0)
    square = np.where(out, open_ + (wanted - mean) ** 2, (sold - mean) ** 2)
    told = np.where(out, np.clip(1 - open_ / (phi * mean), 0.0, 1.0), 1.0)
    return wanted, square, told


def beyond_portions(least: Floats, mean: Floats, phi: Floats) -> tuple[Floats, Floats]:
    """Mean, and mean square, of what is at least `least` of portions by weight.

    Portions with the mean w and the spread v w have phi = w (1 + v^2), so that m / w customers
    come, and none with exp(-m / w). The days with any are a gamma with the mean and the variance
    that then remain.
    """
    some = -np.expm1(-(1 + PORTION**2) * mean / phi)
    first, second = beyond(least, mean / some, np.maximum(mean + phi - mean / some, 1e-3 * phi))
    all_ = least <= 0  # that at least nothing is wanted says nothing
    return np.where(all_, mean, first), np.where(all_, mean * (mean + phi), second)


def beyond_counts(least: Floats, mean: Floats, phi: Floats) -> tuple[Floats, Floats]:
    """The same of a negative binomial, `least` a whole number.

    With S(c, r) the share that is c or more at the size r = m / (phi - 1), an incomplete beta, ::

        E[x; x >= c] = m S(c - 1, r + 1)
        E[x (x - 1); x >= c] = m (m + phi - 1) S(c - 2, r + 2)

    Far out, where S is too small for a computer, the tail is geometric: c + phi - 1.
    """
    from scipy.special import betainc

    phi = np.maximum(phi, _EVEN)
    size, chance = mean / (phi - 1), 1 - 1 / phi

    def share(count: Floats, size: Floats) -> Floats:
        return np.where(count <= 0, 1.0, betainc(np.maximum(count, 1.0), size, chance))

    tail = share(least, size)
    near = tail > 1e-200
    tail = np.where(near, tail, 1.0)
    first = mean * share(least - 1, size + 1) / tail
    pairs = mean * (mean + phi - 1) * share(least - 2, size + 2) / tail
    far = least + phi - 1
    return np.where(near, first, far), np.where(near, pairs + first, far**2 + phi * (phi - 1))


def beyond(least: Floats, mean: Floats, phi: Floats) -> tuple[Floats, Floats]:
    """The same of a gamma, with the shape k = m / phi and the scale phi.

    With Q the upper regularized incomplete gamma function, ::

        E[x | x >= c] = m Q(k + 1, c / phi) / Q(k, c / phi)
        E[x^2 | x >= c] = m (m + phi) Q(k + 2, c / phi) / Q(k, c / phi)

    Far out, where Q is too small for a computer, the tail is exponential: c + phi.
    """
    from scipy.special import gammaincc

    least = np.maximum(least, 0.0)
    shape, at = mean / phi, least / phi
    tail = gammaincc(shape, at)
    near = tail > 1e-200
    tail = np.where(near, tail, 1.0)
    first = np.where(near, mean * gammaincc(shape + 1, at) / tail, least + phi)
    far = (least + phi) ** 2 + phi**2
    second = np.where(near, mean * (mean + phi) * gammaincc(shape + 2, at) / tail, far)
    return first, second


def quantile(share: float, mean: Floats, phi: Floats) -> Floats:
    """What a share of all of a gamma is below."""
    from scipy.special import gammaincinv

    return np.asarray(gammaincinv(mean / phi, share) * phi)
