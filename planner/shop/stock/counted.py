"""Counts of the case and the cooler, in place of what was reckoned."""

from __future__ import annotations

from datetime import date, timedelta

from planner.core.quantities import show_day
from planner.core.recipe import Cut, Piece
from planner.journal.entries import Count, Moment
from planner.shop.stock.dated_stock import Whole
from planner.shop.stock.stocks import Stocks


class Counted:
    """Puts counts into the stocks: of a thing and a moment the last writing is what counts."""

    def __init__(self, stocks: Stocks) -> None:
        self._stocks = stocks
        self._last: dict[str, tuple[date, Moment, int]] = {}

    def enter(self, entry: Count, writing: int) -> None:
        """Put in a count; those of a moment come in the order of their writings."""
        stocks = self._stocks
        piece = stocks.known.piece(entry.what)
        if piece and entry.quantity.by_each:
            self._pieces(entry, writing, piece)
        elif piece:
            sentence = f"{piece.name} is counted, but was entered by weight: left out"
            stocks.odd(entry.day, sentence)
        else:
            cut = stocks.cut_named(entry.what, entry.day, by_each=entry.quantity.by_each)
            if cut:
                self._cut(entry, writing, cut)

    def _begins(self, name: str, entry: Count, writing: int) -> bool:
        """Whether this is the first that a writing says of a thing at a moment."""
        moment = (entry.day, entry.at, writing)
        begins = self._last.get(name) != moment
        self._last[name] = moment
        return begins

    def _cut(self, entry: Count, writing: int, cut: Cut) -> None:
        pile = self._stocks.cuts[cut.name]
        if self._begins(cut.name, entry, writing):
            pile.clear()
            self._stocks.counted(cut.name)
        made, last = self._dates(entry, cut.keeps, self._stocks.amount(entry.quantity.amount, cut))
        pile.put(entry.quantity.amount, made, last)

    def _pieces(self, entry: Count, writing: int, piece: Piece) -> None:
        stocks, count = self._stocks, round(entry.quantity.amount)
        cooler = stocks.pieces[piece.name]
        cooler.open(entry.day)
        there = [each.pounds for each in cooler.there or cooler.late]  # the same, counted
        pounds = entry.pounds / count if entry.pounds and count else None
        pounds = pounds or (sum(there) / len(there) if there else stocks.usual(piece.name))
        if self._begins(piece.name, entry, writing):
            cooler.clear()
            stocks.counted(piece.name)
        made, last = self._dates(entry, piece.keeps, f"{count} {piece.name}")
        if count and pounds is None:
            sentence = f"the weight of a {piece.name} is not known: those counted are left out"
            stocks.odd(entry.day, sentence)
        elif count and pounds is not None:
            cooler.put([Whole(pounds, made, last)] * count)
            stocks.weighed(piece.name, pounds)

    def _dates(self, entry: Count, keeps: int, what: str) -> tuple[date, date]:
        """When it was made, and the last day it may be used; what is out of date is told."""
        made = min(entry.made or entry.day, entry.day)
        last = made + timedelta(days=keeps - 1)
        if last < entry.day and entry.quantity.amount > 0:
            sentence = f"counted {what} made {show_day(made)}: out of date, so not planned with"
            self._stocks.odd(entry.day, sentence)
        return made, last
