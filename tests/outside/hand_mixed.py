"""A small fixed shop of two species with blends of every kind, its best plan derived by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

# One day, a lamb and a side of hog of 20 lb each, boned out. Links take the lamb's trim (12 lb, 15%
# fat) and the hog's (10 lb, 30% fat): at least 20% fat asks for 1 lb of hog to 2 of lamb or more,
# at least 60% lamb for 2 to 3 or less. In batches of 5.5 lb, with a tenth of seasoning, each takes
# 5 lb. The rule allows 6 lb of the hog's trim, so with all 12 of the lamb 18 lb could go in: three
# batches, 16.5 lb out. Lard is three quarters of 4 lb of leaf fat. Bones for the pot are half hog
# at most: 5 of the lamb's with 5 of the hog's, of which 8 lb sell.
#   16.5 x 8 + 3 x 4 + 8 x 1 = 152, and 4 + 6 + 16.5 x 0.2 + 3 x 0.2 = 13.9 minutes
# Without the rule 12 + 8 lb go in, four batches: 22 x 8 + 20 = 196, 15 minutes.
# With the rule and no batches 12 + 6 lb: 19.8 x 8 + 20 = 178.4, 14.56 minutes.
LAMB = """
species: lamb
root: carcass
pieces:
  carcass:
    keeps: 2 days
    ways: {bone out: {minutes: 4, gives: {trim 85: 60%, fat: 10%, bones: 25%, loss: 5%}}}
cuts:
  trim 85: {kind: trim, lean: 85%, keeps: 2 days}
  fat: {kind: fat, keeps: 1 day}
  bones: {kind: bone, keeps: 1 day}
"""
HOG = """
species: hog
root: side
pieces:
  side:
    keeps: 2 days
    ways: {bone out: {minutes: 6, gives: {trim 70: 50%, leaf fat: 20%, bones: 30%}}}
cuts:
  trim 70: {kind: trim, lean: 70%, keeps: 2 days}
  leaf fat: {kind: fat, keeps: 1 day}
  bones: {kind: bone, keeps: 1 day}
blends:
  lard: {from: [leaf fat], loss: 25%, minutes: 0.2 per lb, keeps: 9 days}
"""
SHARED = """
takes from: [lamb, hog, beef]
blends:
  pot bones:
    from: [lamb bones, hog bones, beef bones]
    hog bones: at most 50%
    keeps: 1 day
  burgers: {from: [beef trim 90, lamb trim 85], fat: 12% to 14%, keeps: 1 day}
"""
MIXED = """
title: An invented mixed block
starts: 2026-11-30
days: 1
recipes: [lamb.yaml, hog.yaml, shared.yaml]
rail: [{lamb: 1 head at 20 lb}, {hog: 1 side at 20 lb}]
blends:
  links:
    from: [trim 85, hog trim 70]
    fat: 20% to 30%
    lamb: at least 60%
    added: 10%
    water: 3%
    batch: 5.5 lb
    minutes: 0.2 per lb
    keeps: 1 day
  patties: {from: [trim 85], keeps: 1 day}
demand:
  links: {price: 8, want: 30 lb}
  lard: {price: 4, want: 10 lb}
  pot bones: {price: 1, want: 8 lb}
rules:
  - at most 6 lb trim 70: links
"""
MIXED_PLAN: dict[str, Any] = {
    "format": "breakplan/1",
    "title": "An invented mixed block",
    "unit": "lb",
    "money": "$",
    "days": ["mon"],
    "score": 152.0,
    "revenue": 152.0,
    "spend": {"overtime": 0.0, "buying": 0.0, "disposal": 0.0},
    "carry": 0.0,
    "bound": 152.0,
    "within": 0.0,
    "status": "proven",
    "seconds": 0.1,
    "breaks": [
        {"day": "mon", "lot": lot, "species": species, "piece": piece, "way": "bone out"}
        | {"count": 1, "weight": 20.0, "minutes": minutes}
        for lot, species, piece, minutes in ((0, "lamb", "carcass", 4.0), (1, "hog", "side", 6.0))
    ],
    "cuts": [
        {"cut": cut, "species": species, "sold by": "lb", "on hand": 0.0, "made": made}
        | {"sold": sold, "revenue": revenue, "blended": blended, "wasted": wasted, "left": left}
        for cut, species, made, sold, revenue, blended, wasted, left in (
            ("trim 85", "lamb", 12.0, 0.0, 0.0, 9.0, 0.0, 3.0),
            ("fat", "lamb", 2.0, 0.0, 0.0, 0.0, 2.0, 0.0),
            ("lamb bones", "lamb", 5.0, 0.0, 0.0, 4.0, 1.0, 0.0),
            ("trim 70", "hog", 10.0, 0.0, 0.0, 6.0, 0.0, 4.0),
            ("leaf fat", "hog", 4.0, 0.0, 0.0, 4.0, 0.0, 0.0),
            ("hog bones", "hog", 6.0, 0.0, 0.0, 4.0, 2.0, 0.0),
            ("lard", "hog", 3.0, 3.0, 12.0, 0.0, 0.0, 0.0),
            ("links", "mixed", 16.5, 16.5, 132.0, 0.0, 0.0, 0.0),
            ("pot bones", "mixed", 8.0, 8.0, 8.0, 0.0, 0.0, 0.0),
        )
    ],
    "sales": [
        {"day": "mon", "cut": cut, "amount": amount, "price": price, "to": "walk-in"}
        for cut, amount, price in (
            ("links", 16.5, 8.0),
            ("lard", 3.0, 4.0),
            ("pot bones", 8.0, 1.0),
        )
    ],
    "blends": [
        {"day": "mon", "blend": "links", "made": 16.5, "fat": 0.21, "batches": 3}
        | {"from": {"trim 85": 9.0, "trim 70": 6.0}},
        {"day": "mon", "blend": "lard", "made": 3.0, "fat": 1.0, "from": {"leaf fat": 4.0}},
        {"day": "mon", "blend": "pot bones", "made": 8.0, "fat": None}
        | {"from": {"lamb bones": 4.0, "hog bones": 4.0}},
    ],
    "short": [],
    "whole": [],
    "bought": [],
    "bench": [{"day": "mon", "minutes": 13.9, "available": None, "overtime": 0.0}],
}


LOOSE = """
starts: 2026-11-30
days: 1
recipes: [lamb.yaml, hog.yaml, shared.yaml]
rail: [{lamb: 1 head at 20 lb}]
"""


def write_mixed(folder: Path, scenario: str = MIXED, shared: str = SHARED) -> Path:
    files = {"lamb.yaml": LAMB, "hog.yaml": HOG, "shared.yaml": shared, "shop.yaml": scenario}
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder / "shop.yaml"
