"""Every constraint of a plan once more, from the two files and the plan's JSON alone."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

from .balance import balance_faults
from .blend_check import blend_faults
from .form import Form
from .reader import read_shop
from .rule_check import rule_faults
from .second_model import BIN_TIE, MINUTE_TIE, NIGHT_TIE
from .shelf import Shelf
from .shop import Shop


def same(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=1e-6, abs_tol=1e-5)


class Check:
    """One pass over one plan; `found` collects a sentence for each violation."""

    def __init__(self, shop: Shop, plan: dict[str, Any]) -> None:
        self.shop, self.plan = shop, plan
        self.found = Form(shop, plan).run()
        self.day = {label: i for i, label in enumerate(shop.days)}
        self.pieces: dict[tuple[int, str], Shelf] = defaultdict(Shelf)
        self.cuts: dict[str, Shelf] = defaultdict(Shelf)
        self.blended: dict[str, float] = defaultdict(float)
        self.sold: dict[str, float] = defaultdict(float)
        self.revenue: dict[str, float] = defaultdict(float)
        self.minutes = [0.0] * len(shop.days)
        self.disposal = self.carry = self.nights = self.binned = 0.0

    def say(self, sentence: str) -> None:
        self.found.append(sentence)

    def equal(self, what: str, stated: float, right: float) -> None:
        if not same(stated, right):
            self.say(f"{what} is {stated:.6f} and should be {right:.6f}")

    def unit(self, cut: str) -> float:
        """Pounds (or pieces) in one unit of a cut's figures in the JSON."""
        return 1.0 if self.shop.cuts[cut].each else self.shop.pound

    # --- stock --------------------------------------------------------------------------

    def bought(self) -> None:
        heads = {row["lot"]: row["head"] for row in self.plan["bought"]}
        if len(heads) < len(self.plan["bought"]):
            self.say("bought names a lot twice")
        for row in self.plan["bought"]:
            lot = self.shop.lots[row["lot"]]
            if not lot.up_to:
                self.say(f"bought names lot {row['lot']}, which is not for sale")
            if row["head"] > lot.count:
                self.say(f"bought {row['head']} of lot {row['lot']}, there are {lot.count}")
            heavy = row["head"] * lot.weight
            self.equal(f"weight bought of lot {row['lot']}", row["weight"], heavy / self.shop.pound)
            self.equal(f"cost of lot {row['lot']}", row["cost"], heavy * lot.cost)
        for index, lot in enumerate(self.shop.lots):
            count = heads.get(index, 0) if lot.up_to else lot.count
            last = self.shop.last_day(lot, lot.piece, lot.arrives)
            self.pieces[index, lot.piece].batches.append([lot.arrives, last, count])
        cost = sum(row["cost"] for row in self.plan["bought"])
        self.equal("spend on buying", self.plan["spend"]["buying"], cost)

    def breaks(self) -> None:
        shop = self.shop
        for row in self.plan["breaks"]:
            index, piece, day = row["lot"], row["piece"], self.day[row["day"]]
            what = f"{row['day']}, lot {index}, {piece}, {row['way']}"
            lot, way = shop.lots[index], shop.pieces[piece].ways[row["way"]]
            heavy = shop.weights(lot)[piece]
            if row["species"] != shop.pieces[piece].species:
                self.say(f"{what}: the species is not {row['species']!r}")
            self.equal(f"weight of {what}", row["weight"], row["count"] * heavy / shop.pound)
            self.equal(f"minutes of {what}", row["minutes"], row["count"] * way.minutes)
            self.minutes[day] += row["count"] * way.minutes
            self.pieces[index, piece].uses[day] += row["count"]
            for child, (count, _) in way.pieces.items():
                last = shop.last_day(lot, child, day)
                self.pieces[index, child].batches.append([day, last, count * row["count"]])
            for cut, (count, share) in way.cuts.items():
                out = count if shop.cuts[cut].each else heavy * share
                self.make(cut, day, out * row["count"])

    def make(self, cut: str, day: int, amount: float) -> None:
        last = day + self.shop.cuts[cut].keeps - 1
        self.cuts[cut].batches.append([day, last, amount])

    def blends(self) -> None:
        for row in self.plan["blends"]:
            name, day, pound = row["blend"], self.day[row["day"]], self.shop.pound
            for trim, amount in row["from"].items():
                self.cuts[trim].uses[day] += amount * pound
                self.blended[trim] += amount * pound
            self.make(name, day, row["made"] * pound)
            self.minutes[day] += row["made"] * pound * self.shop.blends()[name].minutes
            self.found += blend_faults(self.shop, row)

    def sales(self) -> None:
        shop = self.shop
        room: dict[tuple[str, str, str, float], float] = defaultdict(float)
        for cut, demand in shop.demand.items():
            for label, i in self.day.items():
                room[label, cut, "walk-in", round(demand.price, 6)] = demand.want[i]
                markdown = round(demand.markdown_price, 6)
                room[label, cut, "markdown", markdown] = demand.markdown[i]
        ordered: dict[tuple[str, str, str], list[float]] = defaultdict(list)
        missing: dict[tuple[str, str, str], float] = defaultdict(float)
        for order in shop.orders:
            who = (shop.days[order.day], order.cut, order.buyer)
            room[(*who, round(order.price, 6))] += order.amount
            ordered[who].append(order.amount)
            missing[who] += order.amount
        for row in self.plan["sales"]:
            cut, amount = row["cut"], row["amount"] * self.unit(row["cut"])
            who = (row["day"], cut, row["to"])
            what = f"{cut} on {row['day']} to {row['to']}"
            fits = [k for k in room if k[:3] == who and same(k[3], row["price"] / self.unit(cut))]
            if not fits:
                self.say(f"{what} at {row['price']} is sold to nobody who wants it at that price")
                continue
            room[fits[0]] -= amount
            if room[fits[0]] < -1e-5 - 1e-6 * amount:
                self.say(f"{what} is more than is wanted by {-room[fits[0]]:.6f}")
            if shop.cuts[cut].each and abs(amount - round(amount)) > 1e-6:
                self.say(f"{what} is {amount}, not a whole number")
            if who in missing:
                missing[who] -= amount
            self.cuts[cut].uses[self.day[row["day"]]] += amount
            self.sold[cut] += amount
            self.revenue[cut] += row["amount"] * row["price"]
        stated: dict[tuple[str, str, str], float] = defaultdict(float)
        for row in self.plan["short"]:
            who, unit = (row["day"], row["cut"], row["for"]), self.unit(row["cut"])
            if not any(same(row["ordered"] * unit, amount) for amount in ordered[who]):
                self.say(f"short names an order nobody gave: {row}")
            if not 0 < row["short"] <= row["ordered"] * (1 + 1e-6):
                self.say(f"short by none or by more than was ordered: {row}")
            stated[who] += row["short"] * unit
        for who in set(stated) | set(missing):
            self.equal(f"short of {who}", stated[who], missing[who])

    # --- what is left, bench, rules, money ------------------------------------------------

    def whole(self) -> None:
        shop, days = self.shop, len(self.shop.days)
        stated: Counter[tuple[int, str, str]] = Counter()
        kept = [0.0] * len(shop.lots)
        for row in self.plan["whole"]:
            stated[row["lot"], row["piece"], row["state"]] += row["count"]
            heavy = row["count"] * shop.weights(shop.lots[row["lot"]])[row["piece"]]
            what = f"weight of whole {row['piece']} of lot {row['lot']}"
            self.equal(what, row["weight"], heavy / shop.pound)
            kept[row["lot"]] += row["weight"] * shop.pound
        for index, lot in enumerate(shop.lots):
            for piece, heavy in shop.weights(lot).items():
                what = f"{piece} of lot {index}"
                short, wasted, left, _ = self.pieces[index, piece].age(days)
                for day, need in short:
                    self.say(f"{shop.days[day]} cuts {need:g} {what} more than are in date")
                for state, right in (("wasted", wasted), ("left", left)):
                    if stated[index, piece, state] != round(right):
                        count = stated[index, piece, state]
                        self.say(f"{what}: {count} {state}, should be {right:g}")
                self.disposal += wasted * heavy * shop.disposal
                self.carry += left * shop.carry * shop.value(piece, heavy)
        for row in self.plan["breaks"]:
            way = shop.pieces[row["piece"]].ways[row["way"]]
            gone = way.loss + sum(count * share for count, share in way.cuts.values())
            kept[row["lot"]] += gone * row["weight"] * shop.pound
        for index, lot in enumerate(shop.lots):
            arrived = lot.weight * self.pieces[index, lot.piece].batches[0][2]
            if not math.isclose(kept[index], arrived, rel_tol=1e-6, abs_tol=1e-6):
                self.say(f"lot {index} weighs {arrived:.6f} lb and accounts for {kept[index]:.6f}")

    def case(self) -> None:
        shop = self.shop
        for cut, (amount, keeps) in shop.case.items():
            self.cuts[cut].batches.append([0, keeps - 1, amount])
        names = [row["cut"] for row in self.plan["cuts"]]
        if len(set(names)) < len(names):
            self.say("cuts names a cut twice")
        rows = {row["cut"]: row for row in self.plan["cuts"]}
        for cut, thing in shop.cuts.items():
            unit, shelf = self.unit(cut), self.cuts[cut]
            short, wasted, left, nights = shelf.age(len(shop.days))
            for day, need in short:
                self.say(f"{shop.days[day]} uses {need:.6f} of {cut} more than is in date")
            on_hand = shop.case.get(cut, (0.0, 0))[0]
            made = sum(batch[2] for batch in shelf.batches) - on_hand
            figures = {
                "on hand": on_hand / unit,
                "made": made / unit,
                "sold": self.sold[cut] / unit,
                "revenue": self.revenue[cut],
                "blended": self.blended[cut] / unit,
                "wasted": wasted / unit,
                "left": left / unit,
            }
            row = rows.get(cut, dict.fromkeys(figures, 0.0))
            for key, right in figures.items():
                self.equal(f"{key!r} of {cut}", row[key], right)
            used = row["sold"] + row["blended"] + row["wasted"] + row["left"]
            self.equal(f"what became of {cut}", used, row["on hand"] + row["made"])
            if cut in rows and row["species"] != thing.species:
                self.say(f"{cut}: the species is not {row['species']!r}")
            if cut in rows and row["sold by"] != ("each" if thing.each else shop.unit):
                self.say(f"{cut} is not sold by {row['sold by']!r}")
            if not thing.each:
                self.disposal += wasted * shop.disposal
                self.nights += nights
            if thing.blend is not None:
                self.binned += wasted
            self.carry += left * shop.carry * shop.price(cut)

    def bench(self) -> None:
        shop, rows = self.shop, self.plan["bench"]
        if [row["day"] for row in rows] != list(shop.days):
            self.say("bench does not name every day once, in order")
            return
        for i, row in enumerate(rows):
            self.equal(f"minutes on {row['day']}", row["minutes"], self.minutes[i])
            over = 0.0
            if shop.bench is not None:
                self.equal(f"bench on {row['day']}", row["available"], shop.bench[i])
                over = max(0.0, self.minutes[i] - shop.bench[i])
                limit = shop.overtime_limit if shop.bench[i] > 0 else 0.0
                if over > limit + 1e-5:
                    self.say(f"{row['day']} works {over:.6f} minutes over, {limit:g} are allowed")
            elif row["available"] is not None:
                self.say(f"{row['day']} has a bench of {row['available']} and there is no limit")
            self.equal(f"overtime on {row['day']}", row["overtime"], over)
        over = sum(row["overtime"] for row in rows) * shop.overtime_cost
        self.equal("spend on overtime", self.plan["spend"]["overtime"], over)

    def totals(self) -> None:
        plan, spend = self.plan, self.plan["spend"]
        self.equal("revenue", plan["revenue"], sum(self.revenue.values()))
        self.equal("spend on disposal", spend["disposal"], self.disposal)
        self.equal("carry", plan["carry"], self.carry)
        score = plan["revenue"] - sum(spend.values()) + plan["carry"]
        self.equal("score", plan["score"], score)
        self.equal("within", plan["within"], plan["bound"] - plan["score"])
        if plan["within"] < -1e-5 - 1e-6 * abs(plan["score"]):
            self.say(f"the bound {plan['bound']} is below the score {plan['score']}")

    def run(self) -> Check:
        if not self.found:
            self.bought()
            self.breaks()
            self.blends()
            self.sales()
            self.whole()
            self.case()
            self.bench()
            self.found += rule_faults(self.shop, self.plan)
            self.found += balance_faults(self.shop, self.plan)
            self.totals()
        return self


def check(scenario_path: str | Path, plan: dict[str, Any]) -> list[str]:
    """Sentences on everything that is wrong with a plan; empty for a sound one."""
    return Check(read_shop(scenario_path), plan).run().found


def tie_weight(scenario_path: str | Path, plan: dict[str, Any]) -> float:
    """What the ties of a sound plan weigh: its score less this is what the plan maximizes."""
    done = Check(read_shop(scenario_path), plan).run()
    return MINUTE_TIE * sum(done.minutes) + NIGHT_TIE * done.nights + BIN_TIE * done.binned
