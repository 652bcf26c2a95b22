"""Write the estimates into the shop's recipes, so that a kill at any moment does no harm.

The order: the new file is laid beside the old one; the journal says, in one transaction, that the
weigh-ins are counted in; the new file takes the old one's place. Until the journal has it nothing
has happened, and the file that lies there is taken away. From then on it is done, and whoever opens
the shop folder next lets the file take its place before anything is planned (`settle_yields`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from planner.core.errors import InputError, Problem
from planner.core.recipe import Recipe, full_name
from planner.files.file_kind import kind_of
from planner.files.find import shown
from planner.files.recipe_file import recipe_of
from planner.files.write_shares import (
    NewShares,
    is_in_place,
    laid_beside,
    lay_beside,
    put_in_place,
    shares_in,
    take_away,
)
from planner.files.yamlfile import load
from planner.journal.counting import counting
from planner.journal.entries import Recorded, YieldsWritten
from planner.journal.store import Journal
from planner.learn.agreed import Key, learned_recipe
from planner.learn.rounded import CannotRoundError, rounded
from planner.shop.learned.weighed import weigh_ins
from planner.shop.learned.yield_report import entries_of


@dataclass(frozen=True, slots=True)
class Written:
    """One recipe file into which estimates were written.

    `ways` are pieces and ways whose figures changed, `entries` ways whose weigh-ins are counted in
    now.
    """

    file: str
    ways: tuple[Key, ...]
    entries: tuple[YieldsWritten, ...]


@dataclass(frozen=True, slots=True)
class _Ready:
    """A file with what is to be written: None where its rounded figures stay as they are."""

    file: Path
    ways: tuple[Key, ...]
    new: NewShares | None
    entries: tuple[YieldsWritten, ...]


def write_yields(
    files: Iterable[Path], journal: Journal, day: date, pieces: Sequence[str] | None = None
) -> tuple[Written, ...]:
    """Write the estimates into recipe files, and into the journal that they are written.

    Every file is looked at before the first is written; files of blends are passed over, and so are
    weigh-ins of later days. With `pieces` (names with species in front) only weigh-ins of these are
    used, and other figures change only as far as they must agree. Returns files with new weigh-ins.

    Raises
    ------
    InputError
        A file cannot be written, or its figures cannot be changed safely; it is as it was.
    """
    everything = journal.recorded(undone=True)
    last = everything[-1].number if everything else 0
    recorded = counting(everything)
    found = [_ready(file, recorded, day, pieces) for file in files]
    ready = [each for each in found if each]
    for each in ready:
        last = _write(each, journal, last)
    return tuple(Written(shown(each.file), each.ways, each.entries) for each in ready)


def settle_yields(files: Iterable[Path], journal: Path) -> bool:
    """Finish or take back what a writing of yields left when it was stopped; whether any was done.

    To be asked of every shop folder before its recipes are used.
    """
    waiting = [(file, laid) for file in files for laid in laid_beside(file)]
    if not waiting:
        return False
    done = False
    with Journal(journal) as opened:
        entries = opened.recorded(kinds=(YieldsWritten,))
    for file, laid in waiting:
        recipe = _recipe(file)
        if any(each.number > laid.number and _is_of(each, recipe) for each in entries):
            put_in_place(laid, shown(file))
            done = True
        else:
            take_away(laid, shown(file))
    return done


def _is_of(recorded: Recorded, recipe: Recipe) -> bool:
    """Whether it is of a piece of this file: quarters of one species have a file each."""
    entry = recorded.entry
    names = {full_name(recipe.species, name) for name in recipe.pieces}
    return isinstance(entry, YieldsWritten) and entry.piece in names


def _recipe(file: Path) -> Recipe:
    return recipe_of(load(file, shown(file)))[0]


def _ready(
    file: Path, recorded: Sequence[Recorded], day: date, pieces: Sequence[str] | None
) -> _Ready | None:
    if kind_of(load(file, shown(file))) != "recipe":
        return None
    recipe = _recipe(file)
    histories = {
        key: history
        if pieces is None or full_name(recipe.species, key[0]) in pieces
        else replace(history, tests=())
        for key, history in weigh_ins(recipe, recorded, date.max).histories.items()
    }
    days = [test.day for history in histories.values() for test in history.tests]
    if (late := max(days, default=day)) > day:
        message = f"a weigh-in of {late.isoformat()}, which is to come, is in the journal: undo it"
        raise InputError([Problem(shown(file), 0, message)])
    entries = entries_of(recipe, histories, day)
    if not entries:
        return None
    try:
        figures = rounded(recipe, learned_recipe(recipe, histories))
    except CannotRoundError as error:
        raise InputError([Problem(shown(file), 0, str(error))]) from None
    ways = tuple(dict.fromkeys(key[:2] for key in figures))
    new = shares_in(file, shown(file), figures) if figures else None
    return _Ready(file, ways, new, entries)


def _write(ready: _Ready, journal: Journal, last: int) -> int:
    """Write one file; returns the number of the last entry there is now."""
    name = shown(ready.file)
    if ready.new is None:
        return _enter(ready, journal, last)
    laid = lay_beside(ready.new, last)
    try:
        number = _enter(ready, journal, last)
    except InputError:
        take_away(laid, name, at_once=True)
        raise
    put_in_place(laid, name)
    if not is_in_place(ready.new):
        message = (
            "its new shares were taken away before they were in place, though the journal says "
            "they are written: undo that there, then try again"
        )
        raise InputError([Problem(name, 0, message)])
    return number


def _enter(ready: _Ready, journal: Journal, last: int) -> int:
    """Say in the journal that they are counted in; not where something was entered meanwhile."""

    def make(first: int) -> list[tuple[YieldsWritten, ...]]:
        if first != last + 1:
            message = "something was entered into the journal in the meantime; try again"
            raise InputError([Problem(shown(ready.file), 0, message)])
        return [ready.entries]

    return journal.add_writings(make)[-1].number
