"""Weigh-ins out of the journal, and the recipes with what they say."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from planner.journal.entries import BreakDone, Recorded, YieldsWritten
from planner.learn.agreed import History, Key, composition, learned_recipe
from planner.learn.shares import LOSS, WeighIn
from planner.recipe import Recipe, Way, full_name

TOO_MUCH = 0.02
"""What came out may weigh more than what was put in by this part of it: scales differ."""


@dataclass(frozen=True, slots=True)
class Kept:
    """Weigh-ins of the ways of one recipe.

    Attributes
    ----------
    histories : dict of (str, str) to History
        By piece and way; ways without weigh-ins may be missing.
    left_out : dict of (str, str) to int
        How many were left out, for more came out than was put in.
    """

    histories: dict[Key, History] = field(default_factory=dict)
    left_out: dict[Key, int] = field(default_factory=dict)


def learned_recipes(
    recipes: Sequence[Recipe], recorded: Iterable[Recorded], before: date
) -> tuple[Recipe, ...]:
    """Recipes with the shop's own shares: what weigh-ins of days before a day say.

    Parameters
    ----------
    recipes : sequence of Recipe
        As the shop's files have them.
    recorded : iterable of Recorded
        What counts in the journal.
    before : date
    """
    kept = list(recorded)
    return tuple(learned_recipe(each, weigh_ins(each, kept, before).histories) for each in recipes)


def weigh_ins(recipe: Recipe, recorded: Iterable[Recorded], before: date) -> Kept:
    """Weigh-ins of every way of a recipe, of days before a day.

    Those entered before the way's shares were last written into the recipe are counted into its
    figures already, whatever their day. Pieces, ways and cuts that the recipe has not, or not any
    more, are passed over.
    """
    ways = {
        (full_name(recipe.species, piece.name), way.name): (piece.name, way)
        for piece, way in recipe.ways()
    }
    tests: dict[Key, list[WeighIn]] = {}
    counted: dict[Key, list[WeighIn]] = {}
    worth: dict[Key, float] = {}
    kept = Kept()
    for each in sorted(recorded, key=lambda each: each.number):
        entry = each.entry
        if not isinstance(entry, BreakDone | YieldsWritten):
            continue
        piece, way = ways.get((entry.piece, entry.way), ("", None))
        if way is None:
            continue
        key = (piece, way.name)
        if isinstance(entry, YieldsWritten):
            counted.setdefault(key, []).extend(tests.pop(key, []))
            worth[key] = entry.weight
            continue
        test, sound = _test(recipe, way, entry)
        if not sound:
            kept.left_out[key] = kept.left_out.get(key, 0) + 1
        elif test:
            tests.setdefault(key, []).append(test)
    for key in {**tests, **counted, **worth}:
        kept.histories[key] = History(
            tests=tuple(
                sorted(
                    (each for each in tests.get(key, ()) if each.day < before),
                    key=lambda each: each.day,
                )
            ),
            counted=tuple(sorted(counted.get(key, ()), key=lambda each: each.day)),
            worth=worth.get(key),
        )
    return kept


def _test(recipe: Recipe, way: Way, entry: BreakDone) -> tuple[WeighIn | None, bool]:
    """The weigh-in in a break done, if there is one; and whether it can be right."""
    usual = composition(way)
    counts = {each.name: each.count * entry.count for each in (*way.pieces, *way.cuts)}
    by_each = {each.name for each in way.cuts if recipe.cuts[each.name].by_each}
    by_each.update(each.name for each in way.pieces)
    names = {full_name(recipe.species, name): name for name in counts}
    pounds: dict[str, float] = {}
    seen: dict[str, int | None] = {}
    more = 0.0
    for one in entry.gave:
        if one.pounds is None:
            continue
        name = names.get(one.what)
        if name is None:
            more += one.pounds
            continue
        pounds[name] = pounds.get(name, 0.0) + one.pounds
        had = seen.get(name, 0)
        seen[name] = None if one.count is None or had is None else had + one.count
    partly = {name for name, count in seen.items() if name in by_each and count != counts[name]}
    partly = {name for name in partly if seen[name]}  # what is not counted is all there is
    found = {
        name: each * counts[name] / (seen[name] or 1) if name in partly else each
        for name, each in pounds.items()
    }
    if not found:
        return None, True
    all_weighed = counts.keys() <= found.keys() and not partly
    out = sum(found.values()) + more
    if entry.pounds:
        if out > entry.pounds * (1 + TOO_MUCH):
            return None, False
        put_in = max(entry.pounds, out)
        if all_weighed and LOSS in usual:
            found[LOSS] = put_in - out
    elif all_weighed and out > 0:
        put_in = out / (1 - way.loss)
    else:
        return None, True
    shares = {name: pounds / put_in for name, pounds in found.items()}
    return WeighIn(entry.day, entry.count, shares), True
