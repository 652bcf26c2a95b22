"""The names of a scenario: what two species share is written with the species in front."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any


class Names:
    """Which species has which word; files of blends alone have no species and add no words."""

    def __init__(self, recipes: Iterable[dict[str, Any]]) -> None:
        self.owners: dict[str, set[str]] = {}
        for recipe in recipes:
            for part in ("pieces", "cuts", "blends"):
                for word in recipe.get(part) or {}:
                    self.owners.setdefault(word, set()).add(recipe["species"])

    def of(self, species: str, word: str) -> str:
        """The name a scenario has for a word of a recipe."""
        return f"{species} {word}" if len(self.owners[word]) > 1 else word

    def find(self, text: str) -> str | None:
        """The name that is meant, also where the species stands in front without need."""
        if len(self.owners.get(text, ())) == 1:
            return text
        species, _, word = text.partition(" ")
        return self.of(species, word) if species in self.owners.get(word, ()) else None

    def meant(self, text: str) -> str:
        """As `find`; what no recipe has is a blend of the scenario's own or of a blends file."""
        return self.find(text) or text
