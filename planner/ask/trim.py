"""Trim, grind and bones in balance: where each goes, what is short, what would mend it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from planner.ask.blend_balance import shortages, surpluses
from planner.ask.remedies import Imbalance
from planner.ask.remedy_search import CLOSELY, RemedySearch
from planner.ask.trim_flow import (
    BlendDay,
    BlendWeek,
    Flow,
    TrimWeek,
    blend_days,
    blend_weeks,
    flows,
    trim_weeks,
)
from planner.core.errors import NoPlanInTimeError
from planner.core.scenario import Scenario
from planner.solve import Options, Search
from planner.solve.engine import Progress
from planner.solve.model import BreakModel
from planner.solve.plan import Plan, make_plan, planned

Count = Callable[[int, int], None]

WORKERS = 2
"""Shortages and surpluses that are looked into at once."""

FOR_THE_PLAN = 1 / 3
"""Part of the time that a closer plan may take."""


@dataclass(frozen=True, slots=True)
class TrimAnswer:
    """The balance of trim, fat, bones and blends in a plan, and what would mend it."""

    plan: Plan
    flows: tuple[Flow, ...]
    weeks: tuple[TrimWeek, ...]
    blend_days: tuple[BlendDay, ...]
    blend_weeks: tuple[BlendWeek, ...]
    mends: tuple[Imbalance, ...]

    @property
    def settled(self) -> bool:
        """Whether time was enough to ask about everything; nothing is asked of a plan in parts."""
        return self.plan.parts <= 1 and all(mend.asked for mend in self.mends)


def trim_balance(
    scenario: Scenario,
    options: Options | None = None,
    progress: Progress | None = None,
    count: Count | None = None,
    *,
    advice: bool = True,
    shown: Plan | None = None,
) -> TrimAnswer:
    """Balance the trim of a plan.

    Parameters
    ----------
    scenario : Scenario
    options : Options, optional
        `seconds` is for all of it; what has no turn in that time is not asked.
    progress : callable, optional
        Told of the search for the plan.
    count : callable, optional
        Told how many shortages and surpluses are looked into.
    advice : bool
        Whether to ask what would mend what is short or too much; not of a plan in parts.
    shown : Plan, optional
        The plan that was told; else the one that planning the week tells.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        As planning the week does.
    """
    ends = time.perf_counter() + (options or Options()).seconds
    asked = options or Options()
    plan = shown or make_plan(scenario, planned(Search(BreakModel(scenario), asked), progress))
    flow = flows(plan)
    return TrimAnswer(
        plan=plan,
        flows=flow,
        weeks=trim_weeks(plan),
        blend_days=blend_days(plan),
        blend_weeks=blend_weeks(plan),
        mends=tuple(_mends(plan, _close(plan, asked, progress), flow, ends, count))
        if advice and plan.parts <= 1
        else (),
    )


def _close(plan: Plan, asked: Options, progress: Progress | None) -> Plan:
    """A plan as close to the best as `CLOSELY`, for what is proven: the one told, if it is."""
    if plan.within <= max(CLOSELY.amount, CLOSELY.share * abs(plan.score)):
        return plan
    options = replace(CLOSELY, seconds=asked.seconds * FOR_THE_PLAN)
    try:
        close = planned(Search(BreakModel(plan.scenario), options), progress)
    except NoPlanInTimeError:
        return plan
    return make_plan(plan.scenario, close)


def _mends(
    plan: Plan, close: Plan, flow: Sequence[Flow], ends: float, count: Count | None
) -> Iterator[Imbalance]:
    """Every shortage and surplus with what would mend it, as far as the time goes.

    Two are looked into at once, each by itself, so that the answers do not depend on it.
    """
    found = [*shortages(plan, flow), *surpluses(plan, flow)]
    stop = threading.Event()

    def over() -> bool:
        return stop.is_set() or time.perf_counter() > ends

    with ThreadPoolExecutor(WORKERS) as pool:
        try:
            menders = (RemedySearch(plan, close, mend, over) for mend in found)
            for done, mend in enumerate(pool.map(RemedySearch.mended, menders)):
                if count:
                    count(done + 1, len(found))
                yield mend
        finally:
            stop.set()  # interrupted: the others end too
