"""What the shop's weigh-ins say of every way, for a person to look at and to write down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.journal.entries import Recorded, YieldsWritten
from planner.learn.agreed import NOTHING, History, Key, learned_ways
from planner.learn.drift import Drift, drifts
from planner.learn.marks import beyond_chance
from planner.learn.shares import Share, mean_worth
from planner.recipe import Recipe, Way, full_name
from planner.shop.learned.weighed import Kept, weigh_ins


@dataclass(frozen=True, slots=True)
class WayYield:
    """What was learned of one way.

    Attributes
    ----------
    species, piece : str
    way : Way
        As the recipe has it.
    tests : int
        Weigh-ins that are used.
    counted, left_out : int
        Those of them that are counted into the recipe's figures already; and weigh-ins that are not
        used, for more came out than was put in.
    shares : mapping of str to Share
        By name, `loss` last.
    record : mapping of str to Share
        The same as if no weigh-in was counted in: for how many there are, their mean and spread.
    beyond : tuple of str
        Shares that differ from the recipe's beyond chance.
    drifts : mapping of str to Drift
        Shares that drift beyond chance.
    """

    species: str
    piece: str
    way: Way
    tests: int
    counted: int
    left_out: int
    shares: Mapping[str, Share]
    record: Mapping[str, Share]
    beyond: tuple[str, ...]
    drifts: Mapping[str, Drift]

    @property
    def key(self) -> Key:
        """Piece and way."""
        return self.piece, self.way.name

    def count(self, name: str) -> int:
        """How many of a thing the way gives; 1 of what goes by weight."""
        given = (*self.way.pieces, *self.way.cuts)
        return next((each.count for each in given if each.name == name), 1)


def way_yields(
    recipes: Sequence[Recipe], recorded: Iterable[Recorded], before: date
) -> tuple[WayYield, ...]:
    """Every way of every recipe with what weigh-ins of days before a day say.

    Chance is judged over all ways together.
    """
    entries = list(recorded)
    books = [(recipe, weigh_ins(recipe, entries, before)) for recipe in recipes]
    learned = {
        (recipe.species, *key): shares
        for recipe, kept in books
        for key, shares in learned_ways(recipe, kept.histories).items()
    }
    records = {
        (recipe.species, *key): shares
        for recipe, kept in books
        for key, shares in learned_ways(recipe, _all_new(kept.histories)).items()
    }
    beyond = beyond_chance(_told_once(books, learned))
    series = {
        (recipe.species, *key, name): [
            (test.day, test.found[name])
            for test in (*history.counted, *history.tests)
            if name in test.found
        ]
        for recipe, kept in books
        for key, history in kept.histories.items()
        for name in learned[recipe.species, *key]
    }
    drifting = drifts(series)
    return tuple(
        WayYield(
            species=recipe.species,
            piece=piece.name,
            way=way,
            tests=len(history.tests) + len(history.counted),
            counted=len(history.counted),
            left_out=kept.left_out.get(key, 0),
            shares=shares,
            record=records[recipe.species, *key],
            beyond=beyond.get((recipe.species, *key), ()),
            drifts={
                name: drifting[recipe.species, *key, name]
                for name in shares
                if (recipe.species, *key, name) in drifting
            },
        )
        for recipe, kept in books
        for piece, way in recipe.ways()
        for key in [(piece.name, way.name)]
        for history in [kept.histories.get(key, NOTHING)]
        for shares in [learned[recipe.species, *key]]
    )


def _all_new(histories: Mapping[Key, History]) -> dict[Key, History]:
    return {
        key: History(tests=(*history.counted, *history.tests)) for key, history in histories.items()
    }


def _told_once(
    books: Sequence[tuple[Recipe, Kept]],
    learned: Mapping[tuple[str, str, str], Mapping[str, Share]],
) -> dict[tuple[str, str, str], Mapping[str, Share]]:
    """Shares of each way that was weighed itself: what it has of others is looked at there."""
    return {
        (recipe.species, *key): {
            name: share
            for name, share in learned[recipe.species, *key].items()
            if any(name in test.found for test in history.tests)
        }
        for recipe, kept in books
        for key, history in kept.histories.items()
    }


def worth_written(way: Way, history: History, shares: Mapping[str, Share]) -> float:
    """How many weigh-ins the estimates of a way are worth, once they are the recipe's figures."""
    if history.worth is not None:
        return history.worth + history.weight
    given = {each.name for each in way.pieces}  # these may be learned from other ways too
    own = next((share for name, share in shares.items() if name not in given), None)
    share = own or next(iter(shares.values()))
    return mean_worth(share.worths, history.weight) + history.weight


def entries_of(
    recipe: Recipe, histories: Mapping[Key, History], day: date
) -> tuple[YieldsWritten, ...]:
    """What is entered when the estimates of a recipe are written: its ways with new weigh-ins."""
    learned = learned_ways(recipe, histories)
    return tuple(
        YieldsWritten(
            day,
            full_name(recipe.species, key[0]),
            key[1],
            worth_written(recipe.pieces[key[0]].ways[key[1]], history, learned[key]),
        )
        for key, history in histories.items()
        if history.tests
    )
