"""What recipes have names for, with what else the trade calls it, as text and for machines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from planner.core.recipe import Blend, Cut, Given, Piece, Recipe, Way
from planner.files.listed import Listed
from planner.show.data import json_text
from planner.show.layout import WIDTH, wrapped

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
                gives = ", ".join(map(_given, (*way.pieces, *way.cuts)))
                lines += wrapped(f"{way.name}: {gives}", 8, width, 4)
        lines += ["", "  Cuts"]
        for cut in recipe.cuts.values():
            lines += _entry(cut, _parents(recipe, cut.name), width)
        lines += _blends("Blends", recipe.blends.values(), width)
    lines += _blends("Blends of no single recipe", listed.blends.values(), width)
    return "\n".join(lines)


def species_json(listed: Listed) -> str:
    """The species alone as JSON text."""
    species = [_head(recipe) for recipe in listed.recipes]
    return json_text({"format": FORMAT, "source": listed.source, "species": species})


def cuts_json(listed: Listed) -> str:
    """All names as JSON text; a share is one of the piece's weight, a count null for a weight."""
    data = {
        "format": FORMAT,
        "source": listed.source,
        "species": [
            _head(recipe)
            | {
                "pieces": [_piece_data(recipe, each) for each in recipe.pieces.values()],
                "cuts": [_cut_data(recipe, each) for each in recipe.cuts.values()],
                "blends": [_blend_data(each) for each in recipe.blends.values()],
            }
            for recipe in listed.recipes
        ],
        "blends": [_blend_data(each) for each in listed.blends.values()],
    }
    return json_text(data)


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
    return ["", f"  {heading}", *lines] if lines else []


def _given(given: Given) -> str:
    return f"{given.count} x {given.name}" if given.count > 1 else given.name


def _giving(recipe: Recipe, name: str) -> Iterator[tuple[Piece, Way]]:
    """Pieces with the ways that give a piece or a cut."""
    for piece, way in recipe.ways():
        if any(given.name == name for given in (*way.pieces, *way.cuts)):
            yield piece, way


def _parents(recipe: Recipe, name: str) -> list[str]:
    return list(dict.fromkeys(piece.name for piece, _ in _giving(recipe, name)))


def _head(recipe: Recipe) -> dict[str, Any]:
    return {"species": recipe.species, "known_as": recipe.known_as, "bought_as": recipe.roots}


def _names(thing: Piece | Cut) -> dict[str, Any]:
    return {"name": thing.name, "known_as": thing.known_as, "imps": thing.imps}


def _sources(recipe: Recipe, name: str) -> dict[str, Any]:
    giving = _giving(recipe, name)
    return {"cut_from": [{"piece": piece.name, "way": way.name} for piece, way in giving]}


def _piece_data(recipe: Recipe, piece: Piece) -> dict[str, Any]:
    ways = [
        {
            "way": way.name,
            "gives": [
                {"name": each.name, "count": _count(recipe, each), "share": each.share}
                for each in (*way.pieces, *way.cuts)
            ],
        }
        for way in piece.ways.values()
    ]
    return {**_names(piece), **_sources(recipe, piece.name), "ways": ways}


def _count(recipe: Recipe, given: Given) -> int | None:
    cut = recipe.cuts.get(given.name)
    return None if cut and not cut.by_each else given.count


def _cut_data(recipe: Recipe, cut: Cut) -> dict[str, Any]:
    sold_by = "each" if cut.by_each else "weight"
    head = {**_names(cut), "kind": cut.kind, "sold_by": sold_by}
    return {**head, **_sources(recipe, cut.name)}


def _blend_data(blend: Blend) -> dict[str, Any]:
    return {**_names(blend.cut), "species": blend.cut.species, "made_from": blend.takes}
