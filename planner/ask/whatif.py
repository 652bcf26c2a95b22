"""What if: today's plan beside changed ones, and what is proven about what a change earns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from planner.ask.comparison import NAMED, Comparer, Difference
from planner.ask.plan_difference import PlanDifference
from planner.core.errors import NoPlanInTimeError, RulesConflictError
from planner.core.scenario import Scenario
from planner.files.changes import Alternative, Change
from planner.solve.plan import Plan

Verdict = Literal["nothing changes", "no difference", "more", "less", "open"]


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What changes do to the plan.

    Attributes
    ----------
    least, most : float
        Money: the best score of the changed scenario less that of today's lies between, by proof.
    settled : bool
        Whether these are close enough together to compare; and both plans fill, by proof, as much
        order value as can be filled.
    seconds : float
        Time each plan was given.
    beside : PlanDifference
        Today's plan and the changed one; the same plan twice where nothing changes.
    """

    changes: tuple[Change, ...]
    least: float
    most: float
    settled: bool
    seconds: float
    beside: PlanDifference

    @property
    def verdict(self) -> Verdict:
        """What can be said of the money; `open` where not even the sign is known."""
        if self.beside.after is self.beside.before:
            return "nothing changes"
        if max(abs(self.least), abs(self.most)) < NAMED:
            return "no difference"
        if self.least <= 0 <= self.most:
            return "no difference" if self.settled else "open"
        return "more" if self.least > 0 else "less"

    @property
    def net(self) -> float:
        """Middle of what the change earns, after what the head on the rail cost more."""
        return (self.least + self.most) / 2 - self.beside.paid.change


@dataclass(frozen=True, slots=True)
class Compared:
    """A named alternative; without an answer, what stands in the way.

    `trouble` and `exit_code` are those of the error, `conflict` has the rules and limits that
    clash where it is they that cannot be kept.
    """

    name: str
    changes: tuple[Change, ...]
    answer: WhatIf | None
    trouble: str = ""
    conflict: tuple[str, ...] = ()
    exit_code: int = 0


@dataclass(frozen=True, slots=True)
class Comparison:
    """Today's plan, and alternatives by their net; those without a plan are last."""

    today: Plan
    rows: tuple[Compared, ...]

    @property
    def exit_code(self) -> int:
        """0 where at least one alternative could be planned."""
        return min(row.exit_code for row in self.rows)


def whatif(comparer: Comparer, changed: Scenario, changes: Sequence[Change] = ()) -> WhatIf:
    """Today's plan, which is the comparer's, beside that of the same scenario with changes made.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        As planning the week does, today's or the changed one.
    """
    return _answer(comparer, _difference(comparer, changed), changes)


def compare(comparer: Comparer, alternatives: Sequence[Alternative]) -> Comparison:
    """Alternatives beside today's plan; one that cannot be planned does not stop the others.

    All stand beside the same plan of today: the one that `week` tells.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        As planning today's week does.
    """
    today, close = _today(comparer), None
    found: list[tuple[Alternative, Difference]] = []
    failed = []
    for each in alternatives:
        try:
            difference = _difference(comparer, each.scenario, close)
        except (RulesConflictError, NoPlanInTimeError) as error:
            conflict = error.conflict if isinstance(error, RulesConflictError) else ()
            failed.append(
                Compared(each.name, each.changes, None, str(error), conflict, error.exit_code)
            )
        else:
            found.append((each, difference))
            close = difference.close or close
    rows = [
        Compared(each.name, each.changes, _answer(comparer, difference, each.changes, close))
        for each, difference in found
    ]
    rows.sort(key=lambda row: row.answer.net if row.answer else 0.0, reverse=True)
    return Comparison(today, (*rows, *failed))


def _today(comparer: Comparer) -> Plan:
    try:
        return comparer.shown
    except RulesConflictError as error:
        message = f"before anything is changed, {error}"
        raise RulesConflictError(message, error.conflict) from None


def _difference(comparer: Comparer, changed: Scenario, close: Plan | None = None) -> Difference:
    """The two plans; the same one twice where the scenarios are the same.

    Where in the file their rules are written makes no difference.
    """
    today, was = _today(comparer), comparer.scenario
    rules = {str(rule) for rule in was.rules} == {str(rule) for rule in changed.rules}
    if rules and replace(was, rules=()) == replace(changed, rules=()):
        return Difference(today, today)
    return comparer.difference(changed, today, close)


def _answer(
    comparer: Comparer, found: Difference, changes: Sequence[Change], close: Plan | None = None
) -> WhatIf:
    """The answer; by a closer plan of today, where others have found one."""
    beside, seconds = PlanDifference(found.before, found.after), comparer.options.seconds
    if found.after is found.before:
        return WhatIf(tuple(changes), 0.0, 0.0, True, seconds, beside)
    found = replace(found, close=close or found.close)
    proven = all(each.orders_proven for each in (found.before, found.nearest, found.after))
    settled = found.settled and proven
    return WhatIf(tuple(changes), found.least, found.most, settled, seconds, beside)
