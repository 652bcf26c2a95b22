"""Weigh-ins out of the journal, the recipes with what they say, and what of it was undone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from planner.core.recipe import Recipe, Way, full_name
from planner.journal.entries import BreakDone, Recorded, Undone, Weighed, YieldsWritten
from planner.learn.agreed import History, Key, learned_recipe
from planner.learn.joint_fit import composition
from planner.learn.prior_weight import led_to
from planner.learn.shares import LOSS, WeighIn
from planner.shop.stock.scales import TOO_MUCH


@dataclass(frozen=True, slots=True)
class WeighIns:
    """Weigh-ins of the ways of one recipe.

    Attributes
    ----------
    histories : dict of (str, str) to History
        By piece and way; ways without weigh-ins may be missing.
    left_out : dict of (str, str) to int
        How many were left out, for more came out than went in.
    by_hand : set of (str, str)
        Ways whose figures somebody has changed since they were written: these are worth what any
        recipe's are, and every weigh-in counts as new.
    """

    histories: dict[Key, History] = field(default_factory=dict)
    left_out: dict[Key, int] = field(default_factory=dict)
    by_hand: set[Key] = field(default_factory=set)


def learned_recipes(
    recipes: Sequence[Recipe], recorded: Iterable[Recorded], before: date
) -> tuple[Recipe, ...]:
    """The shop's recipes with its own shares: what weigh-ins of days before a day say."""
    entries = list(recorded)
    return tuple(
        learned_recipe(each, weigh_ins(each, entries, before).histories) for each in recipes
    )


def weigh_ins(recipe: Recipe, recorded: Iterable[Recorded], before: date) -> WeighIns:
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
    found = WeighIns()
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
            found.left_out[key] = found.left_out.get(key, 0) + 1
        elif test:
            tests.setdefault(key, []).append(test)
    for key in {**tests, **counted, **worth}:
        new, old = tests.get(key, []), counted.get(key, [])
        history = History(_by_day(new, before), _by_day(old, date.max), worth.get(key))
        if not led_to(composition(recipe.pieces[key[0]].ways[key[1]]), history):
            found.by_hand.add(key)
            history = History(_by_day([*old, *new], before))
        found.histories[key] = history
    return found


def _by_day(tests: Iterable[WeighIn], before: date) -> tuple[WeighIn, ...]:
    return tuple(sorted((each for each in tests if each.day < before), key=lambda each: each.day))


def _test(recipe: Recipe, way: Way, entry: BreakDone) -> tuple[WeighIn | None, bool]:
    """The weigh-in in a break done, if there is one; and whether it can be right."""
    weighed: dict[str, list[Weighed]] = {}
    for one in entry.gave:
        if one.pounds is not None:
            weighed.setdefault(one.what, []).append(one)
    found, all_weighed = dict[str, float](), True
    for each in (*way.pieces, *way.cuts):
        lots = weighed.pop(full_name(recipe.species, each.name), [])
        all_weighed &= bool(lots)
        if lots:
            found[each.name] = sum(one.pounds or 0.0 for one in lots)
            counted = each in way.pieces or recipe.cuts[each.name].by_each
            # where nobody counted, what was weighed is all there is
            known = all(one.count is not None for one in lots)
            count = sum(one.count or 0 for one in lots) if known else 0
            if counted and count and count != each.count * entry.count:
                found[each.name] *= each.count * entry.count / count
                all_weighed = False
    if not found:
        return None, True
    out = sum(found.values()) + sum(one.pounds or 0.0 for lots in weighed.values() for one in lots)
    if entry.pounds:
        if out > entry.pounds * (1 + TOO_MUCH):
            return None, False
        put_in = max(entry.pounds, out)
        if all_weighed and way.loss:
            found[LOSS] = put_in - out
    elif all_weighed and out > 0:
        put_in = out / (1 - way.loss)
    else:
        return None, True
    shares = {name: pounds / put_in for name, pounds in found.items()}
    return WeighIn(entry.day, entry.count, shares), True


@dataclass(frozen=True, slots=True)
class TakenBack:
    """What was undone of what a way's figures in its recipe file have in them, and stays there.

    `writings` of its estimates do not count any more, and their weigh-ins count as new; `weigh_ins`
    were undone after they had been counted in.
    """

    species: str
    piece: str
    way: str
    writings: int
    weigh_ins: int


def taken_back(recipes: Sequence[Recipe], everything: Iterable[Recorded]) -> tuple[TakenBack, ...]:
    """Ways whose figures have something in them that was undone; of all there is in the journal."""
    entries = list(everything)
    undone = {each.entry.writing: each.number for each in entries if isinstance(each.entry, Undone)}
    of_ways: dict[tuple[str, str], list[Recorded]] = defaultdict(list)
    for each in entries:
        if isinstance(entry := each.entry, BreakDone | YieldsWritten):
            of_ways[entry.piece, entry.way].append(each)
    found = []
    for recipe in recipes:
        for piece, way in recipe.ways():
            of_way = of_ways[full_name(recipe.species, piece.name), way.name]
            writings = [each for each in of_way if isinstance(each.entry, YieldsWritten)]
            counting = [each.number for each in writings if each.writing not in undone]
            gone = sum(
                isinstance(each.entry, BreakDone)
                and any(one.pounds is not None for one in each.entry.gave)
                and any(each.number < at < undone.get(each.writing, 0) for at in counting)
                for each in of_way
            )
            lost = len(writings) - len(counting)
            if lost or gone:
                found.append(TakenBack(recipe.species, piece.name, way.name, lost, gone))
    return tuple(found)
