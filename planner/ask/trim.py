"""Trim, grind and bones in balance: where each goes, what is short, what would mend it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from planner.ask.lacking import shortages, surpluses
from planner.ask.mend import Mend
from planner.ask.mender import CLOSELY, Mender
from planner.ask.trimflow import (
    BlendDay,
    BlendWeek,
    Flow,
    TrimWeek,
    blend_days,
    blend_weeks,
    flows,
    trim_weeks,
)
from planner.engine import Progress
from planner.model import BreakModel
from planner.plan import Plan, make_plan, planned
from planner.scenario import Scenario
from planner.solve import Options, Search, Solution, Status

Count = Callable[[int, int], None]

SLACK = 0.5
"""Money by which ties may weigh more than the search reckoned with."""

WORKERS = 2
"""Shortages and surpluses that are looked into at once."""

FOR_THE_PLAN = 1 / 3
"""Part of the time that the plan itself may take."""


@dataclass(frozen=True, slots=True)
class TrimAnswer:
    """The balance of trim, fat, bones and blends in a plan, and what would mend it.

    `close` says whether the plan is as close to the best as was asked.
    """

    plan: Plan
    flows: tuple[Flow, ...]
    weeks: tuple[TrimWeek, ...]
    blend_days: tuple[BlendDay, ...]
    blend_weeks: tuple[BlendWeek, ...]
    mends: tuple[Mend, ...]
    close: bool = True

    @property
    def status(self) -> Status:
        """That of the plan, which is sought closer than was asked: only what was asked counts."""
        reached = self.close and self.plan.status == "time limit"
        return "within tolerance" if reached else self.plan.status

    @property
    def settled(self) -> bool:
        """Whether time was enough to ask about everything."""
        return all(mend.asked for mend in self.mends)


def trim_balance(
    scenario: Scenario,
    options: Options | None = None,
    progress: Progress | None = None,
    count: Count | None = None,
    *,
    advice: bool = True,
) -> TrimAnswer:
    """Plan a scenario and balance its trim.

    Parameters
    ----------
    scenario : Scenario
    options : Options, optional
        `seconds` is for all of it; what has no turn in that time is not asked. The plan is at least
        as close to the best as `CLOSELY`.
    progress : callable, optional
        Told of the search for the plan.
    count : callable, optional
        Told how many shortages and surpluses are looked into.
    advice : bool
        Whether to ask what would mend what is short or too much.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        As planning the week does.
    """
    ends = time.perf_counter() + (options or Options()).seconds
    asked = options or Options()
    close = replace(
        CLOSELY,
        share=min(asked.share, CLOSELY.share),
        amount=min(asked.amount, CLOSELY.amount),
        seconds=asked.seconds * FOR_THE_PLAN,
    )
    solution = planned(Search(BreakModel(scenario), close), progress)
    plan = make_plan(scenario, solution)
    flow = flows(plan)
    return TrimAnswer(
        plan=plan,
        flows=flow,
        weeks=trim_weeks(plan),
        blend_days=blend_days(plan),
        blend_weeks=blend_weeks(plan),
        mends=tuple(_mends(plan, solution, flow, ends, count)) if advice else (),
        close=plan.within <= max(asked.amount, asked.share * abs(plan.score)) + SLACK,
    )


def _mends(
    plan: Plan, solution: Solution, flow: Sequence[Flow], ends: float, count: Count | None
) -> Iterator[Mend]:
    """Every shortage and surplus with what would mend it, as far as the time goes.

    Two are looked into at once, each by itself, so that the answers do not depend on it.
    """
    found = [*shortages(plan, flow), *surpluses(plan, flow)]
    stop = threading.Event()

    def over() -> bool:
        return stop.is_set() or time.perf_counter() > ends

    with ThreadPoolExecutor(WORKERS) as pool:
        try:
            menders = (Mender(plan, solution, mend, over) for mend in found)
            for done, mend in enumerate(pool.map(Mender.mended, menders)):
                if count:
                    count(done + 1, len(found))
                yield mend
        finally:
            stop.set()  # interrupted: the others end too
