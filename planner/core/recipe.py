"""A recipe: how a species comes apart. Frozen objects, and the shares that follow from them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

KINDS = ("roast", "chop", "steak", "braise", "stew", "trim", "fat", "bone", "offal", "ground")
"""Kinds of cuts; `ground` is for what a blend makes."""

BY_PRODUCTS = ("trim", "fat", "bone")
"""Kinds that fall off nearly every piece, whatever it is cut for."""

MIXED = "mixed"
"""Species of a blend that is made from several."""

LOSS = "loss"
"""What a way gives that is gone: drip, dust of the saw, what dries off."""


@dataclass(frozen=True, slots=True)
class Cut:
    """What the case sells or the grinder takes; what a blend makes is one too.

    Attributes
    ----------
    name, species : str
    kind : str
        One of `KINDS`.
    keeps : int
        Days it may be used, the day it is made counted as the first.
    by_each : bool
        Sold by each, in whole numbers; else by weight.
    lean : float or None
        Lean share of a trim; None where nobody said.
    imps : str or None
        IMPS item number.
    known_as : tuple of str
        What else the trade calls it. It changes nothing of a plan, and so no two cuts differ in it.
    """

    name: str
    species: str
    kind: str
    keeps: int
    by_each: bool = False
    lean: float | None = None
    imps: str | None = None
    known_as: tuple[str, ...] = field(default=(), repr=False, compare=False)

    @property
    def in_tray(self) -> bool:
        """Whether it falls into a tray at the block: a by-product that nobody counts."""
        return self.kind in BY_PRODUCTS and not self.by_each

    @property
    def fat(self) -> float | None:
        """Fat share: what is not lean. Fat without a lean share is all fat."""
        if self.lean is None:
            return 1.0 if self.kind == "fat" else None
        return 1.0 - self.lean


@dataclass(frozen=True, slots=True)
class Given:
    """A piece or a cut that a way gives: `count` of them, each `share` of the parent.

    A cut sold by weight has count 1.
    """

    name: str
    count: int
    share: float


@dataclass(frozen=True, slots=True)
class Way:
    """One way to cut one piece.

    `pieces` and `cuts` are what it gives; `loss` is the share of weight that is lost.
    `minutes` is bench time for one piece.
    """

    name: str
    minutes: float
    tool: str
    pieces: tuple[Given, ...]
    cuts: tuple[Given, ...]
    loss: float


@dataclass(frozen=True, slots=True)
class Piece:
    """Something whole that hangs or lies in the cooler, counted in whole numbers.

    `weighs` is what one usually weighs, in pounds, at least and at most; None where nobody said.
    `known_as` is what else the trade calls it, as of a cut.
    """

    name: str
    species: str
    keeps: int
    ways: Mapping[str, Way]
    imps: str | None = None
    weighs: tuple[float, float] | None = None
    known_as: tuple[str, ...] = field(default=(), repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Limit:
    """Least and most share of the weight that goes into a blend: of a species, or of one cut.

    `takes` are the cuts counted; `name` is what the limit is called.
    """

    name: str
    takes: tuple[str, ...]
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Blend:
    """A product made from trim, fat or bones: ground, stuffed, rendered, or packed.

    Attributes
    ----------
    cut : Cut
        What it makes.
    takes : tuple of str
        Names of the cuts it may be made from.
    fat : tuple of float
        Least and most fat share of the weight in; 0 and 1 where nobody said.
    added : float
        Seasoning and water, as a share of the weight in.
    minutes : float
        Bench minutes for a pound made.
    limits : tuple of Limit
        Shares of the weight in.
    batch : float
        Pounds of one batch, of which only whole ones are made; 0 where any amount will do.
    loss : float
        Share of the weight that is lost in the making, seasoning and water counted.
    standard : str
        The standardized product of `planner.core.standards` that it is; else empty.
    """

    cut: Cut
    takes: tuple[str, ...]
    fat: tuple[float, float]
    added: float
    minutes: float
    limits: tuple[Limit, ...] = ()
    batch: float = 0.0
    loss: float = 0.0
    standard: str = ""

    @property
    def gain(self) -> float:
        """Weight made for each pound that goes in."""
        return (1 + self.added) * (1 - self.loss)


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a species comes apart, from what a shop buys down to cuts and blends.

    `roots` are what it is bought as; more than one where quarters have recipes of their own.
    `known_as` is what else the trade calls the species.
    """

    species: str
    roots: tuple[str, ...]
    pieces: Mapping[str, Piece]
    cuts: Mapping[str, Cut]
    blends: Mapping[str, Blend]
    known_as: tuple[str, ...] = field(default=(), repr=False, compare=False)

    def calls(self, word: str, piece: str) -> bool:
        """Whether a counting word is the name of a piece, which may have its species in front."""
        return is_called(word, piece.removeprefix(f"{self.species} "))

    def ways(self) -> Iterator[tuple[Piece, Way]]:
        """Every piece with every way to cut it, in the order of the recipe."""
        for piece in self.pieces.values():
            for way in piece.ways.values():
                yield piece, way


