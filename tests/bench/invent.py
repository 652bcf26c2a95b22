"""What the invented shops of the benchmark are made of: animals, prices, and what head give.

Nothing here is drawn at random but through the `random.Random` handed in, and sums are `fsum`: the
same seed gives the same numbers on every machine and with every Python.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import fsum
from pathlib import Path
from random import Random

import yaml

from planner.core.recipe import Cut, Piece, Way
from planner.core.scenario import Scenario
from planner.files.scenario_file import read_scenario

STARTS = "2026-11-30"  # a Monday
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True, slots=True)
class Animal:
    """What hangs on an invented rail: how it is written, what it weighs, what it costs a pound."""

    recipe: str
    species: str
    word: str
    weights: tuple[float, float]
    cost: float


ANIMALS = {
    each.recipe: each
    for each in (
        Animal("lamb", "lamb", "head", (48, 66), 7.10),
        Animal("hog", "hog", "sides", (80, 105), 2.95),
        Animal("goat", "goat", "head", (30, 45), 6.60),
        Animal("veal", "veal", "sides", (78, 122), 5.40),
        Animal("beef-hind", "beef", "hindquarters", (150, 195), 4.60),
        Animal("beef-fore", "beef", "forequarters", (160, 205), 3.90),
    )
}

BOXED = {"lamb": "rack", "hog": "belly", "goat": "leg", "veal": "breast", "beef": "brisket"}
"""Pieces that a shop buys boxed when it needs more of them than its carcasses have."""

_PRICES: Mapping[str, Mapping[str, float]] = yaml.safe_load(
    Path(__file__).with_name("prices.yaml").read_text(encoding="utf-8")
)


def price_of(cut: Cut) -> float | None:
    """What a pound, or one, of a cut costs before a shop makes it its own; None: not sold."""
    names = (cut.name, cut.name.removeprefix(f"{cut.species} "))
    tables = (_PRICES[cut.species], _PRICES["mixed"])
    return next((table[name] for table in tables for name in names if name in table), None)


def read_text(text: str, name: str = "invented") -> Scenario:
    """The scenario that a text says."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{name}.yaml"
        path.write_text(text, encoding="utf-8")
        return read_scenario(path, name)[0]


def bare(recipes: Sequence[str], rail: Sequence[str], days: int) -> Scenario:
    """A scenario with nothing but its rail: the recipes read together, the names as one writes."""
    lines = "".join(f"  - {{{lot}}}\n" for lot in rail)
    head = f"title: x\nstarts: {STARTS}\ndays: {days}\nrecipes: [{', '.join(recipes)}]\n"
    return read_text(f"{head}unit: lb\nmoney: $\nrail:\n{lines}demand: {{}}\n")


@dataclass(frozen=True, slots=True)
class Habit:
    """How a shop would cut if every way had its share of the pieces.

    Attributes
    ----------
    shares : mapping of (str, str) to float
        Share of a piece's head that is cut in a way; those of a piece add up to 1.
    """

    shares: Mapping[tuple[str, str], float]

    def of(self, scenario: Scenario, lot: int) -> tuple[dict[str, float], dict[str, float], float]:
        """What one head of a lot gives: pieces, cuts (pounds or each), and the minutes it takes."""
        rail = scenario.lots[lot]
        weights = rail.weights()
        pieces = dict.fromkeys(weights, 0.0)
        pieces[rail.piece] = 1.0
        cuts: dict[str, float] = {}
        minutes = []
        for piece, way in scenario.ways(rail):
            number = pieces[piece.name] * self.shares[piece.name, way.name]
            minutes.append(number * way.minutes)
            for given in way.pieces:
                pieces[given.name] += number * given.count
            for given in way.cuts:
                each = scenario.cuts[given.name].by_each
                amount = given.count if each else weights[piece.name] * given.share
                cuts[given.name] = cuts.get(given.name, 0.0) + number * amount
        return pieces, cuts, fsum(minutes)


def habit(random: Random, scenario: Scenario) -> Habit:
    """A shop's habit, drawn at random: seldom whole animals as they hang, seldom all trim."""
    shares = {}
    for recipe in scenario.recipes:
        for piece in recipe.pieces.values():
            drawn = {
                way: _liking(piece, each, recipe.roots) * (0.3 + random.random())
                for way, each in piece.ways.items()
            }
            total = fsum(drawn.values())
            shares.update({(piece.name, way): each / total for way, each in drawn.items()})
    return Habit(shares)


def _liking(piece: Piece, way: Way, roots: Sequence[str]) -> float:
    if piece.name in roots and not way.pieces:
        return 0.02
    return 0.4 if way.name == "trim" else 1.0
