"""An invented shop folder for tests: shop.yaml and its recipe, and what a test changes there."""

from __future__ import annotations

import shutil
from pathlib import Path

from planner.files.find import shipped_folder

LITTLE_LAMB = """\
# An invented recipe, short enough to reckon by hand.
species: lamb
unit: lb
root: carcass
pieces:
  carcass:
    keeps: 7 days
    ways:
      block break:
        minutes: 16
        tool: saw
        gives:
          leg: 2 at 15%
          shoulder: 2 at 12%
          loin: 1 at 20%
          bones: 14%
          trim 80: 10%
          loss: 2%
  leg:
    keeps: 5 days
    ways:
      whole: {minutes: 3, tool: knife, gives: {whole leg: 97%, loss: 3%}}
      boneless:
        minutes: 12
        tool: knife
        gives: {boneless leg: 70%, trim 80: 8%, bones: 20%, loss: 2%}
  shoulder:
    keeps: 5 days
    ways:
      roast:
        minutes: 11
        tool: knife
        gives: {shoulder roast: 68%, trim 80: 10%, bones: 20%, loss: 2%}
      trim: {minutes: 8, tool: knife, gives: {trim 80: 75%, bones: 23%, loss: 2%}}
  loin:
    keeps: 5 days
    ways:
      chops: {minutes: 7, tool: saw, gives: {loin chops: 93%, bones: 5%, loss: 2%}}
      racks:
        minutes: 9
        tool: saw
        gives: {frenched rack: 2 at 30%, trim 80: 20%, bones: 18%, loss: 2%}
cuts:
  whole leg: {kind: roast, keeps: 5 days}
  boneless leg: {kind: roast, keeps: 4 days}
  shoulder roast: {kind: roast, keeps: 4 days}
  loin chops: {kind: chop, keeps: 3 days}
  frenched rack: {kind: roast, keeps: 4 days, sold by: each}
  trim 80: {kind: trim, lean: 80%, keeps: 2 days}
  bones: {kind: bone, keeps: 3 days}
blends:
  ground lamb: {from: [trim 80], fat: 15% to 25%, minutes: 0.3 per lb, keeps: 2 days}
"""

LITTLE_SHOP = """\
# Invented: this shop, its prices and its customers.
title: An invented little shop
days: [mon, tue, wed, thu, fri, sat]
recipes: [recipes/lamb.yaml]
unit: lb
money: $
bench: {mon: 120, tue: 120, wed: 120, thu: 120, fri: 120, sat: 90}
overtime: {up to: 30, cost: 0.75}
traffic: {mon: 8%, tue: 10%, wed: 12%, thu: 15%, fri: 25%, sat: 30%}
demand:
  whole leg: {price: 13.99/lb, want: {fri: 9 lb, sat: 18 lb}}
  boneless leg: {price: 20.99/lb, want: {wed: 4 lb, fri: 6 lb, sat: 6 lb}}
  shoulder roast: {price: 17.49/lb, want: 14 lb, markdown: {price: 13.99/lb, want: {sat: 4 lb}}}
  loin chops: {price: 23.99/lb, want: 20 lb}
  frenched rack: {price: 76/each, want: {sat: 2}}
  ground lamb: {price: 12.99/lb, want: 14 lb}
  bones: {price: 2.49/lb, want: 10 lb}
carry: 40%
disposal: 0.10/lb
"""


def shop_folder(
    tmp_path: Path,
    *changes: tuple[str, str],
    recipe: str = LITTLE_LAMB,
    more: str = "",
    shop: str = LITTLE_SHOP,
) -> Path:
    """A new folder `tmp_path/shop` with shop.yaml and recipes/lamb.yaml, and no journal yet.

    Parameters
    ----------
    tmp_path : Path
    changes : tuple of (str, str)
        Texts of shop.yaml and what they become; each must stand in it once.
    recipe : str
        Text of recipes/lamb.yaml; "shipped" takes the shipped lamb.
    more : str
        Lines put at the end of shop.yaml.
    shop : str
        Another shop.yaml to begin with.
    """
    folder = tmp_path / "shop"
    (folder / "recipes").mkdir(parents=True)
    lamb = folder / "recipes" / "lamb.yaml"
    if recipe == "shipped":
        shutil.copyfile(shipped_folder("recipes") / "lamb.yaml", lamb)
    else:
        lamb.write_text(recipe)
    text = shop + more
    for old, new in changes:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    (folder / "shop.yaml").write_text(text)
    return folder
