"""What `breakplan journal` does with an open journal: list, enter what is said, undo, copy."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from datetime import date
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import Self

import typer

from planner.commands.journal_filters import Filters, Wanted
from planner.commands.journal_undo import Undoing, undone_text
from planner.commands.shop_folder import stop_at_wrong_clock
from planner.core import clock
from planner.core.days import is_weekday
from planner.core.errors import InputError, Problem
from planner.core.quantities import show_count
from planner.core.signs import shown_line
from planner.files.atomic_write import is_standard_output, write_text
from planner.files.shop_file import Shop
from planner.journal.counting import counting, undone_writings
from planner.journal.entries import Entry, Filled, OrderTaken, Recorded
from planner.journal.restoring import restore
from planner.journal.store import Journal
from planner.shop.entering.beyond_stock import STOCK_CHECKS
from planner.shop.entering.context import EntryContext, context_of, warnings_of
from planner.shop.entering.entry_checks import ENTRY_CHECKS, same_entry
from planner.shop.entering.entry_reader import EntryReader, day_in
from planner.shop.entering.orders import OrderState, order_states
from planner.shop.entering.things import Things, printable
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

MOST_WARNINGS = 10
"""Warnings that are told one by one."""


class OpenJournal:
    """The journal of a shop, open, and what its names mean; a context manager.

    Parameters
    ----------
    shop : Shop
    today : date
    """

    def __init__(self, shop: Shop, today: date) -> None:
        self.shop, self.today = shop, today
        self.things = Things(shop.week(today))
        self.journal = Journal(shop.journal)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None
    ) -> None:
        self.journal.close()

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

    def show_list(self, filters: Filters, most: int | None, *, json: bool) -> None:
        """Print the last entries."""
        found = self._found(filters)
        if filters.number is not None and not found:
            raise InputError([Problem("N", 0, f"the journal has no entry {filters.number}")])
        shown = found if most is None else found[-most:]
        earlier = len(found) - len(shown)
        if json:
            typer.echo(self._data().listing(shown, self.undone, earlier))
        else:
            listing = Listing(shown, self.undone, earlier)
            typer.echo(listing_text(listing, self._words(), self.today, width_of(sys.stdout)))

    def show_open(self, filters: Filters, *, json: bool) -> None:
        """Print the orders that are open, by the day they are for."""
        found = {one.number: one for one in self._found(filters, coming=True)}
        kept = [each for each in self.states.values() if each.open and each.number in found]
        kept.sort(key=lambda each: (each.order.day, each.number))
        if json:
            typer.echo(self._data().listing([found[each.number] for each in kept]))
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
                entry = EntryReader(self.things, self.today, context.orders).read(text)
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
        self.stop_at_warnings("add", warnings, yes=yes or dry_run)
        if dry_run:
            self.show_planned(entries, warnings, json=json)
        else:
            self.show_entered(self.journal.add(entries), warnings, json=json)
        if not json:
            for hint in dict.fromkeys(hints):
                self.say(hint)

    @cached_property
    def context(self) -> EntryContext:
        """What entries are checked against."""
        return context_of(self.things, self.counting, self.today, self.shop.open_days)

    def undo(self, number: int | None, *, yes: bool, json: bool) -> None:
        """Undo the last writing, or that of an entry, and print what it was."""
        writing = Undoing(self.everything, self.counting).writing(number, yes=yes)
        was = self.journal.undo(writing, day=self.today)
        if json:
            typer.echo(self._data().listing(was, frozenset(one.writing for one in was)))
            return
        self.say(undone_text(len(was)))
        numbers = [one.number for one in was]
        typer.echo(self._entries([one.entry for one in was], self._words(), numbers))

    def export(self, path: Path, filters: Filters, most: int | None = None) -> None:
        """Write entries as CSV, the last so many."""
        found = self._found(filters)
        found = found if most is None else found[-most:]
        orders = {
            one.number: one.entry for one in self.everything if isinstance(one.entry, OrderTaken)
        }
        text = journal_csv(found, orders, self.shop.units.unit)
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

    def back_up(self, path: Path) -> None:
        """Write a copy of the journal."""
        self.journal.backup(path)
        typer.echo(f"Wrote a copy of the journal to {printable(str(path))}.")

    def stop_at_warnings(self, name: str, warnings: Sequence[str], *, yes: bool) -> None:
        """Raise `InputError` with the warnings, unless somebody said yes to it."""
        if not warnings or yes:
            return
        told = [
            Problem(name, 0, shown_line(f"{each}; if it is right, add --yes"))
            for each in warnings[:MOST_WARNINGS]
        ]
        if len(warnings) > MOST_WARNINGS:
            more = f"{len(warnings) - MOST_WARNINGS} more such warnings; if all is right, add --yes"
            told.append(Problem(name, 0, more))
        raise InputError(told)

    def show_planned(
        self,
        entries: Sequence[Entry],
        warnings: Sequence[str],
        *,
        json: bool,
        orders: Mapping[int, OrderState] | None = None,
    ) -> None:
        """Print what would be entered; `orders` where it refers to orders of its own."""
        if json:
            typer.echo(self._data((), orders).planned(entries, warnings))
            return
        for each in warnings:
            typer.echo(f"warning: {shown_line(each)}", err=True)
        typer.echo(f"Would enter {show_count(len(entries), 'entry', 'entries')}:")
        typer.echo(self._entries(entries, self._words((), orders)))

    def show_entered(
        self, made: Sequence[Recorded], warnings: Sequence[str], *, json: bool
    ) -> None:
        """Print what was entered, and how to undo it."""
        if json:
            typer.echo(self._data(made).listing(made, warnings=warnings))
            return
        for each in warnings:
            typer.echo(f"warning: {shown_line(each)}", err=True)
        typer.echo(f"Entered {show_count(len(made), 'entry', 'entries')}:")
        numbers = [one.number for one in made]
        typer.echo(self._entries([one.entry for one in made], self._words(made), numbers))
        if len({one.writing for one in made}) > 1:
            self.say("What was entered together is undone together: breakplan journal undo N")
        else:
            typer.echo(undo_words(made[0].number, len(made)))

    def _found(self, filters: Filters, *, coming: bool = False) -> tuple[Recorded, ...]:
        """The entries that are wanted."""
        wanted = Wanted(filters, self.things, self.everything, self.today, coming=coming)
        every = self.everything if filters.undone or filters.number else self.counting
        return tuple(one for one in every if wanted.has(one))

    def _words(
        self, made: Sequence[Recorded] = (), orders: Mapping[int, OrderState] | None = None
    ) -> EntryWords:
        """Words for what was there, for what was made since, or with orders of their own."""
        roots = {root for recipe in self.things.week.recipes for root in recipe.roots}
        names = {each.full: each.name for each in self.things if each.name not in roots}
        every = (*self.everything, *made)
        known = order_states(every) if orders is None else orders
        return EntryWords(self.shop.units, names, known, numbers_of(every))

    def _data(
        self, made: Sequence[Recorded] = (), orders: Mapping[int, OrderState] | None = None
    ) -> EntryData:
        known = order_states((*self.counting, *made)) if orders is None else orders
        return EntryData(self.shop.units, known)

    def _entries(
        self, entries: Sequence[Entry], words: EntryWords, numbers: Sequence[int] = ()
    ) -> str:
        return entries_text(entries, words, self.today, width_of(sys.stdout), numbers)


def begin_journal(path: Path) -> None:
    """Make an empty journal where there is none.

    Raises
    ------
    InputError
        There is one, or it cannot be written.
    """
    if path.exists():
        raise InputError([Problem(str(path), 0, "is there already, and is left alone")])
    with Journal(path, create=True):
        pass
    typer.echo(f"Began an empty journal: {printable(str(path))}")


def restore_journal(copy: Path, path: Path, *, sure: bool) -> None:
    """Put a copy in the place of the journal, and say where that is kept.

    Raises
    ------
    InputError
        As from `restore`; the journal is then as it was.
    """
    done = restore(copy, path, clock.today(), sure=sure)
    entries = show_count(done.entries, "entry", "entries")
    typer.echo(f"Restored the journal from {printable(str(copy))}: {entries}.")
    if done.kept:
        only = "it could not be read"
        if done.missing is not None:
            only = f"{show_count(done.missing, 'entry', 'entries')} only there"
        typer.echo(f"What was there before is kept as {printable(str(done.kept))}: {only}.")
