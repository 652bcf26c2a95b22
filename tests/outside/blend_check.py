"""One row of a plan's blends against what the blend allows."""

from __future__ import annotations

import math
from typing import Any

from .shop import Shop

NOTHING = 1e-5  # weights below it say nothing about shares


def blend_faults(shop: Shop, row: dict[str, Any]) -> list[str]:
    """Sentences on weight out, whole batches, fat and shares of one row."""
    found = []
    blend = shop.cuts[row["blend"]].blend
    assert blend is not None  # the form has been seen to
    what = f"{row['blend']} of {row['day']}"
    taken = row["from"]
    for trim, amount in taken.items():
        if amount < -1e-6:
            found.append(f"{what} takes a negative amount of {trim}")
    total = sum(taken.values())
    made = total * blend.out
    if not math.isclose(row["made"], made, rel_tol=1e-6, abs_tol=1e-5):
        found.append(f"made of {what} is {row['made']:.6f} and should be {made:.6f}")
    if blend.batch is not None:
        batches = row["batches"] * blend.batch / shop.pound
        if not math.isclose(row["made"], batches, rel_tol=1e-6, abs_tol=1e-5):
            found.append(
                f"{what} makes {row['made']:.6f}, {row['batches']} batches are {batches:.6f}"
            )
    if total <= NOTHING:
        return found
    slack = 1e-6 + 1e-6 / total
    for limit in blend.limits:
        share = sum(taken.get(trim, 0.0) for trim in limit.group) / total
        if not limit.low - slack <= share <= limit.high + slack:
            group = ", ".join(limit.group) or "what is not there"
            found.append(f"{group} in {what} is {share:.6f}, outside its limits")
    return found + fat_faults(shop, row, what, slack)


def fat_faults(shop: Shop, row: dict[str, Any], what: str, slack: float) -> list[str]:
    """The fat that is stated, and whether it is allowed; null where it is not known."""
    fats = {trim: shop.cuts[trim].fat for trim in row["from"]}
    unknown = [trim for trim, fat in fats.items() if fat is None]
    if unknown:
        if row["fat"] is not None and any(row["from"][trim] > NOTHING for trim in unknown):
            return [f"fat of {what} is {row['fat']} and nobody knows the fat of {unknown[0]}"]
        return []
    total = sum(row["from"].values())
    fat = sum(weight * fats[trim] for trim, weight in row["from"].items()) / total
    found = []
    if row["fat"] is None or abs(row["fat"] - fat) > slack:
        found.append(f"fat of {what} is {row['fat']} and should be {fat:.6f}")
    limits = shop.cuts[row["blend"]].blend.fat
    if limits is not None and not limits[0] - slack <= fat <= limits[1] + slack:
        found.append(f"fat of {what} is {fat:.6f}, outside its limits")
    return found
