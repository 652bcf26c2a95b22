"""The paragraph of the break model on orders after the period: what is held for them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from pulp import LpVariable

from planner.core.scenario import BreakKey, Held, Lot, Scenario
from planner.solve.linear import Came, LinearModel, Term, total


class LaterOrders(LinearModel):
    """Orders after the period: pieces left whole that can still be cut for them, and cuts left.

    The bench of the days after is not looked at, nor is what arrives on them.

    Attributes
    ----------
    held : dict of place in `Scenario.held` to LpVariable
        How much of each order can be had of what is left.
    cut_after : dict of (lot, piece, way, day) to LpVariable
        How many of the pieces left would be cut so for it: whole numbers.
    """

    scenario: Scenario
    weights: dict[int, dict[str, float]]
    whole: dict[tuple[int, str, int], LpVariable]
    on_hand: dict[tuple[str, int, int | None], LpVariable]
    _pieces_came: dict[tuple[int, str], list[Came]]
    _cuts_came: dict[str, list[Came]]

    def _later_orders(self) -> None:
        self.held: dict[int, LpVariable] = {}
        self.cut_after: dict[BreakKey, LpVariable] = {}
        held = self.scenario.held
        for day in sorted({each.cut_on for each in held if each.cut_on is not None}):
            self._cut_on(day, [each for each in held if each.cut_on == day])
        for cut in dict.fromkeys(each.order.cut for each in held):
            self._hold(cut, [each for each in held if each.order.cut == cut])
        for lot in self.scenario.lots if self.cut_after else ():
            for name in self.weights[lot.index]:
                self._left_in_date(lot, name)

    def _cut_on(self, day: int, held: Iterable[Held]) -> None:
        """Ways on a day after the period that lead to what is held for."""
        wanted = {each.order.cut for each in held}
        for lot in self.scenario.lots:
            there: set[str] = set()
            for name in self.weights[lot.index]:  # parents first
                came = self._pieces_came[lot.index, name]
                if name in there or any(each.last >= day for each in came):
                    ways = lot.recipe.pieces[name].ways.values()
                    there |= {name, *(each.name for way in ways for each in way.pieces)}
            useful: set[str] = set()
            for name in reversed([each for each in self.weights[lot.index] if each in there]):
                for way in lot.recipe.pieces[name].ways.values():
                    leads = {each.name for each in way.cuts} & wanted
                    leads |= {each.name for each in way.pieces} & useful
                    if leads and not self._forbidden(name, way.name):
                        useful.add(name)
                        x = self.variable("after", lot.index, name, way.name, day, whole=True)
                        self.cut_after[lot.index, name, way.name, day] = x

    def _forbidden(self, piece: str, way: str) -> bool:
        """Whether a rule keeps a piece from being cut so at all."""
        one = {(0, piece, way, 0): 1}
        return any(
            rule.verb in ("never", "all") and rule.counted(one, {}) for rule in self.scenario.rules
        )

    def _left_in_date(self, lot: Lot, name: str) -> None:
        """What is cut of a piece after the period was left in date, or comes of what is cut then.

        Of what is left the freshest pieces are there: as many as came recently enough.
        """
        mine = [key for key in self.cut_after if key[:2] == (lot.index, name)]
        taken: list[Term] = []
        for day in sorted({key[3] for key in mine}, reverse=True):
            cut = [(self.cut_after[key], 1.0) for key in mine if key[3] == day]
            given = [
                (x, -float(piece.count))
                for (number, parent, way, when), x in self.cut_after.items()
                if (number, when) == (lot.index, day)
                for piece in lot.recipe.pieces[parent].ways[way].pieces
                if piece.name == name
            ]
            whole = self.variable("whole", lot.index, name, day)
            self.require(total([*cut, *given, (whole, -1.0)]) <= 0, "after", lot.index, name, day)
            taken.append((whole, 1.0))
            came = self._pieces_came[lot.index, name]
            left = self.whole.get((lot.index, name, self.scenario.days - 1))
            self._no_more_than_left(taken, left, came, day, "whole", lot.index, name, day)

    def _no_more_than_left(
        self,
        taken: Iterable[Term],
        left: LpVariable | None,
        came: Iterable[Came],
        day: int,
        *name: object,
    ) -> None:
        """What is taken of a stock after the period is left of it, and in date on a day."""
        fresh = [each for each in came if each.last >= day]
        if left is not None:
            self.require(total([*taken, (left, -1.0)]) <= 0, "left", *name)
        made = [(x, -amount) for each in fresh for x, amount in each.terms]
        self.require(total([*taken, *made]) <= sum(each.amount for each in fresh), "fresh", *name)

    def _hold(self, cut: str, held: Iterable[Held]) -> None:
        """An order after the period is held for as what is left of its cut, or as pieces."""
        last, lying = self.scenario.days - 1, []
        made: dict[int, list[Term]] = defaultdict(list)
        for each in sorted(held, key=lambda each: -each.order.day):
            order, name = each.order, (cut, each.order.index)
            case = self.variable("lies", *name)
            lying.append((case, 1.0))
            # what keeps until the latest order lies there for the ones before it, too
            kept = self.variable("keeps", *name)
            left = self.on_hand.get((cut, last, None))
            self._no_more_than_left(
                [(kept, 1.0)], left, self._cuts_came[cut], order.day, "lies", *name
            )
            old = [
                (x, -1.0)
                for (each_cut, day, number), x in self.on_hand.items()
                if (each_cut, day) == (cut, last)
                and number is not None
                and self.scenario.case[number].keeps > order.day
            ]
            self.require(total([*lying, *old, (kept, -1.0)]) <= 0, "lying", *name)
            cut_then = self.variable("from", *name)
            gives = self._given_after(cut, each.cut_on)
            made[each.cut_on or 0].append((cut_then, 1.0))
            self.require(
                total([*made[each.cut_on or 0], *((x, -amount) for x, amount in gives)]) <= 0,
                "given after",
                *name,
            )
            lies = old or any(came.last >= order.day for came in self._cuts_came[cut])
            amount = order.amount if gives or lies else 0.0
            self.held[order.index] = self.variable("held", *name, most=amount)
            if each.kept:
                self.held[order.index].lowBound = amount
            sources = [(self.held[order.index], 1.0), (case, -1.0), (cut_then, -1.0)]
            self.require(total(sources) <= 0, "held", *name)

    def _given_after(self, cut: str, day: int | None) -> list[Term]:
        """What is cut on a day after the period gives of a cut."""
        return [
            (x, amount)
            for (number, piece, way, when), x in self.cut_after.items()
            if when == day
            for given, amount in self.scenario.gives(
                self.scenario.lots[number].recipe.pieces[piece].ways[way],
                self.weights[number][piece],
            )
            if given.name == cut
        ]
