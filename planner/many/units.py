"""A unit of work: one scenario to be planned, wherever that is done, and what came of it.

Units and outcomes travel between processes, so they are frozen, small, and know nothing of where
they are worked on. A unit worked on twice gives the same outcome, but for the seconds it took.
"""

from __future__ import annotations

import traceback
from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from planner.core.errors import BreakplanError, Problem
from planner.core.scenario import Scenario
from planner.solve import Options, Solution
from planner.solve.plan import Plan, make_plan, plan_week, with_binds


@dataclass(frozen=True, slots=True)
class Unit:
    """One scenario to be planned."""

    scenario: Scenario
    options: Options


@dataclass(frozen=True, slots=True)
class Trouble:
    """Why there is no plan: in a few words, and all that is known, in several lines if need be.

    The exit code is that of the error, 1 for what is no fault of the input. `problems` are faults
    of the input, each with its file and line; `conflict` the rules and limits that clash.
    """

    brief: str
    message: str
    exit_code: int = 1
    problems: tuple[Problem, ...] = ()
    conflict: tuple[str, ...] = ()

    @classmethod
    def of(cls, error: BreakplanError) -> Trouble:
        """The trouble that an error tells of."""
        problems, conflict = getattr(error, "problems", ()), getattr(error, "conflict", ())
        return cls(error.brief, str(error), error.exit_code, problems, conflict)

    @classmethod
    def unexpected(cls, error: BaseException) -> Trouble:
        """An error that is no word to the user, in one line with the place where it arose."""
        place = ""
        if error.__traceback__:
            last = traceback.extract_tb(error.__traceback__)[-1]
            place = f" ({Path(last.filename).name}:{last.lineno})"
        what = " ".join(f"{type(error).__name__}: {error}".split())
        return cls("failed unexpectedly", f"failed unexpectedly, {what}{place}")


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan on its way back: its decisions by their names, and what binds its short orders."""

    parts: Mapping[str, Any]

    @classmethod
    def of(cls, plan: Plan) -> Planned:
        """What the plan follows from, without its scenario, which whoever asked has."""
        parts = {name: getattr(plan.decided, name) for name in _parts()}
        return cls({**parts, "binds": {each.order: each.binds for each in plan.short}})

    def plan(self, scenario: Scenario) -> Plan:
        """The plan with its scenario put back."""
        decided = Solution(**{name: self.parts[name] for name in _parts()})
        return with_binds(make_plan(scenario, decided), self.parts["binds"])


def _parts() -> set[str]:
    return {field.name for field in fields(Solution)}


UnitOutcome = Planned | Trouble


def can_be_read(outcome: object) -> bool:
    """Whether an outcome has the parts that one made here has: another release has others."""
    if isinstance(outcome, Planned):
        return getattr(outcome, "parts", {}).keys() == {*_parts(), "binds"}
    return isinstance(outcome, Trouble) and all(
        hasattr(outcome, field.name) for field in fields(Trouble)
    )


Work = Callable[[Unit], UnitOutcome]
"""What is done with a unit: `plan_unit`. A function of a module, so that others can import it."""

Running = Callable[[Sequence[int]], None]
"""Told about twice a second the numbers of the units that run."""

Outcomes = Generator[tuple[int, UnitOutcome], None, None]

Runner = Callable[[Iterable[tuple[int, Unit]], Running], Outcomes]
"""Takes numbered units as there is room for them, and gives outcomes as they come, until closed."""


def plan_unit(unit: Unit) -> UnitOutcome:
    """Plan one scenario; that it has no plan is an outcome too."""
    try:
        return Planned.of(plan_week(unit.scenario, unit.options))
    except BreakplanError as error:
        return Trouble.of(error)
