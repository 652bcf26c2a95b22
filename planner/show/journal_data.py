"""The journal as JSON for machines, and as CSV that can be imported again."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from planner.core.csv_cells import marked
from planner.core.units import Quantity, Units
from planner.journal.entries import Entry, Filled, OrderTaken, Recorded, Weighed
from planner.journal.fields import ValueKind, fields_of
from planner.shop.entering.kinds import kind_of
from planner.shop.entering.orders import OrderState
from planner.shop.tables.entry_rows import heads, rows
from planner.show.data import FORMAT, json_text
from planner.show.table import Table, csv_text


def journal_csv(entries: Iterable[Recorded], orders: Mapping[int, OrderTaken], units: Units) -> str:
    """Entries as CSV, given all orders of the journal; what would be a formula is made harmless."""
    made = rows(entries, orders, units)
    return csv_text(Table(heads(units.unit), tuple(tuple(map(marked, row)) for row in made)))


class EntryData:
    """Entries as data: weights and rates in the shop's unit, names as the journal has them.

    `orders` are all orders, by the number of their entry.
    """

    def __init__(self, units: Units, orders: Mapping[int, OrderState]) -> None:
        self._units, self._orders = units, orders
        self._values: dict[ValueKind, Callable[[Any], Any]] = {
            "day": lambda day: day.isoformat(),
            "plan": _plan,
            "weight": self._weight,
            "weights": lambda weights: [self._weight(each) for each in weights],
            "things": self._parts,
        }

    def listing(
        self,
        entries: Sequence[Recorded],
        undone: frozenset[int] = frozenset(),
        earlier: int = 0,
        warnings: Sequence[str] = (),
    ) -> str:
        """Entries of the journal, and how many there are before them."""
        told = [self._recorded(one, undone) for one in entries]
        return self._text({"earlier": earlier, "odd": list(warnings), "entries": told})

    def planned(self, entries: Sequence[Entry], warnings: Sequence[str] = ()) -> str:
        """Entries that would be entered, and have no number yet."""
        told = [{"number": None, **self._entry(each)} for each in entries]
        return self._text({"earlier": 0, "odd": list(warnings), "entries": told})

    def _text(self, data: dict[str, Any]) -> str:
        head = {"format": FORMAT, "unit": self._units.unit, "money": self._units.symbol}
        return json_text({**head, **data})

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
            data["left"] = self._units.number(replace(one.entry.quantity, amount=state.left))
        return data

    def _entry(self, entry: Entry) -> dict[str, Any]:
        """Kind, day and name of what it is about, then the rest as it is declared."""
        data: dict[str, Any] = {"kind": kind_of(entry), "day": None}
        by_each = self._by_each(entry)
        for field in sorted(fields_of(type(entry)), key=lambda each: each.value != "name"):
            value = getattr(entry, field.name)
            if field.value in ("amount", "quantity"):
                amount = value.amount if isinstance(value, Quantity) else value
                data[field.key] = self._units.number(Quantity(amount, by_each))
                data["by"] = self._units.by(by_each)
            elif field.value == "rate" and value is not None and not by_each:
                data[field.key] = self._units.price(value)
            elif field.key:
                told = self._values.get(field.value)
                data[field.key] = told(value) if told and value is not None else value
        return data

    def _by_each(self, entry: Entry) -> bool:
        """Whether its amount is counted: that of a pick-up is as its order has it."""
        if isinstance(entry, Filled):
            state = self._orders.get(entry.order)
            return bool(state and state.order.quantity.by_each)
        quantity = getattr(entry, "quantity", None)
        return bool(quantity and quantity.by_each)

    def _weight(self, pounds: float | None) -> float | None:
        return None if pounds is None else self._units.number(Quantity(pounds))

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