def full_name(species: str, name: str) -> str:
    """A name with its species in front, which is understood whatever recipes are used beside it."""
    return name if species == MIXED or name.startswith(f"{species} ") else f"{species} {name}"


def is_called(word: str, noun: str) -> bool:
    """Whether a word is a noun, in the singular or plural."""
    return word.lower() in (noun, f"{noun}s", f"{noun}es")


def cuts_of(recipes: Iterable[Recipe]) -> dict[str, Cut]:
    """The cuts of several recipes, by name."""
    return {name: cut for recipe in recipes for name, cut in recipe.cuts.items()}


def blends_of(recipes: Iterable[Recipe]) -> dict[str, Blend]:
    """The blends of several recipes, by name."""
    return {name: blend for recipe in recipes for name, blend in recipe.blends.items()}


def trade_names(
    recipes: Iterable[Recipe], blends: Mapping[str, Blend] | None = None
) -> dict[str, tuple[str, ...]]:
    """What else the trade calls species, pieces, cuts and blends, by their names.

    `blends` are in no recipe.
    """
    found = {name: blend.cut.known_as for name, blend in (blends or {}).items()}
    for recipe in recipes:
        found |= {name: piece.known_as for name, piece in recipe.pieces.items()}
        found |= {name: cut.known_as for name, cut in recipe.cuts.items()}
        found |= {name: blend.cut.known_as for name, blend in recipe.blends.items()}
        found[recipe.species] = recipe.known_as
    return {name: known_as for name, known_as in found.items() if known_as}


def recipe_with(recipes: Iterable[Recipe], piece: str) -> Recipe:
    """The recipe that a piece belongs to."""
    return next(recipe for recipe in recipes if piece in recipe.pieces)


def way_of(recipes: Iterable[Recipe], piece: str, name: str) -> Way:
    """A way to cut a piece."""
    return recipe_with(recipes, piece).pieces[piece].ways[name]


def piece_shares(recipe: Recipe, start: str) -> dict[str, float]:
    """Weight of one of each piece under `start`, as a share of the weight of `start`.

    Pieces come in an order in which a piece stands before what it gives.
    """
    shares = {start: 1.0}
    for name in _parents_first(recipe, start):
        for way in recipe.pieces[name].ways.values():
            for given in way.pieces:
                shares.setdefault(given.name, shares[name] * given.share)
    return {name: shares[name] for name in _parents_first(recipe, start)}


def _parents_first(recipe: Recipe, start: str) -> list[str]:
    """Pieces reachable from `start`, parents before children (the reverse of a depth-first end)."""
    done: dict[str, None] = {}
    stack: list[tuple[str, bool]] = [(start, False)]
    while stack:
        name, ended = stack.pop()
        if ended:
            done.setdefault(name)
        elif name not in done:
            stack.append((name, True))
            ways = recipe.pieces[name].ways.values()
            stack.extend((given.name, False) for way in ways for given in way.pieces)
    return list(done)[::-1]
