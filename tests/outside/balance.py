"""Where the weight of each species went, from the rows of a plan."""

from __future__ import annotations

import math
from collections import defaultdict
from typing import Any

from .shop import Shop


def balance_faults(shop: Shop, plan: dict[str, Any]) -> list[str]:
    """Sentences on each species of which more or less went than came."""
    found = []
    for what, came, went in (
        ("that arrived", arrived(shop, plan), accounted(shop, plan)),
        ("that was blended", blended(shop, plan), into_blends(shop, plan)),
        ("that blends made", out_of_blends(shop, plan), made_of_blends(shop, plan)),
    ):
        for species in sorted(set(came) | set(went)):
            if not math.isclose(came[species], went[species], rel_tol=1e-6, abs_tol=1e-4):
                found.append(
                    f"of the {species} {what}, {came[species]:.6f} lb, "
                    f"{went[species]:.6f} are accounted for"
                )
    return found


def arrived(shop: Shop, plan: dict[str, Any]) -> dict[str, float]:
    """Head on the rail and head bought."""
    heads = {row["lot"]: row["head"] for row in plan["bought"]}
    total: dict[str, float] = defaultdict(float)
    for index, lot in enumerate(shop.lots):
        count = heads.get(index, 0) if lot.up_to else lot.count
        total[shop.pieces[lot.piece].species] += count * lot.weight
    return total


def accounted(shop: Shop, plan: dict[str, Any]) -> dict[str, float]:
    """Cuts that are no blends, what was lost in cutting, and pieces left or wasted whole."""
    total: dict[str, float] = defaultdict(float)
    for row in plan["cuts"]:
        thing = shop.cuts[row["cut"]]
        if not thing.each and thing.blend is None:
            total[thing.species] += row["made"] * shop.pound
    for row in plan["breaks"]:
        way = shop.pieces[row["piece"]].ways[row["way"]]
        each = [n * share for cut, (n, share) in way.cuts.items() if shop.cuts[cut].each]
        gone = way.loss + sum(each)
        total[shop.pieces[row["piece"]].species] += gone * row["weight"] * shop.pound
    for row in plan["whole"]:
        total[shop.pieces[row["piece"]].species] += row["weight"] * shop.pound
    return total


def blended(shop: Shop, plan: dict[str, Any]) -> dict[str, float]:
    total: dict[str, float] = defaultdict(float)
    for row in plan["cuts"]:
        total[shop.cuts[row["cut"]].species] += row["blended"] * shop.pound
    return total


def into_blends(shop: Shop, plan: dict[str, Any]) -> dict[str, float]:
    total: dict[str, float] = defaultdict(float)
    for row in plan["blends"]:
        for trim, amount in row["from"].items():
            total[shop.cuts[trim].species] += amount * shop.pound
    return total


def out_of_blends(shop: Shop, plan: dict[str, Any]) -> dict[str, float]:
    total: dict[str, float] = defaultdict(float)
    for row in plan["cuts"]:
        thing = shop.cuts[row["cut"]]
        if thing.blend is not None:
            total[thing.species] += row["made"] * shop.pound
    return total


def made_of_blends(shop: Shop, plan: dict[str, Any]) -> dict[str, float]:
    total: dict[str, float] = defaultdict(float)
    for row in plan["blends"]:
        thing = shop.cuts[row["blend"]]
        weight = sum(row["from"].values()) * thing.blend.out
        total[thing.species] += weight * shop.pound
    return total
