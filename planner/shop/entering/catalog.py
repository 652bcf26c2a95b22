"""The things a shop has names for: cuts, blends, pieces; as typed, as shown, as in the journal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from planner.core.recipe import Way, full_name, recipe_with, trade_names
from planner.core.scenario import Scenario
from planner.core.signs import shown_line
from planner.core.spelling import nearest
from planner.files.names import Names, cut_names, piece_names

LONGEST = 200
"""Signs of what is read as one answer."""


@dataclass(frozen=True, slots=True)
class StockItem:
    """A cut, what a blend makes, or a piece, which is cut further.

    `name` is that of the shop's files, `full` that of the journal: with its species in front. It is
    counted (`by_each`) or weighed, `keeps` so many days, the day it is made counted as the first,
    and falls into a `tray` at the block, or into the case.
    """

    name: str
    full: str
    by_each: bool
    piece: bool
    keeps: int
    tray: bool = False


@dataclass(frozen=True, slots=True)
class ExpectedYield:
    """What one piece gives of a thing in a way: how many (None: by weight), which share of it.

    `deviation` is the standard deviation of that share, where the shop's weigh-ins tell it.
    """

    thing: StockItem
    count: int | None
    share: float
    deviation: float | None = None


class Catalog:
    """All that a shop has names for; `week` is any week of it, with its recipes and prices."""

    def __init__(self, week: Scenario) -> None:
        self.week = week

    @cached_property
    def cuts(self) -> dict[str, StockItem]:
        """Cuts and what blends make, by the shop's name: the case, then trays."""
        found = {
            name: StockItem(
                name, full_name(cut.species, name), cut.by_each, False, cut.keeps, cut.in_tray
            )
            for name, cut in self.week.cuts.items()
        }
        return dict(sorted(found.items(), key=lambda each: each[1].tray))

    @cached_property
    def pieces(self) -> dict[str, StockItem]:
        """Pieces, by the shop's name."""
        return {
            name: StockItem(name, full_name(piece.species, name), True, True, piece.keeps)
            for recipe in self.week.recipes
            for name, piece in recipe.pieces.items()
        }

    @cached_property
    def by_full(self) -> dict[str, StockItem]:
        """All of them by the journal's name."""
        return {each.full: each for each in (*self.cuts.values(), *self.pieces.values())}

    @cached_property
    def known_as(self) -> dict[str, tuple[str, ...]]:
        """What else the trade calls them, and the species, by the shop's name."""
        return trade_names(self.week.recipes, self.week.own_blends)

    def __iter__(self) -> Iterator[StockItem]:
        yield from self.cuts.values()
        yield from self.pieces.values()

    def find(self, text: str) -> StockItem:
        """The cut or the piece that a text names; raises `ValueError` with the nearest right word.

        Capital letters and spaces make no difference, nor does an `s` at the end.
        """
        return self._find(text, self._cut_names, self._piece_names)

    def find_piece(self, text: str) -> StockItem:
        """The piece that a text names; raises `ValueError` as `find` does."""
        return self._find(text, self._piece_names)

    def find_cut(self, text: str) -> StockItem:
        """The cut, or what a blend makes, that a text names; raises `ValueError` likewise."""
        try:
            thing = self.find(text)
        except ValueError as error:
            if "more than one" in str(error):
                raise
            near = nearest(" ".join(text.split()), self.cuts, self.known_as)
            raise ValueError(f'no cut is called "{printable(text)}"{near}') from None
        if thing.piece:
            raise ValueError(f"{thing.name} is a piece, not a cut")
        return thing

    def find_arrival(self, text: str, word: str = "") -> StockItem:
        """The piece that a species, where it means what the shop buys it as, or a name stands for.

        Where a species has several roots, such as two quarters, the `word` that they are counted by
        tells which. Raises `ValueError` likewise.
        """
        name = " ".join(text.split()).lower()
        recipe = next((each for each in self.week.recipes if each.species == name), None)
        if recipe is None:
            try:
                return self.find_piece(text)
            except ValueError as error:
                there = [*(each.species for each in self.week.recipes), *self.pieces]
                near = nearest(name, there, self.known_as)
                if not near or not str(error).startswith("no piece"):
                    raise
                told = f'no species or piece is called "{printable(text)}"{near}'
                raise ValueError(told) from None
        roots = recipe.roots
        if len(roots) > 1:
            roots = tuple(each for each in roots if recipe.calls(word, each))
        if not roots:
            raise ValueError(
                f"{name} comes as {' or '.join(recipe.roots)} here: write one of these"
            )
        return self.pieces[roots[0]]

    def ways(self, piece: StockItem) -> Mapping[str, Way]:
        """The ways to cut a piece, by name."""
        return recipe_with(self.week.recipes, piece.name).pieces[piece.name].ways

    def find_way(self, piece: StockItem, text: str) -> Way:
        """The way to cut a piece that a text names; raises `ValueError` with the nearest one."""
        ways = self.ways(piece)
        for spelling in _spellings(text):
            if spelling in ways:
                return ways[spelling]
        near = nearest(text, ways) or f"; its ways are {', '.join(ways)}"
        raise ValueError(f'no way to cut {piece.name} is called "{printable(text)}"{near}')

    def gives(self, piece: StockItem, way: Way) -> tuple[ExpectedYield, ...]:
        """What one piece gives in a way: pieces, then cuts for the case, then for trays."""
        found = [
            ExpectedYield(self.pieces[each.name], each.count, each.count * each.share)
            for each in way.pieces
        ]
        for each in way.cuts:
            thing = self.cuts[each.name]
            count = each.count if thing.by_each else None
            found.append(ExpectedYield(thing, count, each.count * each.share))
        return tuple(sorted(found, key=lambda one: one.thing.tray))

    def species(self, thing: StockItem) -> str:
        """The species that a thing is of."""
        if thing.piece:
            return recipe_with(self.week.recipes, thing.name).species
        return self.week.cuts[thing.name].species

    def price(self, thing: StockItem) -> float | None:
        """Full price a pound, or each; None of a piece, and where it has none."""
        return None if thing.piece else self.week.price(thing.name) or None

    @cached_property
    def _cut_names(self) -> Names:
        return cut_names(self.week.recipes, self.week.own_blends, self.week.aside)

    @cached_property
    def _piece_names(self) -> Names:
        return piece_names(self.week.recipes, self.week.own_blends)

    def _find(self, text: str, *kinds: Names) -> StockItem:
        known = {**self.cuts, **self.pieces}
        for spelling in _spellings(text):
            for names in kinds:
                if names.known(spelling):
                    return known[names.find(spelling)]
        spelling = printable(" ".join(text.split()))
        telling = next(
            (each for each in kinds if each.ambiguous(spelling) or each.mistaken(spelling)), None
        )
        if telling and len(kinds) == 1 or telling and telling.ambiguous(spelling):
            telling.find(spelling)  # raises, and says why
        shown = [each.name for each in known.values()] if len(kinds) > 1 else list(self.pieces)
        kind = "cut or piece" if len(kinds) > 1 else "piece"
        near = nearest(spelling, shown, self.known_as)
        raise ValueError(f'no {kind} is called "{spelling}"{near}')


def printable(text: str) -> str:
    """A text of the user's as it may be printed: one line, no signs that steer a terminal."""
    line = shown_line(text)
    return line if len(line) <= LONGEST else f"{line[:LONGEST]}.."


def _spellings(text: str) -> Sequence[str]:
    plain = " ".join(text.split())
    small = plain.lower()
    ends = (small.removesuffix("s"), small.removesuffix("es"), f"{small}s", f"{small}es")
    return tuple(dict.fromkeys((plain, small, *ends)))
