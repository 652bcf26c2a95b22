"""Which entries `breakplan journal` is asked for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from planner.core.days import Toward, read_day
from planner.core.errors import InputError, Problem
from planner.core.signs import shown_line
from planner.journal.entries import OrderTaken, Recorded
from planner.shop.entering.catalog import Catalog
from planner.shop.entering.kinds import BY_WORD, name_in, read_kind
from planner.shop.tables.columns import plain

T = TypeVar("T")


class OptionReader:
    """Reads the words of options, and tells together what is wrong with them."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def read(self, option: str, text: str | None, read: Callable[[str], T], default: T) -> T:
        """What `read` makes of a text, or the default where there is none, or it is a fault."""
        try:
            return default if text is None else read(text)
        except InputError as error:
            self.problems += error.problems
        except ValueError as error:
            self.problems.append(Problem(option, 0, shown_line(str(error))))
        return default

    def stop(self) -> None:
        """Raise `InputError` with all that is wrong, if anything is."""
        if self.problems:
            raise InputError(self.problems)


@dataclass(frozen=True, slots=True)
class Filters:
    """Which entries are wanted, in the words of the command; None is no limit."""

    kind: str | None = None
    what: str | None = None
    begins: str | None = None
    ends: str | None = None
    number: int | None = None
    undone: bool = False


def wanted(
    filters: Filters,
    catalog: Catalog,
    everything: Sequence[Recorded],
    counting: Sequence[Recorded],
    today: date,
    *,
    coming: bool = False,
) -> tuple[Recorded, ...]:
    """The entries that are asked for; raises `InputError` with every word that means nothing.

    A name may be one that only the journal still has. A weekday is the next of its name (`coming`),
    else the last.
    """
    orders = {one.number: one.entry for one in everything if isinstance(one.entry, OrderTaken)}
    toward: Toward = "coming" if coming else "past"
    options = OptionReader()
    first = options.read("--from", filters.begins, lambda t: read_day(t, today, toward), date.min)
    last = options.read("--to", filters.ends, lambda t: read_day(t, today, toward), date.max)
    kind = options.read("--kind", filters.kind, lambda t: BY_WORD[read_kind(t)].made_of, object)
    there = {name for one in everything if (name := name_in(one.entry, orders))}
    names: set[str] = options.read(
        "--what", filters.what, lambda t: _names(t, catalog, there), set()
    )
    if first > last and not options.problems:
        message = f"{last} is before {first}, with which --from begins"
        options.problems.append(Problem("--to", 0, message))
    options.stop()
    return tuple(
        one
        for one in (everything if filters.undone or filters.number else counting)
        if first <= one.entry.day <= last
        and filters.number in (None, one.number)
        and isinstance(one.entry, kind)
        and (filters.what is None or name_in(one.entry, orders) in names)
    )


def _names(text: str, catalog: Catalog, there: set[str]) -> set[str]:
    """What the journal may call a thing."""
    word = plain(text)
    names = {name for name in there if plain(name) == word}
    try:
        names.add(catalog.find(text).full)
    except ValueError:
        roots = {each.species: each.roots for each in catalog.week.recipes}.get(word, ())
        names |= {catalog.pieces[root].full for root in roots}
        names |= {name for name in there if plain(name).endswith(f" {word}")}
        if not names:
            raise
    return names
