"""Names of pieces and cuts over several recipes: found with or without the species in front."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from planner.recipe import Recipe
from planner.yamlfile import nearest


class Names:
    """One kind of name (piece, cut) of all the recipes in use.

    Parameters
    ----------
    word : str
        What messages call such a thing.
    names : mapping of str to iterable of str
        For each species the names its recipe has now, written apart where two share one.
    """

    def __init__(self, word: str, names: Mapping[str, Iterable[str]]) -> None:
        self.word = word
        self._species = list(names)
        self._known = {name: name for each in names.values() for name in each}
        self._apart: dict[str, list[str]] = {}
        for species, each in names.items():
            for name in each:
                if name.startswith(f"{species} "):
                    self._apart.setdefault(name[len(species) + 1 :], []).append(name)
                self._known.setdefault(f"{species} {name}", name)

    def ambiguous(self, text: str) -> bool:
        """Whether several recipes have this name, so that it needs its species."""
        return text not in self._known and len(self._apart.get(text, ())) > 1

    def find(self, text: str) -> str:
        """The name meant; raises `ValueError` with the nearest right word."""
        if text in self._known:
            return self._known[text]
        if self.ambiguous(text):
            choices = " or ".join(f'"{name}"' for name in self._apart[text])
            raise ValueError(f'more than one recipe has "{text}"; write {choices}')
        where = " or ".join(self._species)
        near = nearest(text, [*self._known, *self._apart])
        raise ValueError(f'no {self.word} called "{text}" in {where}{near}')


def cut_names(recipes: Sequence[Recipe]) -> Names:
    """Cuts and what blends make."""
    return Names("cut", {each.species: [*each.cuts, *each.blends] for each in recipes})


def piece_names(recipes: Sequence[Recipe]) -> Names:
    """Pieces, the roots among them."""
    return Names("piece", {each.species: list(each.pieces) for each in recipes})
