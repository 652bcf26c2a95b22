"""The form of a plan's JSON: its keys, the kinds of its values, its names."""

from __future__ import annotations

import math
from typing import Any

from .shop import Shop

TOP = (
    *("format", "title", "unit", "money", "days", "score", "revenue", "spend", "carry"),
    *("bound", "within", "status", "seconds", "breaks", "cuts", "sales", "blends"),
    *("short", "whole", "bought", "bench"),
)
KEYS = {
    "breaks": ("day", "lot", "species", "piece", "way", "count", "weight", "minutes"),
    "cuts": (
        *("cut", "species", "sold by", "on hand", "made"),
        *("sold", "revenue", "blended", "wasted", "left"),
    ),
    "sales": ("day", "cut", "amount", "price", "to"),
    "blends": ("day", "blend", "made", "fat", "from"),
    "short": ("day", "cut", "for", "ordered", "short"),
    "whole": ("lot", "piece", "count", "weight", "state"),
    "bought": ("lot", "head", "weight", "cost"),
    "bench": ("day", "minutes", "available", "overtime"),
}
WORDS = {"day", "species", "piece", "way", "cut", "sold by", "to", "blend", "for", "state"}
STATUS = ("proven", "within tolerance", "held", "time limit")


class Form:
    """Keys, kinds of values and names; the rest only makes sense when these are right."""

    def __init__(self, shop: Shop, plan: dict[str, Any]) -> None:
        self.shop, self.plan = shop, plan
        self.found: list[str] = []
        self.day = set(shop.days)

    def say(self, sentence: str) -> None:
        self.found.append(sentence)

    def run(self) -> list[str]:
        plan, shop = self.plan, self.shop
        parts = ("parts",) if "parts" in plan else ()  # of a long period alone
        hints = ("hints",) if "hints" in plan else ()  # said where there is nothing to plan
        self.keys("the plan", plan, (*TOP, *parts, *hints))
        if not all(isinstance(each, str) and each for each in plan.get("hints", ["none"])):
            self.say("hints are no list of sentences")
        if self.found:
            return self.found
        self.keys("spend", plan["spend"], ("overtime", "buying", "disposal"))
        fixed = {
            "format": "breakplan/1",
            "title": shop.title,
            "unit": shop.unit,
            "money": shop.money,
            "days": list(shop.days),
        }
        for key, right in fixed.items():
            if plan[key] != right and (key != "title" or shop.title):
                self.say(f"{key} is {plan[key]!r} and should be {right!r}")
        if plan["status"] not in STATUS:
            self.say(f"status {plan['status']!r} is not one of {', '.join(STATUS)}")
        figures = [plan[k] for k in ("score", "revenue", "carry", "bound", "within", "seconds")]
        if parts and (plan["parts"] < 2 or plan["status"] != "time limit"):
            self.say("a plan in parts proves nothing")
        for value in [*figures, *plan["spend"].values()]:
            self.figure("a total of the plan", value)
        for part, keys in KEYS.items():
            for row in plan[part]:
                blend = shop.blends().get(row.get("blend", ""))
                more = ("batches",) if blend and blend.batch else ()
                self.keys(f"a row of {part}", row, (*keys, *more))
                if not self.found:
                    self.row(part, row)
        return self.found

    def keys(self, what: str, row: dict[str, Any], right: Any) -> None:
        for key in set(right) - set(row):
            self.say(f"{what} has no {key!r}")
        for key in set(row) - set(right):
            self.say(f"{what} has {key!r}, which does not belong there")

    def figure(self, what: str, value: Any) -> None:
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            self.say(f"{what} is {value!r}, not a number")
        elif not math.isfinite(value):
            self.say(f"{what} is {value!r}")

    def row(self, part: str, row: dict[str, Any]) -> None:
        shop = self.shop
        no_limit = shop.bench is None
        for key, value in row.items():
            what = f"{key!r} of {part} row {row}"
            if key in WORDS:
                if not isinstance(value, str):
                    self.say(f"{what} is not a word")
            elif key == "from":
                for amount in value.values():
                    self.figure(what, amount)
            elif not (value is None and (key == "fat" or key == "available" and no_limit)):
                self.figure(what, value)
                if not self.found and value < -1e-6:
                    self.say(f"{what} is negative")
                if key in ("lot", "count", "head", "batches") and not isinstance(value, int):
                    self.say(f"{what} is not a whole number")
        if self.found:
            return
        if "day" in row and row["day"] not in self.day:
            self.say(f"{part} names the day {row['day']!r}, which is not in the period")
        if "lot" in row and not row["lot"] < len(shop.lots):
            self.say(f"{part} names lot {row['lot']}, which is not on the rail")
            return
        if "piece" in row:
            if row["piece"] not in shop.weights(shop.lots[row["lot"]]):
                self.say(f"{part}: lot {row['lot']} has no piece {row['piece']!r}")
            elif "way" in row and row["way"] not in shop.pieces[row["piece"]].ways:
                self.say(f"{part}: {row['piece']} has no way {row['way']!r}")
        for key in ("cut", "blend"):
            if key in row and row[key] not in shop.cuts:
                self.say(f"{part} names {row[key]!r}, which no recipe has")
        if part == "blends" and not self.found:
            blend = shop.cuts[row["blend"]].blend
            for trim in row["from"]:
                if blend is None or trim not in blend.trims:
                    self.say(f"{trim!r} does not go into {row['blend']!r}")
        if part == "whole" and row["state"] not in ("left", "wasted"):
            self.say(f"whole: state {row['state']!r} is neither left nor wasted")
