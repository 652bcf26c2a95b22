"""Shares of whole recipes: pieces that several ways give weigh the same, and all ways add up.

Recipes and weigh-ins are invented and seeded.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize

from planner.core.recipe import Cut, Given, Piece, Recipe, Way, piece_shares
from planner.files.recipe_file import read_recipe
from planner.learn import joint_fit as fitting
from planner.learn import shares as learning
from planner.learn.agreed import History, composition, learned_recipe, learned_ways
from planner.learn.joint_fit import NotSettledError, Term, fitted
from planner.learn.prior_weight import PRIOR_TESTS, mean_worth
from planner.learn.rounded import rounded
from planner.learn.shares import WeighIn, learn

START = date(2026, 1, 1)
RECIPES = Path(__file__).parent.parent.parent / "recipes"


def recipe_of(ways, species="lamb"):
    """A recipe: {(piece, way): {thing: share or (count, share)}}; the first piece is the root."""
    names = list(dict.fromkeys(piece for piece, _ in ways))
    pieces = {}
    for name in names:
        made = {}
        for (piece, title), gives in ways.items():
            if piece == name:
                given_ = [
                    Given(thing, *(one if isinstance(one, tuple) else (1, one)))
                    for thing, one in gives.items()
                    if thing != "loss"
                ]
                parts = tuple(each for each in given_ if each.name in names)
                cuts = tuple(each for each in given_ if each.name not in names)
                made[title] = Way(title, 1.0, "knife", parts, cuts, gives.get("loss", 0.0))
        pieces[name] = Piece(name, species, 5, made)
    cuts = {
        each.name: Cut(each.name, species, "roast", 4)
        for piece in pieces.values()
        for way in piece.ways.values()
        for each in way.cuts
    }
    return Recipe(species, (names[0],), pieces, cuts, {})


TWO_BREAKS = recipe_of(
    {
        ("carcass", "long"): {
            "front": 0.40, "middle": 0.20, "hind": 0.37, "bones": 0.025, "loss": 0.005
        },
        ("carcass", "short"): {
            "front": 0.40, "middle": 0.20, "hind": 0.37, "bones": 0.025, "loss": 0.005
        },
        ("front", "roast"): {"front roast": 0.7, "bones": 0.3},
        ("middle", "roast"): {"rack": 0.7, "bones": 0.3},
        ("hind", "roast"): {"leg": 0.7, "bones": 0.3},
    }
)  # fmt: skip


def weighed(*found, pieces=1):
    return tuple(WeighIn(START, pieces, each) for each in found)


def sound(recipe):
    """What recipe files are checked for, and more exactly: sums, nothing below 0, every path."""
    sizes = piece_shares(recipe, recipe.roots[0])
    for piece, way in recipe.ways():
        shares = composition(way)
        assert sum(shares.values()) == pytest.approx(1, abs=1e-9), (piece.name, way.name)
        assert min(shares.values()) >= 0, (piece.name, way.name)
        for each in way.pieces:
            by_this = sizes[piece.name] * each.share
            assert by_this == pytest.approx(sizes[each.name], abs=1e-9), (piece.name, way.name)


def test_a_way_never_gives_more_than_is_put_in():
    histories = {("carcass", "long"): History(weighed(*[{"front": 0.48}] * 3))}
    learned = learned_recipe(TWO_BREAKS, histories)
    sound(learned)
    told = composition(learned.pieces["carcass"].ways["long"])
    assert 0.42 < told["front"] < 0.48
    # what was not weighed gives way in the recipe's proportions, whether others share it or not
    kept = (1 - told["front"]) / 0.6
    expected = {"middle": 0.20, "hind": 0.37, "bones": 0.025, "loss": 0.005}
    assert {name: told[name] / kept for name in expected} == pytest.approx(
        expected,
        rel=0.03,  # each figure of the recipe is worth a little more or less than others
    )
    assert composition(learned.pieces["carcass"].ways["short"]) == pytest.approx(told)


def test_what_was_weighed_gives_way_last():
    bones = [{"front": 0.48, "bones": 0.04}] * 12
    learned = learned_recipe(TWO_BREAKS, {("carcass", "long"): History(weighed(*bones))})
    sound(learned)
    told = composition(learned.pieces["carcass"].ways["long"])
    assert told["bones"] > 0.030
    assert told["middle"] / told["hind"] == pytest.approx(20 / 37)


def test_ways_that_give_shared_pieces_alone_add_up_as_figures_too():
    parts = {"fore": 0.42, "middle": 0.18, "hind": 0.40}
    recipe = recipe_of(
        {
            ("side", "one"): parts,
            ("side", "other"): parts,
            ("side", "boned"): {"fore": 0.42, "middle": 0.18, "bones": 0.37, "loss": 0.03},
            ("fore", "roast"): {"chuck": 0.8, "bones": 0.2},
            ("middle", "roast"): {"rib": 0.8, "bones": 0.2},
            ("hind", "roast"): {"rump": 0.8, "bones": 0.2},
        }
    )
    rng = np.random.default_rng(2)
    for _ in range(20):
        rows = rng.dirichlet(np.array(list(parts.values())) * 60, size=2)
        histories = {
            ("side", "one"): History(weighed(dict(zip(parts, map(float, rows[0]), strict=True)))),
            ("side", "other"): History(weighed({"hind": float(rows[1][2])})),
        }
        learned = learned_recipe(recipe, histories)
        sound(learned)
        figures = rounded(recipe, learned)
        for way in ("one", "other"):
            assert sum(figures["side", way, name] for name in parts) == 100
            told = composition(learned.pieces["side"].ways[way])
            for name, share in told.items():
                assert float(figures["side", way, name]) == pytest.approx(share * 100, abs=0.11)
        for name in ("fore", "middle"):
            assert len({figures["side", way, name] for way in ("one", "other", "boned")}) == 1


def test_one_shared_piece_is_the_mean_that_all_its_weigh_ins_have():
    """By hand: worth of the recipe, two and three weigh-ins, weighed by what they are worth."""
    ways = {
        ("leg", way): {"sirloin": 0.2, f"{way} roast": 0.5, "bones": 0.3} for way in ("a", "b", "c")
    }
    recipe = recipe_of(ways | {("sirloin", "whole"): {"steak": 1.0}})
    histories = {
        ("leg", "a"): History(weighed(*[{"sirloin": 0.26}] * 2)),
        ("leg", "b"): History(weighed(*[{"sirloin": 0.23, "bones": 0.33, "b roast": 0.44}] * 3)),
    }
    learned = learned_ways(recipe, histories)
    pooled = learned["leg", "c"]["sirloin"]
    worth = mean_worth(pooled.worths, 5.0)
    assert pooled.estimate == pytest.approx((worth * 0.2 + 2 * 0.26 + 3 * 0.23) / (worth + 5))


def random_recipe(rng):
    """A recipe with pieces that several ways give, some of them below different pieces."""
    sizes, below, ways = {"root": 1.0}, {}, {}
    waiting = ["root"]
    while waiting:
        parent = waiting.pop(0)
        for number in range(rng.integers(1, 4)):
            left, gives = sizes[parent], {}
            known = [
                name for name in sizes
                if name not in ("root", parent) and parent not in below.get(name, {name})
            ]  # fmt: skip
            for name in rng.permutation(known) if len(known) else ():
                count = int(rng.integers(1, 3))
                if rng.random() < 0.5 and sizes[name] * count < 0.9 * left:
                    gives[name] = (count, sizes[name] / sizes[parent])
                    left -= count * sizes[name]
            alone = rng.random() < 0.3  # nothing but pieces
            while len(sizes) < 9 and (rng.random() < 0.5 or (alone and not gives)):
                name = f"p{len(sizes)}"
                sizes[name] = left if alone else left * rng.uniform(0.1, 0.6)
                gives[name] = (1, sizes[name] / sizes[parent])
                left -= sizes[name]
                waiting.append(name)
                if alone:
                    break
            if left > 1e-9:
                parts = rng.dirichlet([3.0, 1.0, 0.3]) * left / sizes[parent]
                title = f"{parent} {number}"
                gives |= {f"{title} roast": parts[0], f"{title} bones": parts[1], "loss": parts[2]}
            for name in gives:
                if name in sizes:
                    # every piece a piece may not be given by: itself and all that it gives
                    below.setdefault(name, {name})
            ways[parent, f"way {number}"] = gives
            for (above, _), each in list(ways.items()):
                for name in each:
                    if name in sizes:
                        below.setdefault(above, {above})
                        below[above] |= below.get(name, {name})
            for _ in range(len(sizes)):
                for (above, _), each in ways.items():
                    for name in each:
                        if name in sizes:
                            below[above] |= below.get(name, {name})
    return recipe_of(ways)


def random_histories(rng, recipe):
    histories = {}
    for piece, way in recipe.ways():
        usual = composition(way)
        if rng.random() < 0.4:
            continue
        rows = rng.dirichlet(np.array(list(usual.values())) * rng.choice([8, 80]) + 1e-3, size=3)
        found = []
        for row in rows[: rng.integers(1, 4)]:
            kept = [n for n in range(len(row)) if rng.random() < 0.6] or [0]
            found.append({list(usual)[n]: float(row[n]) for n in kept})
        histories[piece.name, way.name] = History(weighed(*found, pieces=int(rng.integers(1, 5))))
    return histories


def shares_a_piece(recipe):
    given_by = [each.name for _, way in recipe.ways() for each in way.pieces]
    return len(given_by) > len(set(given_by))


@given(st.integers(0, 2**32 - 1))
@settings(max_examples=50, deadline=None)
def test_every_learned_recipe_is_sound(seed):
    rng = np.random.default_rng(seed)
    recipe = random_recipe(rng)
    sound(recipe)
    histories = random_histories(rng, recipe)
    learned = learned_recipe(recipe, histories)
    sound(learned)
    told = learned_ways(recipe, histories)
    alone = {
        (piece.name, way.name): learn(composition(way), history.tests)
        for piece, way in recipe.ways()
        for history in [histories.get((piece.name, way.name), History())]
    }
    for piece, way in learned.ways():
        shown = {name: share.estimate for name, share in told[piece.name, way.name].items()}
        made = {name: composition(way).get(name, 0.0) for name in shown}  # without a loss of 0
        assert shown == pytest.approx(made, abs=1e-9)
        if not shares_a_piece(recipe):
            expected = {name: each.estimate for name, each in alone[piece.name, way.name].items()}
            assert shown == pytest.approx(expected, abs=1e-12)


def test_random_recipes_share_pieces():
    made = [random_recipe(np.random.default_rng(seed)) for seed in range(60)]
    shared = [shares_a_piece(each) for each in made]
    assert 0.3 < np.mean(shared) < 0.95
    only = [not way.cuts and len(way.pieces) > 1 for each in made for _, way in each.ways()]
    assert sum(only) > 10


def test_ways_above_a_shared_piece_stay_what_was_learned_of_them():
    """Only one piece gives the sirloin; so what it weighs says nothing of how heavy a leg is."""
    recipe = read_recipe(RECIPES / "lamb.yaml", "lamb")[0]
    (root,) = recipe.roots
    key = (root, next(iter(recipe.pieces[root].ways)))
    usual = composition(recipe.pieces[root].ways[key[1]])
    test = WeighIn(START, 1, {name: share + 0.01 * (name == "loss") for name, share in usual.items()
                              if name != next(iter(usual))})  # fmt: skip
    with_root = {key: History((test,) * 3)}
    legs = with_root | {
        ("leg", "frenched"): History(weighed(*[{"sirloin": 0.30}] * 3)),
        ("leg", "steaks"): History(weighed(*[{"sirloin": 0.20}] * 3)),
    }
    other = [name for name in ("leg",) if name in usual]
    assert other
    one, two = learned_ways(recipe, with_root)[key], learned_ways(recipe, legs)[key]
    for name in usual:
        assert two[name].estimate == pytest.approx(one[name].estimate, abs=1e-8), name


@pytest.mark.parametrize("seed", range(6))
def test_scipy_finds_nothing_that_fits_better(seed):
    rng = np.random.default_rng(seed)
    recipe = TWO_BREAKS
    terms = {
        (piece.name, way.name): [
            Term(row, target, 1 / share)
            for row, share, target in zip(
                np.eye(len(composition(way))),
                composition(way).values(),
                rng.dirichlet(np.array(list(composition(way).values())) * (3 if seed < 3 else 60)),
                strict=True,
            )
        ]
        for piece, way in recipe.ways()
    }
    ours = fitted(recipe, terms)

    def misfit(shares):
        return sum(
            term.weight * (term.row @ np.array(list(shares[key].values())) - term.target) ** 2
            for key, each in terms.items()
            for term in each
        )

    both = ("front", "middle", "hind")
    keys = [("carcass", "long"), ("carcass", "short")]

    def shares_of(free):
        return {
            key: dict(zip(composition(TWO_BREAKS.pieces["carcass"].ways[key[1]]), row, strict=True))
            for key, row in zip(
                keys, ([*free[:3], *free[3:5]], [*free[:3], *free[5:7]]), strict=True
            )
        } | {key: each for key, each in ours.items() if key not in keys}

    best = optimize.minimize(
        lambda free: misfit(shares_of(free)),
        [0.4, 0.2, 0.37, 0.025, 0.005, 0.025, 0.005],
        method="SLSQP",
        bounds=[(0, 1)] * 7,
        constraints=[
            {"type": "eq", "fun": lambda free: sum(free[:5]) - 1},
            {"type": "eq", "fun": lambda free: sum(free[:3]) + sum(free[5:]) - 1},
        ],
        options={"ftol": 1e-14, "maxiter": 500},
    )
    assert misfit(ours) <= best.fun * (1 + 1e-4) + 1e-6
    assert [ours[keys[0]][name] for name in both] == pytest.approx(best.x[:3], abs=2e-3)
    assert min(min(each.values()) for each in ours.values()) >= 0


def test_what_the_recipe_says_is_nothing_may_become_something():
    parts = {"fore": 0.5, "trim": 0.47, "kidney": 0.0, "loss": 0.03}
    recipe = recipe_of(
        {("side", "one"): parts, ("side", "other"): parts, ("fore", "roast"): {"chuck": 1.0}}
    )
    seen = {"fore": 0.52, "trim": 0.40, "kidney": 0.05, "loss": 0.03}
    learned = learned_recipe(recipe, {("side", "one"): History(weighed(*[seen] * 9))})
    sound(learned)
    one, other = (composition(learned.pieces["side"].ways[way]) for way in ("one", "other"))
    assert one["kidney"] > 0.03
    assert other["kidney"] == pytest.approx(0, abs=1e-9)


def test_what_does_not_settle_is_no_answer(monkeypatch):
    histories = {("carcass", "long"): History(weighed({"front": 0.48}, {"bones": 0.1}))}
    monkeypatch.setattr(fitting, "_ROUNDS", 1)
    with pytest.raises(NotSettledError):
        learned_recipe(TWO_BREAKS, histories)
    monkeypatch.setattr(learning, "_ROUNDS", 1)
    with pytest.raises(NotSettledError):
        learn({"a": 0.5, "b": 0.3, "c": 0.2}, weighed({"a": 0.6}, {"b": 0.5}))


def test_the_recipe_is_worth_what_it_is_worth_before_any_weigh_in():
    chances = (0.1,) * 10  # in floating point these do not add up to 1
    assert mean_worth([(PRIOR_TESTS, chance) for chance in chances], 0.0) == pytest.approx(3)
    assert mean_worth([(PRIOR_TESTS, chance) for chance in chances], 1e-9) == pytest.approx(3)


def test_a_shared_piece_has_one_interval_also_when_all_is_counted_in():
    tests = weighed(*[{"front": 0.44}, {"front": 0.47}, {"front": 0.42}])
    as_new = learned_ways(TWO_BREAKS, {("carcass", "long"): History(tests)})
    worth = mean_worth(as_new["carcass", "long"]["bones"].worths, 3.0) + 3.0
    written = learned_recipe(TWO_BREAKS, {("carcass", "long"): History(tests)})
    told = learned_ways(written, {("carcass", "long"): History((), tests, worth)})
    one, other = (told["carcass", way]["front"].interval() for way in ("long", "short"))
    assert one == pytest.approx(other)
    assert one == pytest.approx(as_new["carcass", "short"]["front"].interval(), abs=0.004)
    assert learned_recipe(written, {("carcass", "long"): History((), tests, worth)}) is written


def test_what_is_counted_in_counts_for_all_ways_that_give_a_piece():
    """A weigh-in after a writing moves the piece as far as it would have without the writing."""
    first = weighed(*[{"front": 0.46}] * 5)
    histories = {("carcass", "long"): History(first), ("carcass", "short"): History(first[:3])}
    more = weighed({"front": 0.34})
    at_once = learned_ways(
        TWO_BREAKS, {key: replace(each, tests=each.tests + more) for key, each in histories.items()}
    )
    written = learned_recipe(TWO_BREAKS, histories)
    after = learned_ways(
        written,
        {
            key: History(
                more, each.tests, mean_worth(at_once[key]["bones"].worths, 5.0) + each.weight
            )
            for key, each in histories.items()
        },
    )
    for way in ("long", "short"):
        one, two = (each["carcass", way]["front"] for each in (at_once, after))
        assert two.estimate == pytest.approx(one.estimate, abs=0.0025)
        assert two.interval() == pytest.approx(one.interval(), abs=0.006)
