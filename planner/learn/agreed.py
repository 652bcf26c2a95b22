"""Shares of all ways of a recipe, learned so that they still agree with each other.

A piece that several ways give weighs the same by every path (the plan needs it). So its share of
the whole is learned from all ways that give it together: each weigh-in tells of it as what it
found, times what is estimated of the piece that was cut. The other shares of such a way are then
drawn out or in together, as parts of a rest are in a Dirichlet, so that they add up to 1.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from planner.learn.shares import LOSS, PRIOR_TESTS, Share, WeighIn, learn, mean_worth
from planner.recipe import Given, Piece, Recipe, Way, piece_shares

Key = tuple[str, str]
"""A piece and one of its ways."""

_ROUNDS = 200
_SAME = 1e-14
_REST = "rest"


@dataclass(frozen=True, slots=True)
class History:
    """Weigh-ins of one way.

    Attributes
    ----------
    tests : tuple of WeighIn
        Those that are not counted into the recipe's figures, in the order of their days.
    counted : tuple of WeighIn
        Those that are.
    worth : float or None
        How many weigh-ins the recipe's figures are worth; None where nobody knows.
    """

    tests: tuple[WeighIn, ...] = ()
    counted: tuple[WeighIn, ...] = ()
    worth: float | None = None

    @property
    def weight(self) -> float:
        """How many weigh-ins of one piece there are that are not counted in."""
        return sum(test.weight for test in self.tests)


NOTHING = History()


def composition(way: Way) -> dict[str, float]:
    """What a way gives, `loss` last: shares of the weight of its piece, all pieces alike together.

    A way that loses nothing by its recipe has no loss, and its weigh-ins are taken without it.
    """
    shares = {each.name: each.count * each.share for each in (*way.pieces, *way.cuts)}
    return shares | ({LOSS: way.loss} if way.loss else {})


def learned_ways(recipe: Recipe, histories: Mapping[Key, History]) -> dict[Key, dict[str, Share]]:
    """What was learned of every share of every way; the estimates are those the planner uses.

    Parameters
    ----------
    recipe : Recipe
    histories : mapping of (str, str) to History
        By piece and way; a way without weigh-ins may be missing.
    """
    learned = {
        (piece.name, way.name): _learn(way, histories.get((piece.name, way.name), NOTHING))
        for piece, way in recipe.ways()
    }
    if not any(each.tests for each in histories.values()):
        return learned
    given = _given(recipe)
    shared = {name: ways for name, ways in given.items() if len(ways) > 1}
    old = _old_sizes(recipe)
    alike = dict.fromkeys(old, 1.0)
    worths = {
        name: _worth(_pooled(*ways[0], ways, alike, histories)) for name, ways in shared.items()
    }
    sizes, part = _sizes(recipe, learned, shared, worths)
    grown = {name: sizes[name] / old[name] for name in old}
    for name, ways in shared.items():
        for key, one in ways:
            pooled = _pooled(key, one, ways, grown, histories)
            estimate = sizes[name] / sizes[key[0]] * one.count
            learned[key][name] = replace(pooled, estimate=estimate)
    for key, factor in part.items():
        learned[key] = {
            name: share if name in shared else replace(share, estimate=share.estimate * factor)
            for name, share in learned[key].items()
        }
    return learned


def learned_recipe(recipe: Recipe, histories: Mapping[Key, History]) -> Recipe:
    """The recipe with the estimates in the place of its figures."""
    if not any(each.tests for each in histories.values()):
        return recipe
    learned = learned_ways(recipe, histories)
    shares = {
        key: {name: share.estimate for name, share in each.items()} for key, each in learned.items()
    }
    return with_shares(recipe, shares)


def with_shares(recipe: Recipe, shares: Mapping[Key, Mapping[str, float]]) -> Recipe:
    """A recipe with other shares, as from `composition`, of some of its ways."""

    def given(each: Given, new: Mapping[str, float]) -> Given:
        return replace(each, share=new[each.name] / each.count)

    def way(piece: Piece, each: Way) -> Way:
        new = shares.get((piece.name, each.name))
        if new is None or _close(new, composition(each)):
            return each
        return replace(
            each,
            pieces=tuple(given(one, new) for one in each.pieces),
            cuts=tuple(given(one, new) for one in each.cuts),
            loss=new.get(LOSS, 0.0),
        )

    pieces = {
        name: replace(piece, ways={title: way(piece, one) for title, one in piece.ways.items()})
        for name, piece in recipe.pieces.items()
    }
    return replace(recipe, pieces=pieces)


def _close(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    return all(abs(one[name] - share) < 1e-12 for name, share in other.items())


def _learn(way: Way, history: History) -> dict[str, Share]:
    return learn(composition(way), history.tests, history.worth, history.counted)


def _given(recipe: Recipe) -> dict[str, list[tuple[Key, Given]]]:
    """The ways that give each piece."""
    given: dict[str, list[tuple[Key, Given]]] = {}
    for piece, way in recipe.ways():
        for each in way.pieces:
            given.setdefault(each.name, []).append(((piece.name, way.name), each))
    return given


def _old_sizes(recipe: Recipe) -> dict[str, float]:
    """Weight of one of each piece as a share of its root, parents first."""
    sizes: dict[str, float] = {}
    for root in recipe.roots:
        for name, share in piece_shares(recipe, root).items():
            sizes.setdefault(name, share)
    return sizes


def _sizes(
    recipe: Recipe,
    learned: Mapping[Key, Mapping[str, Share]],
    shared: Mapping[str, list[tuple[Key, Given]]],
    worths: Mapping[str, float],
) -> tuple[dict[str, float], dict[Key, float]]:
    """Weight of one of each piece as a share of its root, and the factor of each way's own shares.

    What a way's own shares are multiplied by depends on the pieces it shares with others, and these
    on what the pieces above them weigh: gone round until nothing changes, for the order in which it
    would take one round only need not exist.
    """
    old = _old_sizes(recipe)
    given = _given(recipe)
    sizes, factors = dict(old), dict.fromkeys(learned, 1.0)
    for _ in range(_ROUNDS):
        before = dict(sizes)
        for name in old:
            if name in recipe.roots:
                continue
            if name in shared:
                grown = _grown(shared[name], name, learned, worths[name], sizes, old)
                sizes[name] = old[name] * grown
            else:
                key, one = given[name][0]
                share = learned[key][name].estimate * factors[key]
                sizes[name] = sizes[key[0]] * share / one.count
        for key, shares in learned.items():
            together = [name for name in shares if any(key == at for at, _ in shared.get(name, ()))]
            if together:
                taken = sum(
                    sizes[name] / sizes[key[0]] * one.count
                    for name in together
                    for at, one in shared[name]
                    if at == key
                )
                own = sum(share.estimate for name, share in shares.items() if name not in together)
                factors[key] = (1 - taken) / own if own > 0 and taken < 1 else 1.0
        if max(abs(sizes[name] - before[name]) for name in old) < _SAME:
            break
    return sizes, factors


def _grown(
    ways: list[tuple[Key, Given]],
    name: str,
    learned: Mapping[Key, Mapping[str, Share]],
    worth: float,
    sizes: Mapping[str, float],
    old: Mapping[str, float],
) -> float:
    """How much heavier a shared piece is than by the recipe, by all ways that give it."""
    above = {key[0]: sizes[key[0]] / old[key[0]] for key, _ in ways}
    said = worth * sum(above.values()) / len(above)
    weight = worth
    for key, _ in ways:
        share = learned[key][name]
        if share.mean is not None:
            said += share.weight * above[key[0]] * share.mean / share.recipe
            weight += share.weight
    return said / weight


def _worth(share: Share) -> float:
    return mean_worth(share.worths, share.weight)


def _fixed(ways: list[tuple[Key, Given]], histories: Mapping[Key, History]) -> float | None:
    """How many weigh-ins the recipe's figure of a shared piece is worth, where that was written.

    Weigh-ins that were counted in tell of it whichever of its ways they are of.
    """
    known = [worth for key, _ in ways if (worth := histories.get(key, NOTHING).worth) is not None]
    return sum(known) - (len(known) - 1) * min(PRIOR_TESTS, *known) if known else None


def _pooled(
    at: Key,
    one: Given,
    ways: list[tuple[Key, Given]],
    grown: Mapping[str, float],
    histories: Mapping[Key, History],
) -> Share:
    """What was learned of a shared piece, in the terms of one of the ways that give it.

    `grown` is how much heavier pieces are than by the recipe.
    """

    def seen(test: WeighIn, key: Key, given: Given) -> WeighIn:
        ratio = one.count * one.share / (given.count * given.share)
        found = test.found[one.name] * ratio * grown[key[0]] / grown[at[0]]
        return replace(test, found={one.name: min(found, 1.0), _REST: max(1 - found, 0.0)})

    def every(which: Literal["tests", "counted"]) -> list[WeighIn]:
        tests = [
            seen(test, key, given)
            for key, given in ways
            for test in getattr(histories.get(key, NOTHING), which)
            if one.name in test.found
        ]
        return sorted(tests, key=lambda test: test.day)

    share = one.count * one.share
    recipe = {one.name: share, _REST: 1 - share}
    return learn(recipe, every("tests"), _fixed(ways, histories), every("counted"))[one.name]
