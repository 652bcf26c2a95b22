"""The lines a plan consists of: breaks, cuts, sales, batches and the rest. All frozen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from planner.core.recipe import Way
from planner.core.scenario import BreakKey, Scenario


@dataclass(frozen=True, slots=True)
class Break:
    """Some pieces of a lot cut the same way on the same day; `weight` in pounds of all of them."""

    day: int
    lot: int
    species: str
    piece: str
    way: str
    count: int
    weight: float
    minutes: float


@dataclass(frozen=True, slots=True)
class CutLine:
    """What became of a cut: pounds, or each. On hand + made = sold + blended + wasted + left.

    `unmet` is what was wanted at full price, or ordered, and not to be had.
    """

    cut: str
    species: str
    by_each: bool
    on_hand: float
    made: float
    sold: float
    revenue: float
    blended: float
    wasted: float
    left: float
    unmet: float


@dataclass(frozen=True, slots=True)
class Sale:
    """Some of a cut sold on a day; `to` is walk-in, markdown, or the buyer's name.

    `order` is the index of the order it fills, None over the counter.
    """

    day: int
    cut: str
    amount: float
    price: float
    to: str
    order: int | None = None


@dataclass(frozen=True, slots=True)
class Batch:
    """A blend made on a day: pounds out, and pounds in by cut.

    `fat` is the share of what went in, None where it is not known; `batches` their number, None
    where the blend is made in any amount.
    """

    day: int
    blend: str
    made: float
    fat: float | None
    takes: Mapping[str, float]
    minutes: float
    batches: int | None = None


@dataclass(frozen=True, slots=True)
class Short:
    """An order that cannot be filled in full, and what binds."""

    order: int
    day: int
    cut: str
    buyer: str
    ordered: float
    short: float
    binds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Later:
    """An order for a day after the period: not planned yet, but held for as far as can be.

    Attributes
    ----------
    day : int
        Beyond the period.
    ordered, held : float
        Pounds, or each; what can be had of what the plan leaves in date on that day.
    whole : tuple of (species, piece, count)
        Pieces left whole to be cut for it, and for others that are cut on the same day.
    why : str
        Where not all is held. blend: it is ground, and nobody grinds so early. keeps: nothing that
        there is or that comes is in date then. left: no more is left, the orders of the period
        come first.
    """

    order: int
    day: int
    cut: str
    buyer: str
    ordered: float
    held: float
    whole: tuple[tuple[str, str, int], ...]
    why: Literal["", "blend", "keeps", "left"]

    @property
    def full(self) -> bool:
        """Whether all of it is held."""
        return not self.why


@dataclass(frozen=True, slots=True)
class Uncut:
    """Pieces not cut: `left` in date on the day after the last, or `wasted`."""

    lot: int
    piece: str
    count: int
    weight: float
    wasted: bool


@dataclass(frozen=True, slots=True)
class Bought:
    """Head bought of a lot that may be."""

    lot: int
    head: int
    weight: float
    cost: float


@dataclass(frozen=True, slots=True)
class BenchDay:
    """Minutes of a day: used, available on the bench (None: no limit), and over it."""

    day: int
    minutes: float
    available: float | None
    overtime: float


def breaks_of(scenario: Scenario, counts: Mapping[BreakKey, int]) -> tuple[Break, ...]:
    """Breaks in the order of the work: by day, lot, and from the carcass down.

    `counts` are the pieces cut, by lot, piece, way and day.
    """
    lots = [scenario.lots[lot] for lot in {key[0] for key, count in counts.items() if count}]
    weights = {lot.index: lot.weights() for lot in lots}
    places = {
        (lot.index, piece.name, way.name): place
        for lot in lots
        for place, (piece, way) in enumerate(scenario.ways(lot))
    }
    return tuple(
        Break(
            day=day,
            lot=lot,
            species=scenario.lots[lot].recipe.species,
            piece=piece,
            way=way,
            count=count,
            weight=count * weights[lot][piece],
            minutes=count * scenario.lots[lot].recipe.pieces[piece].ways[way].minutes,
        )
        for (lot, piece, way, day), count in sorted(
            ((key, count) for key, count in counts.items() if count),
            key=lambda each: (each[0][3], each[0][0], places[each[0][:3]]),
        )
    )


def way_cut(scenario: Scenario, each: Break) -> Way:
    """The way in which the pieces of a break are cut."""
    return scenario.lots[each.lot].recipe.pieces[each.piece].ways[each.way]
