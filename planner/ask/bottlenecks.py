"""Where a plan is tight: what it has run out of, and what it has too much of."""

from __future__ import annotations

from dataclasses import dataclass

from planner.core.recipe import BY_PRODUCTS
from planner.core.scenario import Lot
from planner.solve.plan import Plan

FULL = 5.0
"""Minutes: a bench with less than this left is full, for hardly a way takes so few."""

SOME = 0.5
"""Minutes or pounds: less than this is not worth a word."""


@dataclass(frozen=True, slots=True)
class Tight:
    """What a plan runs up against.

    On the days `full` the bench is full or runs over. `overtime` is in minutes; `trim` the pounds
    that neither the grind nor a customer takes; `out_of_date` those of pieces and of cuts, but for
    `BY_PRODUCTS`. `whole` head of one delivery are left whole, `short` orders fall short.
    """

    full: tuple[int, ...]
    overtime: float
    trim: float
    out_of_date: float
    whole: int
    short: int


def tight_in(plan: Plan, lot: Lot) -> Tight:
    """Where a plan is tight; head left whole are those of the lot."""
    cuts = plan.scenario.cuts
    lines = [(line, cuts[line.cut].kind) for line in plan.cuts if not line.by_each]
    blends = plan.scenario.blends
    gone = sum(line.wasted for line, kind in lines if kind not in BY_PRODUCTS or line.cut in blends)
    gone += sum(each.weight for each in plan.uncut if each.wasted)
    head = [each for each in plan.uncut if (each.lot, each.piece) == (lot.index, lot.piece)]
    return Tight(
        full=tuple(
            each.day
            for each in plan.bench
            if each.available and each.available + each.overtime - each.minutes < FULL
        ),
        overtime=_some(sum(each.overtime for each in plan.bench)),
        trim=_some(sum(line.left + line.wasted for line, kind in lines if kind == "trim")),
        out_of_date=_some(gone),
        whole=sum(each.count for each in head),
        short=len(plan.short),
    )


def _some(amount: float) -> float:
    return amount if amount >= SOME else 0.0
