"""What was sold, cut or thrown away beyond what there was, added up for each thing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from planner.core.quantities import show_weight
from planner.shop.stock.words import day_words


@dataclass(slots=True)
class _Lack:
    """Of one thing: pounds or each in all, the days, what was done with it, where it lies."""

    by_each: bool
    where: str
    amount: float = 0.0
    days: dict[date, None] = field(default_factory=dict)
    done: dict[str, None] = field(default_factory=dict)


class Missing:
    """What was missing since it was counted last, in a sentence for each thing.

    Parameters
    ----------
    unit : str
        lb or kg: what weights are told in.
    """

    def __init__(self, unit: str) -> None:
        self._unit = unit
        self._lacks: dict[str, _Lack] = {}

    def note_cut(self, name: str, amount: float, day: date, done: str, *, by_each: bool) -> None:
        """Note so much of a cut more than there was; days come in their order."""
        self._note(name, amount, day, done, _Lack(by_each, "case"))

    def note_pieces(self, name: str, count: int, day: date, done: str) -> None:
        """Note so many of a piece more than there were; days come in their order."""
        self._note(name, count, day, done, _Lack(True, "cooler"))

    def _note(self, name: str, amount: float, day: date, done: str, new: _Lack) -> None:
        lack = self._lacks.setdefault(name, new)
        lack.amount += amount
        lack.days[day] = None
        lack.done[done] = None

    def settle(self, name: str) -> None:
        """Forget what was missing of a thing: it was counted."""
        self._lacks.pop(name, None)

    def sentences(self) -> Iterator[str]:
        """`loin chops: 4.1 lb more sold than there were, on 3 days since thu 19 nov: ...`."""
        for name, lack in self._lacks.items():
            amount = f"{lack.amount:g}" if lack.by_each else show_weight(lack.amount, self._unit)
            first, days = day_words(next(iter(lack.days))), len(lack.days)
            when = f"on {first}" if days == 1 else f"on {days} days since {first}"
            done = " and ".join(lack.done)
            yield f"{name}: {amount} more {done} than there were, {when}: count the {lack.where}"
