"""One row of a file as one entry of the journal."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from datetime import date
from functools import cached_property
from typing import TypeVar, cast

from planner.files.asked_order import A_CUSTOMER
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Entry,
    Filled,
    Moment,
    OrderTaken,
    PlanKept,
    Sold,
    Wasted,
    Weighed,
    YieldsWritten,
)
from planner.measures import POUNDS
from planner.shop.entering.kinds import toward_of
from planner.shop.entering.naming import find_arrival, find_cut
from planner.shop.entering.things import Thing, Things, printable
from planner.shop.tables.columns import plain
from planner.shop.tables.csvfile import Row
from planner.shop.tables.entryrows import WEIGHING
from planner.shop.tables.rowcells import RowCells

T = TypeVar("T")

IGNORED = ""
"""What the name of an item is mapped to that is none of ours."""


class UnknownItemError(ValueError):
    """A name that is none of the shop's, or is to be passed by; `item` is the name."""

    def __init__(self, item: str, message: str, *, ignored: bool = False) -> None:
        super().__init__(message)
        self.item, self.ignored = item, ignored


class Together:
    """Reads several cells of a row, so that all that is wrong with them is told together."""

    def __init__(self) -> None:
        self._messages: list[str] = []

    def read(self, read: Callable[[], T]) -> T:
        """What a cell has; where it is wrong something that `stop` lets nobody use."""
        try:
            return read()
        except ValueError as error:
            self._messages.append(str(error))
            return cast(T, None)

    def stop(self) -> None:
        """Raise `ValueError` with all that is wrong."""
        if self._messages:
            raise ValueError("; ".join(self._messages))


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

    def entry(self, row: Row, kind: str, *, refunds: bool = False) -> Entry:
        """The entry of a kind that a row tells.

        Parameters
        ----------
        row : Row
        kind : str
        refunds : bool
            Whether amounts and money may be below nothing.

        Raises
        ------
        UnknownItemError, ValueError
        """
        if kind in ("sale", "waste", "count", "order"):
            return self._stock(row, kind, refunds)
        day = self._cells.day(row, toward=toward_of(kind))
        return self._readers[kind](row, day)

    @cached_property
    def _readers(self) -> Mapping[str, Callable[[Row, date], Entry]]:
        return {
            "delivery": self._delivery,
            "break": self._break,
            "batch": self._batch,
            "filled": self._filled,
            "plan": lambda row, day: PlanKept(day, self._cells.needed(row, "plan")),
            "yields": self._yields,
        }

    def _stock(self, row: Row, kind: str, refunds: bool) -> Entry:
        if kind in ("sale", "order"):
            thing = self._named(row, lambda text: find_cut(self._things, text), "cut")
        else:
            thing = self._named(row, self._things.find, "thing")
        cells, each = self._cells, thing.by_each
        together = Together()
        day = together.read(lambda: cells.day(row, toward=toward_of(kind)))
        amount = together.read(lambda: cells.amount(row, thing, below=refunds))
        if kind == "sale":
            money = together.read(lambda: cells.money(row, below=refunds))
            sold_out = together.read(lambda: cells.sold_out(row))
            together.stop()
            return Sold(day, thing.full, amount, each, money, sold_out)
        together.stop()
        if kind == "waste":
            return Wasted(day, thing.full, amount, each)
        if kind == "order":
            buyer = self._cells.text(row, "buyer") or A_CUSTOMER
            return OrderTaken(day, thing.full, amount, each, buyer, self._cells.price(row, each))
        made = self._cells.day(row, "made") if self._cells.text(row, "made") else None
        pounds = self._cells.weight(row)
        return Count(day, self._moment(row), thing.full, amount, each, made, pounds)

    def _delivery(self, row: Row, day: date) -> Delivery:
        what = self._named(row, lambda text: find_arrival(self._things, text), "arrival").full
        cells = [each for each in self._cells.text(row, "weights").split(";") if each.strip()]
        pounds = tuple(self._cells.pounds(each, "weights") for each in cells)
        head = self._cells.count(row, len(pounds))
        if not pounds:
            raise ValueError("a delivery has weights: that of each, or one that all have")
        return Delivery(day, what, head, pounds, self._cells.price(row, by_each=False))

    def _break(self, row: Row, day: date) -> BreakDone:
        piece = self._named(row, self._things.find_piece, "piece")
        way = self._things.find_way(piece, self._cells.needed(row, "way"))
        count, pounds = self._cells.count(row, 1), self._cells.weight(row)
        return BreakDone(day, piece.full, way.name, count, pounds, self._parts(row))

    def _batch(self, row: Row, day: date) -> BatchMade:
        blend = self._named(row, self._things.find, "thing")
        if blend.name not in self._things.week.blends:
            raise ValueError(f"{blend.name} is no blend")
        return BatchMade(day, blend.full, self._cells.amount(row, blend), self._parts(row))

    def _filled(self, row: Row, day: date) -> Filled:
        order = self._cells.whole(row, "order")
        if order is None:
            raise ValueError("which order was filled? Its number is missing")
        number, unit = self._cells.amount_cell(row)
        if unit is None:
            raise ValueError(
                'by weight or by each? Call the column "amount (lb)" or "amount (each)"'
            )
        return Filled(day, order, number * POUNDS.get(unit, 1.0))

    def _yields(self, row: Row, day: date) -> YieldsWritten:
        piece = self._named(row, self._things.find_piece, "piece")
        way = self._things.find_way(piece, self._cells.needed(row, "way"))
        tests = self._cells.optional(row, "tests")
        if tests is None:
            raise ValueError("how many tests the shares are worth is missing")
        return YieldsWritten(day, piece.full, way.name, tests)

    def _named(self, row: Row, find: Callable[[str], Thing], kind: str) -> Thing:
        """The thing that a row is about, found once for all rows that have the same text."""
        text = self._cells.text(row, "what")
        found = self._found.get((kind, text))
        if found is None:
            found = self._found[kind, text] = self._find(text, find)
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

    def _moment(self, row: Row) -> Moment:
        text = plain(self._cells.text(row, "at"))
        if text not in ("", "open", "close"):
            raise ValueError(f'"{printable(text)}" is no moment of a count; write open or close')
        return "open" if text == "open" else "close"

    def _parts(self, row: Row) -> tuple[Weighed, ...]:
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
