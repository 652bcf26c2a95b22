"""Orders out of the journal: what was promised, what was picked up, what is open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from planner.journal.counting import is_filled
from planner.journal.entries import Entry, Filled, OrderTaken, Recorded


@dataclass(frozen=True, slots=True)
class OrderState:
    """An order by the number of its entry, and how much of it was picked up: pounds or each."""

    number: int
    order: OrderTaken
    filled: float

    @property
    def left(self) -> float:
        """What is still to be picked up."""
        return max(self.order.quantity.amount - self.filled, 0.0)

    @property
    def open(self) -> bool:
        """Whether it is not filled: `left` of one that is, is let go."""
        return not is_filled(self.order.quantity, self.filled)


def order_states(entries: Iterable[Recorded]) -> dict[int, OrderState]:
    """Every order among the entries, by its number, in their order."""
    entries = tuple(entries)
    filled: dict[int, float] = {}
    for one in entries:
        if isinstance(one.entry, Filled):
            filled[one.entry.order] = filled.get(one.entry.order, 0.0) + one.entry.amount
    return {
        one.number: OrderState(one.number, one.entry, filled.get(one.number, 0.0))
        for one in entries
        if isinstance(one.entry, OrderTaken)
    }


def states_after(states: Mapping[int, OrderState], entry: Entry) -> dict[int, OrderState]:
    """The orders once something is entered: picked up so much more."""
    state = states.get(entry.order) if isinstance(entry, Filled) else None
    if state is None or not isinstance(entry, Filled):
        return dict(states)
    return {**states, state.number: replace(state, filled=state.filled + entry.amount)}
