"""One invented shop, drawn at random part by part, and written as the text of a scenario.

Every draw is made whatever the head: a shop with ten times the head wants ten times as much and has
ten times the bench, and is otherwise the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from math import floor, fsum
from random import Random

from planner.core.scenario import Scenario
from tests.bench.invent import (
    ANIMALS,
    BOXED,
    STARTS,
    WEEKDAYS,
    Animal,
    Habit,
    bare,
    habit,
    price_of,
)

BUSY = dict(zip(WEEKDAYS, (8, 10, 12, 15, 25, 30, 12), strict=True))
BUYERS = (
    "a bistro on the corner",
    "a school kitchen",
    "a small hotel",
    "a birthday table",
    "a hospital kitchen",
    "the smokehouse across the yard",
    "a village feast",
    "a restaurant by the bridge",
    "a barbecue club",
    "two family tables",
)
SOLD_ALONE = ("bone", "fat")


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot as it is drawn: its share of all the head is known, its head is not yet."""

    what: str
    word: str
    weight: float
    cost: float
    day: int
    up_to: bool
    part: float


@dataclass(frozen=True)
class Drawn:
    """Everything that does not depend on how many head there are."""

    random: Random
    days: int
    animals: tuple[Animal, ...]
    lots: tuple[Lot, ...]
    heads: tuple[int, ...]

    @cached_property
    def recipes(self) -> list[str]:
        """Recipes, and the blends of several species where there are several."""
        names = [animal.recipe for animal in self.animals]
        return [*names, "blends"] if len({each.species for each in self.animals}) > 1 else names

    @cached_property
    def weekdays(self) -> tuple[str, ...]:
        """The weekday of each day."""
        return tuple(WEEKDAYS[day % 7] for day in range(self.days))

    def rail(self) -> list[str]:
        """The lots as they are written."""
        lines = []
        for lot, head in zip(self.lots, self.heads, strict=True):
            number = f"up to {head}" if lot.up_to else f"{head}"
            word = f" {lot.word}" if lot.word else ""
            arrives = written_day(lot.day, self.days)
            cost = f"{lot.cost:.2f}/lb"
            size = f"{number}{word} at {lot.weight:g} lb"
            lines.append(f"{lot.what}: {size}, arrives: {arrives}, cost: {cost}")
        return lines


def draw(random: Random, lots: int, days: int, species: int, head: int) -> Drawn:
    """Animals and lots."""
    animals = _animals(random, species, lots)
    rail = _lots(random, animals, lots, days)
    return Drawn(random, days, animals, rail, heads_of(rail, head))


def _animals(random: Random, species: int, lots: int) -> tuple[Animal, ...]:
    names = ["lamb", "hog", "goat", "veal", "beef"]
    random.shuffle(names)
    both, quarter = random.random() < 0.6, random.choice(("beef-hind", "beef-fore"))
    chosen: list[Animal] = []
    for name in names[:species]:
        if name != "beef":
            chosen.append(ANIMALS[name])
        elif both and lots > species:
            chosen += [ANIMALS["beef-hind"], ANIMALS["beef-fore"]]
        else:
            chosen.append(ANIMALS[quarter])
    return tuple(chosen)


def _lots(random: Random, animals: Sequence[Animal], lots: int, days: int) -> tuple[Lot, ...]:
    """Every animal has a lot; the first arrives on the first day, the others later on."""
    drawn = []
    last = max(1, round(days * (0.6 if days <= 7 else 0.75)))
    for number in range(lots):
        animal = animals[number % len(animals)]
        low, high = animal.weights
        weight = round(low + (high - low) * random.random())
        cost = round(animal.cost * (0.92 + 0.18 * random.random()), 2)
        day = int(last * random.random()) if number else 0
        day -= day % 7 == 6  # closed on a Sunday
        again = number >= len(animals)
        up_to = random.random() < 0.3 and again
        part = 0.5 + random.random()
        boxed = random.random() < 0.12 and again
        if boxed:
            drawn.append(_boxed(animal, weight, cost, day))
        else:
            drawn.append(Lot(animal.species, animal.word, weight, cost, day, up_to, part))
    return tuple(sorted(drawn, key=lambda lot: lot.day))


def _boxed(animal: Animal, weight: float, cost: float, day: int) -> Lot:
    """Boxed pieces, dearer by the pound than the whole animal."""
    piece = BOXED[animal.species] if animal.recipe != "beef-hind" else "knuckle"
    scenario = bare([animal.recipe], [f"{animal.species}: 1 {animal.word} at {weight} lb"], 1)
    one = round(scenario.lots[0].weights()[piece], 1)
    return Lot(piece, "", one, round(cost * 1.9, 2), day, True, 0.0)


