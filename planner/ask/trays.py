"""The letters of the trays of trim, fat and bones, and the sheets of what is ground from them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from planner.ask.jobs import Waiting, orders_of, waiting_for
from planner.ask.trim_flow import trim_weeks
from planner.core.plan_lines import Batch, Break
from planner.core.stock_replay import Use
from planner.solve.plan import Plan


@dataclass(frozen=True, slots=True)
class Trace:
    """Pounds of one lot, cut on one day; both None for what was there when the period opened."""

    lot: int | None
    day: int | None
    pounds: float


@dataclass(frozen=True, slots=True)
class Take:
    """What goes into a batch: from which tray (empty: from none), and from which lots."""

    letter: str
    cut: str
    pounds: float
    traces: tuple[Trace, ...]


@dataclass(frozen=True, slots=True)
class BatchSheet:
    """A batch of a day: its number on that day, what goes in, and who waits for it.

    `fresh` are the breaks of that day some of which goes in: it has to wait for them.
    """

    number: int
    batch: Batch
    takes: tuple[Take, ...]
    fresh: frozenset[Break]
    waiting: tuple[Waiting, ...]


def letters(plan: Plan) -> Mapping[str, str]:
    """What stands on every tray of the week, by cut: A to Z, then T27 and so on."""
    names = [week.line.cut for week in trim_weeks(plan)]
    signs = [*ascii_uppercase, *(f"T{n}" for n in range(len(ascii_uppercase) + 1, len(names) + 1))]
    return dict(zip(names, signs, strict=False))


def sheets_of(plan: Plan, day: int) -> tuple[BatchSheet, ...]:
    """What is ground, rendered and packed on a day, batch by batch."""
    signs, stock = letters(plan), plan.stock.cuts
    batches = [batch for batch in plan.batches if batch.day == day]
    return tuple(
        BatchSheet(
            number=number,
            batch=batch,
            takes=tuple(
                Take(signs.get(cut, ""), cut, pounds, _traces(stock[day][cut].uses, batch))
                for cut, pounds in batch.takes.items()
            ),
            fresh=frozenset(
                each.part.origin
                for cut in batch.takes
                for each in stock[day][cut].uses
                if each.taker is batch and each.made == day
                if isinstance(each.part.origin, Break)
            ),
            waiting=waiting_for(
                use
                for use in orders_of(today[batch.blend] for today in stock[day:])
                if use.part.origin is batch
            ),
        )
        for number, batch in enumerate(batches, start=1)
    )


def _traces(uses: Sequence[Use], batch: Batch) -> tuple[Trace, ...]:
    """From which lots, cut on which days, a batch takes a cut; the oldest first."""
    pounds: dict[tuple[int | None, int | None], float] = defaultdict(float)
    for use in uses:
        if use.taker is batch:
            maker = use.part.origin
            lot = maker.lot if isinstance(maker, Break) else None
            pounds[lot, maker.day if maker else None] += use.part.amount
    return tuple(Trace(lot, day, amount) for (lot, day), amount in pounds.items())
