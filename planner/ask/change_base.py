"""A plan that was kept beside the shop now: what both call things, and what they are worth."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from planner.core.scenario import Lot
from planner.journal.counting import counting
from planner.shop.plans.facts import facts_of, in_days
from planner.shop.plans.posted import KeptPieces, KeptPlan, done_since, listed_in
from planner.shop.stock.name_lookup import Known
from planner.shop.stock.on_hand import Stand
from planner.shop.week.now import ShopState

Kind = Literal[
    "day", "cutting", "delivery", "order", "case", "cooler", "want", "price", "bench", "rule",
    "way", "yield", "shop", "keeps", "minutes", "markdown", "markdown want", "offer", "offer cost",
]  # fmt: skip

WORTH = 1.0
"""Money from which on something is told."""


@dataclass(frozen=True, slots=True)
class ChangedFact:
    """One thing that is otherwise.

    Attributes
    ----------
    kind : str
        day: nothing of a day's list was entered as cut. cutting: pieces cut otherwise than listed.
        case, cooler: what lies there. way: the recipe has it no more. shop: `what` names the
        setting. keeps: days. offer: head; offer cost: money a pound.
    what : str
        A cut, a piece or a rule, as the scenario calls it.
    before, after : float
        Pounds or each, pieces, minutes, money of one, or a share; of a rule 1 where there is one.
    way : str
        Of the cooler the way in which pieces were, or were not, cut, where what it gives tells so.
    gives : str
        What the way of a yield gives.
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
    """The plan that was kept in an entry of the journal, and the shop now."""

    def __init__(self, kept: KeptPlan, entry: int, state: ShopState) -> None:
        self.kept, self.recorded = kept, state.recorded
        self.then = counting(state.everything, entry)
        self.listed, self.done = listed_in(kept), done_since(kept, entry, state.recorded)
        self.week, self.now, self.stand = state.week, state.scenario, state.opening
        self.first = self.now.starts
        self.known = Known(self.now)
        self.of = {name: recipe for recipe in self.now.recipes for name in recipe.pieces}
        self.facts_then = in_days(kept.week, self.first, kept.until)
        self.facts = in_days(facts_of(self.week), self.first, kept.until)

    def called(self, full: str) -> str:
        """A piece or a cut by the scenario's name, where there still is one."""
        found = self.known.piece(full) or self.known.cut(full)
        return found.name if found else full

    def price_of(self, full: str) -> float:
        """Full price of a cut, 0 where it has none."""
        return self.now.price(self.called(full))

    def listed_weight(self, full: str) -> float | None:
        """Pounds of one of a piece as it is listed; None where none is."""
        done = [each for each in self.kept.breaks if each.piece == full]
        number = sum(each.count for each in done)
        return sum(each.pounds for each in done) / number if number else None

    def worth(self, full: str, count: float, pounds: float | None = None) -> float:
        """Full-price value of some pieces, at the weight that one of them has."""
        piece = self.known.piece(full)
        if piece is None:
            return 0.0
        each = pounds if pounds is not None else self.listed_weight(full) or 1.0
        lot = Lot(0, self.of[piece.name], piece.name, 1, "", each, 0, piece.keeps, False, 0.0)
        return count * self.now.full_values(lot)[piece.name]


def pieces_of(stand: Stand) -> dict[str, KeptPieces]:
    """How many of each piece lie there, and their pounds."""
    found: dict[str, KeptPieces] = {}
    for each in stand.cooler:
        more = KeptPieces(each.count, each.count * each.pounds)
        found[each.piece] = found.get(each.piece, KeptPieces()) + more
    return found
