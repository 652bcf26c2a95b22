"""The journal as JSON for machines, and as CSV that can be imported again."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, assert_never

from planner.cells import marked
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    PlanKept,
    Recorded,
    Sold,
    Undone,
    Wasted,
    Weighed,
    YieldsWritten,
)
from planner.measures import POUNDS
from planner.shop.entering.kinds import kind_of
from planner.shop.entering.orders import OrderState
from planner.shop.tables.entryrows import heads, rows
from planner.show.amounts import Figures
from planner.show.json import FORMAT
from planner.show.table import Table, csv_text


def journal_csv(entries: Iterable[Recorded], orders: Mapping[int, OrderTaken], unit: str) -> str:
    """Entries as CSV; texts that a spreadsheet would reckon with are made harmless.

    Parameters
    ----------
    entries : iterable of Recorded
    orders : mapping of int to OrderTaken
        All orders of the journal, by the number of their entry.
    unit : str
        lb or kg.
    """
    made = rows(entries, orders, unit)
    return csv_text(Table(heads(unit), tuple(tuple(map(marked, row)) for row in made)))


class EntryData:
    """Entries as data: weights and rates in the shop's unit, names as the journal has them.

    Parameters
    ----------
    unit, money : str
        Of the shop.
    orders : mapping of int to OrderState
        All orders, by the number of their entry.
    """

    def __init__(self, unit: str, money: str, orders: Mapping[int, OrderState]) -> None:
        self._unit, self._money, self._orders = unit, money, orders

    def listing(
        self,
        entries: Sequence[Recorded],
        undone: frozenset[int] = frozenset(),
        earlier: int = 0,
        oddities: Sequence[str] = (),
    ) -> str:
        """Entries of the journal, and how many there are before them."""
        told = [self._recorded(one, undone) for one in entries]
        return self._text({"earlier": earlier, "odd": list(oddities), "entries": told})

    def planned(self, entries: Sequence[Entry], oddities: Sequence[str] = ()) -> str:
        """Entries that would be entered, and have no number yet."""
        told = [{"number": None, **self._entry(each)} for each in entries]
        return self._text({"earlier": 0, "odd": list(oddities), "entries": told})

    def _text(self, data: dict[str, Any]) -> str:
        head = {"format": FORMAT, "unit": self._unit, "money": self._money}
        return json.dumps({**head, **data}, indent=1, ensure_ascii=False)

    def _recorded(self, one: Recorded, undone: frozenset[int]) -> dict[str, Any]:
        data = {
            "number": one.number,
            "writing": one.writing,
            "entered": one.entered.isoformat(),
            "undone": one.writing in undone,
            **self._entry(one.entry),
        }
        state = self._orders.get(one.number)
        if state and isinstance(one.entry, OrderTaken):
            data["left"] = self._amount(state.left, one.entry.by_each)
        return data

    def _entry(self, entry: Entry) -> dict[str, Any]:
        return {"kind": kind_of(entry), "day": entry.day.isoformat(), **self._said(entry)}

    def _said(self, entry: Entry) -> dict[str, Any]:
        match entry:
            case Delivery(_, what, head, pounds, cost):
                weights = [self._weight(each) for each in pounds]
                return {"what": what, "head": head, "weights": weights, "cost": self._rate(cost)}
            case Count(_, at, what, much, by_each, made, pounds):
                old = {"made": made.isoformat() if made else None, "weight": self._weight(pounds)}
                return {"what": what, "at": at, **self._much(much, by_each), **old}
            case BreakDone(_, piece, way, count, pounds, gave):
                told = {"what": piece, "way": way, "count": count, "weight": self._weight(pounds)}
                return {**told, "gave": self._parts(gave)}
            case BatchMade(_, blend, pounds, took):
                return {"what": blend, **self._much(pounds, False), "took": self._parts(took)}
            case Sold(_, cut, much, by_each, money, sold_out):
                taken = {"money": money, "sold out": sold_out}
                return {"what": cut, **self._much(much, by_each), **taken}
            case Wasted(_, what, much, by_each):
                return {"what": what, **self._much(much, by_each)}
            case OrderTaken(_, cut, much, by_each, buyer, price):
                rate = price if by_each else self._rate(price)
                return {"what": cut, **self._much(much, by_each), "for": buyer, "price": rate}
            case Filled(_, number, much):
                state = self._orders.get(number)
                each = bool(state and state.order.by_each)
                return {"order": number, **self._much(much, each)}
            case PlanKept(_, plan):
                return {"plan": _plan(plan)}
            case YieldsWritten(_, piece, way, tests):
                return {"what": piece, "way": way, "tests": tests}
            case Undone(_, writing):
                return {"undoes": writing}
            case _:  # pragma: no cover
                assert_never(entry)

    def _much(self, amount: float, by_each: bool) -> dict[str, Any]:
        unit = "each" if by_each else self._unit
        return {"amount": self._amount(amount, by_each), "by": unit}

    def _amount(self, amount: float, by_each: bool) -> float | None:
        return Figures.number(amount) if by_each else self._weight(amount)

    def _weight(self, pounds: float | None) -> float | None:
        return None if pounds is None else Figures.number(pounds / POUNDS[self._unit])

    def _rate(self, per_pound: float | None) -> float | None:
        return None if per_pound is None else Figures.number(per_pound * POUNDS[self._unit])

    def _parts(self, things: Sequence[Weighed]) -> list[dict[str, Any]]:
        return [
            {"what": each.what, "count": each.count, "weight": self._weight(each.pounds)}
            for each in things
        ]


def _plan(text: str) -> Any:
    """A plan is JSON itself."""
    try:
        return json.loads(text)
    except ValueError:
        return text
