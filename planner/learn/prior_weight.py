"""How many weigh-ins a recipe's figures are worth, and how sure that leaves a share.

The model, and where its constants come from, is told in `planner.learn.shares`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp

import numpy as np

from planner.learn.weigh_ins import (
    Floats,
    History,
    Seen,
    WeighedShares,
    every_seen,
    full_of,
    weighed,
)

PRIOR_TESTS = 3.0
"""How many weigh-ins of one piece the recipe's figure is worth; see the model."""

PRIOR_WEIGHTS = tuple(
    (PRIOR_TESTS * 2.0**step, exp(-(step**2) / (2 * 1.25**2))) for step in range(-4, 3)
)
"""Prior weights there may be, with how probable they are before any weigh-in, in proportion.

How far they lie apart is from memory: a factor of two or so for one standard deviation.
"""

FADES_FROM, FADES_BY = 20.0, 60.0
"""From so many weigh-ins on the recipe counts half as much with every so many more.

Common practice, no source.
"""

SPREAD = 0.0075
"""Mean variance of a share r between weigh-ins of one piece, as a part of r (1 - r)."""

SPREAD_TESTS = 4.0
"""How many weigh-ins the usual spread is worth; more than 2, for its mean to be. From memory."""

_LEAST = 0.002  # what is less than this of a piece spreads as if it were as much: from memory
_LEFT = 1e-4  # least share of a recipe as it was before a writing

BY_HAND = 0.03
"""A written figure lies no further from what its weigh-ins can have led to: it is rounded, and what
several ways give is learned together. From memory.
"""

Worths = tuple[tuple[float, float], ...]
"""Prior weights and how probable each is."""


@dataclass(frozen=True, slots=True)
class Basis:
    """What the interval is learned from: a recipe, how much it may be worth, and weigh-ins."""

    recipe: Floats
    worths: Worths
    seen: tuple[Seen, ...]


def mean_worth(worths: Sequence[tuple[float, float]], weight: float) -> float:
    """The one prior weight that draws weigh-ins of this weight as far as all of them on average."""
    if not weight:
        return sum(chance * worth for worth, chance in worths)
    kept = sum(chance * worth / (worth + weight) for worth, chance in worths)
    lost = sum(chance * weight / (worth + weight) for worth, chance in worths)
    return weight * kept / lost


def usual_variance(recipe: float) -> float:
    """Variance between weigh-ins of one piece that is usual for a share."""
    share = min(max(recipe, _LEAST), 1 - _LEAST)
    return share * (1 - share) * SPREAD * (SPREAD_TESTS - 2) / SPREAD_TESTS


def without(worths: Worths, missed: float) -> Worths:
    """Prior weights of a share of which this much of what is counted in says nothing."""
    return tuple((max(each - missed, min(each, PRIOR_TESTS)), chance) for each, chance in worths)


def basis_of(figures: Floats, worth: float | None, new: WeighedShares, old: WeighedShares) -> Basis:
    """The recipe as it was before any writing with all weigh-ins, as far as that can be told."""
    before = _before(figures, worth, old)
    if before is None and worth is not None:  # figures of a weight, and nothing says where from
        return Basis(figures, ((worth, 1.0),), every_seen(new, figures))
    recipe = figures if before is None else before
    both = WeighedShares(np.vstack([old.found, new.found]), np.append(old.weights, new.weights))
    seen = every_seen(both, figures)
    fade = 0.5 ** (max(0.0, both.weight - FADES_FROM) / FADES_BY)
    worths = tuple((each * fade, chance) for each, chance in _worths(recipe, seen))
    return Basis(recipe, worths, seen)


def led_to(figures: Mapping[str, float], history: History) -> bool:
    """Whether the weigh-ins counted into a way's figures can have led to these.

    Whatever the recipe was before: if not, somebody has changed the figures since.
    """
    if history.worth is None or not history.counted:
        return True
    old, shares = weighed(figures, history.counted), np.array(list(figures.values()))
    total = old.weights @ full_of(old.found, shares)
    worth = max(history.worth, old.weight)
    least, most = total / worth, (total + worth - old.weight) / worth
    return bool(np.all((shares > least - BY_HAND) & (shares < most + BY_HAND)))


def _before(figures: Floats, worth: float | None, old: WeighedShares) -> Floats | None:
    """The recipe's figures before weigh-ins were counted in; None where none were."""
    if worth is None or not len(old.weights) or worth <= old.weight:
        return None
    total = old.weights @ full_of(old.found, figures)
    found = np.maximum((worth * figures - total) / (worth - old.weight), _LEFT)
    before: Floats = found / found.sum()
    return before


def _worths(recipe: Floats, seen: Sequence[Seen]) -> Worths:
    """How probable each prior weight is by what was weighed.

    All shares of the way are taken to spread alike here, but for r (1 - r): so three weigh-ins tell
    enough of the spread. They tell of each other too, so that all of them count as one less.
    """
    alone = (len(recipe) - 1) / len(recipe)
    logs = np.log([chance for _, chance in PRIOR_WEIGHTS])
    told = [
        (each, share, each.mean)
        for each, share in zip(seen, map(float, recipe), strict=True)
        if each.mean is not None
    ]
    freedom = SPREAD_TESTS + alone * sum(each.tests for each, _, _ in told)
    for number, (worth, _) in enumerate(PRIOR_WEIGHTS):
        total = SPREAD_TESTS
        for each, share, mean in told:
            kept = worth / (worth + each.weight)
            apart = each.weight * (mean - share) ** 2
            total += alone * (each.squares + kept * apart) / usual_variance(share)
            logs[number] += alone * np.log(kept) / 2
        logs[number] -= freedom / 2 * np.log(total)
    chances = np.exp(logs - logs.max())
    chances /= chances.sum()
    return tuple(
        (worth, float(chance)) for (worth, _), chance in zip(PRIOR_WEIGHTS, chances, strict=True)
    )


def deviation_of(basis: Basis, number: int) -> tuple[float, float]:
    """Degrees of freedom and scale of the t of one share."""
    recipe, seen = float(basis.recipe[number]), basis.seen[number]
    freedom = SPREAD_TESTS + seen.tests
    apart = 0.0 if seen.mean is None else seen.mean - recipe
    fixed = SPREAD_TESTS * usual_variance(recipe) + seen.squares
    scale, kept, kept2 = 0.0, 0.0, 0.0
    for worth, chance in basis.worths:
        known = worth + seen.weight
        conflict = worth * seen.weight / known * apart**2
        scale += chance * (fixed + conflict) / freedom / known
        kept += chance * worth / known
        kept2 += chance * (worth / known) ** 2
    between = max(0.0, kept2 - kept**2) * apart**2  # of the means, by prior weight
    scale += between * (freedom - 2) / freedom
    return freedom, scale**0.5
