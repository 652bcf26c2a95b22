"""Entries of the journal: what happened in the shop. Frozen, in pounds, each and money.

Names are written with their species in front (`planner.recipe.full_name`), so that an entry means
the same when the shop uses another recipe beside those of today.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal, TypeAlias

Moment = Literal["open", "close"]
"""When things are counted: before anything of the day is cut or sold, or after all of it."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """Head or pieces that arrive on a day; a day to come is what is expected.

    Attributes
    ----------
    what : str
        The piece that arrives: a recipe's root, or a boxed piece.
    head : int
        How many.
    pounds : tuple of float
        The weight of each as it was on the scale; one weight where all weigh the same.
    cost : float or None
        Money a pound, where it is known.
    """

    day: date
    what: str
    head: int
    pounds: tuple[float, ...]
    cost: float | None = None

    @property
    def each(self) -> tuple[float, ...]:
        """Pounds of each of them."""
        return self.pounds if len(self.pounds) == self.head else self.pounds[:1] * self.head

    @property
    def total(self) -> float:
        """Pounds of all of them."""
        return sum(self.each)


@dataclass(frozen=True, slots=True)
class Count:
    """How much of a cut lies in the case, or how many of a piece in the cooler.

    All that one writing says of a thing, a day and a moment is one count, and takes the place of
    whatever was reckoned or counted before for that moment. A count of nothing says that there is
    none.

    Attributes
    ----------
    what : str
        A cut, a blend or a piece.
    amount : float
        Pounds, or each (`by_each`); pieces are counted by each.
    made : date or None
        The day it was made or arrived; None where nobody knows, and it is taken as made that day.
    pounds : float or None
        Of pieces: what all of them weigh, where it is known.
    """

    day: date
    at: Moment
    what: str
    amount: float
    by_each: bool
    made: date | None = None
    pounds: float | None = None


@dataclass(frozen=True, slots=True)
class Weighed:
    """One thing that a break gave or a batch took: pounds, and how many where it is counted.

    `count` is None for a cut by weight; `pounds` is None where it was counted and not weighed.
    """

    what: str
    count: int | None
    pounds: float | None


@dataclass(frozen=True, slots=True)
class BreakDone:
    """Pieces that were cut in a way on a day.

    Attributes
    ----------
    pounds : float or None
        What all the pieces weighed before, where they were weighed.
    gave : tuple of Weighed
        What was weighed of what they gave; what is not in it is reckoned by the recipe.
    """

    day: date
    piece: str
    way: str
    count: int
    pounds: float | None = None
    gave: tuple[Weighed, ...] = ()


@dataclass(frozen=True, slots=True)
class BatchMade:
    """A blend that was made: pounds out, and what was taken for it."""

    day: date
    blend: str
    pounds: float
    took: tuple[Weighed, ...] = ()


@dataclass(frozen=True, slots=True)
class Sold:
    """What was sold of a cut over the counter on a day; orders that are picked up are `Filled`.

    Attributes
    ----------
    amount : float
        Pounds, or each (`by_each`).
    money : float or None
        What was taken for all of it.
    sold_out : bool
        Whether more would have been bought: it was gone before the day was over.
    """

    day: date
    cut: str
    amount: float
    by_each: bool
    money: float | None = None
    sold_out: bool = False


@dataclass(frozen=True, slots=True)
class Wasted:
    """What was thrown away of a cut or a piece: pounds, or each."""

    day: date
    what: str
    amount: float
    by_each: bool


@dataclass(frozen=True, slots=True)
class OrderTaken:
    """A promise to a buyer for a day; `price` per pound or each, None: the full price."""

    day: date
    cut: str
    amount: float
    by_each: bool
    buyer: str
    price: float | None = None


@dataclass(frozen=True, slots=True)
class Filled:
    """An order, or part of one, that was picked up on a day; `order` is the number of its entry."""

    day: date
    order: int
    amount: float


@dataclass(frozen=True, slots=True)
class PlanKept:
    """A plan as it was told, as JSON text (`planner.shop.plans.kept`); `day` is its first."""

    day: date
    plan: str


@dataclass(frozen=True, slots=True)
class YieldsWritten:
    """The shares of a way were written into the shop's recipe, its tests up to then counted in.

    `weight` is how many tests these shares are worth from now on.
    """

    day: date
    piece: str
    way: str
    weight: float


@dataclass(frozen=True, slots=True)
class Undone:
    """A counter-entry: what a writing entered does not count. `day` is that of the undoing."""

    day: date
    writing: int


Entry: TypeAlias = (
    Delivery
    | Count
    | BreakDone
    | BatchMade
    | Sold
    | Wasted
    | OrderTaken
    | Filled
    | PlanKept
    | YieldsWritten
    | Undone
)


@dataclass(frozen=True, slots=True)
class Recorded:
    """An entry as it stands in the journal.

    Attributes
    ----------
    number : int
        Of the entry, from 1; never used twice.
    writing : int
        Entries that were entered together have the same; they are there all or not at all.
    entered : datetime
        When, with its time zone (UTC).
    """

    number: int
    writing: int
    entered: datetime
    entry: Entry
