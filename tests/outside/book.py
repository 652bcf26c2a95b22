"""What the names are in a scenario of some random recipes."""

from __future__ import annotations

from typing import Any

from .names import Names
from .random_blends import Source
from .random_recipes import sources

LEFT_ASIDE = "beef mix"  # nobody loads beef


class Book:
    """Pieces with their ways, what can be sold, blends with what goes in: names as written."""

    def __init__(self, recipes: list[dict[str, Any]], shared: dict[str, Any] | None = None) -> None:
        self.recipes, self.names = recipes, Names(recipes)
        self.ways: dict[str, list[str]] = {}
        self.things: dict[str, bool] = {}  # whether it is sold by each
        self.blends: dict[str, list[str]] = {}
        for recipe in recipes:
            species = recipe["species"]
            for piece, entry in recipe["pieces"].items():
                self.ways[self.names.of(species, piece)] = list(entry["ways"])
            for cut, entry in recipe["cuts"].items():
                self.things[self.names.of(species, cut)] = entry.get("sold by") == "each"
            for word, entry in recipe.get("blends", {}).items():
                inside = [self.names.of(species, cut) for cut in entry["from"]]
                self.blends[self.names.of(species, word)] = inside
                self.things[self.names.of(species, word)] = False
        if shared:
            self.add(shared["blends"])

    def add(self, blends: dict[str, Any]) -> None:
        """Blends that no recipe has; they name what they take as a scenario does."""
        for word, entry in blends.items():
            if word != LEFT_ASIDE:
                self.blends[word] = [cut for cut in entry["from"] if self.names.find(cut)]
                self.things[word] = False

    def sources(self, known: bool) -> list[Source]:
        """What a blend of the scenario may take, by the shortest name."""
        found = {}
        for recipe in self.recipes:
            for each in sources(recipe["cuts"], recipe["species"], known):
                name = self.names.of(recipe["species"], each.name)
                found[name] = Source(name, each.long, each.species, each.fat)
        return list(found.values())

    def pieces_of(self, recipe: dict[str, Any]) -> list[str]:
        return [self.names.of(recipe["species"], piece) for piece in recipe["pieces"]]

    def counting(self, recipe: dict[str, Any], count: int) -> str:
        """The word that counts roots: any, but the root's where the species has several."""
        if len([each for each in self.recipes if each["species"] == recipe["species"]]) == 1:
            return "head "
        root = recipe["root"]
        ending = "es " if root.endswith("s") else "s "
        return root + (ending if count > 1 else " ")
