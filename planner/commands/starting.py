"""What a question starts from: a scenario, and the plan that `week` shows of it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from planner.commands.common import read
from planner.commands.replan import CALM, InShop, in_shop, list_now
from planner.commands.shop_folder import is_shop
from planner.core import clock

if TYPE_CHECKING:
    from planner.ask.comparison import Comparer
    from planner.core.scenario import Scenario
    from planner.solve import Options
    from planner.solve.plan import Plan


FOR_THE_PLAN = 1 / 2  # part of the time for a plan and questions about it that the plan may take
LEAST = 0.1  # seconds for questions, however long the plan took


@dataclass(frozen=True, slots=True)
class Start:
    """A scenario, and the shop folder it is of, if it is of one."""

    scenario: Scenario
    found: InShop | None

    def plan(self, options: Options) -> Plan:
        """The plan that `week` shows with these options; of a shop, with the list on the wall.

        Nothing is kept of it.
        """
        from planner.show.progress import progress_line
        from planner.solve.plan import plan_week

        if self.found:
            plan, answer = list_now(self.found, options, float(CALM))
            return plan if answer or not self.found.before() else _bounded(plan)
        with progress_line(self.scenario.units) as progress:
            return plan_week(self.scenario, options, progress)

    @contextmanager
    def comparer(self, options: Options) -> Iterator[Comparer]:
        """What compares other plans with that of `week`, with a line of progress meanwhile."""
        from planner.ask.comparison import Comparer
        from planner.show.progress import progress_line

        with progress_line(self.scenario.units) as progress:
            yield Comparer(self.scenario, options, progress, lambda: self.plan(options))

    def plan_before_questions(self, options: Options) -> tuple[Plan, Options]:
        """The same in half of the time at most, and the options with what is left of it.

        A plan in parts has all of it, for its questions would need the period as a whole.
        """
        from planner.solve import too_long

        began = time.perf_counter()
        part = 1.0 if too_long(self.scenario, options) else FOR_THE_PLAN
        plan = self.plan(replace(options, seconds=options.seconds * part))
        left = options.seconds - (time.perf_counter() - began)
        return plan, replace(options, seconds=max(LEAST, left))


def _bounded(plan: Plan) -> Plan:
    """A plan of the list on the wall with a bound for all plans, not only for those of the list."""
    from planner.solve import Search
    from planner.solve.model import BreakModel

    ties = plan.score - plan.decided.objective
    bound = max(plan.score, Search(BreakModel(plan.scenario)).at_most() + ties)
    return replace(plan, bound=bound, status="held")


def start_of(file: str) -> Start:
    """Read a scenario, or a shop folder from today on; warnings go to standard error."""
    if is_shop(file):
        found = in_shop(Path(file), clock.today())
        return Start(found.now, found)
    return Start(read(file), None)
