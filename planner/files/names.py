"""Names of pieces and cuts over several recipes: found with or without the species in front."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from planner.core.recipe import BY_PRODUCTS, Blend, Piece, Recipe, full_name, trade_names
from planner.core.spelling import Vocabulary


class Names:
    """One kind of name (piece, cut) of all the recipes in use.

    Parameters
    ----------
    word : str
        What messages call such a thing.
    names : mapping of str to iterable of str
        For each species the names its recipe has now, written apart where two share one.
    mistaken : mapping of str to mapping of str to str
        For each species, or "" for none, what to say to names of things of another kind.
    others : mapping of str to str
        Names that belong to no species, by what may be written for them.
    known_as : mapping of str to sequence of str
        What else the trade calls some of them: not taken for the name, but told what it means.
    """

    def __init__(
        self,
        word: str,
        names: Mapping[str, Iterable[str]],
        mistaken: Mapping[str, Mapping[str, str]],
        others: Mapping[str, str] | None = None,
        known_as: Mapping[str, Sequence[str]] | None = None,
    ) -> None:
        self.word = word
        self._known_as = known_as or {}
        self._species = list(names)
        self._known = {name: name for each in names.values() for name in each}
        self._apart: dict[str, list[str]] = {}
        self._mistaken: dict[str, str] = {}
        for name in dict.fromkeys((others or {}).values()):
            self._known[name] = name
        for species, each in names.items():
            for name in each:
                if name.startswith(f"{species} "):
                    self._apart.setdefault(name[len(species) + 1 :], []).append(name)
                else:
                    self._known.setdefault(f"{species} {name}", name)
        for written, name in (others or {}).items():
            self._known.setdefault(written, name)
        for species, answers in mistaken.items():
            for name, answer in answers.items():
                for text in (name, f"{species} {name}", name.removeprefix(f"{species} ")):
                    self._mistaken.setdefault(text, answer)

    def known(self, text: str) -> bool:
        """Whether this is the name of one thing."""
        return text in self._known

    def ambiguous(self, text: str) -> bool:
        """Whether several recipes have this name, so that it needs its species."""
        return text not in self._known and len(self._apart.get(text, ())) > 1

    def mistaken(self, text: str) -> bool:
        """Whether this is the name of something of the other kind."""
        return text not in self._known and text in self._mistaken

    def synonym(self, text: str) -> bool:
        """Whether the trade calls something by exactly this, which is not its right name."""
        return text not in self._known and bool(self._vocabulary.known(text))

    def find(self, text: str) -> str:
        """The name meant; raises `ValueError` with the nearest right word."""
        if text in self._known:
            return self._known[text]
        if self.ambiguous(text):
            choices = " or ".join(f'"{name}"' for name in self._apart[text])
            raise ValueError(f'more than one recipe has "{text}"; write {choices}')
        if text in self._mistaken:
            raise ValueError(self._mistaken[text])
        where = " or ".join(self._species)
        near = self._vocabulary.nearest(text)
        raise ValueError(f'no {self.word} called "{text}" in {where}{near}')

    @cached_property
    def _vocabulary(self) -> Vocabulary:
        also = {name: [*self._known_as.get(name, ())] for name in self._known.values()}
        for longer, name in self._known.items():
            if longer != name:
                also[name].append(longer)
        return Vocabulary([*also, *self._apart], also)


def cut_names(
    recipes: Sequence[Recipe],
    blends: Iterable[str] | Mapping[str, Blend] = (),
    aside: Mapping[str, str] | None = None,
) -> Names:
    """Cuts and what blends make; `blends` are in no recipe, and why some cannot be made.

    Where `blends` tells the blends themselves, one of a single species is found with that in front.
    """
    own = blends if isinstance(blends, Mapping) else {}
    full = {full_name(each.cut.species, name): name for name, each in own.items()}
    pieces = {
        recipe.species: {
            name: f"{name} is a piece, not a cut; its ways give {_given(recipe, piece)}"
            for name, piece in recipe.pieces.items()
        }
        for recipe in recipes
    }
    return Names(
        "cut",
        {each.species: [*each.cuts, *each.blends] for each in recipes},
        {"": aside or {}, **pieces},
        {name: name for name in blends} | full,
        trade_names(recipes, own),
    )


def piece_names(recipes: Sequence[Recipe], blends: Mapping[str, Blend] | None = None) -> Names:
    """Pieces, the roots among them; `blends` are in no recipe."""
    mistaken = {"": _blends(blends or {})}
    for recipe in recipes:
        mistaken[recipe.species] = _blends(recipe.blends)
        for name in recipe.cuts:
            sources = dict.fromkeys(
                piece.name
                for piece, way in recipe.ways()
                if any(given.name == name for given in way.cuts)
            )
            message = f"{name} is a cut, not a piece; it comes from {', '.join(sources)}"
            mistaken[recipe.species][name] = message
    pieces = {each.species: list(each.pieces) for each in recipes}
    return Names("piece", pieces, mistaken, known_as=trade_names(recipes))


def _blends(blends: Mapping[str, Blend]) -> dict[str, str]:
    return {
        name: f"{name} is a blend, not a piece; it is made from {', '.join(blend.takes)}"
        for name, blend in blends.items()
    }


def _given(recipe: Recipe, piece: Piece) -> str:
    """What the ways of a piece give: cuts, by-products only where there is nothing else."""
    cuts = dict.fromkeys(given.name for way in piece.ways.values() for given in way.cuts)
    pieces = dict.fromkeys(given.name for way in piece.ways.values() for given in way.pieces)
    main = [name for name in cuts if recipe.cuts[name].kind not in BY_PRODUCTS]
    return ", ".join(main or pieces or cuts)
