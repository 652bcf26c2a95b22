"""An invented small shop for the tests of the journal, and entries in a few words."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from planner.core.scenario import Scenario
from planner.core.units import Quantity
from planner.journal.entries import BreakDone, Count, Delivery, Entry, Recorded, Sold
from tests.planning import read

MON, TUE, WED, THU, FRI = (date(2026, 11, 30) + timedelta(days=n) for n in range(5))

# Invented recipes, with shares that are easy to reckon with.
LAMB = """
species: lamb
unit: lb
root: carcass
pieces:
  carcass:
    keeps: 5 days
    ways:
      block break: {minutes: 10, gives: {shoulder: 2 at 20%, leg: 2 at 25%, bones: 8%, loss: 2%}}
  shoulder:
    keeps: 3 days
    ways:
      boned: {minutes: 5, gives: {roast: 70%, trim: 20%, bones: 8%, loss: 2%}}
      stewed: {minutes: 4, gives: {stew: 80%, bones: 20%}}
  leg:
    keeps: 4 days
    ways:
      whole: {minutes: 1, gives: {leg roast: 1 at 100%}}
cuts:
  roast: {kind: roast, keeps: 3 days}
  stew: {kind: stew, keeps: 2 days}
  leg roast: {kind: roast, sold by: each, keeps: 4 days}
  trim: {kind: trim, lean: 80%, keeps: 2 days}
  bones: {kind: bone, keeps: 3 days}
blends:
  ground: {from: [trim, stew], added: 10%, minutes: 1 per lb, keeps: 1 day}
"""
HOG = """
species: hog
unit: lb
root: side
pieces:
  side: {keeps: 5 days, ways: {cut: {minutes: 9, gives: {shoulder: 1 at 50%, bones: 50%}}}}
  shoulder: {keeps: 2 days, ways: {boned: {minutes: 9, gives: {trim: 50%, bones: 50%}}}}
cuts:
  trim: {kind: trim, lean: 70%, keeps: 3 days}
  bones: {kind: bone, keeps: 1 day}
"""
WEEK = """
title: An invented shop
starts: 2026-11-30
days: 7
unit: lb
recipes: [lamb.yaml]
rail: []
"""


def shop_of(folder: Path, *, hogs: bool = False, unit: str = "lb", more: str = "") -> Scenario:
    """The week of a shop of lambs, and of hogs; `more` stands in its file besides."""
    (folder / "lamb.yaml").write_text(LAMB)
    (folder / "hog.yaml").write_text(HOG)
    text = WEEK.replace("unit: lb", f"unit: {unit}")
    recipes = "[lamb.yaml, hog.yaml]" if hogs else "[lamb.yaml]"
    text = text.replace("[lamb.yaml]", recipes).replace(
        "rail: []\n", "" if "rail:" in more else "rail: []\n"
    )
    (folder / "shop.yaml").write_text(text + more)
    return read(folder / "shop.yaml")


def recorded(*writings: Entry | Iterable[Entry]) -> list[Recorded]:
    """Entries as they stand in the journal; what is given as a list is one writing."""
    found: list[Recorded] = []
    for writing, entries in enumerate(writings, 1):
        for entry in entries if isinstance(entries, list) else [entries]:
            found.append(
                Recorded(len(found) + 1, writing, datetime(2026, 11, 30, tzinfo=UTC), entry)
            )
    return found


def head(*pounds: float, day: date = MON, what: str = "lamb carcass") -> Delivery:
    return Delivery(day, what, len(pounds), pounds)


def broke(piece: str, way: str, count: int = 1, day: date = MON, **more: Any) -> BreakDone:
    return BreakDone(day, f"lamb {piece}", way, count, **more)


def sold(cut: str, amount: float, day: date = MON, *, by_each: bool = False) -> Sold:
    return Sold(day, f"lamb {cut}", Quantity(amount, by_each))


def counted(
    what: str,
    amount: float,
    at: str = "open",
    day: date = MON,
    made: date | None = None,
    **more: Any,
) -> Count:
    by_each = what in ("carcass", "shoulder", "leg", "leg roast")
    return Count(
        day, at, f"lamb {what}", Quantity(amount, more.pop("by_each", by_each)), made, **more
    )
