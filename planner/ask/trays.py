"""Trays of trim, fat and bones, and the sheets of what is ground from them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from planner.ask.jobs import Waiting, added_up, orders_of, waiting_for
from planner.core.plan_lines import Batch, Break
from planner.core.stock_replay import DUST, DayStock, Use, total
from planner.solve.plan import Plan


@dataclass(frozen=True, slots=True)
class Tray:
    """A tray of one trim, fat or bone on a day, in pounds.

    had + made = what goes into blends + sold + gone + left.

    Attributes
    ----------
    letter : str
        What stands on it, the same all week.
    had : float
        Lies in it in the morning.
    ground : mapping of str to float
        What goes into each blend.
    """

    letter: str
    cut: str
    had: float
    made: float
    ground: Mapping[str, float]
    sold: float
    gone: float
    left: float


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
    """The letter of every tray of the week, by cut: A to Z, then T27 and so on."""
    scenario = plan.scenario
    there = {line.cut for line in plan.cuts if line.on_hand + line.made > DUST}
    names = [
        name
        for name, cut in scenario.cuts.items()
        if name in there and name not in scenario.blends
        if cut.in_tray
    ]
    signs = [*ascii_uppercase, *(f"T{n}" for n in range(len(ascii_uppercase) + 1, len(names) + 1))]
    return dict(zip(names, signs, strict=False))


def trays_of(plan: Plan, day: int) -> tuple[Tray, ...]:
    """The trays in which there is anything on a day."""
    stock = plan.stock.cuts[day]
    trays = [_tray(letter, stock[cut]) for cut, letter in letters(plan).items()]
    return tuple(tray for tray in trays if tray.had + tray.made > DUST)


def _tray(letter: str, line: DayStock) -> Tray:
    return Tray(
        letter=letter,
        cut=line.cut,
        had=total(line.had),
        made=total(line.made),
        ground=line.ground,
        sold=line.sold,
        gone=total(line.gone),
        left=total(line.left),
    )


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
            waiting=added_up(
                [
                    waiting_for(use)
                    for use in orders_of(today[batch.blend] for today in stock[day:])
                    if use.part.origin is batch
                ]
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
