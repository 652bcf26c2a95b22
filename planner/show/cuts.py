"""What recipes have names for, with what else the trade calls it, as text and for machines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from planner.core.recipe import Blend, Cut, Given, Piece, Recipe, Way
from planner.files.listed import Listed
from planner.show.data import one, rows, shape
from planner.show.layout import WIDTH, section, wrapped

FORMAT = "breakplan-cuts/1"


def species_text(listed: Listed, width: int = WIDTH) -> str:
    """The species alone, with what they are known as."""
    lines = wrapped(f"Species of {listed.source}", width=width)
    for recipe in listed.recipes:
        lines += wrapped(f"{recipe.species}{_also(recipe.known_as)}", 2, width, 4)
    lines += ["", *wrapped(f"All its names: breakplan cuts {listed.recipes[0].species}", 0, width)]
    return "\n".join(lines)


def cuts_text(listed: Listed, width: int = WIDTH) -> str:
    """Pieces with their ways, cuts and blends of each species, then blends of no single recipe."""
    lines = wrapped(f"Names in {listed.source}", width=width)
    for recipe in listed.recipes:
        lines += ["", *wrapped(f"{recipe.species.upper()}{_also(recipe.known_as)}", 0, width, 4)]
        lines += ["", "  Pieces, and ways to cut them"]
        for piece in recipe.pieces.values():
            lines += _entry(piece, _parents(recipe, piece.name), width)
            for way in piece.ways.values():
                gives = ", ".join(
                    f"{each.count} x {each.name}" if each.count > 1 else each.name
                    for each in (*way.pieces, *way.cuts)
                )
                lines += wrapped(f"{way.name}: {gives}", 8, width, 4)
        lines += ["", "  Cuts"]
        for cut in recipe.cuts.values():
            lines += _entry(cut, _parents(recipe, cut.name), width)
        lines += _blends("Blends", recipe.blends.values(), width)
    lines += _blends("Blends of no single recipe", listed.blends.values(), width)
    return "\n".join(lines)


def _also(known_as: Sequence[str]) -> str:
    return f", known as {', '.join(known_as)}" if known_as else ""


def _entry(thing: Piece | Cut, sources: Sequence[str], width: int) -> list[str]:
    imps = f" (IMPS {thing.imps})" if thing.imps else ""
    origin = f"from {', '.join(sources)}" if sources else "bought whole"
    lines = wrapped(f"{thing.name}{imps}, {origin}", 4, width, 4)
    if thing.known_as:
        lines += wrapped(f"known as {', '.join(thing.known_as)}", 6, width, 4)
    return lines


def _blends(heading: str, blends: Iterable[Blend], width: int) -> list[str]:
    lines = [line for each in blends for line in _entry(each.cut, each.takes, width)]
    return ["", *section(f"  {heading}", lines)] if lines else []


def _giving(recipe: Recipe, name: str) -> Iterator[tuple[Piece, Way]]:
    """Pieces with the ways that give a piece or a cut."""
    for piece, way in recipe.ways():
        if any(given.name == name for given in (*way.pieces, *way.cuts)):
            yield piece, way


def _parents(recipe: Recipe, name: str) -> list[str]:
    return list(dict.fromkeys(piece.name for piece, _ in _giving(recipe, name)))


_SPECIES = shape("species, known_as, bought_as = roots")
_NAMES = shape("name, known_as, imps")
_SOURCE = shape("piece = 0.name, way = 1.name")
_BLEND = shape(
    "name = cut.name, known_as = cut.known_as, imps = cut.imps, species = cut.species,"
    "made_from = takes"
)


def species_data(listed: Listed) -> dict[str, Any]:
    """The species alone."""
    return {"format": FORMAT, "source": listed.source, "species": rows(_SPECIES, listed.recipes)}


def cuts_data(listed: Listed) -> dict[str, Any]:
    """All names; a share is one of the piece's weight, a count null for a weight."""
    return {
        "format": FORMAT,
        "source": listed.source,
        "species": [
            {
                **one(_SPECIES, recipe),
                "pieces": [_piece_data(recipe, each) for each in recipe.pieces.values()],
                "cuts": [_cut_data(recipe, each) for each in recipe.cuts.values()],
                "blends": rows(_BLEND, tuple(recipe.blends.values())),
            }
            for recipe in listed.recipes
        ],
        "blends": rows(_BLEND, tuple(listed.blends.values())),
    }


def _sources(recipe: Recipe, name: str) -> dict[str, Any]:
    return {"cut_from": rows(_SOURCE, tuple(_giving(recipe, name)))}


def _piece_data(recipe: Recipe, piece: Piece) -> dict[str, Any]:
    def given(each: Given) -> dict[str, Any]:
        cut = recipe.cuts.get(each.name)
        count = None if cut and not cut.by_each else each.count
        return {"name": each.name, "count": count, "share": each.share}

    ways = [
        {"way": way.name, "gives": [given(each) for each in (*way.pieces, *way.cuts)]}
        for way in piece.ways.values()
    ]
    return {**one(_NAMES, piece), **_sources(recipe, piece.name), "ways": ways}


def _cut_data(recipe: Recipe, cut: Cut) -> dict[str, Any]:
    sold = {"kind": cut.kind, "sold_by": "each" if cut.by_each else "weight"}
    return {**one(_NAMES, cut), **sold, **_sources(recipe, cut.name)}
