"""One row of a file as one entry of the journal."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from planner.core.quantities import POUNDS
from planner.files.asked_order import A_CUSTOMER
from planner.journal.entries import Entry, EntryKind, Moment, Weighed
from planner.journal.fields import Field, fields_of
from planner.shop.entering.catalog import Catalog, StockItem, printable
from planner.shop.entering.kinds import BY_WORD, toward_of
from planner.shop.tables.columns import plain
from planner.shop.tables.csv_file import CsvRow
from planner.shop.tables.entry_rows import WEIGHING
from planner.shop.tables.table import EntryTable

IGNORED = ""
"""What the name of an item is mapped to that is none of ours."""

T = TypeVar("T")


class UnknownItemError(ValueError):
    """A name that is none of the shop's, or is to be passed by; `item` is the name."""

    def __init__(self, item: str, message: str, *, ignored: bool = False) -> None:
        super().__init__(message)
        self.item, self.ignored = item, ignored


class RowReader:
    """Reads the rows of a table; `items` are names as `plain` has them, and what they are here."""

    def __init__(self, table: EntryTable, catalog: Catalog, items: Mapping[str, str]) -> None:
        self._table, self._catalog, self._items = table, catalog, items
        self._found: dict[tuple[str, str], StockItem | UnknownItemError] = {}
        self._finders: Mapping[str, Callable[[str], StockItem]] = {
            "delivery": catalog.find_arrival,
            **dict.fromkeys(("break", "yields"), catalog.find_piece),
            **dict.fromkeys(("sale", "order"), catalog.find_cut),
            **dict.fromkeys(("count", "waste", "batch"), catalog.find),
        }

    def entry(self, row: CsvRow, kind: str, *, refunds: bool = False) -> Entry:
        """The entry of a kind that a row tells; with `refunds` figures may be below nothing.

        Raises `UnknownItemError`, or `ValueError` with all that is wrong with its cells.
        """
        thing = self._named(row, kind) if kind in self._finders else None
        values: dict[str, Any] = {}
        faults: list[str] = []
        for field in fields_of(BY_WORD[kind].made_of):
            try:
                values[field.name] = self._value(row, BY_WORD[kind], field, thing, refunds)
            except ValueError as error:
                faults.append(str(error))
        if faults:
            raise ValueError("; ".join(faults))
        return BY_WORD[kind].made_of(**values)

    def _value(
        self, row: CsvRow, kind: EntryKind, field: Field, thing: StockItem | None, refunds: bool
    ) -> Any:
        """What a row has for a field; raises `ValueError`."""
        table, head = self._table, field.head
        by_each = bool(thing and thing.by_each)
        match field.value:
            case "day":
                found = table.day(row, head, toward_of(kind.word))
                return found if field.optional else self._there(found, "no day is written here")
            case "name" if thing:
                if kind.word == "batch" and thing.name not in self._catalog.week.blends:
                    raise ValueError(f"{thing.name} is not a blend")
                return thing.full
            case "way" if thing:
                return self._catalog.find_way(thing, table.needed(row, head)).name
            case "amount":
                if thing is None:
                    return self._picked_up(row)
                return table.quantity(row, thing, below=refunds).amount
            case "quantity" if thing:
                return table.quantity(row, thing, below=refunds)
            case "whole":
                count = table.whole(row, head)
                return (len(table.weights(row)) or 1) if count is None else count
            case "weight":
                return table.pounds(row, head)
            case "weights":
                missing = "a delivery has weights: that of each, or one that all have"
                return self._there(table.weights(row) or None, missing)
            case "things":
                return self._parts(row)
            case "rate":
                # what arrives is paid by weight, also pieces, which are counted otherwise
                return table.price(row, by_each and kind.word != "delivery")
            case "money":
                return table.money(row, below=refunds)
            case "flag":
                return table.flag(row, head)
            case "moment":
                return self._moment(row)
            case "text":
                return table.text(row, head) or A_CUSTOMER
            case "plan":
                return table.needed(row, head)
            case "number":
                missing = "how many tests the shares are worth is missing"
                return self._there(table.number(row, head), missing)
            case "reference":
                missing = "which order was filled? Its number is missing"
                return self._there(table.whole(row, head, 1e15), missing)
            case _:  # pragma: no cover
                raise AssertionError(field)

    @staticmethod
    def _there(value: T | None, message: str) -> T:
        if value is None:
            raise ValueError(message)
        return value

    def _picked_up(self, row: CsvRow) -> float:
        """The amount of an order that is known by its number alone."""
        number, unit = self._table.measure(row)
        if unit is None:
            raise ValueError(
                'by weight or by each? Call the column "amount (lb)" or "amount (each)"'
            )
        return number * POUNDS.get(unit, 1.0)

    def _named(self, row: CsvRow, kind: str) -> StockItem:
        """The thing that a row is about, found once for all rows that have the same text."""
        text = self._table.text(row, "what")
        found = self._found.get((kind, text))
        if found is None:
            found = self._found[kind, text] = self._find(text, self._finders[kind])
        if isinstance(found, UnknownItemError):
            raise found
        return found

    def _find(self, text: str, find: Callable[[str], StockItem]) -> StockItem | UnknownItemError:
        if not text:
            return UnknownItemError(text, "no cut is named here")
        ours = self._items.get(plain(text), text)
        if ours == IGNORED:
            return UnknownItemError(text, "is passed by", ignored=True)
        try:
            return find(ours)
        except ValueError as error:
            return UnknownItemError(text, str(error))

    def _moment(self, row: CsvRow) -> Moment:
        text = plain(self._table.text(row, "at"))
        if text not in ("", "open", "close"):
            raise ValueError(f'"{printable(text)}" is not a time of a count; write open or close')
        return "open" if text == "open" else "close"

    def _parts(self, row: CsvRow) -> tuple[Weighed, ...]:
        text = self._table.text(row, "parts")
        try:
            cells = next(csv.reader([text], delimiter=";", skipinitialspace=True), [])
        except csv.Error:
            raise ValueError("the parts have a quote that is never closed") from None
        return tuple(self._part(each) for each in cells if each.strip())

    def _part(self, text: str) -> Weighed:
        """`lamb bones: 4 lb`, `lamb loin: 2 weighing 7.1 lb`, `lamb loin: 2`."""
        name, colon, rest = text.rpartition(":")
        if not colon:
            raise ValueError(f'"{printable(text)}" is not a part such as lamb bones: 4 lb')
        thing = self._catalog.find(name.strip())
        count, weighing, weight = rest.partition(WEIGHING)
        if not weighing and not count.strip().isdecimal():
            return Weighed(thing.full, None, self._table.weight(rest))
        pounds = self._table.weight(weight) if weighing else None
        if not count.strip().isdecimal():
            raise ValueError(f'"{printable(text)}": how many of {thing.name} is a whole number')
        return Weighed(thing.full, int(count), pounds)
