"""What the checks of entries are made against: one frozen object, made once a command."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Self, TypeAlias, TypeVar

from planner.core.units import Units
from planner.journal.entries import Entry, Recorded
from planner.shop.entering.catalog import Catalog
from planner.shop.entering.duplicates import key_of
from planner.shop.entering.orders import OrderState, order_states, states_after
from planner.shop.entering.typical import Typical, typical_of
from planner.shop.entering.warning import EntryWarning
from planner.shop.entering.weighing import Weighing

Answer = TypeVar("Answer")


@dataclass(frozen=True)
class EntryContext:
    """What is known where something is entered.

    `recorded` is what counts of the journal, `day` the one that is weighed in or counted, of other
    entries today; `open_days` are weekdays, 0 for Monday; `before` is what is entered along with
    it, before it; `weighed` the weigh-in that it belongs to.
    """

    catalog: Catalog
    recorded: Sequence[Recorded]
    day: date
    typical: Typical
    orders: Mapping[int, OrderState]
    open_days: Collection[int] = range(7)
    before: tuple[Entry, ...] = ()
    weighed: Weighing | None = None

    @property
    def units(self) -> Units:
        """What amounts and prices are told in."""
        return self.catalog.week.units

    @cached_property
    def numbers(self) -> Mapping[tuple[object, ...], int]:
        """Of what is in the journal, the number of the first entry that says the same."""
        return {key_of(one.entry): one.number for one in reversed(self.recorded)}

    def after(self, *entries: Entry) -> Self:
        """The same once entries stand before the next."""
        orders = self.orders
        for entry in entries:
            orders = states_after(orders, entry)
        return replace(self, orders=orders, before=(*self.before, *entries))

    @property
    def weighing(self) -> Weighing:
        """What is expected of breaks and batches on the day."""
        return self.weighed or Weighing(self.catalog.week, self.recorded, self.day)

    def name(self, full: str) -> str:
        """What a thing of the journal is called here."""
        thing = self.catalog.by_full.get(full)
        return thing.name if thing else full


Check: TypeAlias = Callable[[Answer, EntryContext], Iterable[EntryWarning]]
"""What is unlikely about an answer, or an entry, given what is known."""


def context_of(
    catalog: Catalog,
    recorded: Sequence[Recorded],
    day: date,
    open_days: Collection[int] = range(7),
    weighed: Weighing | None = None,
) -> EntryContext:
    """What is known, out of what counts of the journal."""
    typical, orders = typical_of(catalog, recorded), order_states(recorded)
    return EntryContext(catalog, recorded, day, typical, orders, open_days, (), weighed)


def warnings_of(
    answer: Answer, context: EntryContext, checks: Iterable[Check[Answer]]
) -> Iterator[EntryWarning]:
    """All that the checks have to say, in their order."""
    for check in checks:
        yield from check(answer, context)
