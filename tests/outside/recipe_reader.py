"""Pieces, cuts and blends out of recipes, files of blends and a scenario's own blends."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.optimize import linprog

from .amounts import POUNDS_PER, number, percent, weight
from .names import Names
from .shop import MIXED, Blend, Cut, Limit, Piece, Way

BLEND_KEYS = {
    *("from", "fat", "added", "water", "loss", "batch", "minutes", "keeps", "standard", "imps"),
    "known as",
}
# Fat of a standardized product may be no more than this: 9 CFR 319.15(a), 319.141, 319.142, 319.144
MOST_FAT = {
    "ground beef": 0.30,
    "fresh pork sausage": 0.50,
    "fresh beef sausage": 0.30,
    "whole hog sausage": 0.50,
}


def gives(text: str) -> tuple[int, float]:
    count, at, share = text.rpartition(" at ")
    return (int(number(count)) if at else 1), percent(share)


def within(text: str) -> tuple[float, float]:
    """Least and most of `22% to 28%`, `at least 20%`, `at most 30%`; `30%` alone is the most."""
    if text.startswith("at least"):
        return percent(text.removeprefix("at least")), 1.0
    low, to, high = text.removeprefix("at most").partition(" to ")
    return (percent(low), percent(high)) if to else (0.0, percent(low))


def read_recipe(recipe: dict[str, Any], names: Names) -> tuple[dict[str, Piece], dict[str, Cut]]:
    """Pieces and cuts of one recipe under the names the scenario uses."""
    species = recipe["species"]
    pieces: dict[str, Piece] = {}
    cuts: dict[str, Cut] = {}
    for piece, entry in recipe["pieces"].items():
        ways = {}
        for way, parts in entry["ways"].items():
            split = {thing: gives(text) for thing, text in parts["gives"].items()}
            ways[way] = Way(
                number(parts.get("minutes", "0")),
                {names.of(species, k): v for k, v in split.items() if k in recipe["pieces"]},
                {names.of(species, k): v for k, v in split.items() if k in recipe["cuts"]},
                split.get("loss", (1, 0.0))[1],
            )
        pieces[names.of(species, piece)] = Piece(species, int(number(entry["keeps"])), ways)
    for cut, entry in recipe["cuts"].items():
        fat = 1.0 if entry["kind"] == "fat" else None
        if "lean" in entry:
            fat = 1 - percent(entry["lean"])
        each = entry.get("sold by") == "each"
        cuts[names.of(species, cut)] = Cut(species, int(number(entry["keeps"])), each, fat)
    return pieces, cuts


def read_blend(
    entry: dict[str, Any], unit: str, cuts: dict[str, Cut], find: Callable[[str], str | None]
) -> Cut | None:
    """What a blend makes; None where its limits cannot be met with what is there of its `from`."""
    found = [find(name) for name in entry["from"]]
    trims = tuple(name for name in found if name in cuts)
    species = {name.partition(" ")[0] for name in entry["from"]} | {cuts[t].species for t in trims}
    limits = []
    for key in set(entry) - BLEND_KEYS:
        of_species = key in species and find(key) not in trims
        group = [t for t in trims if (cuts[t].species == key if of_species else t == find(key))]
        limits.append(Limit(tuple(group), *within(entry[key])))
    fat = None
    if "fat" in entry:
        fat = within(entry["fat"])
    elif "standard" in entry:
        fat = (0.0, MOST_FAT[entry["standard"]])
    figure, _, per = str(entry.get("minutes", "0")).partition(" per ")
    blend = Blend(
        trims,
        fat,
        tuple(limits),
        (1 + percent(entry.get("added", "0%"))) * (1 - percent(entry.get("loss", "0%"))),
        weight(entry["batch"], unit) if "batch" in entry else None,
        number(figure) / POUNDS_PER[per.strip() or unit],
    )
    if not mixable(blend, cuts):
        return None
    kinds = {cuts[trim].species for trim in trims}
    name = kinds.pop() if len(kinds) == 1 else MIXED
    return Cut(name, int(number(entry["keeps"])), False, None, blend)


def mixable(blend: Blend, cuts: dict[str, Cut]) -> bool:
    """Whether any mixture of what goes in keeps the blend's limits."""
    if not blend.trims:
        return False
    rows = []
    for limit in blend.limits:
        inside = np.array([float(trim in limit.group) for trim in blend.trims])
        rows += [limit.low - inside, inside - limit.high]
    if blend.fat is not None:
        fat = np.array([cuts[trim].fat for trim in blend.trims], dtype=float)
        rows += [blend.fat[0] - fat, fat - blend.fat[1]]
    width = len(blend.trims)
    # A share is written in hundredths of a percent at the least; 1e-9 is rounding.
    sides = np.full(len(rows), 1e-9)
    found = linprog(
        np.zeros(width),
        np.array(rows) if rows else None,
        sides if rows else None,
        np.ones((1, width)),
        [1.0],
        bounds=(0, 1),
    )
    return found.status == 0


def read_blends(
    files: list[dict[str, Any]], scenario: dict[str, Any], cuts: dict[str, Cut], names: Names
) -> dict[str, Cut]:
    """All blends under the scenario's names, without those that are left aside."""
    made: dict[str, Cut | None] = {}
    for file in files:
        species, unit = file.get("species"), file.get("unit", "lb")
        for word, entry in (file.get("blends") or {}).items():
            if species is None:
                made[word] = read_blend(entry, unit, cuts, names.find)
                continue

            def own(text: str, species: str = species, words: Any = file["cuts"]) -> str | None:
                return names.of(species, text) if text in words else names.find(text)

            made[names.of(species, word)] = read_blend(entry, unit, cuts, own)
    for word, entry in (scenario.get("blends") or {}).items():
        made[word] = read_blend(entry, scenario.get("unit", "lb"), cuts, names.find)
    return {name: thing for name, thing in made.items() if thing is not None}
