"""Amounts, and what things gave or took, as a person says them: `trim 85 6 lb`, `2 rack`."""

from __future__ import annotations

import re
from collections.abc import Sequence

from planner.core.quantities import read_amount
from planner.core.recipe import Way, recipe_with
from planner.core.units import Quantity
from planner.journal.entries import Weighed
from planner.shop.entering.catalog import Catalog, StockItem, printable
from planner.shop.entering.entry_patterns import NUMBER, UNIT, misread

_NAME_FIRST = re.compile(rf"(.*\S)\s*[\s:]\s*({NUMBER}\s*[a-z]*)", re.IGNORECASE)
_SIZE_FIRST = re.compile(rf"({NUMBER}\s*{UNIT}\b|[0-9]+)\s+(?:of\s+)?(.+)", re.IGNORECASE)
_OF_WEIGHT = re.compile(
    rf"\s+(?:of|weighing)\s+({NUMBER}\s*{UNIT}?)(?:\s+(?:in\s+all|together))?$", re.IGNORECASE
)


class PartReader:
    """Reads amounts with the names and the unit of a shop; every reader raises `ValueError`."""

    def __init__(self, catalog: Catalog) -> None:
        self._catalog, self._units = catalog, catalog.week.units

    def size(self, kind: str, text: str, by_each: bool = False, name: str = "it") -> Quantity:
        """What is said of a thing of this name."""
        if not text.strip():
            raise misread(kind, self._units.unit, "the amount is missing")
        try:
            amount = read_amount(text)
        except ValueError as error:
            raise misread(kind, self._units.unit, str(error).partition(";")[0]) from None
        return self._units.read(amount, by_each, name)

    def taken(self, text: str) -> Weighed:
        """`trim 85 6 lb`, `trim 85: 6 lb` or `6 lb trim 85`: what a batch took."""
        thing, size = self._named("batch", text.strip(), "it took")
        amount = self.size("batch", size, thing.by_each, thing.name).amount
        if thing.by_each:
            return Weighed(thing.full, int(amount), None)
        return Weighed(thing.full, None, amount)

    def given(
        self, texts: Sequence[str], piece: StockItem, way: Way, count: int
    ) -> tuple[Weighed, ...]:
        """What pieces gave: `bones 2 lb`, `2 rack of 6.1 lb in all`, `2 rack`."""
        expected = {each.thing.full: each.count for each in self._catalog.gives(piece, way)}
        species = recipe_with(self._catalog.week.recipes, piece.name).species
        found: dict[str, Weighed] = {}
        for text in texts:
            one = self._given(text.strip(), expected, count, species)
            name = self._catalog.by_full[one.what].name
            if one.what not in expected:
                gives = ", ".join(self._catalog.by_full[each].name for each in expected)
                raise ValueError(f"{piece.name}: {way.name} gives no {name}, but {gives}")
            if one.what in found:
                raise ValueError(f"{name} is there twice: write all of it together")
            found[one.what] = one
        return tuple(found.values())

    def _given(
        self, text: str, expected: dict[str, int | None], count: int, species: str
    ) -> Weighed:
        weighed = _OF_WEIGHT.search(text)
        said = text[: weighed.start()] if weighed else text
        thing, size = self._named("break", said, "it gave", species)
        counted = re.fullmatch(r"([0-9]{1,6})(?:\s*each)?", size, re.IGNORECASE)
        if thing.by_each and counted:
            weight = self._units.read(weighed[1], False).amount if weighed else None
            return Weighed(thing.full, int(counted[1]), weight)
        if weighed:
            raise misread("break", self._units.unit, f'"{printable(text)}" has two weights')
        if not thing.by_each:
            return Weighed(thing.full, None, self.size("break", size, False, thing.name).amount)
        whole = (expected.get(thing.full) or 1) * count
        return Weighed(thing.full, whole, self._units.read(size, False).amount)

    def _named(self, kind: str, text: str, did: str, species: str = "") -> tuple[StockItem, str]:
        """The thing that a part is of, and its amount as said."""
        first, other = _NAME_FIRST.fullmatch(text), _SIZE_FIRST.fullmatch(text)
        tried = [(found[1].rstrip(": "), found[2]) for found in (first,) if found]
        tried += [(found[2], found[1]) for found in (other,) if found]
        if not tried or self._thing(text, species):
            message = f'how much {did} is not clear in "{printable(text)}"'
            raise misread(kind, self._units.unit, message)
        for name, size in tried:
            thing = self._thing(name, species)
            if thing:
                return thing, size
        return self._catalog.find(tried[0][0]), tried[0][1]  # raises, and says why

    def _thing(self, name: str, species: str = "") -> StockItem | None:
        """The thing of a name; of what an animal gave its species need not be said."""
        for full in (name, f"{species} {name}".strip()):
            try:
                return self._catalog.find(full)
            except ValueError:
                continue
        return None
