"""The lines of a day's sheet, all in words, for the terminal and for the page alike."""

from __future__ import annotations

from dataclasses import dataclass

TRAY_HEADS = ("tray", "had", "today", "ground", "sold", "out", "left")
"""Heads of the rows of `DaySheet.trays`."""


@dataclass(frozen=True, slots=True)
class Item:
    """A thing and how much of it is expected."""

    name: str
    amount: str


@dataclass(frozen=True, slots=True)
class DueOrder:
    """What is for an order: who waits for it, the day where it is not this one, and how much."""

    buyer: str
    day: str
    what: str

    @property
    def text(self) -> str:
        """`the corner bistro fri: 2.1 lb`."""
        return f"{self.buyer}{self.day and ' '}{self.day}: {self.what}"


@dataclass(frozen=True, slots=True)
class Task:
    """A line of the list.

    `lots` says which lots the pieces are of, where there are several, in short (`1+2`), and
    `of_lots` how many of each (`1 of lot 1, 1 of lot 2`), the oldest first. `gives` are
    things for the next piece of work or for the case, `trays` what goes into trays, `waiting` the
    orders that wait for it. A task without a `what` is a time of waiting; one without `count` is
    at the grinder.
    """

    time: str
    count: str
    what: str
    minutes: str
    lots: str = ""
    of_lots: str = ""
    gives: tuple[Item, ...] = ()
    trays: tuple[Item, ...] = ()
    waiting: tuple[DueOrder, ...] = ()


@dataclass(frozen=True, slots=True)
class BatchTask:
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


@dataclass(frozen=True, slots=True)
class Spell:
    """Tasks that follow each other with the same tool."""

    tool: str
    tasks: tuple[Task, ...]


@dataclass(frozen=True, slots=True)
class CutterList:
    """What one cutter does: spells of work, and when it ends; no name where there is only one."""

    name: str
    spells: tuple[Spell, ...]
    ends: str


@dataclass(frozen=True, slots=True)
class CaseRow:
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


@dataclass(frozen=True, slots=True)
class WrapRow:
    """An order of the day; `first` of it was made before, `short` is not to be had."""

    buyer: str
    what: str
    first: str
    short: str


@dataclass(frozen=True, slots=True)
class DaySheet:
    """One day's sheet, all in words; `label` is the day as it is written in files.

    `whole` are the pieces that lie over, `later` orders after the days planned, `missing` what has
    to be entered before anything can be planned, `late` what to say when it cannot be done in time,
    and `alarm` whether that is a time of the day.
    """

    label: str
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
    whole: tuple[str, ...]
    later: tuple[str, ...]
    missing: tuple[str, ...]
    done: str
    late: str
    alarm: bool
