"""Several recipes used together: of one species they become one, shared names are told apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from planner.core.recipe import Blend, Cut, Given, Limit, Piece, Recipe, Way


def joined(one: Recipe, other: Recipe) -> Recipe:
    """Two recipes of one species, such as those of two quarters, as one.

    Raises
    ------
    ValueError
        A piece is in both, or something else that both have is not the same in both: a message
        for each.
    """
    clashes = list(_clashes(one, other))
    if clashes:
        raise ValueError(*clashes)
    cuts = {
        name: replace(cut, known_as=_either(one.cuts[name], cut))
        for name, cut in other.cuts.items()
        if name in one.cuts
    }
    blends = {
        name: replace(each, cut=replace(each.cut, known_as=_either(one.blends[name].cut, each.cut)))
        for name, each in other.blends.items()
        if name in one.blends
    }
    return Recipe(
        species=one.species,
        roots=(*one.roots, *other.roots),
        pieces={**one.pieces, **other.pieces},
        cuts={**one.cuts, **other.cuts, **cuts},
        blends={**one.blends, **other.blends, **blends},
        known_as=_either(one, other),
    )


def _either(one: Recipe | Cut, other: Recipe | Cut) -> tuple[str, ...]:
    """What either of two that are the same is known as."""
    return tuple(dict.fromkeys((*one.known_as, *other.known_as)))


def _clashes(one: Recipe, other: Recipe) -> Iterator[str]:
    """What keeps two recipes of a species from being used together."""
    for name in _names(other):
        mine = one.cuts.get(name) or one.blends.get(name)
        if name in one.pieces or (name in other.pieces and mine):
            yield f'the name "{name}" is in another recipe for {one.species} too'
        elif mine and mine != (other.cuts.get(name) or other.blends.get(name)):
            yield (
                f'"{name}" is not the same as in another recipe for {one.species}; '
                "write it the same way in both, or under another name"
            )


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

    def limit(each: Limit) -> Limit:
        name = each.name if each.name == recipe.species else full(each.name)
        return replace(each, name=name, takes=tuple(map(full, each.takes)))

    def blend(each: Blend) -> Blend:
        takes, limits = map(full, each.takes), map(limit, each.limits)
        return replace(each, cut=cut(each.cut), takes=tuple(takes), limits=tuple(limits))

    return replace(
        recipe,
        roots=tuple(map(full, recipe.roots)),
        pieces={full(name): piece(each) for name, each in recipe.pieces.items()},
        cuts={full(name): cut(each) for name, each in recipe.cuts.items()},
        blends={full(name): blend(each) for name, each in recipe.blends.items()},
    )
