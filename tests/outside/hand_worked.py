"""Small fixed shops whose best plan is derived by hand, with that plan as the JSON of the week."""

from __future__ import annotations

from pathlib import Path
from typing import Any

# One day, one carcass of 40 lb. Breaking takes 10 minutes and gives two shoulders of 10 lb, 12 lb
# trim (20% fat), 4 lb fat, 3.2 lb bones. With k shoulders to roast (5 minutes, 8 lb of roast each)
# and j to grind (2 minutes, 9 lb trim and 1 lb fat each), and 0.5 minutes a pound of blend on a
# bench of 20 minutes and 5 of overtime at 1 a minute:
#   k=1 j=1: 17 minutes, 8 left for 16 lb ground: 8 x 10 + 16 x 6 - 5 = 171   <- best
#   k=1 j=0: ground is 12 trim + 0.8 fat at 25%: 21.4 minutes: 80 + 76.8 - 1.4 = 155.4
#   k=2 j=0: 20 minutes, 10 lb ground; roast sells 8 lb only: 80 + 60 - 5 = 135
#   k=0: at most 20 lb ground: less than 120
BLOCK_RECIPE = """
species: lamb
unit: lb
root: carcass
pieces:
  carcass:
    keeps: 2 days
    ways:
      break:
        minutes: 10
        gives: {shoulder: 2 at 25%, trim 80: 30%, fat: 10%, bones: 8%, loss: 2%}
  shoulder:
    keeps: 2 days
    ways:
      roast: {minutes: 5, gives: {roast: 80%, bones: 20%}}
      grind: {minutes: 2, gives: {trim 80: 90%, fat: 10%}}
cuts:
  roast: {kind: roast, keeps: 3 days}
  trim 80: {kind: trim, lean: 80%, keeps: 2 days}
  fat: {kind: fat, keeps: 1 day}
  bones: {kind: bone, keeps: 1 day}
blends:
  ground lamb: {from: [trim 80, fat], fat: 20% to 25%, minutes: 0.5 per lb, keeps: 1 day}
"""
BLOCK = """
title: An invented block
starts: 2026-11-30
days: 1
recipes: [recipe.yaml]
rail:
  - {lamb: 1 head at 40 lb}
bench: {mon: 20}
overtime: {up to: 5, cost: 1}
carry: 0%
demand:
  roast: {price: 10/lb, want: {mon: 8 lb}}
  ground lamb: {price: 6/lb, want: 20 lb}
"""
BLOCK_PLAN: dict[str, Any] = {
    "format": "breakplan/1",
    "title": "An invented block",
    "unit": "lb",
    "money": "$",
    "days": ["mon"],
    "score": 171.0,
    "revenue": 176.0,
    "spend": {"overtime": 5.0, "buying": 0.0, "disposal": 0.0},
    "carry": 0.0,
    "bound": 171.1,
    "within": 0.1,
    "status": "proven",
    "seconds": 0.1,
    "breaks": [
        {"day": "mon", "lot": 0, "species": "lamb", "piece": piece, "way": way, "count": 1}
        | {"weight": weight, "minutes": minutes}
        for piece, way, weight, minutes in (
            ("carcass", "break", 40.0, 10.0),
            ("shoulder", "roast", 10.0, 5.0),
            ("shoulder", "grind", 10.0, 2.0),
        )
    ],
    "cuts": [
        {"cut": cut, "species": "lamb", "sold by": "lb", "on hand": 0.0, "made": made}
        | {"sold": sold, "revenue": revenue, "blended": blended, "wasted": wasted, "left": left}
        for cut, made, sold, revenue, blended, wasted, left in (
            ("roast", 8.0, 8.0, 80.0, 0.0, 0.0, 0.0),
            ("trim 80", 21.0, 0.0, 0.0, 16.0, 0.0, 5.0),
            ("fat", 5.0, 0.0, 0.0, 0.0, 5.0, 0.0),
            ("bones", 5.2, 0.0, 0.0, 0.0, 5.2, 0.0),
            ("ground lamb", 16.0, 16.0, 96.0, 0.0, 0.0, 0.0),
        )
    ],
    "sales": [
        {"day": "mon", "cut": "roast", "amount": 8.0, "price": 10.0, "to": "walk-in"},
        {"day": "mon", "cut": "ground lamb", "amount": 16.0, "price": 6.0, "to": "walk-in"},
    ],
    "blends": [
        {"day": "mon", "blend": "ground lamb", "made": 16.0, "fat": 0.2, "from": {"trim 80": 16.0}}
    ],
    "short": [],
    "whole": [],
    "bought": [],
    "bench": [{"day": "mon", "minutes": 25.0, "available": 20.0, "overtime": 5.0}],
}

