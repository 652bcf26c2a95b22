"""What there is of every cut and piece while the journal is replayed, and what did not fit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, timedelta

from planner.ledger import DUST
from planner.recipe import Cut, Piece, piece_shares
from planner.scenario import Scenario
from planner.shop.stock.known import Known
from planner.shop.stock.pile import Cooler, Pile, Whole
from planner.shop.stock.words import amount_words, day_words

SCALE = 0.05
"""Pounds that two weighings of the same may differ by: less is not worth a word."""


class Stocks:
    """The case and the cooler at a moment.

    Parameters
    ----------
    scenario : Scenario
        Its recipes, blends and unit.
    told_from : date
        What was odd before is not told: nobody can put it right any more.

    Attributes
    ----------
    cuts : mapping of str to Pile
    pieces : mapping of str to Cooler
    """

    def __init__(self, scenario: Scenario, told_from: date) -> None:
        self.scenario, self.known = scenario, Known(scenario)
        self.cuts: defaultdict[str, Pile] = defaultdict(Pile)
        self.pieces: defaultdict[str, Cooler] = defaultdict(Cooler)
        self._told_from = told_from
        self._odd: dict[str, None] = {}
        self._weighs: dict[str, float] = {}  # what one of a piece weighed last

    # -- what does not fit -------------------------------------------------------------------------

    @property
    def oddities(self) -> tuple[str, ...]:
        """What does not fit together, in the order of the days; each sentence once."""
        return tuple(self._odd)

    def odd(self, day: date, sentence: str, *, dated: bool = True) -> None:
        """Note what does not fit together on a day."""
        if day >= self._told_from:
            self._odd[f"{day_words(day)}: {sentence}" if dated else sentence] = None

    def cut_named(self, name: str, day: date, *, by_each: bool | None = None) -> Cut | None:
        """The cut meant; None, and told, where there is none, or it is not sold that way."""
        cut = self.known.cut(name)
        if cut is None:
            self.unknown(name, day)
        elif by_each is not None and cut.by_each != by_each:
            how = "each" if cut.by_each else "weight"
            self.odd(day, f"{cut.name} is sold by {how}, but was not entered so: left out")
            return None
        return cut

    def piece_named(self, name: str, day: date) -> Piece | None:
        """The piece meant; None, and told, where there is none."""
        piece = self.known.piece(name)
        if piece is None:
            self.unknown(name, day)
        return piece

    def unknown(self, name: str, day: date) -> None:
        """Note a name that no recipe has, once."""
        sentence = f"no recipe here has {name}: what the journal says of it is left out"
        self.odd(day, sentence, dated=False)

    def amount(self, amount: float, cut: Cut) -> str:
        """An amount of a cut in words."""
        return amount_words(amount, cut.name, self.scenario.unit, by_each=cut.by_each)

    # -- cuts --------------------------------------------------------------------------------------

    def put(self, cut: Cut, amount: float, made: date) -> None:
        """Put what was made of a cut into the case."""
        pile = self.cuts[cut.name]
        pile.open(made)
        pile.put(amount, made, made + timedelta(days=cut.keeps - 1))

    def take(self, cut: Cut, amount: float, day: date, done: str) -> None:
        """Take an amount out of the case, the oldest first; what is missing is told."""
        pile = self.cuts[cut.name]
        pile.open(day)
        self._missing(cut, pile.take(amount), day, done)

    def throw(self, cut: Cut, amount: float, day: date) -> None:
        """Throw an amount away, first what is out of date."""
        pile = self.cuts[cut.name]
        pile.open(day)
        self._missing(cut, pile.throw(amount), day, "thrown away")

    def _missing(self, cut: Cut, missing: float, day: date, done: str) -> None:
        if missing > (DUST if cut.by_each else SCALE):
            self.odd(day, f"{self.amount(missing, cut)} more {done} than there were")

    # -- pieces ------------------------------------------------------------------------------------

    def put_pieces(
        self, piece: Piece, pounds: Sequence[float], made: date, cost: float = 0.0
    ) -> None:
        """Put pieces of these weights into the cooler; of no weight they are none."""
        real = [weight for weight in pounds if weight > DUST]
        if not real:
            return
        last = made + timedelta(days=piece.keeps - 1)
        self.pieces[piece.name].open(made)
        self.pieces[piece.name].put([Whole(weight, made, last, cost) for weight in real])
        self.weighed(piece.name, sum(real) / len(real))

    def take_pieces(
        self, piece: Piece, count: int, day: date, pounds: float | None = None
    ) -> list[float]:
        """Take pieces that are cut out of the cooler: what each weighed.

        Those that are missing are taken to weigh as much as the others, or as usual.
        """
        cooler = self.pieces[piece.name]
        cooler.open(day)
        taken = [each.pounds for each in cooler.take(count, pounds)]
        missing = count - len(taken)
        if missing:
            self.odd(day, f"{missing} more {piece.name} cut than there were")
            one = sum(taken) / len(taken) if taken else self.usual(piece.name)
            if one is None and pounds is None:
                sentence = f"nobody has said what a {piece.name} weighs: what it gave is left out"
                self.odd(day, sentence)
            taken += [one or 0.0] * missing
        total = sum(taken)
        if pounds is None or not count:
            return taken
        return [each * pounds / total if total > 0 else pounds / count for each in taken]

    def throw_pieces(self, piece: Piece, count: int, day: date) -> None:
        """Throw whole pieces away, first those out of date."""
        cooler = self.pieces[piece.name]
        cooler.open(day)
        missing = cooler.throw(count)
        if missing:
            self.odd(day, f"{missing} more {piece.name} thrown away than there were")

    def weighed(self, piece: str, pounds: float) -> None:
        """Note what one of a piece weighs."""
        self._weighs.pop(piece, None)  # the last comes last
        self._weighs[piece] = pounds

    def usual(self, piece: str) -> float | None:
        """What one weighed last, else its share of what it is cut from; None where nobody knows."""
        if piece in self._weighs:
            return self._weighs[piece]
        recipe = next(each for each in self.scenario.recipes if piece in each.pieces)
        for whole in reversed(self._weighs):
            if whole in recipe.pieces:
                shares = piece_shares(recipe, whole)
                if piece in shares:
                    return self._weighs[whole] * shares[piece]
        return None