def heads_of(lots: Sequence[Lot], head: int) -> tuple[int, ...]:
    """The head of each lot: in proportion, at least one; boxed pieces two for every five head."""
    live = [lot for lot in lots if lot.part]
    if head < len(live):
        raise ValueError(f"{head} head for {len(live)} lots: every lot has at least one")
    total = fsum(lot.part for lot in live)
    spare = head - len(live)
    exact = [spare * lot.part / total for lot in live]
    counts = [1 + floor(each) for each in exact]
    rests = sorted(range(len(live)), key=lambda n: (floor(exact[n]) - exact[n], n))
    for n in rests[: head - sum(counts)]:
        counts[n] += 1
    waiting = iter(counts)
    return tuple(next(waiting) if lot.part else max(2, head * 2 // 5) for lot in lots)


def written_day(day: int, days: int) -> str:
    """A day as `arrives` and an order say it: a date where a weekday may come twice."""
    if days <= 7:
        return WEEKDAYS[day % 7]
    return (date.fromisoformat(STARTS) + timedelta(days=day)).isoformat()


@dataclass(frozen=True, slots=True)
class Supply:
    """What the head give when cut by habit.

    Attributes
    ----------
    cuts : mapping of str to float
        Pounds or each over the period, what may be bought counted half.
    by_lot : list of (day, fixed, mapping)
        The same lot by lot, with the day it arrives and whether it comes anyway.
    pieces : mapping of str to float
        Pieces that come by.
    minutes : float
    """

    cuts: Mapping[str, float]
    by_lot: Sequence[tuple[int, bool, Mapping[str, float]]]
    pieces: Mapping[str, float]
    minutes: float

    def by_day(self, cut: str, day: int) -> float:
        """Of a cut from what is surely there on the day before a day, or that day if the first."""
        ready = max(0, day - 1)
        return fsum(
            given.get(cut, 0.0)
            for arrives, fixed, given in self.by_lot
            if fixed and arrives <= ready
        )


def supply(drawn: Drawn, scenario: Scenario, ways: Habit) -> Supply:
    """What the head of a rail give, blends counted among the cuts."""
    by_lot, pieces, minutes = [], {}, []
    grind = _grind(drawn.random, scenario)
    for number, (lot, head) in enumerate(zip(drawn.lots, drawn.heads, strict=True)):
        came, cuts, took = ways.of(scenario, number)
        blended = grind.of(cuts)
        share = head * (0.5 if lot.up_to else 1.0)
        by_lot.append((lot.day, not lot.up_to, {k: v * head for k, v in blended.items()}))
        for name, count in came.items():
            if not lot.up_to:
                pieces[name] = pieces.get(name, 0.0) + count * head
        minutes.append(share * (took + grind.minutes(blended)))
    shares = [0.5 if lot.up_to else 1.0 for lot in drawn.lots]
    total = {
        cut: fsum(
            share * given.get(cut, 0.0) for share, (_, _, given) in zip(shares, by_lot, strict=True)
        )
        for cut in scenario.cuts
    }
    return Supply(total, by_lot, pieces, fsum(minutes))


@dataclass(frozen=True, slots=True)
class _Grind:
    """How trim, fat and bones are shared among what takes them; the rest is sold as it is."""

    scenario: Scenario
    parts: Mapping[tuple[str, str], float]

    def of(self, cuts: Mapping[str, float]) -> dict[str, float]:
        """Cuts after the grinder has had its share."""
        made = dict(cuts)
        for (blend, cut), part in self.parts.items():
            amount = cuts.get(cut, 0.0) * part
            gain = self.scenario.blends[blend].gain
            made[blend] = made.get(blend, 0.0) + amount * gain
            made[cut] = made.get(cut, 0.0) - amount
        return made

    def minutes(self, cuts: Mapping[str, float]) -> float:
        """Bench minutes for the blends."""
        return fsum(
            each.minutes * cuts.get(name, 0.0) for name, each in self.scenario.blends.items()
        )


def _grind(random: Random, scenario: Scenario) -> _Grind:
    weights = {name: 0.4 + random.random() for name in scenario.blends}
    parts = {}
    for name, cut in scenario.cuts.items():
        takers = [blend for blend, each in scenario.blends.items() if name in each.takes]
        total = fsum(weights[blend] for blend in takers)
        sold = price_of(cut) is not None
        for blend in takers:
            # much of the fat never finds its way into a grind with a fat limit
            used = 0.15 if cut.kind == "fat" and scenario.blends[blend].fat[1] < 1 else 0.9
            parts[blend, name] = used * (0.5 if sold else 1.0) * weights[blend] / total
    return _Grind(scenario, parts)


def spread(random: Random, weekdays: Sequence[str], least: int) -> Iterator[tuple[str, float]]:
    """A part of the whole for some weekdays, busy ones sooner; of several such days, of each."""
    open_days = [day for day in WEEKDAYS if day in weekdays and day != "sun"]
    draws = [(random.random() ** 2 / BUSY[day], day) for day in open_days]
    number = min(len(open_days), least + int(4 * random.random()))
    chosen = [day for day in open_days if day in {name for _, name in sorted(draws)[:number]}]
    weights = {day: BUSY[day] * (0.6 + 0.8 * random.random()) for day in open_days}
    total = fsum(weights[day] * weekdays.count(day) for day in chosen)
    for day in chosen:
        yield day, weights[day] / total


def start(drawn: Drawn) -> tuple[Scenario, Supply]:
    """The recipes read, and what the head would give."""
    scenario = bare(drawn.recipes, drawn.rail(), drawn.days)
    return scenario, supply(drawn, scenario, habit(drawn.random, scenario))
