"""Shares of all ways of a recipe at once: as near as can be to what is known, and all agreeing.

One problem for the whole recipe. With S(i) the weight of one of piece i as a part of its root, and
y(k, j) what way k of piece p(k) gives of cut j (or loses) as a part of the root, its shares are
x(k, j) = y(k, j) / S(p(k)), and of a piece c, n of them, x(k, c) = n S(c) / S(p(k)). Wanted are ::

    min  sum over terms  weight * (sum over j of row(j) x(k, j) - target)^2
    s.t. sum over cuts j of y(k, j) + sum over pieces c of n S(c) = S(p(k))    for every way k
         S(root) = 1,   S and y at least `LEAST` of what the recipe has

The constraints are linear in S and y; so a piece has one weight by every path, and every way adds
up to 100%, by construction: SciPy's `least_squares` (Levenberg and Marquardt's method, MINPACK)
looks within the null space of the constraints. Where that breaks a bound it looks again with
bounds, and the constraints are terms of great weight (Lawson and Hanson, Solving Least Squares
Problems, chapter 22); the nearest point that meets them to the last digit is the answer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.core.recipe import Recipe, Way, piece_shares

Floats = NDArray[np.float64]

Key = tuple[str, str]
"""A piece and one of its ways."""

LOSS = "loss"
"""The name of weight that is lost."""

LEAST = 1e-6
"""Nothing becomes less than this part of what the recipe has, so that shares of it can be told."""

_NOTHING = 1e-6  # what the recipe says is nothing starts from here, to become what it may
_ROUNDS = 400
_SAME = 1e-10  # parts of what the recipe has
_NO_BETTER = 1e-14
_GREAT = 1e4  # times the heaviest term, by the root of the weight


class NotSettledError(ArithmeticError):
    """Shares that should come nearer and nearer to what fits best do not."""


@dataclass(frozen=True, slots=True)
class Term:
    """Something known of the shares of one way.

    `row` is how much each share counts, in the order of its composition, `target` what they should
    come to together, `weight` how much it counts if they do not: one over the variance.
    """

    row: Floats
    target: float
    weight: float


@dataclass(frozen=True, slots=True)
class _Column:
    """Where the unknowns of one way stand: its things, how many of each, and what is cut."""

    things: NDArray[np.intp]
    counts: Floats
    parent: int


def composition(way: Way) -> dict[str, float]:
    """What a way gives, `loss` last: shares of the weight of its piece, all pieces alike together.

    A way that loses nothing by its recipe has no loss, and its weigh-ins are taken without it.
    """
    shares = {each.name: each.count * each.share for each in (*way.pieces, *way.cuts)}
    return shares | ({LOSS: way.loss} if way.loss else {})


def sizes_of(recipe: Recipe) -> dict[str, float]:
    """Weight of one of each piece as a share of its root, parents first."""
    sizes: dict[str, float] = {}
    for root in recipe.roots:
        for name, share in piece_shares(recipe, root).items():
            sizes.setdefault(name, share)
    return sizes


def fitted(recipe: Recipe, terms: Mapping[Key, Sequence[Term]]) -> dict[Key, dict[str, float]]:
    """Shares of every way, as from `composition`, that agree and fit the terms best.

    There are terms of every way, by piece and way, and enough to tell every share. Raises
    `NotSettledError`.
    """
    from scipy.linalg import null_space
    from scipy.optimize import least_squares

    columns, start = _columns(recipe)
    free, sums = _sums(recipe, columns, start)
    known = [(columns[key], term) for key, each in terms.items() for term in each]
    floor, pinv = LEAST * start[free], np.linalg.pinv(sums[:, free])
    limits = {"xtol": _SAME, "ftol": _NO_BETTER, "gtol": _NO_BETTER, "max_nfev": _ROUNDS}

    def whole(part: Floats) -> Floats:
        now = start.copy()
        now[free] = part
        return now

    def met(part: Floats) -> Floats:
        """The nearest that meets the constraints: they are written to so many digits."""
        nearest: Floats = part - pinv @ (sums @ whole(part))
        return nearest

    begin, within = met(start[free]), null_space(sums[:, free])
    found = least_squares(
        lambda step: _off(known, whole(begin + within @ step)),
        np.zeros(within.shape[1]),
        lambda step: _slopes(known, whole(begin + within @ step))[:, free] @ within,
        method="lm",
        **limits,
    )
    part = begin + within @ found.x
    if not found.success or (part < floor).any():
        great = _GREAT * max(term.weight for _, term in known) ** 0.5
        found = least_squares(
            lambda part: np.append(_off(known, whole(part)), great * (sums @ whole(part))),
            np.maximum(begin, 2 * floor),
            lambda part: np.vstack([_slopes(known, whole(part)), great * sums])[:, free],
            bounds=(floor, np.inf),
            x_scale=start[free],
            **limits,
        )
        part = found.x
    if not found.success:
        raise NotSettledError("the shares of a recipe do not settle")
    return _shares(recipe, columns, whole(met(part)))


def _columns(recipe: Recipe) -> tuple[dict[Key, _Column], Floats]:
    """The unknowns, and what the recipe says they are."""
    sizes = sizes_of(recipe)
    places = {name: number for number, name in enumerate(sizes)}
    start = [max(size, _NOTHING) for size in sizes.values()]
    columns = {}
    for piece, way in recipe.ways():
        counts = {each.name: float(each.count) for each in way.pieces}
        things = []
        for name, share in composition(way).items():
            if name in counts:
                things.append(places[name])
            else:
                things.append(len(start))
                start.append(max(sizes[piece.name] * share, _NOTHING))
        many = np.array([counts.get(name, 1.0) for name in composition(way)])
        columns[piece.name, way.name] = _Column(np.array(things), many, places[piece.name])
    return columns, np.array(start)


def _sums(
    recipe: Recipe, columns: Mapping[Key, _Column], start: Floats
) -> tuple[NDArray[np.intp], Floats]:
    """The unknowns that are free, which roots are not; and a row for what each way adds up to."""
    given = {each.name for _, way in recipe.ways() for each in way.pieces}
    bought = {n for n, name in enumerate(sizes_of(recipe)) if name not in given}
    free = np.array([n for n in range(len(start)) if n not in bought], dtype=int)
    rows = np.zeros((len(columns), len(start)))
    for row, each in zip(rows, columns.values(), strict=True):
        row[each.things] = each.counts
        row[each.parent] -= 1.0
    return free, rows


def _of_piece(column: _Column, now: Floats) -> Floats:
    share: Floats = column.counts * now[column.things] / now[column.parent]
    return share


def _off(known: Sequence[tuple[_Column, Term]], now: Floats) -> Floats:
    """How far each term is from its target, by the root of its weight."""
    return np.array(
        [
            term.weight**0.5 * (float(term.row @ _of_piece(column, now)) - term.target)
            for column, term in known
        ]
    )


def _slopes(known: Sequence[tuple[_Column, Term]], now: Floats) -> Floats:
    """How fast that changes with each unknown."""
    slopes = np.zeros((len(known), len(now)))
    for slope, (column, term) in zip(slopes, known, strict=True):
        scale = term.weight**0.5 / now[column.parent]
        slope[column.things] = scale * term.row * column.counts
        slope[column.parent] -= scale * float(term.row @ _of_piece(column, now))
    return slopes


def _shares(
    recipe: Recipe, columns: Mapping[Key, _Column], now: Floats
) -> dict[Key, dict[str, float]]:
    found = {}
    for piece, way in recipe.ways():
        shares = np.maximum(_of_piece(columns[piece.name, way.name], now), 0.0)  # not -1e-11
        names = composition(way)
        found[piece.name, way.name] = dict(zip(names, map(float, shares), strict=True))
    return found
