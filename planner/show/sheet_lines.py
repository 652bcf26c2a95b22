"""The lines of a day's sheet, all in words, for the terminal and for the page alike."""

from __future__ import annotations

from typing import NamedTuple

TRAY_HEADS = ("tray", "had", "today", "ground", "sold", "out", "left")
"""Heads of the rows of `DaySheet.trays`."""


class Item(NamedTuple):
    """A thing and how much of it is expected."""

    name: str
    amount: str


class DueOrder(NamedTuple):
    """What is for an order: who waits for it, the day where it is not this one, and how much."""

    buyer: str
    day: str
    what: str

    @property
    def text(self) -> str:
        """`the corner bistro fri: 2.1 lb`."""
        return f"{self.buyer}{self.day and ' '}{self.day}: {self.what}"


class Task(NamedTuple):
    """A line of the list: without a `what` a time of waiting, without `number` at the grinder."""

    time: str
    number: str
    what: str
    minutes: str
    lots: str = ""  # which lots the pieces are of, where there are several: `1+2`
    of_lots: str = ""  # the same in full: `1 of lot 1, 1 of lot 2`, the oldest first
    gives: tuple[Item, ...] = ()  # for the next piece of work, or for the case
    trays: tuple[Item, ...] = ()
    waiting: tuple[DueOrder, ...] = ()


class BatchTask(NamedTuple):
    """A batch with what goes in: name of the tray and the cut, amount, and the lots it is of."""

    time: str
    code: str
    what: str
    amount: str
    fat: str
    minutes: str
    cutter: str
    takes: tuple[tuple[Item, str], ...]
    waiting: tuple[DueOrder, ...]


class Spell(NamedTuple):
    """Tasks that follow each other with the same tool."""

    tool: str
    tasks: tuple[Task, ...]


class CutterList(NamedTuple):
    """What one cutter does: spells of work, and when it ends; no name where there is only one."""

    name: str
    spells: tuple[Spell, ...]
    ends: str


class CaseRow(NamedTuple):
    """A cut in the case: what is put out, how much of that first, what is marked down.

    `keep` is what goes into the cooler, where some was made that day or is for an order.
    """

    name: str
    out: str
    first: str
    marked: str
    keep: str
    until: str
    held: tuple[DueOrder, ...]


class WrapRow(NamedTuple):
    """An order of the day; `first` of it was made before, `short` is not to be had."""

    buyer: str
    what: str
    first: str
    short: str


class DaySheet(NamedTuple):
    """One day's sheet, all in words."""

    label: str  # the day as it is written in files
    title: str
    date: str
    bench: str
    heads: tuple[str, ...]
    cutters: tuple[CutterList, ...]
    batches: tuple[BatchTask, ...]
    trays: tuple[tuple[str, ...], ...]
    case: tuple[CaseRow, ...]
    wraps: tuple[WrapRow, ...]
    out: tuple[str, ...]
    last_day: tuple[str, ...]
    whole: tuple[str, ...]  # pieces that lie over
    later: tuple[str, ...]  # orders after the days planned
    missing: tuple[str, ...]  # what has to be entered before anything can be planned
    done: str
    late: str  # what to say when it cannot be done in time
    alarm: bool  # whether that is a time of the day
