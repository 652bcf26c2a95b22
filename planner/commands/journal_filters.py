"""Which entries `breakplan journal` is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.days import Toward, read_day
from planner.core.errors import InputError, Problem
from planner.core.signs import shown_line
from planner.journal.entries import OrderTaken, Recorded
from planner.shop.entering.kinds import BY_WORD, name_in, read_kind
from planner.shop.entering.things import Things
from planner.shop.tables.columns import plain


@dataclass(frozen=True, slots=True)
class Filters:
    """Which entries are wanted, in the words of the command; None is no limit."""

    kind: str | None = None
    what: str | None = None
    begins: str | None = None
    ends: str | None = None
    number: int | None = None
    undone: bool = False


class Wanted:
    """What these words mean.

    Parameters
    ----------
    filters : Filters
    things : Things
    entries : sequence of Recorded
        All of the journal: a name may be one that no recipe has any more.
    today : date
    coming : bool
        Whether a weekday is the next of its name, else the last.

    Raises
    ------
    InputError
        With every word that means nothing.
    """

    def __init__(
        self,
        filters: Filters,
        things: Things,
        entries: Sequence[Recorded],
        today: date,
        *,
        coming: bool = False,
    ) -> None:
        self._problems: list[Problem] = []
        self._today, self._coming, self._number = today, coming, filters.number
        self._orders = {
            one.number: one.entry for one in entries if isinstance(one.entry, OrderTaken)
        }
        self._first = self._day("--from", filters.begins, date.min)
        self._last = self._day("--to", filters.ends, date.max)
        self._kind = self._read_kind(filters.kind)
        there = {name for one in entries if (name := name_in(one.entry, self._orders))}
        self._names = None if filters.what is None else self._read_name(filters.what, things, there)
        if self._first > self._last and not self._problems:
            message = f"{self._last} is before {self._first}, with which --from begins"
            self._problems.append(Problem("--to", 0, message))
        if self._problems:
            raise InputError(self._problems)

    def has(self, one: Recorded) -> bool:
        """Whether an entry is one of those wanted."""
        return (
            self._first <= one.entry.day <= self._last
            and self._number in (None, one.number)
            and (self._kind is None or isinstance(one.entry, self._kind))
            and (self._names is None or name_in(one.entry, self._orders) in self._names)
        )

    def _day(self, option: str, text: str | None, limit: date) -> date:
        try:
            toward: Toward = "coming" if self._coming else "past"
            return limit if text is None else read_day(text, self._today, toward)
        except ValueError as error:
            self._problems.append(Problem(option, 0, shown_line(str(error))))
            return limit

    def _read_kind(self, text: str | None) -> type | None:
        try:
            return None if text is None else BY_WORD[read_kind(text)].made_of
        except ValueError as error:
            self._problems.append(Problem("--kind", 0, shown_line(str(error))))
            return None

    def _read_name(self, text: str, things: Things, there: set[str]) -> set[str]:
        """What the journal may call a thing."""
        word = plain(text)
        names = {name for name in there if plain(name) == word}
        try:
            names.add(things.find(text).full)
        except ValueError as error:
            species = {each.species: each.roots for each in things.week.recipes}
            names |= {things.pieces[root].full for root in species.get(word, ())}
            names |= {name for name in there if plain(name).endswith(f" {word}")}
            if not names:
                self._problems.append(Problem("--what", 0, shown_line(str(error))))
        return names
