"""One row of a file as one entry of the journal."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from typing import Any

from planner.core.quantities import POUNDS
from planner.core.units import Quantity
from planner.files.asked_order import A_CUSTOMER
from planner.journal.entries import Entry, EntryKind, Moment, Weighed
from planner.journal.fields import Field, fields_of
from planner.shop.entering.kinds import BY_WORD, toward_of
from planner.shop.entering.naming import find_arrival, find_cut
from planner.shop.entering.things import Thing, Things, printable
from planner.shop.tables.columns import plain
from planner.shop.tables.csv_file import CsvRow
from planner.shop.tables.entry_rows import WEIGHING
from planner.shop.tables.row_cells import RowCells

IGNORED = ""
"""What the name of an item is mapped to that is none of ours."""

_NO_TESTS = "how many tests the shares are worth is missing"
_NO_ORDER = "which order was filled? Its number is missing"


class UnknownItemError(ValueError):
    """A name that is none of the shop's, or is to be passed by; `item` is the name."""

    def __init__(self, item: str, message: str, *, ignored: bool = False) -> None:
        super().__init__(message)
        self.item, self.ignored = item, ignored


class RowReader:
    """Reads rows with the columns of a file.

    Parameters
    ----------
    cells : RowCells
    things : Things
    items : mapping of str to str
        Names of items, as `plain` has them, and what they are here.
    """

    def __init__(self, cells: RowCells, things: Things, items: Mapping[str, str]) -> None:
        self._cells, self._things, self._items = cells, things, items
        self._found: dict[tuple[str, str], Thing | UnknownItemError] = {}
        self._finders: Mapping[str, Callable[[str], Thing]] = {
            "delivery": lambda text: find_arrival(things, text),
            **dict.fromkeys(("break", "yields"), things.find_piece),
            **dict.fromkeys(("sale", "order"), lambda text: find_cut(things, text)),
            **dict.fromkeys(("count", "waste", "batch"), things.find),
        }

    def entry(self, row: CsvRow, kind: str, *, refunds: bool = False) -> Entry:
        """The entry of a kind that a row tells; all that is wrong with its cells is told together.

        Parameters
        ----------
        row : CsvRow
        kind : str
        refunds : bool
            Whether amounts and money may be below nothing.

        Raises
        ------
        UnknownItemError, ValueError
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
        self, row: CsvRow, kind: EntryKind, field: Field, thing: Thing | None, refunds: bool
    ) -> Any:
        """What a row has for a field; raises `ValueError`."""
        cells, by_each = self._cells, bool(thing and thing.by_each)
        match field.value:
            case "day":
                if field.optional and not cells.text(row, field.head):
                    return None
                return cells.day(row, field.head, toward_of(kind.word))
            case "name" if thing:
                if kind.word == "batch" and thing.name not in self._things.week.blends:
                    raise ValueError(f"{thing.name} is no blend")
                return thing.full
            case "way" if thing:
                return self._things.find_way(thing, cells.needed(row, field.head)).name
            case "amount":
                return cells.amount(row, thing, below=refunds) if thing else self._picked_up(row)
            case "quantity" if thing:
                return Quantity(cells.amount(row, thing, below=refunds), by_each)
            case "whole":
                return cells.count(row, len(self._weight_cells(row)) or 1)
            case "weight":
                return cells.weight(row)
            case "weights":
                return self._weights(row)
            case "things":
                return self._parts(row)
            case "rate":
                # what arrives is paid by weight, also pieces, which are counted otherwise
                return cells.price(row, by_each and kind.word != "delivery")
            case "money":
                return cells.money(row, below=refunds)
            case "flag":
                return cells.sold_out(row)
            case "moment":
                return self._moment(row)
            case "text":
                return cells.text(row, field.head) or A_CUSTOMER
            case "plan":
                return cells.needed(row, field.head)
            case "number":
                return self._there(cells.optional(row, field.head), _NO_TESTS)
            case "reference":
                return self._there(cells.whole(row, field.head), _NO_ORDER)
            case _:  # pragma: no cover
                raise AssertionError(field)

    @staticmethod
    def _there(value: float | None, message: str) -> float:
        if value is None:
            raise ValueError(message)
        return value

    def _picked_up(self, row: CsvRow) -> float:
        """The amount of an order that is known by its number alone."""
        number, unit = self._cells.amount_cell(row)
        if unit is None:
            raise ValueError(
                'by weight or by each? Call the column "amount (lb)" or "amount (each)"'
            )
        return number * POUNDS.get(unit, 1.0)

    def _weight_cells(self, row: CsvRow) -> list[str]:
        return [each for each in self._cells.text(row, "weights").split(";") if each.strip()]

    def _weights(self, row: CsvRow) -> tuple[float, ...]:
        cells = self._weight_cells(row)
        if not cells:
            raise ValueError("a delivery has weights: that of each, or one that all have")
        return tuple(self._cells.pounds(each, "weights") for each in cells)

    def _named(self, row: CsvRow, kind: str) -> Thing:
        """The thing that a row is about, found once for all rows that have the same text."""
        text = self._cells.text(row, "what")
        found = self._found.get((kind, text))
        if found is None:
            found = self._found[kind, text] = self._find(text, self._finders[kind])
        if isinstance(found, UnknownItemError):
            raise found
        return found

    def _find(self, text: str, find: Callable[[str], Thing]) -> Thing | UnknownItemError:
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
        text = plain(self._cells.text(row, "at"))
        if text not in ("", "open", "close"):
            raise ValueError(f'"{printable(text)}" is no moment of a count; write open or close')
        return "open" if text == "open" else "close"

    def _parts(self, row: CsvRow) -> tuple[Weighed, ...]:
        text = self._cells.text(row, "parts")
        try:
            cells = next(csv.reader([text], delimiter=";", skipinitialspace=True), [])
        except csv.Error:
            raise ValueError("the parts have a quote that is never closed") from None
        return tuple(self._part(each) for each in cells if each.strip())

    def _part(self, text: str) -> Weighed:
        """`lamb bones: 4 lb`, `lamb loin: 2 weighing 7.1 lb`, `lamb loin: 2`."""
        name, colon, rest = text.rpartition(":")
        if not colon:
            raise ValueError(f'"{printable(text)}" is no part such as lamb bones: 4 lb')
        thing = self._things.find(name.strip())
        count, weighing, weight = rest.partition(WEIGHING)
        if not weighing and not count.strip().isdecimal():
            return Weighed(thing.full, None, self._cells.pounds(rest))
        pounds = self._cells.pounds(weight) if weighing else None
        if not count.strip().isdecimal():
            raise ValueError(f'"{printable(text)}": how many of {thing.name} is a whole number')
        return Weighed(thing.full, int(count), pounds)
