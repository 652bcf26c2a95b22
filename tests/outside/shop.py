"""What a scenario comes to: pounds, minutes, money and day numbers 0..D-1.

Prices of cuts sold by weight are money a pound; shares are fractions of 1.
"""

from __future__ import annotations

from dataclasses import dataclass, field

MIXED = "mixed"  # the species of a blend that takes from several


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
class Limit:
    """What a group of cuts may be of all that goes into a blend, as shares of the weight in."""

    group: tuple[str, ...]
    low: float
    high: float


@dataclass(frozen=True)
class Blend:
    trims: tuple[str, ...]
    fat: tuple[float, float] | None  # least and most; None: no limit
    limits: tuple[Limit, ...]
    out: float  # pounds made of a pound that goes in
    batch: float | None  # pounds made are a whole number of these; None: any weight
    minutes: float  # a pound of blend made


@dataclass(frozen=True)
class Cut:
    """A cut, or a blend where `blend` is set."""

    species: str
    keeps: int
    each: bool
    fat: float | None  # None: not known
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
class BlendRule:
    """A rule on what of a cut goes into a blend over the whole period."""

    kind: str  # all, never, at least, at most
    pounds: float
    cut: str
    blend: str


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
    blend_rules: tuple[BlendRule, ...]
    carry: float
    disposal: float
    pound: float = field(default=1.0)  # pounds in one unit of the scenario

    def blends(self) -> dict[str, Blend]:
        return {name: thing.blend for name, thing in self.cuts.items() if thing.blend}

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
