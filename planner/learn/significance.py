"""Which ways give something else than the recipe says, beyond chance.

For each share Student's t of the weigh-ins against the recipe's figure, with a spread drawn towards
the usual one (a moderated t: Smyth, Statistical Applications in Genetics and Molecular Biology 3,
2004), so that three weigh-ins that happen to agree prove nothing. Where the weigh-ins of a way
spread more than is usual, the usual spread is taken as that much wider for all its shares, and no
share's spread as less than what was seen. A way is looked at for its least probability times the
number of its shares (Bonferroni), and the ways of a shop for how many of them are looked at
(Benjamini and Hochberg, by SciPy): of all marks at most `LEVEL` are false in the long run, and
where every recipe is right, at most `LEVEL` of the looks have a mark at all.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from typing import TypeVar

from planner.learn.shares import SPREAD_TESTS, Share

K = TypeVar("K", bound=Hashable)

LEVEL = 0.05
"""Common practice, no source."""

LEAST_TESTS = 3
"""Below these no way is marked. Common practice, no source."""

LEAST_SHARE = 0.05
"""Where recipe and mean are below this, a share is not looked at: its weigh-ins are too skew.

Common practice, no source.
"""


def probabilities(shares: Mapping[str, Share]) -> dict[str, float]:
    """How probable a mean so far off, or farther, is where the recipe of a way is right.

    Shares with fewer than `LEAST_TESTS` weigh-ins, or below `LEAST_SHARE`, are left out.
    """
    from scipy.special import stdtr

    enough = {
        name: each
        for name, each in shares.items()
        if each.tests >= LEAST_TESTS and max(each.recipe, each.mean or 0.0) >= LEAST_SHARE
    }
    wider = _wider(list(enough.values()))
    found = {}
    for name, each in enough.items():
        squares, more = each.earlier
        freedom = SPREAD_TESTS + each.tests - 1 + more
        drawn = (SPREAD_TESTS * each.usual * wider + each.squares + squares) / freedom
        variance = max(drawn, each.squares / (each.tests - 1))
        written = 1 / each.worths[0][0] if len(each.worths) == 1 else 0.0  # the figure's own spread
        apart = abs((each.mean or 0.0) - each.recipe)
        spread = (variance * (1 / each.weight + written)) ** 0.5
        found[name] = float(2 * stdtr(freedom, -apart / spread))
    return found


def _wider(shares: Sequence[Share]) -> float:
    """How many times the usual variance the weigh-ins of a way show; 1 where it is less."""
    seen = sum((each.squares + each.earlier[0]) / each.usual for each in shares)
    freedom = sum(each.tests - 1 + each.earlier[1] for each in shares)
    return max(1.0, (SPREAD_TESTS + seen) / (SPREAD_TESTS + freedom))


def beyond_chance(ways: Mapping[K, Mapping[str, Share]]) -> dict[K, tuple[str, ...]]:
    """Ways whose shares differ from the recipe's beyond chance, with the names of these shares.

    Parameters
    ----------
    ways : mapping
        Shares by name of every way that is looked at.
    """
    from scipy.stats import false_discovery_control

    looked = {key: probabilities(shares) for key, shares in ways.items()}
    found = {key: each for key, each in looked.items() if each}
    if not found:
        return {}
    least = [min(1.0, min(each.values()) * len(each)) for each in found.values()]
    adjusted = false_discovery_control(least, method="bh")
    marked = [key for key, chance in zip(found, adjusted, strict=True) if chance <= LEVEL]
    level = LEVEL * len(marked) / len(found)
    return {
        key: tuple(name for name, p in found[key].items() if p * len(found[key]) <= level)
        for key in marked
    }
