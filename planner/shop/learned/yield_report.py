"""What the shop's weigh-ins say of every way, for a person to look at and to write down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.recipe import Piece, Recipe, Way, full_name
from planner.journal.entries import Recorded, YieldsWritten
from planner.learn.agreed import NOTHING, History, Key, learned_ways
from planner.learn.prior_weight import mean_worth
from planner.learn.shares import Share
from planner.learn.significance import Drift, Series, beyond_chance, drifts
from planner.shop.learned.weighed import WeighIns, weigh_ins

Key3 = tuple[str, str, str]
"""Species, piece and way."""


@dataclass(frozen=True, slots=True)
class WayYield:
    """What was learned of one way, as the recipe has it.

    Of the `tests` (weigh-ins used) so many are `counted` into the recipe's figures already; others
    are `left_out`, for more came out than went in. `by_hand`: the figures were changed since
    weigh-ins were counted into them, so that none counts as counted in any more. `shares` are by
    name, `loss` last; `record` is the same as if no weigh-in was counted in: for how many there
    are, their mean and spread. `beyond` are shares that differ from the recipe's beyond chance,
    `drifts` those that drift.
    """

    species: str
    piece: str
    way: Way
    tests: int
    counted: int
    left_out: int
    by_hand: bool
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
    books = [_book(recipe, weigh_ins(recipe, entries, before)) for recipe in recipes]
    once: dict[Key3, Mapping[str, Share]] = {}  # what a way has of others is looked at there
    series: dict[tuple[str, str, str, str], Series] = {}
    for book in books:
        for key, history in book.weighed.histories.items():
            tests, shares = (*history.counted, *history.tests), book.learned[key]
            seen = {name for test in history.tests for name in test.found}
            once[book.whole(key)] = {name: each for name, each in shares.items() if name in seen}
            for name in shares:
                told = [(test.day, test.found[name]) for test in tests if name in test.found]
                series[(*book.whole(key), name)] = told
    beyond, drifting = beyond_chance(once), drifts(series)
    return tuple(
        _way_yield(book, piece, way, beyond, drifting)
        for book in books
        for piece, way in book.recipe.ways()
    )


@dataclass(frozen=True, slots=True)
class _Book:
    """What was learned of one recipe, and what would be if no weigh-in was counted in."""

    recipe: Recipe
    weighed: WeighIns
    learned: Mapping[Key, Mapping[str, Share]]
    record: Mapping[Key, Mapping[str, Share]]

    def whole(self, key: Key) -> Key3:
        """A way with its species in front."""
        return (self.recipe.species, *key)


def _book(recipe: Recipe, weighed: WeighIns) -> _Book:
    histories = weighed.histories
    learned = record = learned_ways(recipe, histories)
    if any(each.counted for each in histories.values()):
        new = {key: History((*each.counted, *each.tests)) for key, each in histories.items()}
        record = learned_ways(recipe, new)
    return _Book(recipe, weighed, learned, record)


def _way_yield(
    book: _Book,
    piece: Piece,
    way: Way,
    beyond: Mapping[Key3, tuple[str, ...]],
    drifting: Mapping[tuple[str, str, str, str], Drift],
) -> WayYield:
    key = (piece.name, way.name)
    history = book.weighed.histories.get(key, NOTHING)
    whole = book.whole(key)
    return WayYield(
        species=book.recipe.species,
        piece=piece.name,
        way=way,
        tests=len(history.tests) + len(history.counted),
        counted=len(history.counted),
        left_out=book.weighed.left_out.get(key, 0),
        by_hand=key in book.weighed.by_hand,
        shares=book.learned[key],
        record=book.record[key],
        beyond=beyond.get(whole, ()),
        drifts={
            name: drifting[(*whole, name)]
            for name in book.learned[key]
            if (*whole, name) in drifting
        },
    )


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
