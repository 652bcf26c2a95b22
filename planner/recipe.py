"""A recipe: how a species comes apart. Frozen objects, and the shares that follow from them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

KINDS = ("roast", "chop", "steak", "braise", "stew", "trim", "fat", "bone", "offal", "ground")
"""Kinds of cuts; `ground` is for what a blend makes."""


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
    """

    name: str
    species: str
    kind: str
    keeps: int
    by_each: bool = False
    lean: float | None = None
    imps: str | None = None

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

    `pieces` and `cuts` are what it gives; `loss` is the share of weight that is gone.
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
    """Something whole that hangs or lies in the cooler, counted in whole numbers."""

    name: str
    species: str
    keeps: int
    ways: Mapping[str, Way]
    imps: str | None = None


@dataclass(frozen=True, slots=True)
class Blend:
    """A ground product made from trim and fat.

    Attributes
    ----------
    cut : Cut
        What it makes.
    takes : tuple of str
        Names of the cuts it may be made from.
    fat : tuple of float
        Least and most fat share of the weight in.
    added : float
        Seasoning and water, as a share of the weight in.
    minutes : float
        Bench minutes for a pound made.
    """

    cut: Cut
    takes: tuple[str, ...]
    fat: tuple[float, float]
    added: float
    minutes: float


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a species comes apart, from its `root` down to cuts and blends."""

    species: str
    root: str
    pieces: Mapping[str, Piece]
    cuts: Mapping[str, Cut]
    blends: Mapping[str, Blend]

    def ways(self) -> Iterator[tuple[Piece, Way]]:
        """Every piece with every way to cut it, in the order of the recipe."""
        for piece in self.pieces.values():
            for way in piece.ways.values():
                yield piece, way


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


def composed_yield(recipe: Recipe, start: str, choice: Mapping[str, str]) -> dict[str, float]:
    """Share of each cut, and of `loss`, when every piece is cut the way chosen for it.

    Parameters
    ----------
    recipe : Recipe
    start : str
        The piece to begin with.
    choice : mapping of str to str
        A way for each piece that comes up; a piece with one way needs none.

    Returns
    -------
    dict of str to float
        Shares of the weight of `start`; they add up to 1.
    """
    yields = {"loss": 0.0}
    waiting = [(start, 1.0)]
    while waiting:
        name, weight = waiting.pop()
        ways = recipe.pieces[name].ways
        way = ways[choice[name]] if name in choice else next(iter(ways.values()))
        if name not in choice and len(ways) > 1:
            raise KeyError(f"no way chosen for {name}")
        yields["loss"] += weight * way.loss
        for given in way.cuts:
            share = weight * given.count * given.share
            yields[given.name] = yields.get(given.name, 0.0) + share
        for given in way.pieces:
            waiting.extend([(given.name, weight * given.share)] * given.count)
    return yields


def names_apart(recipes: Sequence[Recipe]) -> tuple[Recipe, ...]:
    """Put the species in front of every name that two recipes share (`lamb bones`, `hog bones`)."""
    owners = _owners(recipes)
    return tuple(_renamed(recipe, owners) for recipe in recipes)


def merged_names(recipes: Sequence[Recipe]) -> list[str]:
    """Names that two things would have even apart: `lamb bones` beside a shared `bones`."""
    owners = _owners(recipes)
    full = [_full(each, name, owners) for each in recipes for name in _names(each)]
    return sorted(name for name, times in Counter(full).items() if times > 1)


def _names(recipe: Recipe) -> list[str]:
    return [*recipe.pieces, *recipe.cuts, *recipe.blends]


def _owners(recipes: Sequence[Recipe]) -> Mapping[str, int]:
    return Counter(name for recipe in recipes for name in _names(recipe))


def _full(recipe: Recipe, name: str, owners: Mapping[str, int]) -> str:
    return f"{recipe.species} {name}" if owners[name] > 1 else name


def _renamed(recipe: Recipe, owners: Mapping[str, int]) -> Recipe:
    def full(name: str) -> str:
        return _full(recipe, name, owners)

    def given(each: Given) -> Given:
        return replace(each, name=full(each.name))

    def way(each: Way) -> Way:
        pieces, cuts = map(given, each.pieces), map(given, each.cuts)
        return replace(each, pieces=tuple(pieces), cuts=tuple(cuts))

    def piece(each: Piece) -> Piece:
        ways = {name: way(one) for name, one in each.ways.items()}
        return replace(each, name=full(each.name), ways=ways)

    def cut(each: Cut) -> Cut:
        return replace(each, name=full(each.name))

    def blend(each: Blend) -> Blend:
        return replace(each, cut=cut(each.cut), takes=tuple(map(full, each.takes)))

    return replace(
        recipe,
        root=full(recipe.root),
        pieces={full(name): piece(each) for name, each in recipe.pieces.items()},
        cuts={full(name): cut(each) for name, each in recipe.cuts.items()},
        blends={full(name): blend(each) for name, each in recipe.blends.items()},
    )
