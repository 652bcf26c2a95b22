"""A shop's diary replayed a second time: what there is after so many days, from its meaning alone.

An event is a dict with `do` (count, delivery, break, batch, sold, wasted), `day`, `number` and what
belongs to it; names are those of the scenario. Every unit of stock is a list [amount, last day].
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from typing import Any

from .shop import Shop

STEPS = {"delivery": 1, "break": 2, "batch": 3, "sold": 4, "wasted": 4}
LONG_WEEKEND = 4  # days that something out of date may lie before it is thrown away


class Diary:
    """The stock of a shop, day by day."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.stock: dict[str, list[list[Any]]] = defaultdict(list)
        self.stale: dict[str, list[list[Any]]] = defaultdict(list)
        self.one_weighed: dict[str, float] = {}

    def run(self, events: list[dict[str, Any]], until: datetime.date, moment: str) -> None:
        """All that happened before a day, and of that day what belongs before the moment."""
        if not events:
            return
        day = min(event["day"] for event in events)
        while day <= until:
            of_day = [event for event in events if event["day"] == day]
            for event in sorted(of_day, key=self.turn):
                step = self.turn(event)[0]
                if day < until or step == 0 or moment == "close" or (moment == "now" and step < 5):
                    self.happen(event, of_day)
            if day < until or moment == "close":
                self.night(day)
            day += datetime.timedelta(days=1)

    def turn(self, event: dict[str, Any]) -> tuple[int, int, int]:
        if event["do"] == "count":
            return 0 if event["at"] == "open" else 5, 0, event["number"]
        depth = self.depth(event["what"]) if event["do"] == "break" else 0
        return STEPS[event["do"]], depth, event["number"]

    def depth(self, piece: str) -> int:
        """How many breaks it takes at most to get to a piece."""
        parents = [
            name
            for name, each in self.shop.pieces.items()
            if any(piece in way.pieces for way in each.ways.values())
        ]
        return max((self.depth(name) + 1 for name in parents), default=0)

    def night(self, day: datetime.date) -> None:
        for name, units in self.stock.items():
            self.stale[name] += [unit for unit in units if unit[1] <= day]
            self.stock[name] = [unit for unit in units if unit[1] > day]
        for name, units in self.stale.items():
            self.stale[name] = [unit for unit in units if (day - unit[1]).days < LONG_WEEKEND]

    def happen(self, event: dict[str, Any], of_day: list[dict[str, Any]]) -> None:
        what, day = event["what"], event["day"]
        if event["do"] == "delivery":
            self.arrive(what, list(event["pounds"]), day)
        elif event["do"] == "count":
            self.count(event, of_day)
        elif event["do"] == "break":
            self.cut_up(event)
        elif event["do"] == "batch":
            for cut, pounds in event["took"].items():
                self.use(cut, pounds)
            self.make(what, event["amount"], day)
        elif event["do"] == "sold":
            self.use(what, event["amount"])
        else:
            self.throw(what, event["amount"])

    def last(self, what: str, made: datetime.date) -> datetime.date:
        things: dict[str, Any] = {**self.shop.pieces, **self.shop.cuts}
        return made + datetime.timedelta(days=things[what].keeps - 1)

    def make(self, cut: str, amount: float, made: datetime.date) -> None:
        if amount > 0:
            self.stock[cut].append([amount, self.last(cut, made)])

    def arrive(self, piece: str, pounds: list[float], made: datetime.date) -> None:
        """A unit of a piece is its weight."""
        self.stock[piece] += [[each, self.last(piece, made)] for each in pounds]
        self.one_weighed[piece] = sum(pounds) / len(pounds)

    def count(self, event: dict[str, Any], of_day: list[dict[str, Any]]) -> None:
        """Only the last writing of a moment stands, and it stands for all of the thing."""
        what = event["what"]
        moment = [
            other
            for other in of_day
            if (other["do"], other["what"]) == ("count", what) and other["at"] == event["at"]
        ]
        latest = max(other["writing"] for other in moment)
        if event["writing"] != latest:
            return
        mine = [other for other in moment if other["writing"] == latest]
        if event is not min(mine, key=lambda other: other["number"]):
            return  # all portions were put in with the first
        gone, self.stale[what] = self.stale[what], []
        units: list[list[Any]] = []
        for each in sorted(mine, key=lambda other: other["number"]):
            last = self.last(what, each["made"] or each["day"])
            if what in self.shop.cuts:
                units.append([each["amount"], last])
            elif each["amount"]:
                known = units or self.stock[what] or gone
                mean = sum(unit[0] for unit in known) / len(known) if known else None
                one = each["pounds"] / each["amount"] if each["pounds"] else mean
                one = one or self.one_weighed[what]
                units += [[one, last] for _ in range(int(each["amount"]))]
                self.one_weighed[what] = one
        self.stock[what] = [unit for unit in units if unit[1] >= event["day"] and unit[0] > 0]
        self.stale[what] = [unit for unit in units if unit[1] < event["day"]]

    def cut_up(self, event: dict[str, Any]) -> None:
        piece, count = event["what"], event["count"]
        units = sorted(self.stock[piece], key=lambda unit: unit[1])
        taken = [unit[0] for unit in units[:count]]
        self.stock[piece] = units[count:]
        one = sum(taken) / len(taken) if taken else self.one_weighed[piece]
        taken += [one] * (count - len(taken))
        way = self.shop.pieces[piece].ways[event["way"]]
        for name, (number, share) in way.pieces.items():
            pounds = [weight * share for weight in taken for _ in range(number)]
            self.arrive(name, event["gave"].get(name, pounds), event["day"])
        for name, (number, share) in way.cuts.items():
            each = self.shop.cuts[name].each
            amount = number * count if each else sum(taken) * share
            self.make(name, event["gave"].get(name, amount), event["day"])

    def use(self, cut: str, amount: float) -> None:
        for unit in sorted(self.stock[cut], key=lambda unit: unit[1]):
            part = min(amount, unit[0])
            unit[0] -= part
            amount -= part
        self.stock[cut] = [unit for unit in self.stock[cut] if unit[0] > 1e-9]

    def throw(self, what: str, amount: float) -> None:
        """What is out of date is thrown away first; a unit of a piece goes as a whole."""
        for units in (self.stale[what], self.stock[what]):
            for unit in sorted(units, key=lambda unit: unit[1]):
                if what in self.shop.pieces:
                    gone = amount > 0
                    amount -= gone
                    unit[0] = 0.0 if gone else unit[0]
                else:
                    part = min(amount, unit[0])
                    unit[0] -= part
                    amount -= part
            units[:] = [unit for unit in units if unit[0] > 1e-9]

    def on_hand(self) -> dict[tuple[str, datetime.date], float]:
        """Pounds (each of what is counted) by thing and last day; a piece by pounds."""
        found: dict[tuple[str, datetime.date], float] = defaultdict(float)
        for name, units in self.stock.items():
            for amount, last in units:
                found[name, last] += amount
        return {key: amount for key, amount in found.items() if amount > 1e-6}

    def pieces(self, piece: str) -> int:
        return len(self.stock[piece])
