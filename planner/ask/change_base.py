"""A plan that was kept beside the shop now: what both call things, and what they are worth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Literal

from planner.core.recipe import Piece, Recipe
from planner.core.scenario import Lot, Scenario
from planner.journal.counting import counting
from planner.shop.plans.facts import facts_of, in_days
from planner.shop.plans.posted import KeptPieces, KeptPlan, done_since, listed_in
from planner.shop.stock.name_lookup import Known
from planner.shop.stock.on_hand import Stand, stand_at
from planner.shop.week.now import ShopState

Kind = Literal[
    "day", "cutting", "delivery", "order", "case", "cooler", "want", "price", "bench", "rule",
    "way", "yield", "shop", "keeps", "minutes", "markdown", "markdown want", "offer", "offer cost",
]  # fmt: skip

WORTH = 1.0
"""Money from which on something is told."""


@dataclass(frozen=True, slots=True)
class Otherwise:
    """One thing that is otherwise.

    Attributes
    ----------
    kind : str
        day: nothing of a day's list was entered as cut. cutting: pieces cut otherwise than listed.
        case, cooler: what lies there. The others are what they say; way: the recipe has it no more;
        shop: `what` names the setting; keeps: days; offer: head; offer cost: money a pound.
    what : str
        A cut, a piece or a rule, as the scenario calls it.
    before, after : float
        Pounds or each, pieces, minutes, money of one, or a share; of a rule 1 where there is one.
    day : date or None
    way : str
        Of cutting, of a way, of its minutes and of a yield; of the cooler the way in which the
        pieces were, or were not, cut, where what it gives tells so. Else empty.
    gives : str
        What the way of a yield gives.
    buyer : str
        Of an order.
    pounds : tuple of float, or None
        What pieces weigh together, before and after.
    money : float
        What it may be worth, roughly: full prices. The greatest are told first.
    """

    kind: Kind
    what: str
    before: float
    after: float
    day: date | None = None
    way: str = ""
    gives: str = ""
    buyer: str = ""
    pounds: tuple[float, float] | None = None
    money: float = 0.0


class ThenAndNow:
    """A plan that was kept, and the shop now.

    Parameters
    ----------
    kept : KeptPlan
    number : int
        Of its entry.
    state : ShopState
    """

    def __init__(self, kept: KeptPlan, number: int, state: ShopState) -> None:
        self.kept, self.recorded = kept, state.recorded
        self.then = counting(state.everything, number)
        self.listed, self.done = listed_in(kept), done_since(kept, number, state.recorded)
        self.week, self.now, self.stand = state.week, state.scenario, state.opening
        self.first = self.now.starts
        self.known = Known(self.now)
        self.of = {name: recipe for recipe in self.now.recipes for name in recipe.pieces}
        self.facts_then = in_days(kept.week, self.first, kept.until)
        self.facts = in_days(facts_of(self.week), self.first, kept.until)

    @cached_property
    def stand_then(self) -> Stand:
        """What lies there when the first day opens, as it was known when the plan was made."""
        return stand_at(self.week, self.then, self.first)

    @cached_property
    def pieces(self) -> Mapping[str, KeptPieces]:
        """The pieces of `stand`, all alike together."""
        return pieces_of(self.stand)

    def cut_called(self, full: str) -> str:
        """A cut by the scenario's name, where there still is one."""
        cut = self.known.cut(full)
        return cut.name if cut else full

    def piece_called(self, full: str) -> str:
        """A piece by the scenario's name, where there still is one."""
        piece = self.known.piece(full)
        return piece.name if piece else full

    def called(self, full: str) -> str:
        """A piece or a cut by the scenario's name, where there still is one."""
        piece = self.known.piece(full)
        return piece.name if piece else self.cut_called(full)

    def price_of(self, full: str) -> float:
        """Full price of a cut, 0 where it has none."""
        return self.now.price(self.cut_called(full))

    def worth(self, full: str, count: float, pounds: float | None = None) -> float:
        """Full-price value of some pieces, at the weight that one of them has."""
        piece = self.known.piece(full)
        if piece is None:
            return 0.0
        if pounds is None:
            done = [each for each in self.kept.breaks if each.piece == full]
            number = sum(each.count for each in done)
            pounds = sum(each.pounds for each in done) / number if number else 1.0
        return count * _value(self.now, self.of[piece.name], piece, pounds)


def pieces_of(stand: Stand) -> dict[str, KeptPieces]:
    """How many of each piece lie there, and their pounds."""
    found: dict[str, KeptPieces] = {}
    for each in stand.cooler:
        more = KeptPieces(each.count, each.count * each.pounds)
        found[each.piece] = found.get(each.piece, KeptPieces()) + more
    return found


def _value(scenario: Scenario, recipe: Recipe, piece: Piece, pounds: float) -> float:
    lot = Lot(0, recipe, piece.name, 1, "", pounds, 0, piece.keeps, False, 0.0)
    return scenario.full_values(lot)[piece.name]
