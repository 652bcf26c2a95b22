"""What the names of the journal mean with the recipes of today."""

from __future__ import annotations

from planner.core.recipe import Cut, Piece, Recipe, full_name, piece_shares
from planner.core.scenario import Scenario


class Known:
    """Cuts and pieces of a scenario by the names of the journal, which have the species in front.

    `pieces` and `blends` are those in use by today's names.
    """

    def __init__(self, scenario: Scenario) -> None:
        self.pieces = {
            name: piece for recipe in scenario.recipes for name, piece in recipe.pieces.items()
        }
        cuts = scenario.cuts  # what is called just so comes before what is so called in full
        self._cuts = {full_name(cut.species, name): cut for name, cut in cuts.items()} | cuts
        self._pieces = {full_name(each.species, name): each for name, each in self.pieces.items()}
        self._pieces |= self.pieces
        self._depth = {
            name: depth for recipe in scenario.recipes for name, depth in _depths(recipe).items()
        }
        self.blends = scenario.blends

    def cut(self, name: str) -> Cut | None:
        """The cut, or what a blend makes; None where there is none of that name today."""
        return self._cuts.get(name)

    def piece(self, name: str) -> Piece | None:
        """The piece; None where there is none of that name today."""
        return self._pieces.get(name)

    def rank(self, name: str) -> int:
        """How many breaks lie before a piece at most: it is cut after all it is cut from."""
        piece = self.piece(name)
        return self._depth[piece.name] if piece else 0


def _depths(recipe: Recipe) -> dict[str, int]:
    depths = dict.fromkeys(recipe.pieces, 0)
    for root in recipe.roots:
        for name in piece_shares(recipe, root):  # parents first
            for way in recipe.pieces[name].ways.values():
                for given in way.pieces:
                    depths[given.name] = max(depths[given.name], depths[name] + 1)
    return depths
