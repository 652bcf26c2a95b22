"""The second model's plan written as the JSON of the week."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from typing import Any

import numpy as np

from .reader import read_shop
from .second_best import best_week
from .second_model import SecondModel
from .shelf import Shelf
from .shop import Shop

TINY = 1e-7  # what a solver calls nothing
SOLVED = 1e-5  # how far from a whole number a solver may leave one


class Written:
    """The rows of one plan, out of the values of a solved second model."""

    def __init__(self, model: SecondModel, values: np.ndarray) -> None:
        self.model, self.values, self.shop = model, values, model.shop
        self.pieces: dict[tuple[int, str], Shelf] = defaultdict(Shelf)
        self.cuts: dict[str, Shelf] = defaultdict(Shelf)
        self.minutes = [0.0] * len(self.shop.days)
        self.disposal = self.carry = 0.0
        for cut, (amount, keeps) in self.shop.case.items():
            self.cuts[cut].batches.append([0, keeps - 1, amount])

    def unit(self, cut: str) -> float:
        return 1.0 if self.shop.cuts[cut].each else self.shop.pound

    def make(self, cut: str, day: int, amount: float) -> None:
        self.cuts[cut].batches.append([day, day + self.shop.cuts[cut].keeps - 1, amount])

    def bought(self) -> list[dict[str, Any]]:
        rows = []
        for index, lot in enumerate(self.shop.lots):
            head = round(self.values[self.model.heads[index]])
            last = self.shop.last_day(lot, lot.piece, lot.arrives)
            self.pieces[index, lot.piece].batches.append([lot.arrives, last, head])
            if lot.up_to and head:
                heavy = head * lot.weight
                row = {"lot": index, "head": head, "weight": heavy / self.shop.pound}
                rows.append(row | {"cost": heavy * lot.cost})
        return rows

    def breaks(self) -> list[dict[str, Any]]:
        shop, rows = self.shop, []
        for column, (day, index, piece, name) in self.model.cut.items():
            count = round(self.values[column])
            if not count:
                continue
            lot, way = shop.lots[index], shop.pieces[piece].ways[name]
            heavy = shop.weights(lot)[piece]
            self.minutes[day] += count * way.minutes
            self.pieces[index, piece].uses[day] += count
            for child, (many, _) in way.pieces.items():
                last = shop.last_day(lot, child, day)
                self.pieces[index, child].batches.append([day, last, many * count])
            for cut, (many, share) in way.cuts.items():
                self.make(cut, day, count * (many if shop.cuts[cut].each else heavy * share))
            rows.append(
                {"day": shop.days[day], "lot": index, "species": shop.pieces[piece].species}
                | {"piece": piece, "way": name, "count": count}
                | {"weight": count * heavy / shop.pound, "minutes": count * way.minutes}
            )
        return rows

    def blends(self) -> list[dict[str, Any]]:
        shop = self.shop
        taken: dict[tuple[int, str], dict[str, float]] = defaultdict(dict)
        for column, (day, name, trim) in self.model.ground.items():
            if self.values[column] > TINY:
                taken[day, name][trim] = self.values[column]
        rows = []
        for (day, name), weights in taken.items():
            blend, total = shop.blends()[name], sum(weights.values())
            fats = [shop.cuts[trim].fat for trim in weights]
            made = total * blend.out
            for trim, weight in weights.items():
                self.cuts[trim].uses[day] += weight
            self.make(name, day, made)
            self.minutes[day] += made * blend.minutes
            fat = None
            if None not in fats:
                parts = zip(fats, weights.values(), strict=True)
                fat = sum(share * weight for share, weight in parts) / total
            row = {"day": shop.days[day], "blend": name, "made": made / shop.pound, "fat": fat}
            row["from"] = {trim: weight / shop.pound for trim, weight in weights.items()}
            if blend.batch is not None:
                row["batches"] = round(made / blend.batch)
            rows.append(row)
        return rows

    def sales(self) -> list[dict[str, Any]]:
        rows = []
        for column, (day, cut, price, to) in self.model.sold.items():
            amount, unit = self.values[column], self.unit(cut)
            if self.shop.cuts[cut].each and abs(amount - round(amount)) < SOLVED:
                amount = float(round(amount))
            if amount > TINY:
                self.cuts[cut].uses[day] += amount
                row = {"day": self.shop.days[day], "cut": cut, "amount": amount / unit}
                rows.append(row | {"price": price * unit, "to": to})
        return rows

    def short(self) -> list[dict[str, Any]]:
        rows = []
        for column, order in zip(self.model.shortfalls, self.shop.orders, strict=True):
            unit, short = self.unit(order.cut), order.amount - self.values[column]
            if short > TINY:
                row = {"day": self.shop.days[order.day], "cut": order.cut, "for": order.buyer}
                rows.append(row | {"ordered": order.amount / unit, "short": short / unit})
        return rows

    def whole(self) -> list[dict[str, Any]]:
        shop, rows = self.shop, []
        for index, lot in enumerate(shop.lots):
            for piece, heavy in shop.weights(lot).items():
                _, wasted, left, _ = self.pieces[index, piece].age(len(shop.days))
                self.disposal += wasted * heavy * shop.disposal
                self.carry += left * shop.carry * shop.value(piece, heavy)
                for state, count in (("wasted", round(wasted)), ("left", round(left))):
                    row = {"lot": index, "piece": piece, "count": count, "state": state}
                    if count:
                        rows.append(row | {"weight": count * heavy / shop.pound})
        return rows

    def cut_rows(self, sales: Any, blends: Any) -> list[dict[str, Any]]:
        shop, rows = self.shop, []
        for cut, thing in shop.cuts.items():
            unit, shelf = self.unit(cut), self.cuts[cut]
            _, wasted, left, _ = shelf.age(len(shop.days))
            on_hand = shop.case.get(cut, (0.0, 0))[0]
            mine = [row for row in sales if row["cut"] == cut]
            rows.append(
                {"cut": cut, "species": thing.species}
                | {"sold by": "each" if thing.each else shop.unit, "on hand": on_hand / unit}
                | {"made": (sum(batch[2] for batch in shelf.batches) - on_hand) / unit}
                | {"sold": sum(row["amount"] for row in mine)}
                | {"revenue": sum(row["amount"] * row["price"] for row in mine)}
                | {"blended": sum(row["from"].get(cut, 0.0) for row in blends)}
                | {"wasted": wasted / unit, "left": left / unit}
            )
            self.disposal += 0.0 if thing.each else wasted * shop.disposal
            self.carry += left * shop.carry * shop.price(cut)
        return rows

    def bench(self) -> list[dict[str, Any]]:
        rows = []
        for day, minutes in enumerate(self.minutes):
            free = None if self.shop.bench is None else self.shop.bench[day]
            over = 0.0 if free is None else max(0.0, minutes - free)
            row = {"day": self.shop.days[day], "minutes": minutes, "available": free}
            rows.append(row | {"overtime": over})
        return rows

    def plan(self) -> dict[str, Any]:
        shop: Shop = self.shop
        rows = {"bought": self.bought(), "breaks": self.breaks(), "blends": self.blends()}
        rows |= {"sales": self.sales(), "short": self.short(), "whole": self.whole()}
        rows |= {"cuts": self.cut_rows(rows["sales"], rows["blends"]), "bench": self.bench()}
        spend = {
            "overtime": sum(row["overtime"] for row in rows["bench"]) * shop.overtime_cost,
            "buying": sum(row["cost"] for row in rows["bought"]),
            "disposal": self.disposal,
        }
        revenue = sum(row["revenue"] for row in rows["cuts"])
        score = revenue - sum(spend.values()) + self.carry
        head = {"format": "breakplan/1", "title": shop.title, "unit": shop.unit}
        head |= {"money": shop.money, "days": list(shop.days), "score": score, "bound": score}
        head |= {"revenue": revenue, "spend": spend, "carry": self.carry, "within": 0.0}
        return head | {"status": "proven", "seconds": 0.0} | rows


def second_plan(scenario_path: str | Path, gap: float = 1e-9) -> dict[str, Any] | None:
    """The best plan of the second model, ties counted; None where no plan keeps the rules."""
    model = SecondModel(read_shop(scenario_path))
    objective = model.vector(model.money) - model.vector(model.ties)
    result, _ = best_week(model, objective, gap)
    return None if result.x is None else Written(model, result.x).plan()
