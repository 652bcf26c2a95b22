"""Shares of all ways of a recipe, learned so that they still agree with each other.

A piece that several ways give weighs the same by every path (the plan needs it). So its share of
the whole is learned from all ways that give it together, in one problem (`joint_fit.py`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from planner.core.recipe import Given, Piece, Recipe, Way
from planner.learn.joint_fit import LOSS, Key, composition, fitted, sizes_of
from planner.learn.prior_weight import mean_worth
from planner.learn.shares import PRIOR_TESTS, Share, learn
from planner.learn.terms import counted_in, terms_alone, terms_together
from planner.learn.weigh_ins import NOTHING, History, WeighIn

__all__ = ["NOTHING", "History", "Key", "composition", "learned_recipe", "learned_ways"]

_REST = "rest"
_LEAST = 1e-4  # what a figure that was written is worth at least before that


def learned_ways(recipe: Recipe, histories: Mapping[Key, History]) -> dict[Key, dict[str, Share]]:
    """What was learned of every share of every way; the estimates are those the planner uses.

    Histories are by piece and way; a way without weigh-ins may be missing. Raises
    `NotSettledError`.
    """
    learned = {
        (piece.name, way.name): learn(composition(way), each.tests, each.worth, each.counted)
        for piece, way in recipe.ways()
        for each in (histories.get((piece.name, way.name), NOTHING),)
    }
    old = sizes_of(recipe)
    given = {name: ways for name, ways in _given(recipe).items() if len(ways) > 1 and old[name]}
    if not given or not any(each.tests or each.counted for each in histories.values()):
        return learned
    shares = _agreeing(recipe, learned, given, histories)
    sizes = sizes_of(with_shares(recipe, shares))
    grown = {name: sizes[name] / old[name] if old[name] else 1.0 for name in old}
    for name, ways in given.items():
        for key, one in ways:
            learned[key][name] = _pooled(key, one, ways, grown, histories)
    return {
        key: {name: replace(share, estimate=shares[key][name]) for name, share in each.items()}
        for key, each in learned.items()
    }


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
        was = composition(each).items()
        if new is None or all(abs(new[name] - share) < 1e-12 for name, share in was):
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


def _given(recipe: Recipe) -> dict[str, list[tuple[Key, Given]]]:
    """The ways that give each piece."""
    given: dict[str, list[tuple[Key, Given]]] = {}
    for piece, way in recipe.ways():
        for each in way.pieces:
            given.setdefault(each.name, []).append(((piece.name, way.name), each))
    return given


# terms of the one problem


def _agreeing(
    recipe: Recipe,
    learned: Mapping[Key, Mapping[str, Share]],
    given: Mapping[str, list[tuple[Key, Given]]],
    histories: Mapping[Key, History],
) -> dict[Key, dict[str, float]]:
    """Estimates of every way that agree; the recipe's own where nothing is new."""
    if not any(each.tests for each in histories.values()):
        return {(piece.name, way.name): composition(way) for piece, way in recipe.ways()}
    alike = dict.fromkeys(sizes_of(recipe), 1.0)
    shared: dict[Key, dict[str, float]] = {}  # what figures of shared pieces are worth in a way
    for name, ways in given.items():
        pooled = _pooled(*ways[0], ways, alike, histories)
        counted = sum(counted_in(name, histories.get(key, NOTHING)) for key, _ in ways)
        worth = mean_worth(pooled.worths, pooled.weight) - counted
        worth = max(worth, min(PRIOR_TESTS, worth + counted))
        for key, _ in ways:
            shared.setdefault(key, {})[name] = worth / len(ways)
    terms = {}
    for key, shares in learned.items():
        parts = shared.get(key)
        history = histories.get(key, NOTHING)
        terms[key] = terms_together(shares, parts, history) if parts else terms_alone(shares)
    return fitted(recipe, terms)


# what is told of a shared piece


def _fixed(
    ways: list[tuple[Key, Given]], name: str, histories: Mapping[Key, History]
) -> float | None:
    """How many weigh-ins the recipe's figure of a shared piece is worth, where that was written.

    Weigh-ins that were counted in tell of it whichever of its ways they are of; what the recipe was
    worth before them counts once.
    """
    written = [each for key, _ in ways if (each := histories.get(key, NOTHING)).worth is not None]
    if not written:
        return None
    before = [max((each.worth or 0.0) - each.in_figures, _LEAST) for each in written]
    return sum(before) / len(before) + sum(counted_in(name, each) for each in written)


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
    return learn(recipe, every("tests"), _fixed(ways, one.name, histories), every("counted"))[
        one.name
    ]
