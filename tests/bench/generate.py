"""Shop weeks of any size, invented: `python -m tests.bench.generate SEED [--lots N] .. > FILE`.

The same seed and sizes give the same text everywhere. Head only scale: the same lots with ten times
the head want ten times as much and have ten times the bench.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from math import fsum
from random import Random

from planner.core.scenario import Scenario
from tests.bench.invent import STARTS, price_of
from tests.bench.shop import (
    BUSY,
    BUYERS,
    SOLD_ALONE,
    Drawn,
    Supply,
    draw,
    spread,
    start,
    written_day,
)

MOST_MINUTES = 100_000  # a file may not have a longer bench


def shop_week(seed: int, lots: int = 4, days: int = 6, species: int = 1, head: int = 12) -> str:
    """The text of an invented scenario for the shipped recipes.

    Parameters
    ----------
    seed : int
    lots : int
        Lots on the rail; some may be bought, one now and then has boxed pieces.
    days : int
        From a Monday.
    species : int
        1 to 4 of lamb, hog, goat, veal, beef; beef may come as both quarters. With more than one
        there are blends of several.
    head : int
        Head (sides, quarters) of all lots together, at least one each; boxed pieces come besides.
    """
    if not 1 <= species <= min(4, lots) or days < 1:
        raise ValueError("1 to 4 species, a lot for each, and at least a day")
    drawn = draw(Random(seed), lots, days, species, head)
    scenario, given = start(drawn)
    sizes = f"{lots} lots, {days} days, {species} species, {head} head"
    week = _Text(drawn, scenario, given)
    return "\n".join(
        [
            f"# Invented by tests/bench/generate.py, seed {seed}: this shop, its prices, its week.",
            "",
            f"title: An invented shop, generated ({sizes}, seed {seed})",
            f"starts: {STARTS}",
            f"days: {days}",
            f"recipes: [{', '.join(drawn.recipes)}]",
            "unit: lb",
            "money: $",
            "",
            "rail:",
            *(f"  - {{{lot}}}" for lot in drawn.rail()),
            *("", *week.bench(), "", *week.demand(), *week.case(), *week.rules(), *week.ends(), ""),
        ]
    )


@dataclass
class _Text:
    """The parts of the file, drawn in the order in which they are asked for."""

    drawn: Drawn
    scenario: Scenario
    given: Supply
    wanted: list[str] = field(default_factory=list)

    @property
    def random(self) -> Random:
        return self.drawn.random

    def bench(self) -> Iterator[str]:
        """Minutes a day, 80% to 130% of what cutting everything takes."""
        random, weekdays = self.random, self.drawn.weekdays
        total = self.given.minutes * (0.8 + 0.5 * random.random())
        weights = {day: 1.0 + 0.6 * random.random() for day in BUSY}
        open_days = [day for day in BUSY if day in weekdays and day != "sun"]
        whole = fsum(weights[day] * weekdays.count(day) for day in open_days)
        exact = {day: 5 * round(total * weights[day] / whole / 5) for day in open_days}
        minutes = {day: min(MOST_MINUTES, max(10, each)) for day, each in exact.items()}
        yield f"bench: {{{', '.join(f'{day}: {each}' for day, each in minutes.items())}}}"
        most = 0.1 + 0.25 * random.random()
        over = max(10, 5 * round(most * total / sum(day != "sun" for day in weekdays) / 5))
        yield f"overtime: {{up to: {over}, cost: {0.6 + 0.5 * random.random():.2f}}}"
        traffic = {day: max(1, round(BUSY[day] * (0.7 + 0.6 * random.random()))) for day in BUSY}
        shown = ", ".join(f"{day}: {traffic[day]}%" for day in open_days)
        yield f"traffic: {{{shown}}}"

    def demand(self) -> Iterator[str]:
        """For nearly every cut that is sold: price, want, and now and then a markdown, an order."""
        random = self.random
        level = 0.92 + 0.2 * random.random()
        yield "demand:"
        buyers = list(BUYERS)
        random.shuffle(buyers)
        del buyers[max(3, len(self.drawn.lots)) :]
        for name, cut in self.scenario.cuts.items():
            base = price_of(cut)
            draws = [random.random() for _ in range(10)]
            days = dict(spread(random, self.drawn.weekdays, 3 if cut.kind == "ground" else 2))
            supply = self.given.cuts.get(name, 0.0)
            if base is None or draws[0] < 0.12 or supply <= 0.0:
                continue
            most = 1.2 if cut.kind in SOLD_ALONE else 2.4
            want = supply * (0.6 + (most - 0.6) * draws[1])
            unit = "each" if cut.by_each else "lb"
            price = _price(base * level * (0.9 + 0.22 * draws[2]), cut.by_each)
            parts = [f"price: {price:.2f}/{unit}"]
            wants = self._wants(want, days, draws[3] < 0.35, unit)
            if wants:
                parts.append(f"want: {wants}")
            less = _price(price * (0.74 + 0.14 * draws[4]), cut.by_each)
            more = self._wants(
                want * (0.2 + 0.3 * draws[5]), dict([*days.items()][-2:]), False, unit
            )
            if draws[6] < 0.25 and wants and more and less < price:
                parts.append(f"markdown: {{price: {less:.2f}/{unit}, want: {more}}}")
            order = self._order(name, draws[7:], price, unit, buyers)
            if order:
                parts.append(f"orders: [{order}]")
            if len(parts) > 1:
                self.wanted.append(name)
                yield f"  {name}: {{{', '.join(parts)}}}"

    def _wants(self, want: float, days: dict[str, float], together: bool, unit: str) -> str:
        """A want as one amount, or by weekday; nothing where it comes to nothing."""
        times = fsum(days[day] * self.drawn.weekdays.count(day) for day in days)
        if together:
            return _amount(want, unit)
        shown = {day: _amount(want * share / times, unit) for day, share in days.items()}
        listed = ", ".join(f"{day}: {amount}" for day, amount in shown.items() if amount)
        return f"{{{listed}}}" if listed else ""

    def _order(
        self, cut: str, draws: list[float], price: float, unit: str, buyers: list[str]
    ) -> str:
        """An order for about one cut in ten, of less than what is surely there by then."""
        days, lots = self.drawn.days, self.drawn.lots
        first = min(lot.day for lot in lots)
        day = min(days - 1, first + 1 + int(draws[1] * (days - first - 1)))
        day -= day % 7 == 6
        ground = self.scenario.cuts[cut].kind == "ground"
        amount = self.given.by_day(cut, day) * (0.12 + (0.1 if ground else 0.25) * draws[2])
        shown = _amount(amount, unit)
        enough = unit == "each" or amount >= 1.5  # nobody is promised a slice
        if draws[0] > 0.1 or not shown or not enough or not buyers:
            return ""
        order = f"day: {written_day(day, days)}, amount: {shown}, for: {buyers.pop()}"
        own = _price(price * 0.92, unit == "each")
        return f"{{{order}, price: {own:.2f}/{unit}}}" if draws[0] < 0.05 else f"{{{order}}}"

    def case(self) -> Iterator[str]:
        """A little of a few cuts, left from the week before."""
        lines = []
        for name, cut in self.scenario.cuts.items():
            chance, share, fresh = (self.random.random() for _ in range(3))
            amount = self.given.cuts.get(name, 0.0) * (0.05 + 0.2 * share)
            shown = _amount(amount, "each" if cut.by_each else "lb")
            if chance < 0.08 and shown and name in self.wanted:
                keeps = 1 + int(fresh * min(3, cut.keeps - 1))
                days = "1 day" if keeps == 1 else f"{keeps} days"
                lines.append(f"  {name}: {{amount: {shown}, keeps: {days}}}")
        if lines:
            yield from ("", "case:", *lines)

    def rules(self) -> Iterator[str]:
        """Some decisions that can be kept: a way never cut, seldom cut, or cut at least once."""
        lines = []
        for recipe in self.scenario.recipes:
            for piece in recipe.pieces.values():
                chance, verb, share = (self.random.random() for _ in range(3))
                way = self.random.choice([*piece.ways])
                count = self.given.pieces.get(piece.name, 0.0)
                if chance > 0.1 or len(piece.ways) < 3 or piece.name in recipe.roots or count < 2:
                    continue
                if verb < 0.4:
                    lines.append(f"  - never {piece.name}: {way}")
                elif verb < 0.75:
                    most = max(1, round(count * (0.2 + 0.4 * share)))
                    lines.append(f"  - at most {most} {piece.name}: {way}")
                else:
                    least = max(1, round(count * 0.15 * share))
                    lines.append(f"  - at least {least} {piece.name}: {way}")
        if lines:
            yield from ("", "rules:", *lines)

    def ends(self) -> Iterator[str]:
        """What is left over."""
        yield ""
        yield f"carry: {5 * round(1 + 7 * self.random.random())}%"
        yield f"disposal: {0.05 + 0.15 * self.random.random():.2f}/lb"


def _price(exact: float, each: bool) -> float:
    """A price as shops write it: 12.49, 12.99; for one of something dear, whole."""
    if each:
        return max(1.0, float(round(exact)))
    return max(0.99, round(exact * 2) / 2 - 0.01)


def _amount(exact: float, unit: str) -> str:
    """An amount as people say it: whole from ten on, halves below; empty where it is nothing."""
    if unit == "each":
        return f"{round(exact)}" if round(exact) else ""
    rounded = round(exact) if exact >= 10 else round(exact * 2) / 2
    return f"{rounded:g} lb" if rounded else ""


@dataclass(frozen=True, slots=True)
class Week:
    """A generated week by its seed and sizes."""

    name: str
    seed: int
    lots: int
    days: int
    species: int
    head: int

    def text(self) -> str:
        """The scenario."""
        return shop_week(self.seed, self.lots, self.days, self.species, self.head)


_WEEKS = (
    *((1, 2, 6, 1, 4), (3, 3, 6, 1, 8), (5, 4, 6, 1, 12), (4, 2, 5, 1, 6), (12, 5, 6, 1, 16)),
    *((13, 3, 7, 1, 10), (7, 4, 5, 1, 20), (2, 2, 6, 2, 5), (8, 4, 6, 2, 10), (16, 3, 6, 1, 6)),
    *((34, 5, 7, 2, 14), (6, 2, 7, 1, 8), (19, 4, 6, 1, 30), (20, 3, 5, 2, 7), (23, 5, 6, 2, 24)),
    *((9, 2, 6, 1, 15), (30, 3, 6, 1, 24), (15, 4, 7, 2, 9), (17, 5, 6, 1, 9), (11, 3, 6, 2, 18)),
)

WEEKS = tuple(Week(f"week-{n:02}", *sizes) for n, sizes in enumerate(_WEEKS, start=1))
"""Twenty weeks of shops with one to three cutters: seed, lots, days, species, head.

