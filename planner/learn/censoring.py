"""What a day of sales says of what was wanted, where it was sold out and where it was not."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from planner.learn.gamma import Floats, beyond_counts, beyond_portions

Bools = NDArray[np.bool_]


def wanted_of(
    sold: Floats, out: Bools, mean: Floats, phi: Floats, by_each: Bools
) -> tuple[Floats, Floats, Floats]:
    """What was wanted, the mean square of its distance from what was expected, and what it tells.

    Parameters
    ----------
    sold, out, mean, phi : arrays of (cuts, 7)
        Pounds or each; whether it was sold out; what was expected, and its variance over it.
    by_each : array of (cuts,)

    Returns
    -------
    wanted, square, told : arrays of (cuts, 7)
        The last is 1 for a day that was not sold out, else the share of the variance that it ends.
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
