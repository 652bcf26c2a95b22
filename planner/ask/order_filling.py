"""What can be filled of new orders beside those of a scenario, and what would let all be filled."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from planner.core.errors import InputError
from planner.core.quantities import POUNDS
from planner.core.scenario import Order, Scenario
from planner.core.stock_replay import DUST
from planner.files.asked_order import with_orders
from planner.files.changes import Change, read_changes
from planner.solve import Options, Search
from planner.solve.engine import INFINITY
from planner.solve.linear import total
from planner.solve.model import BreakModel

MINUTES = (25, 60, 120)
"""More minutes that are tried on a day."""


class OrderBook:
    """What can be filled of new orders while the orders of a scenario are filled in full.

    One search is put to all questions. `settled` turns false where one ran out of time.
    """

    def __init__(self, kept: Scenario, orders: Sequence[Order], seconds: float) -> None:
        self.settled = True
        self._kept, self._orders = kept, orders
        self._options = Options(seconds=seconds)
        self._search = Search(BreakModel(with_orders(kept, orders)), self._options)

    def all_filled(self, kept: Scenario | None = None, day: int | None = None) -> bool:
        """Whether all can be filled together, in the scenario changed, or all on another day.

        No where time was too short to tell.
        """
        days = [order.day if day is None else day for order in self._orders]
        orders = [replace(each, day=on) for each, on in zip(self._orders, days, strict=True)]
        model = BreakModel(with_orders(kept or self._kept, orders))
        filled = [model.filled[each.index] for each in orders]
        if any(one.upBound < each.amount for one, each in zip(filled, orders, strict=True)):
            return False
        enough = sum(each.amount for each in orders) - DUST
        return self._most(model, filled, self._floors(), enough) >= enough

    def most(self) -> list[float]:
        """How much of each can be filled, the first ones first."""
        model, floors = BreakModel(with_orders(self._kept, self._orders)), self._floors()
        amounts: list[float] = []
        for order in self._orders:
            most = self._most(model, [model.filled[order.index]], floors)
            amounts.append(min(max(0.0, most), order.amount))
            floors[order.index] = max(0.0, amounts[-1] - DUST)
        return amounts

    def earliest(self) -> int | None:
        """The first day on which all of it, together, can be filled; None if there is none."""
        days = range(self._kept.days)
        return next((day for day in days if self.all_filled(day=day)), None)

    def helps(self) -> Iterator[Change]:
        """Single changes that alone let all be filled: head, minutes, a rule less, a day more."""
        kept, unit = self._kept, self._kept.unit
        names = [
            f"{lot.name} {kept.day_labels[lot.arrives]} {lot.weight / POUNDS[unit]:g} {unit}"
            for lot in kept.lots
        ]
        yield from self._alone([Change("head", f"{name}: +1") for name in dict.fromkeys(names)])
        days = kept.day_labels if kept.bench is not None else ()  # those without minutes too
        for change in self._alone([_more(day, MINUTES[-1]) for day in days]):
            steps = [_more(change.text.partition(":")[0], minutes) for minutes in MINUTES[:-1]]
            yield from (self._enough(steps) or [change])[:1]
        rules = dict.fromkeys(map(str, kept.rules))
        yield from self._alone([Change("rule", f"lift {rule}") for rule in rules])
        things = [(*each.pieces, *each.cuts, *each.blends) for each in kept.recipes]
        things.append(tuple(kept.own_blends))
        yield from self._alone([Change("keeps", f"{x}: +1 day") for names in things for x in names])

    def _enough(self, changes: Sequence[Change]) -> list[Change]:
        """The changes that are enough alone, each asked about."""
        kept = self._kept
        return [each for each in changes if self.all_filled(read_changes(kept, [each]))]

    def _alone(self, changes: Sequence[Change]) -> list[Change]:
        """The same for many, few of them enough: where all together are not, none of them is."""
        sound = [each for each in changes if self._can_be_said(each)]
        if len(sound) <= 1:
            return self._enough(sound)
        if not self.all_filled(read_changes(self._kept, sound)):
            return []
        half = len(sound) // 2
        return self._alone(sound[:half]) + self._alone(sound[half:])

    def _can_be_said(self, change: Change) -> bool:
        """Whether the change can be said in so many words: nothing may tell two lots apart."""
        try:
            read_changes(self._kept, [change])
        except InputError:
            return False
        return True

    def _floors(self) -> dict[int, float]:
        return {each.index: each.amount for each in self._kept.orders}

    def _most(
        self,
        model: BreakModel,
        filled: Sequence[Any],
        floors: dict[int, float],
        enough: float = INFINITY,
    ) -> float:
        began = time.perf_counter()
        self._search.change(model, self._options)
        most = self._search.most(total((each, 1.0) for each in filled), floors, enough)
        late = time.perf_counter() - began >= self._options.seconds
        if late and not (most is not None and most >= enough):
            self.settled = False
        return 0.0 if most is None else most


def _more(day: str, minutes: int) -> Change:
    return Change("bench", f"{day}: +{minutes}")
