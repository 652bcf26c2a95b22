"""Entries of the journal: what happened in the shop. Frozen, in pounds, each and money.

Names are written with their species in front (`planner.core.recipe.full_name`), so that an entry
means the same when the shop uses another recipe beside those of today. What a field holds is
declared beside it (`fields.py`); `KINDS` has all kinds with their names.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Literal, TypeAlias

from planner.core.units import Quantity
from planner.journal.fields import Field

Moment = Literal["open", "close"]
"""When things are counted: before anything of the day is cut or sold, or after all of it."""

_Day: TypeAlias = Annotated[date, Field("day", "the day", "day")]
_Amount: TypeAlias = Annotated[float, Field("amount", "the amount", "amount")]
_Quantity: TypeAlias = Annotated[Quantity, Field("quantity", "the amount", "amount")]
_Piece: TypeAlias = Annotated[str, Field("name", "the piece", "what")]
_Cut: TypeAlias = Annotated[str, Field("name", "the cut", "what")]
_Way: TypeAlias = Annotated[str, Field("way", "the way", "way")]


@dataclass(frozen=True, slots=True)
class Delivery:
    """Head or pieces that arrive on a day; a day to come is what is expected.

    `what` is a recipe's root, or a boxed piece. `pounds` is the weight of each as it was on the
    scale, or one weight where all weigh the same; `cost` is money a pound, where it is known.
    """

    day: _Day
    what: Annotated[str, Field("name", "what arrives", "what")]
    head: Annotated[int, Field("whole", "the head", "amount", "head")]
    pounds: Annotated[
        tuple[float, ...],
        Field("weights", "the weight", "weights", table="delivery_weight", above=True),
    ]
    cost: Annotated[float | None, Field("rate", "the cost", "price", "cost")] = None

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
    """How much of a cut or blend lies in the case, or how many of a piece in the cooler.

    All that one writing says of a thing, a day and a moment is one count, and takes the place of
    whatever was expected or counted before for that moment. A count of nothing says that there is
    none. Pieces are counted by each; `pounds` is what all of them weigh, where it is known. `made`
    is the day it was made or arrived; where nobody knows, it is taken as made that day.
    """

    day: _Day
    at: Annotated[Moment, Field("moment", "the moment of a count", "at")]
    what: Annotated[str, Field("name", "what was counted", "what")]
    quantity: _Quantity
    made: Annotated[date | None, Field("day", "the day it was made", "made")] = None
    pounds: Annotated[float | None, Field("weight", "the weight", "weight")] = None


@dataclass(frozen=True, slots=True)
class Weighed:
    """One thing that a break gave or a batch took: pounds, and how many where it is counted.

    `count` is None for a cut by weight; `pounds` is None where it was counted and not weighed.
    """

    what: Annotated[str, Field("name", "what was weighed", "what")]
    count: Annotated[int | None, Field("whole", "the count", "count")]
    pounds: Annotated[float | None, Field("weight", "the weight", "weight")]


@dataclass(frozen=True, slots=True)
class BreakDone:
    """Pieces that were cut in a way on a day.

    `pounds` is what all of them weighed before, where they were weighed; `gave` what was weighed of
    what they gave: what is not in it is by the recipe.
    """

    day: _Day
    piece: _Piece
    way: _Way
    count: Annotated[int, Field("whole", "the count", "amount", "count")]
    pounds: Annotated[float | None, Field("weight", "the weight before", "weight", above=True)] = (
        None
    )
    gave: Annotated[tuple[Weighed, ...], Field("things", "", "parts", "gave", "break_gave")] = ()


@dataclass(frozen=True, slots=True)
class BatchMade:
    """A blend that was made: pounds out, and what was taken for it."""

    day: _Day
    blend: Annotated[str, Field("name", "the blend", "what")]
    pounds: Annotated[float, Field("amount", "the weight", "amount")]
    took: Annotated[tuple[Weighed, ...], Field("things", "", "parts", "took", "batch_took")] = ()


@dataclass(frozen=True, slots=True)
class Sold:
    """What was sold of a cut over the counter on a day; orders that are picked up are `Filled`.

    `money` is what was taken for all of it; `sold_out`: more would have been bought, for it was
    gone before the day was over.
    """

    day: _Day
    cut: _Cut
    quantity: _Quantity
    money: Annotated[float | None, Field("money", "the money", "money")] = None
    sold_out: Annotated[bool, Field("flag", "", "sold out")] = False


@dataclass(frozen=True, slots=True)
class Wasted:
    """What was thrown away of a cut or a piece."""

    day: _Day
    what: Annotated[str, Field("name", "what was wasted", "what")]
    quantity: _Quantity


@dataclass(frozen=True, slots=True)
class OrderTaken:
    """A promise to a buyer for a day; `price` per pound or each, None: the full price."""

    day: _Day
    cut: _Cut
    quantity: _Quantity
    buyer: Annotated[str, Field("text", "the buyer", "buyer", "for")]
    price: Annotated[float | None, Field("rate", "the price", "price")] = None


@dataclass(frozen=True, slots=True)
class Filled:
    """An order, or part of one, that was picked up on a day; `order` is the number of its entry.

    `amount` is in pounds or each, as the order has it.
    """

    day: _Day
    order: Annotated[int, Field("reference", "order", "order")]
    amount: _Amount


@dataclass(frozen=True, slots=True)
class PlanKept:
    """A plan as it was told, as JSON text (`planner.shop.plans.posted`); `day` is its first."""

    day: _Day
    plan: Annotated[str, Field("plan", "the plan", "plan")]


@dataclass(frozen=True, slots=True)
class YieldsWritten:
    """The shares of a way were written into the shop's recipe, its tests up to then counted in.

    `weight` is how many tests these shares are worth from now on.
    """

    day: _Day
    piece: _Piece
    way: _Way
    weight: Annotated[float, Field("number", "the number of tests", "tests")]


@dataclass(frozen=True, slots=True)
class Undone:
    """A counter-entry: what a writing entered does not count. `day` is that of the undoing."""

    day: _Day
    writing: Annotated[int, Field("reference", "writing", key="undoes")]


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
class EntryKind:
    """A kind of entry: what people call it, its table, and its class.

    `step` is when in a day it moves stock, after what is counted as it opens (0) and before what is
    counted at its close (5); None where it moves none. `coming` says that a weekday is the next of
    its name; of the other kinds it is the last.
    """

    word: str
    table: str
    made_of: type[Entry]
    step: int | None = None
    coming: bool = False


KINDS = (
    EntryKind("delivery", "delivery", Delivery, 1, coming=True),
    EntryKind("count", "counted", Count),
    EntryKind("break", "break_done", BreakDone, 2),
    EntryKind("batch", "batch_made", BatchMade, 3),
    EntryKind("sale", "sold", Sold, 4),
    EntryKind("waste", "wasted", Wasted, 4),
    EntryKind("order", "order_taken", OrderTaken, coming=True),
    EntryKind("filled", "filled", Filled, 4),
    EntryKind("plan", "plan_kept", PlanKept),
    EntryKind("yields", "yields_written", YieldsWritten),
    EntryKind("undone", "undone", Undone),
)

KIND_OF = {kind.made_of: kind for kind in KINDS}


@dataclass(frozen=True, slots=True)
class Recorded:
    """An entry as it stands in the journal.

    Its `number`, from 1, is never used twice; entries of one `writing` were entered together, and
    are there all or not at all; `entered` is when, in UTC.
    """

    number: int
    writing: int
    entered: datetime
    entry: Entry