The seeds are such that every species comes up, lamb most often.
"""


def plant() -> Week:
    """A plant: 20 lots, 12 days, 3 species, 2,000 head."""
    return Week("plant", 12, lots=20, days=12, species=3, head=2000)


_SEEDS = (3, 4, 13)  # lamb, veal, hog
_HEAD_SEEDS = (19, 20, 22)  # hog, beef, goat: no bench beyond what a file may have


def growth(kind: str) -> tuple[tuple[int, Week], ...]:
    """Weeks that differ in one size only, three of each, with that size.

    Parameters
    ----------
    kind : str
        `head`: in the same lots, wants and bench along with them; `lots`, `days`; `weeks`: days
        with lots and head in proportion, as a shop that plans further ahead has them.
    """
    sizes: dict[str, dict[int, tuple[int, int, int, int]]] = {
        "head": {head: (4, 6, 1, head) for head in (5, 50, 500, 5000)},
        "lots": {lots: (lots, 6, 1, 4 * lots) for lots in (2, 5, 10, 20)},
        "days": {days: (4, days, 1, 20) for days in (6, 12, 24)},
        "weeks": {days: (days // 2, days, 1, 2 * days) for days in (6, 12, 24)},
    }
    return tuple(
        (size, Week(f"{kind}-{size}-{seed}", seed, *each))
        for size, each in sizes[kind].items()
        for seed in (_HEAD_SEEDS if kind == "head" else _SEEDS)
    )


def main(arguments: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(
        prog="python -m tests.bench.generate",
        description="Write an invented scenario.",
        epilog="Example: python -m tests.bench.generate 7 --lots 3 --head 20 > seven.yaml",
    )
    parser.add_argument("seed", type=int)
    for name, default in {"lots": 4, "days": 6, "species": 1, "head": 12}.items():
        parser.add_argument(f"--{name}", type=int, default=default, help=f"default {default}")
    try:
        sys.stdout.write(shop_week(**vars(parser.parse_args(arguments))))
    except ValueError as error:
        parser.error(str(error))


if __name__ == "__main__":
    main()