# Two days. A side of 20 lb must be cut on Monday (keeps 1 day): to stew it gives 16 lb, of which 12
# sell at 8; 4 lb stew and 4 lb bones go out at 0.5: 96 - 4 = 92 (to a rack: 80 - 1.5 = 78.5).
# The inn wants two racks on Tuesday at 30; racks keep one day, so both come off sides bought on
# Tuesday at 2/lb: 60 + 6 lb stew x 8 - 80 - 0.5 x (14 stew + 6 bones) = 18. The second side does
# not pay, but orders come first. Score 110, 16 minutes.
# With `at most 1 side: rack` one rack stays short: one side racked on Tuesday gives 30 + 48 - 40
# - 0.5 x (4 + 3) = 34.5; a side bought and left whole is worth 50% of its 16 lb of stew,
# 64 - 40 = 24. Score 92 + 34.5 + 24 = 150.5, 10 minutes.
SIDES_RECIPE = """
species: goat
root: side
pieces:
  side:
    keeps: 2 days
    ways:
      rack: {minutes: 6, gives: {rack: 1 at 30%, stew: 50%, bones: 15%, loss: 5%}}
      stew: {minutes: 4, gives: {stew: 80%, bones: 20%}}
cuts:
  rack: {kind: roast, sold by: each, keeps: 1 day}
  stew: {kind: stew, keeps: 1 day}
  bones: {kind: bone, keeps: 1 day}
"""
SIDES = """
title: Invented sides
starts: 2026-11-30
days: 2
recipes: [recipe.yaml]
rail:
  - {side: 1 at 20 lb, arrives: mon, keeps: 1 day}
  - {goat: up to 2 sides at 20 lb, arrives: 2026-12-01, cost: 2/lb}
demand:
  rack: {price: 40/each, orders: [{day: tue, amount: 2, price: 30, for: the inn}]}
  stew: {price: 8, want: {mon: 12 lb, 2026-12-01: 6}}
carry: 50%
disposal: 0.50/lb
"""
SIDES_PLAN: dict[str, Any] = {
    "format": "breakplan/1",
    "title": "Invented sides",
    "unit": "lb",
    "money": "$",
    "days": ["mon", "tue"],
    "score": 110.0,
    "revenue": 204.0,
    "spend": {"overtime": 0.0, "buying": 80.0, "disposal": 14.0},
    "carry": 0.0,
    "bound": 110.0,
    "within": 0.0,
    "status": "proven",
    "seconds": 0.1,
    "breaks": [
        {"day": "mon", "lot": 0, "species": "goat", "piece": "side", "way": "stew", "count": 1}
        | {"weight": 20.0, "minutes": 4.0},
        {"day": "tue", "lot": 1, "species": "goat", "piece": "side", "way": "rack", "count": 2}
        | {"weight": 40.0, "minutes": 12.0},
    ],
    "cuts": [
        {"cut": cut, "species": "goat", "sold by": by, "on hand": 0.0, "made": made}
        | {"sold": sold, "revenue": revenue, "blended": 0.0, "wasted": made - sold, "left": 0.0}
        for cut, by, made, sold, revenue in (
            ("rack", "each", 2.0, 2.0, 60.0),
            ("stew", "lb", 36.0, 18.0, 144.0),
            ("bones", "lb", 10.0, 0.0, 0.0),
        )
    ],
    "sales": [
        {"day": "mon", "cut": "stew", "amount": 12.0, "price": 8.0, "to": "walk-in"},
        {"day": "tue", "cut": "stew", "amount": 6.0, "price": 8.0, "to": "walk-in"},
        {"day": "tue", "cut": "rack", "amount": 2, "price": 30.0, "to": "the inn"},
    ],
    "blends": [],
    "short": [],
    "whole": [],
    "bought": [{"lot": 1, "head": 2, "weight": 40.0, "cost": 80.0}],
    "bench": [
        {"day": "mon", "minutes": 4.0, "available": None, "overtime": 0.0},
        {"day": "tue", "minutes": 12.0, "available": None, "overtime": 0.0},
    ],
}


def write(folder: Path, recipe: str, scenario: str) -> Path:
    (folder / "recipe.yaml").write_text(recipe, encoding="utf-8")
    (folder / "shop.yaml").write_text(scenario, encoding="utf-8")
    return folder / "shop.yaml"
