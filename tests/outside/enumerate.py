"""Tiny shops solved by trying every cutting there is.

A cutting says, for each day, lot and piece, how many are cut in each way, oldest first, and how
many head are bought. For each of them the rest (sales, blends, overtime) is a small linear
program; cuts that go into no blend are each a program of their own, solved once for each amount
made by day. Blends made in whole batches have a program for every number of batches.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from .reader import read_shop
from .rest import MINUTE_TIE, Batches, Made, Rest
from .shop import Shop

LIMIT = 2000
Found = tuple[float, float] | None  # order value and gain of a part; None: it cannot be


@dataclass(frozen=True)
class Cutting:
    money: float  # carry of whole pieces less buying and the disposal of pieces
    minutes: tuple[float, ...]
    made: Made
    counts: tuple[tuple[tuple[str, str], int], ...]  # (piece, way): how many


@dataclass(frozen=True)
class Best:
    feasible: bool
    objective: float = 0.0  # score less tie weights
    filled: float = 0.0  # order value
    cuttings: int = 0


def splits(most: int, ways: int) -> Iterator[tuple[int, ...]]:
    """All counts for a number of ways that add up to at most `most`."""
    if ways == 0:
        yield ()
        return
    for first in range(most + 1):
        for rest in splits(most - first, ways - 1):
            yield (first, *rest)


def parents_first(shop: Shop, root: str) -> list[str]:
    depth = {root: 0}
    waiting = [root]
    while waiting:
        parent = waiting.pop()
        for way in shop.pieces[parent].ways.values():
            for child in way.pieces:
                if depth.get(child, 0) <= depth[parent]:
                    depth[child] = depth[parent] + 1
                    waiting.append(child)
    return sorted(depth, key=lambda piece: depth[piece])


class Cuttings:
    """Walks through all cuttings, changing one record and taking each change back."""

    def __init__(self, shop: Shop, heads: tuple[int, ...]) -> None:
        self.shop, self.days = shop, len(shop.days)
        self.weights = [shop.weights(lot) for lot in shop.lots]
        # stock[lot][piece][day]: pieces that came on that day and are not cut
        self.stock = [{piece: [0] * self.days for piece in heavy} for heavy in self.weights]
        self.money = 0.0
        for index, lot in enumerate(shop.lots):
            self.stock[index][lot.piece][lot.arrives] = heads[index]
            if lot.up_to:
                self.money -= heads[index] * lot.cost * lot.weight
        self.made: dict[str, list[float]] = {cut: [0.0] * self.days for cut in shop.cuts}
        self.minutes = [0.0] * self.days
        self.counts: dict[tuple[str, str], int] = defaultdict(int)
        self.steps = [
            (day, index, piece)
            for day in range(self.days)
            for index, lot in enumerate(shop.lots)
            for piece in parents_first(shop, lot.piece)
        ]

    def walk(self, step: int = 0) -> Iterator[Cutting]:
        if step == len(self.steps):
            yield self.record()
            return
        day, index, piece = self.steps[step]
        shop, lot, stock = self.shop, self.shop.lots[index], self.stock[index][piece]
        usable = [s for s in range(day + 1) if stock[s] and shop.last_day(lot, piece, s) >= day]
        ways = shop.pieces[piece].ways
        if not usable or not ways:
            yield from self.walk(step + 1)
            return
        most = sum(stock[s] for s in usable)
        for counts in splits(most, len(ways)):
            before = list(stock)
            need = sum(counts)
            for s in usable:
                taken = min(need, stock[s])
                stock[s] -= taken
                need -= taken
            for name, count in zip(ways, counts, strict=True):
                self.cut(day, index, piece, name, count)
            if self.fits(day):
                yield from self.walk(step + 1)
            for name, count in zip(ways, counts, strict=True):
                self.cut(day, index, piece, name, -count)
            stock[:] = before

    def cut(self, day: int, index: int, piece: str, name: str, count: int) -> None:
        way, heavy = self.shop.pieces[piece].ways[name], self.weights[index][piece]
        self.minutes[day] += count * way.minutes
        self.counts[piece, name] += count
        for child, (pieces, _) in way.pieces.items():
            self.stock[index][child][day] += count * pieces
        for cut, (pieces, share) in way.cuts.items():
            self.made[cut][day] += count * (pieces if self.shop.cuts[cut].each else heavy * share)

    def fits(self, day: int) -> bool:
        bench = self.shop.bench
        if bench is None:
            return True
        more = self.shop.overtime_limit if bench[day] > 0 else 0.0
        return self.minutes[day] <= bench[day] + more + 1e-9

    def record(self) -> Cutting:
        shop, money = self.shop, self.money
        for index, lot in enumerate(shop.lots):
            for piece, heavy in self.weights[index].items():
                for day, count in enumerate(self.stock[index][piece]):
                    if shop.last_day(lot, piece, day) >= self.days:
                        money += count * shop.carry * shop.value(piece, heavy)
                    else:
                        money -= count * shop.disposal * heavy
        made = tuple(
            (cut, tuple(round(amount, 9) + 0.0 for amount in by_day))
            for cut, by_day in self.made.items()
        )
        counts = tuple((key, count) for key, count in self.counts.items() if count)
        return Cutting(money, tuple(round(m, 9) for m in self.minutes), made, counts)


def rules_kept(shop: Shop, cutting: Cutting) -> bool:
    counts = dict(cutting.counts)
    for rule in shop.rules:
        so = counts.get((rule.piece, rule.way), 0)
        total = sum(count for (piece, _), count in counts.items() if piece == rule.piece)
        kept = {
            "all": so == total,
            "never": so == 0,
            "at least": so >= rule.number,
            "at most": so <= rule.number,
        }
        if not kept[rule.kind]:
            return False
    return True


def cuttings(shop: Shop) -> Iterator[Cutting]:
    choices = [range(lot.count + 1) if lot.up_to else (lot.count,) for lot in shop.lots]
    for heads in itertools.product(*choices):
        yield from Cuttings(shop, heads).walk()


def in_blends(shop: Shop) -> set[str]:
    """Blends and what goes into them: what has to be decided together."""
    blends = shop.blends()
    return set(blends) | {trim for blend in blends.values() for trim in blend.trims}


def batch_choices(shop: Shop, made: Made) -> Iterator[Batches]:
    """All numbers of batches by blend and day for which there could be enough to put in."""
    days = range(len(shop.days))
    amounts = dict(made)
    blends = {name: blend for name, blend in shop.blends().items() if blend.batch is not None}
    ranges = {}
    for name, blend in blends.items():
        for day in days:
            come = sum(sum(amounts[trim][: day + 1]) for trim in blend.trims)
            come += sum(shop.case[trim][0] for trim in blend.trims if trim in shop.case)
            ranges[name, day] = range(int(come * blend.out / blend.batch + 1e-6) + 1)
    most = {name: max(ranges[name, day][-1] for day in days) for name in blends}
    for numbers in itertools.product(*ranges.values()):
        choice = dict(zip(ranges, numbers, strict=True))
        if all(sum(choice[name, day] for day in days) <= most[name] for name in blends):
            yield choice


def tiny_enough(scenario_path: str | Path, limit: int = LIMIT) -> bool:
    """Whether a shop has no more cuttings, each with all its batches, than the limit."""
    shop = read_shop(scenario_path)
    each = (choice for cutting in cuttings(shop) for choice in batch_choices(shop, cutting.made))
    return sum(1 for _ in itertools.islice(each, limit + 1)) <= limit


def best_rest(shop: Shop, made: Made, minutes: tuple[float, ...] | None) -> Found:
    """The best of all numbers of batches, orders first."""
    choices = [{}] if minutes is None else batch_choices(shop, made)
    found = [Rest(shop, made, minutes, choice).best() for choice in choices]
    # Order values within a solver's rounding are equal.
    return max((f for f in found if f), key=lambda f: (round(f[0], 6), f[1]), default=None)


def best_by_enumeration(scenario_path: str | Path) -> Best:
    """The best objective (score less ties) of a tiny shop, orders first."""
    shop = read_shop(scenario_path)
    mixed = in_blends(shop)
    known: dict[tuple[Made, tuple[float, ...] | None], Found] = {}
    best: tuple[float, float] | None = None
    tried = 0
    for cutting in cuttings(shop):
        tried += 1
        if not rules_kept(shop, cutting):
            continue
        parts: list[tuple[Made, tuple[float, ...] | None]] = [
            ((entry,), None) for entry in cutting.made if entry[0] not in mixed
        ]
        parts.append((tuple(e for e in cutting.made if e[0] in mixed), cutting.minutes))
        for part in parts:
            if part not in known:
                known[part] = best_rest(shop, *part)
        found = [known[part] for part in parts]
        if None in found:
            continue
        filled = round(sum(value for value, _ in found), 6)
        money = cutting.money + sum(gain for _, gain in found)
        money -= MINUTE_TIE * sum(cutting.minutes)
        if best is None or (filled, money) > best:
            best = (filled, money)
    if best is None:
        return Best(False, cuttings=tried)
    return Best(True, best[1], best[0], tried)
