"""What `breakplan journal` does with an open journal: list, enter what is said, undo, copy."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import cached_property
from pathlib import Path

import typer

from planner.commands.journal_filters import Filters, wanted
from planner.commands.journal_undo import writing_to_undo
from planner.commands.shop_folder import stop_at_wrong_clock
from planner.core.days import is_weekday
from planner.core.errors import InputError, Problem
from planner.core.quantities import show_count
from planner.core.signs import shown_line
from planner.files.atomic_write import is_standard_output, write_text
from planner.files.shop_file import Shop
from planner.journal.counting import counting, undone_writings
from planner.journal.entries import Entry, Filled, OrderTaken, Recorded
from planner.journal.store import Journal
from planner.shop.entering.catalog import Catalog, printable
from planner.shop.entering.context import EntryContext, context_of, warnings_of
from planner.shop.entering.entry_checks import ENTRY_CHECKS, STOCK_CHECKS, same_entry
from planner.shop.entering.entry_reader import EntryReader, day_in
from planner.shop.entering.orders import OrderState, order_states
from planner.shop.entering.warning import ADD_YES
from planner.show.entry_words import EntryWords, numbers_of
from planner.show.journal import (
    Listing,
    days_ahead,
    entries_text,
    listing_text,
    open_text,
    undo_words,
)
from planner.show.journal_data import EntryData, journal_csv
from planner.show.layout import width_of, wrapped
from planner.show.table import ENCODING


class OpenJournal:
    """The journal of a shop, open, and what its names mean."""

    def __init__(self, shop: Shop, journal: Journal, today: date) -> None:
        self.shop, self.journal, self.today = shop, journal, today
        self.catalog = Catalog(shop.week(today))

    @cached_property
    def everything(self) -> tuple[Recorded, ...]:
        """All entries there were when they were first asked for."""
        return self.journal.recorded(undone=True)

    @cached_property
    def undone(self) -> frozenset[int]:
        """Writings that do not count."""
        return undone_writings(self.everything)

    @cached_property
    def counting(self) -> tuple[Recorded, ...]:
        """The entries that count."""
        return counting(self.everything)

    @cached_property
    def states(self) -> dict[int, OrderState]:
        """The orders that count."""
        return order_states(self.counting)

    @property
    def _data(self) -> EntryData:
        return EntryData(self.shop.units, self.states)

    def show_list(self, filters: Filters, most: int | None, *, json: bool) -> None:
        """Print the last entries."""
        found = self._found(filters)
        if filters.number is not None and not found:
            raise InputError([Problem("N", 0, f"the journal has no entry {filters.number}")])
        shown = found if most is None else found[-most:]
        earlier = len(found) - len(shown)
        if json:
            typer.echo(self._data.listing(shown, self.undone, earlier))
        else:
            listing = Listing(shown, self.undone, earlier)
            typer.echo(listing_text(listing, self._words(), self.today, width_of(sys.stdout)))

    def show_open(self, filters: Filters, *, json: bool) -> None:
        """Print the orders that are open, by the day they are for."""
        found = {one.number: one for one in self._found(filters, coming=True)}
        kept = [each for each in self.states.values() if each.open and each.number in found]
        kept.sort(key=lambda each: (each.order.day, each.number))
        if json:
            typer.echo(self._data.listing([found[each.number] for each in kept]))
        else:
            typer.echo(open_text(kept, self._words(), self.today, width_of(sys.stdout)))

    def add(self, texts: Sequence[str], *, yes: bool, dry_run: bool, json: bool) -> None:
        """Enter what is said, all of it in one writing."""
        entries: list[Entry] = []
        problems: list[Problem] = []
        warnings: list[str] = []
        hints: list[str] = []
        context = self.context
        for text in texts:
            said = f'"{printable(text)}"'
            try:
                entry = EntryReader(self.catalog, self.today, context.orders).read(text)
            except ValueError as error:
                problems.append(Problem("add", 0, shown_line(f"{said}: {error}")))
                continue
            # of the stock only where nothing else is unlikely
            found = [*warnings_of(entry, context, (*ENTRY_CHECKS, same_entry))]
            found = found or [*warnings_of(entry, context, STOCK_CHECKS)]
            warnings += [f"{said}: {each.sentence}" for each in found]
            hints += days_ahead(entry, self.today, weekday=is_weekday(day_in(text) or ""))
            context = context.after(entry)
            entries.append(entry)
        if problems:
            raise InputError(problems)
        stop_at_wrong_clock(self.counting, yes=yes or dry_run)
        if warnings and not yes and not dry_run:
            raise InputError([Problem("add", 0, f"{each}; {ADD_YES}") for each in warnings])
        self.enter(entries, lambda: self.journal.add(entries), warnings, dry_run=dry_run, json=json)
        if not json:
            for hint in dict.fromkeys(hints):
                self.say(hint)

    @cached_property
    def context(self) -> EntryContext:
        """What entries are checked against."""
        return context_of(self.catalog, self.counting, self.today, self.shop.open_days)

    def undo(self, number: int | None, *, yes: bool, json: bool) -> None:
        """Undo the last writing, or that of an entry, and print what it was."""
        writing = writing_to_undo(self.everything, self.counting, number, yes=yes)
        # a writing by a wrong clock is undone by the right one without a word
        rest = [one for one in self.counting if one.writing != writing]
        stop_at_wrong_clock(rest, yes=yes)
        was = self.journal.undo(writing, day=self.today)
        if json:
            typer.echo(self._data.listing(was, frozenset(one.writing for one in was)))
            return
        undone = show_count(len(was), "entry", "entries")
        self.say(f"Undone {undone}; --undone lists what was:")
        self._list([one.entry for one in was], None, was)

    def export(self, path: Path, filters: Filters, most: int | None = None) -> None:
        """Write entries as CSV, the last so many."""
        found = self._found(filters)
        found = found if most is None else found[-most:]
        orders = {
            one.number: one.entry for one in self.everything if isinstance(one.entry, OrderTaken)
        }
        text = journal_csv(found, orders, self.shop.units)
        there = {one.number for one in found}
        apart = [e for one in found if isinstance(e := one.entry, Filled) and e.order not in there]
        if apart:
            number = show_count(len(apart), "pick-up")
            message = f"{number} of orders that are not among these; alone it cannot be imported"
            typer.echo(f"warning: {message}", err=True)
        if is_standard_output(path):
            typer.echo(text, nl=False)
            return
        write_text(path, text, None, ENCODING)
        typer.echo(f"Wrote {show_count(len(found), 'entry', 'entries')} to {printable(str(path))}.")

    @staticmethod
    def say(text: str) -> None:
        """Print a sentence on lines as wide as there is room for."""
        typer.echo("\n".join(wrapped(text, 0, width_of(sys.stdout))))

    def enter(
        self,
        entries: Sequence[Entry],
        write: Callable[[], Sequence[Recorded]],
        warnings: Sequence[str],
        *,
        dry_run: bool,
        json: bool,
        orders: Mapping[int, OrderState] | None = None,
    ) -> None:
        """Enter things and print them with how to undo it, or print what would be entered.

        `orders` are those that entries of a file refer to, where it has its own.
        """
        made = () if dry_run else write()
        orders = (orders if dry_run else None) or order_states((*self.counting, *made))
        data = EntryData(self.shop.units, orders)
        if json:
            told = data.planned(entries, warnings) if dry_run else None
            typer.echo(told or data.listing(made, warnings=warnings))
            return
        for each in warnings:
            typer.echo(f"warning: {shown_line(each)}", err=True)
        number = show_count(len(made or entries), "entry", "entries")
        typer.echo(f"{'Would enter' if dry_run else 'Entered'} {number}:")
        self._list(entries if dry_run else [one.entry for one in made], orders, made)
        if len({one.writing for one in made}) > 1:
            self.say("What was entered together is undone together: breakplan journal undo N")
        elif made:
            typer.echo(undo_words(made[0].number, len(made)))

    def _found(self, filters: Filters, *, coming: bool = False) -> tuple[Recorded, ...]:
        """The entries that are wanted."""
        every, counting = self.everything, self.counting
        return wanted(filters, self.catalog, every, counting, self.today, coming=coming)

    def _words(self, orders: Mapping[int, OrderState] | None = None) -> EntryWords:
        roots = {root for recipe in self.catalog.week.recipes for root in recipe.roots}
        names = {each.full: each.name for each in self.catalog if each.name not in roots}
        known = order_states(self.everything) if orders is None else orders
        numbers = numbers_of(self.everything)
        return EntryWords(self.shop.units, names, known, numbers)

    def _list(
        self,
        entries: Sequence[Entry],
        orders: Mapping[int, OrderState] | None = None,
        made: Sequence[Recorded] = (),
    ) -> None:
        """Print entries, with their numbers if they have any."""
        numbers, width = [one.number for one in made], width_of(sys.stdout)
        typer.echo(entries_text(entries, self._words(orders), self.today, width, numbers))
