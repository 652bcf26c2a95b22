"""A small reader of recipe and scenario files for the checks of this folder.

It takes files that are sound, gives no messages, and hands out everything in pounds, minutes,
money and day numbers 0..D-1. Prices of cuts sold by weight are money a pound.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

import yaml

from .amounts import POUNDS_PER, Calendar, amount, number, percent, price, spread, weight

REPO = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Way:
    minutes: float
    pieces: dict[str, tuple[int, float]]  # piece: how many, share of the parent's weight of each
    cuts: dict[str, tuple[int, float]]  # the same; by weight always (1, share)
    loss: float


@dataclass(frozen=True)
class Piece:
    species: str
    keeps: int
    ways: dict[str, Way]


@dataclass(frozen=True)
class Blend:
    trims: tuple[str, ...]
    low: float
    high: float
    added: float
    minutes: float  # a pound of blend made


@dataclass(frozen=True)
class Cut:
    """A cut, or a blend where `blend` is set."""

    species: str
    keeps: int
    each: bool
    fat: float
    blend: Blend | None = None


@dataclass(frozen=True)
class Lot:
    piece: str
    count: int
    weight: float
    arrives: int
    keeps: int
    up_to: bool
    cost: float  # a pound


@dataclass(frozen=True)
class Order:
    cut: str
    day: int
    amount: float
    price: float
    buyer: str


@dataclass(frozen=True)
class Demand:
    price: float
    want: tuple[float, ...]
    markdown_price: float = 0.0
    markdown: tuple[float, ...] = ()


@dataclass(frozen=True)
class Rule:
    kind: str  # all, never, at least, at most
    number: int
    piece: str
    way: str


@dataclass(frozen=True)
class Shop:
    title: str
    unit: str
    money: str
    days: tuple[str, ...]
    pieces: dict[str, Piece]
    cuts: dict[str, Cut]
    lots: tuple[Lot, ...]
    bench: tuple[float, ...] | None
    overtime_limit: float
    overtime_cost: float
    case: dict[str, tuple[float, int]]
    demand: dict[str, Demand]
    orders: tuple[Order, ...]
    rules: tuple[Rule, ...]
    carry: float
    disposal: float
    pound: float = field(default=1.0)  # pounds in one unit of the scenario

    def weights(self, lot: Lot) -> dict[str, float]:
        """Weight of one piece of each name that can come out of a lot."""
        found = {lot.piece: lot.weight}
        waiting = [lot.piece]
        while waiting:
            parent = waiting.pop()
            for way in self.pieces[parent].ways.values():
                for child, (_, share) in way.pieces.items():
                    found[child] = found[parent] * share
                    waiting.append(child)
        return found

    def price(self, cut: str) -> float:
        return self.demand[cut].price if cut in self.demand else 0.0

    def value(self, piece: str, weight: float) -> float:
        """Full-price value of a whole piece: the best of its ways, rules left aside."""
        best = 0.0
        for way in self.pieces[piece].ways.values():
            total = 0.0
            for cut, (count, share) in way.cuts.items():
                total += self.price(cut) * (count if self.cuts[cut].each else weight * share)
            for child, (count, share) in way.pieces.items():
                total += count * self.value(child, weight * share)
            best = max(best, total)
        return best

    def last_day(self, lot: Lot, piece: str, made: int) -> int:
        """Last day on which a piece of a lot that arrived or was made on a day may be cut."""
        keeps = lot.keeps if piece == lot.piece else self.pieces[piece].keeps
        return made + keeps - 1


def load(path: Path) -> dict[str, Any]:
    """Every scalar as the text that stands there, so that dates and yes/no stay words."""
    return yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506


def gives(text: str) -> tuple[int, float]:
    count, at, share = text.rpartition(" at ")
    return (int(number(count)) if at else 1), percent(share)


def read_recipe(recipe: dict[str, Any], name: Any) -> tuple[dict[str, Piece], dict[str, Cut]]:
    """Pieces and cuts of one recipe under the names the scenario uses."""
    species, unit = recipe["species"], recipe.get("unit", "lb")
    pieces: dict[str, Piece] = {}
    cuts: dict[str, Cut] = {}
    for piece, entry in recipe["pieces"].items():
        ways = {}
        for way, parts in entry["ways"].items():
            split = {thing: gives(text) for thing, text in parts["gives"].items()}
            ways[way] = Way(
                number(parts.get("minutes", "0")),
                {name(species, k): v for k, v in split.items() if k in recipe["pieces"]},
                {name(species, k): v for k, v in split.items() if k in recipe["cuts"]},
                split.get("loss", (1, 0.0))[1],
            )
        pieces[name(species, piece)] = Piece(species, int(number(entry["keeps"])), ways)
    for cut, entry in recipe["cuts"].items():
        fat = 1 - percent(entry["lean"]) if "lean" in entry else float(entry["kind"] == "fat")
        each = entry.get("sold by") == "each"
        cuts[name(species, cut)] = Cut(species, int(number(entry["keeps"])), each, fat)
    for blend, entry in (recipe.get("blends") or {}).items():
        low, high = (percent(part) for part in entry.get("fat", "0% to 100%").split(" to "))
        figure, _, per = str(entry.get("minutes", "0")).partition(" per ")
        cuts[name(species, blend)] = Cut(
            species,
            int(number(entry["keeps"])),
            False,
            0.0,
            Blend(
                tuple(name(species, trim) for trim in entry["from"]),
                low,
                high,
                percent(entry.get("added", "0%")),
                number(figure) / POUNDS_PER[per.strip() or unit],
            ),
        )
    return pieces, cuts


def read_shop(scenario_path: str | Path) -> Shop:
    path = Path(scenario_path)
    scenario = load(path)
    recipes = []
    for entry in scenario["recipes"]:
        near = path.parent / entry
        recipes.append(load(near if near.is_file() else REPO / "recipes" / f"{entry}.yaml"))

    owners: dict[str, set[str]] = {}
    for recipe in recipes:
        for part in ("pieces", "cuts", "blends"):
            for word in recipe.get(part) or {}:
                owners.setdefault(word, set()).add(recipe["species"])

    def name(species: str, word: str) -> str:
        return f"{species} {word}" if len(owners[word]) > 1 else word

    pieces: dict[str, Piece] = {}
    cuts: dict[str, Cut] = {}
    for recipe in recipes:
        more_pieces, more_cuts = read_recipe(recipe, name)
        pieces.update(more_pieces)
        cuts.update(more_cuts)
    roots = {recipe["species"]: name(recipe["species"], recipe["root"]) for recipe in recipes}
    unit = scenario.get("unit", "lb")
    calendar = Calendar(scenario.get("starts"), int(number(scenario["days"])))
    days = len(calendar.dates)

    lots = []
    for entry in scenario.get("rail") or []:
        (what,) = set(entry) - {"arrives", "cost", "keeps"}
        head, _, heavy = entry[what].rpartition(" at ")
        up_to = head.startswith("up to ")
        piece = what if what in pieces else roots[what]
        lots.append(
            Lot(
                piece,
                int(number(head.removeprefix("up to "))),
                weight(heavy, unit),
                calendar.day(entry["arrives"]) if "arrives" in entry else 0,
                int(number(entry["keeps"])) if "keeps" in entry else pieces[piece].keeps,
                up_to,
                price(entry.get("cost", "0"), False, unit),
            )
        )

    bench = scenario.get("bench")
    if isinstance(bench, dict):
        bench = tuple(number(text or "0") for text in calendar.by_day(bench))
    elif bench is not None:
        bench = (number(bench),) * days
    overtime = scenario.get("overtime") or {}

    traffic = [Fraction(1)] * days
    if "traffic" in scenario:
        shares = calendar.by_day(scenario["traffic"])
        traffic = [Fraction(str(text).strip(" %")) if text else Fraction(0) for text in shares]

    def by_day(want: Any, each: bool) -> tuple[float, ...]:
        if isinstance(want, dict):
            found = calendar.by_day(want)
            return tuple(amount(text, each, unit) if text else 0.0 for text in found)
        return spread(amount(want, each, unit), traffic, each)

    case = {}
    for cut, entry in (scenario.get("case") or {}).items():
        stock = entry if isinstance(entry, dict) else {"amount": entry}
        keeps = int(number(stock["keeps"])) if "keeps" in stock else cuts[cut].keeps
        case[cut] = (amount(stock["amount"], cuts[cut].each, unit), keeps)

    demand, orders = {}, []
    for cut, entry in (scenario.get("demand") or {}).items():
        each = cuts[cut].each
        full = price(entry["price"], each, unit) if "price" in entry else 0.0
        markdown = entry.get("markdown") or {"price": "0", "want": "0"}
        demand[cut] = Demand(
            full,
            by_day(entry.get("want", "0"), each),
            price(markdown["price"], each, unit),
            by_day(markdown["want"], each),
        )
        for order in entry.get("orders") or []:
            own = price(order["price"], each, unit) if "price" in order else full
            orders.append(
                Order(
                    cut,
                    calendar.day(order["day"]),
                    amount(order["amount"], each, unit),
                    own,
                    order.get("for", "an order"),
                )
            )

    rules = []
    for entry in scenario.get("rules") or []:
        for key, way in entry.items():
            found = re.fullmatch(r"(all|never|at least|at most) (?:(\d+) )?(.+)", key)
            assert found, key
            kind, head, piece = found.groups()
            rules.append(Rule(kind, int(head or 0), piece, way))

    return Shop(
        scenario.get("title", ""),
        unit,
        scenario.get("money", "$"),
        calendar.labels(),
        pieces,
        cuts,
        tuple(lots),
        bench,
        number(overtime.get("up to", "0")),
        number(overtime.get("cost", "0")),
        case,
        demand,
        tuple(orders),
        tuple(rules),
        percent(scenario.get("carry", "0%")),
        price(scenario.get("disposal", "0"), False, unit),
        POUNDS_PER[unit],
    )
