"""Many files, and named alternatives of each, planned side by side: one row for each plan."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

from planner.ask.comparison import Difference
from planner.ask.plan_difference import PlanDifference
from planner.ask.whatif import WhatIf
from planner.core.errors import InputError, Problem
from planner.core.scenario import Scenario
from planner.files.changes import Change, read_alternatives, read_titles
from planner.files.find import find
from planner.files.scenario_file import read_scenario
from planner.many.units import Runner, Trouble, Unit, UnitOutcome
from planner.solve import Options
from planner.solve.plan import Plan

Tell = Callable[[int, int, Sequence[str]], None]
"""Told now and then how many are done, of how many, and the labels of those that run."""


@dataclass(frozen=True, slots=True)
class WeekRow:
    """A file as it is, or with the changes of an alternative; and its plan, or why there is none.

    `file` is as the user named it, `path` as messages call it. `name` and `changes` are those of an
    alternative, and `effect` is what its changes do, if its file as it is has a plan too: both
    plans are those of their rows, neither was solved more closely to tell them apart.
    """

    file: str
    path: str
    name: str = ""
    changes: tuple[Change, ...] = ()
    plan: Plan | None = None
    trouble: Trouble | None = None
    effect: WhatIf | None = None

    @property
    def label(self) -> str:
        """`week.yaml`, or `week.yaml + one lamb more`."""
        return f"{self.file} + {self.name}" if self.name else self.file


@dataclass(frozen=True, slots=True)
class Weeks:
    """What came of many files: a row for each, then one for each of its alternatives.

    A file that cannot be read has one row. `warnings` are about what is legal but unlikely.
    """

    rows: tuple[WeekRow, ...]
    warnings: tuple[Problem, ...]
    seconds: float

    @property
    def exit_code(self) -> int:
        """0 where every row has a plan; else the smallest of those without, which is the gravest.

        1: a process was killed, 2: the input is wrong, 3: rules cannot be kept, 4: no plan in the
        time given.
        """
        return min((row.trouble.exit_code for row in self.rows if row.trouble), default=0)


def plan_weeks(
    files: Sequence[str],
    changes: str | None,
    options: Options,
    runner: Runner,
    tell: Tell | None = None,
) -> Weeks:
    """Plan files, and the alternatives of each; one that fails does not stop the others.

    Every plan is the one its file would get alone, wherever the runner has it worked out. A file
    that is named twice is planned once; `seconds` of the options is for each plan.

    Raises
    ------
    InputError
        The file of alternatives is wrong whatever it is to change, or the runner cannot work.
    """
    began = time.perf_counter()
    rows = _Rows(files, changes, options)
    with closing(runner(rows.units(), rows.tells(tell))) as outcomes:
        for number, outcome in outcomes:
            rows.take(number, outcome)
    return Weeks(rows.finished(), tuple(rows.warnings), time.perf_counter() - began)


class _Rows:
    """The rows as far as they are known; files are read as there is room for their units."""

    def __init__(self, files: Sequence[str], changes: str | None, options: Options) -> None:
        self._files, self._changes, self._options = files, changes, options
        self._names = () if changes is None else read_titles(Path(changes), changes)
        self._rows: list[WeekRow] = []
        self._scenarios: dict[int, Scenario] = {}
        self._expected = len(files) * (1 + len(self._names))
        self.warnings: list[Problem] = []

    def units(self) -> Iterator[tuple[int, Unit]]:
        """Numbered like the rows; what cannot be read becomes a row and no unit."""
        seen = set[Path]()
        for file in self._files:
            row = WeekRow(file, file)
            try:
                path, name = find(file, "scenarios", Path())
                if path.resolve() in seen:
                    self._expected -= 1 + len(self._names)
                    message = "named more than once, and planned once"
                    self.warnings.append(Problem(name, 0, message))
                    continue
                seen.add(path.resolve())
                row = WeekRow(file, name)
                scenario, warnings = read_scenario(path, name)
            except InputError as error:
                self._expected -= len(self._names)
                self._fail(row, Trouble.of(error))
                continue
            self.warnings += warnings
            yield self._unit(row, scenario)
            yield from self._alternatives(row, scenario)

    def _alternatives(self, row: WeekRow, scenario: Scenario) -> Iterator[tuple[int, Unit]]:
        if self._changes is None:
            return
        try:
            alternatives = read_alternatives(scenario, Path(self._changes), self._changes)
        except InputError as error:
            trouble = replace(Trouble.of(error), brief="the changes do not fit this file")
            for name in self._names:
                self._fail(replace(row, name=name), trouble)
            return
        for each in alternatives:
            yield self._unit(replace(row, name=each.name, changes=each.changes), each.scenario)

    def _unit(self, row: WeekRow, scenario: Scenario) -> tuple[int, Unit]:
        number = len(self._rows)
        self._rows.append(row)
        self._scenarios[number] = scenario
        return number, Unit(scenario, self._options)

    def _fail(self, row: WeekRow, trouble: Trouble) -> None:
        self._rows.append(replace(row, trouble=trouble))

    def take(self, number: int, outcome: UnitOutcome) -> None:
        """Put what came of a unit into its row."""
        row, scenario = self._rows[number], self._scenarios.pop(number)
        self._rows[number] = (
            replace(row, trouble=outcome)
            if isinstance(outcome, Trouble)
            else replace(row, plan=outcome.plan(scenario))
        )

    def tells(self, tell: Tell | None) -> Callable[[Sequence[int]], None]:
        """What a runner tells: numbers of units, passed on as labels with how many are done."""

        def told(running: Sequence[int]) -> None:
            if tell:
                done = sum(bool(row.plan or row.trouble) for row in self._rows)
                tell(done, self._expected, [self._rows[each].label for each in running])

        return told

    def finished(self) -> tuple[WeekRow, ...]:
        """The rows, each alternative with what it does to its file."""
        rows: list[WeekRow] = []
        today: Plan | None = None
        for row in self._rows:
            today = today if row.name else row.plan
            if row.name and row.plan and today:
                row = replace(row, effect=self._effect(row.changes, today, row.plan))
            rows.append(row)
        return tuple(rows)

    def _effect(self, changes: tuple[Change, ...], before: Plan, after: Plan) -> WhatIf:
        found = Difference(before, after)
        return WhatIf(
            changes=changes,
            least=found.least,
            most=found.most,
            settled=found.settled and before.orders_proven and after.orders_proven,
            seconds=self._options.seconds,
            beside=PlanDifference(before, after),
        )
