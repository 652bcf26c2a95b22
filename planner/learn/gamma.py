"""Tails and quantiles of gamma distributions, by mean and phi: the variance is phi times mean.

The shape is k = mean / phi, the scale phi.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def beyond(least: Floats, mean: Floats, phi: Floats) -> tuple[Floats, Floats]:
    """Mean, and mean square, of what is at least `least`, of a gamma with variance phi times mean.

    With Q the upper regularized incomplete gamma function, ::

        E[x | x >= c] = mean Q(k + 1, c / phi) / Q(k, c / phi)
        E[x^2 | x >= c] = mean (mean + phi) Q(k + 2, c / phi) / Q(k, c / phi)

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
    """What a share of all is below."""
    from scipy.special import gammaincinv

    return np.asarray(gammaincinv(mean / phi, share) * phi)
