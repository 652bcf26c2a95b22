"""What there is of every cut and piece while the journal is replayed, and what did not fit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from planner.core.quantities import show_day
from planner.core.recipe import Cut, Piece, piece_shares, recipe_with
from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.core.units import Quantity
from planner.shop.stock.dated_stock import Cooler, Pile, Whole
from planner.shop.stock.name_lookup import Known
from planner.shop.stock.scales import READING


@dataclass(slots=True)
class _Lack:
    """What was taken of one thing beyond what there was: pounds or each, the days, what was done.

    `where` it is to be counted: the case or the cooler.
    """

    by_each: bool
    where: str
    amount: float = 0.0
    days: dict[date, None] = field(default_factory=dict)
    done: dict[str, None] = field(default_factory=dict)


class Stocks:
    """The case and the cooler at a moment, by the names of the recipes in use.

    What was unlikely before `told_from` is not told: nobody can put it right any more.
    """

    def __init__(self, scenario: Scenario, told_from: date) -> None:
        self.scenario, self.known = scenario, Known(scenario)
        self.cuts: defaultdict[str, Pile] = defaultdict(Pile)
        self.pieces: defaultdict[str, Cooler] = defaultdict(Cooler)
        self._told_from = told_from
        self._warnings: dict[str, None] = {}
        self._weighs: dict[str, float] = {}  # what one of a piece weighed last
        self._about: dict[str, float] = {}  # the same by entries of other days
        self._seen: set[str] = set()  # things that were counted or made: not mere sales
        self._lacks: dict[str, _Lack] = {}  # since it was counted last

    # -- what does not fit -------------------------------------------------------------------------

    @property
    def warnings(self) -> tuple[str, ...]:
        """What does not fit together, each sentence once; what was missing comes last, summed."""
        return (*self._warnings, *self._missing())

    def _missing(self) -> Iterator[str]:
        """`loin chops: 4.1 lb more sold than there were, on 3 days since thu 19 nov: ...`."""
        for name, lack in self._lacks.items():
            amount = self.scenario.units.show(Quantity(lack.amount, lack.by_each))
            first, days = show_day(next(iter(lack.days))), len(lack.days)
            when = f"on {first}" if days == 1 else f"on {days} days since {first}"
            done = " and ".join(lack.done)
            yield f"{name}: {amount} more {done} than there were, {when}: count the {lack.where}"

    def warn(self, day: date, sentence: str, *, dated: bool = True) -> None:
        """Note what does not fit together on a day."""
        if day >= self._told_from:
            self._warnings[f"{show_day(day)}: {sentence}" if dated else sentence] = None

    def cut_named(self, name: str, day: date, *, by_each: bool | None = None) -> Cut | None:
        """The cut meant; None, and told, where there is none, or it is not sold that way."""
        cut = self.known.cut(name)
        if cut is None:
            self.unknown(name, day)
        elif by_each is not None and cut.by_each != by_each:
            how = "each" if cut.by_each else "weight"
            self.warn(day, f"{cut.name} is sold by {how}, but was not entered so: left out")
            return None
        return cut

    def thing_named(self, name: str, day: date, *, by_each: bool) -> Cut | Piece | None:
        """The cut or piece meant; None, and told, where there is none or it goes another way."""
        piece = self.known.piece(name)
        if piece is None:
            return self.cut_named(name, day, by_each=by_each)
        if not by_each:
            self.warn(day, f"{piece.name} is counted, but was entered by weight: left out")
        return piece if by_each else None

    def piece_named(self, name: str, day: date) -> Piece | None:
        """The piece meant; None, and told, where there is none."""
        piece = self.known.piece(name)
        if piece is None:
            self.unknown(name, day)
        return piece

    def unknown(self, name: str, day: date) -> None:
        """Note a name that no recipe has, once."""
        sentence = f"no recipe here has {name}: what the journal says of it is left out"
        self.warn(day, sentence, dated=False)

    def _miss(self, thing: Cut | Piece, missing: float, day: date, done: str) -> None:
        """Note so much more than there was, where anybody could know, and it can be put right."""
        by_each = isinstance(thing, Piece) or thing.by_each
        if (
            missing > (DUST if by_each else READING)
            and day >= self._told_from
            and thing.name in self._seen
        ):
            new = _Lack(by_each, "cooler" if isinstance(thing, Piece) else "case")
            lack = self._lacks.setdefault(thing.name, new)
            lack.amount += missing
            lack.days[day] = None
            lack.done[done] = None

    def counted(self, name: str) -> None:
        """Note that a thing was counted: what was missing of it before is settled."""
        self._seen.add(name)
        self._lacks.pop(name, None)

    def amount(self, amount: float, cut: Cut) -> str:
        """`3.2 lb loin chops`."""
        return f"{self.scenario.units.show(Quantity(amount, cut.by_each))} {cut.name}"

    # -- cuts --------------------------------------------------------------------------------------

    def put(self, cut: Cut, amount: float, made: date) -> None:
        """Put what was made of a cut into the case."""
        if amount > DUST:
            self._seen.add(cut.name)
        pile = self.cuts[cut.name]
        pile.open(made)
        pile.put(amount, made, made + timedelta(days=cut.keeps - 1))

    def take(self, cut: Cut, amount: float, day: date, done: str) -> None:
        """Take an amount out of the case, the oldest first; what is missing is told."""
        pile = self.cuts[cut.name]
        pile.open(day)
        self._miss(cut, pile.take(amount), day, done)

    # -- pieces ------------------------------------------------------------------------------------

    def put_pieces(
        self, piece: Piece, pounds: Sequence[float], made: date, cost: float = 0.0
    ) -> None:
        """Put pieces of these weights into the cooler; of no weight they are none."""
        real = [weight for weight in pounds if weight > DUST]
        if not real:
            return
        self._seen.add(piece.name)
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
            self._miss(piece, missing, day, "cut")
            one = sum(taken) / len(taken) if taken else self.usual(piece.name)
            if one is None and pounds is None:
                sentence = f"the weight of a {piece.name} is not known: what it gave is left out"
                self.warn(day, sentence)
            taken += [one or 0.0] * missing
        total = sum(taken)
        if pounds is None or not count:
            return taken
        return [each * pounds / total if total > 0 else pounds / count for each in taken]

    def throw(self, thing: Cut | Piece, amount: float, day: date) -> None:
        """Throw an amount, or whole pieces, away: first what is out of date."""
        there: Pile | Cooler = (self.pieces if isinstance(thing, Piece) else self.cuts)[thing.name]
        there.open(day)
        self._miss(thing, there.throw(amount), day, "thrown away")

    def weighed(self, piece: str, pounds: float) -> None:
        """Note what one of a piece weighs."""
        self._weighs.pop(piece, None)  # the last comes last
        self._weighs[piece] = pounds

    def weighs_about(self, piece: str, pounds: float) -> None:
        """Note what one of a piece weighs by what was, or will be, on other days or is on offer."""
        self._about.pop(piece, None)
        self._about[piece] = pounds

    def usual(self, piece: str) -> float | None:
        """What one weighed last, else its share of what it is cut from; None where nobody knows.

        Where nothing of it was there before, a head of other days, or on offer, tells.
        """
        recipe = recipe_with(self.scenario.recipes, piece)
        for weighs in (self._weighs, self._about):
            if piece in weighs:
                return weighs[piece]
            for whole in reversed(weighs):
                if whole in recipe.pieces:
                    shares = piece_shares(recipe, whole)
                    if piece in shares:
                        return weighs[whole] * shares[piece]
        return None
