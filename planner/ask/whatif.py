"""What if: today's plan beside changed ones, and what is proven about what a change earns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from planner.ask.comparison import NAMED, Comparer, Difference
from planner.ask.plan_difference import Beside, put_beside
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
    changes : tuple of Change
        As they are written.
    least, most : float
        Money: the best score of the changed scenario less that of today's lies between, by proof.
    settled : bool
        Whether these are close enough together to compare; and both plans fill, by proof, as much
        order value as can be filled.
    seconds : float
        Time each plan was given.
    beside : Beside
        Today's plan and the changed one; the same plan twice where nothing changes.
    """

    changes: tuple[Change, ...]
    least: float
    most: float
    settled: bool
    seconds: float
    beside: Beside

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
    """Today's plan beside that of a changed scenario.

    Parameters
    ----------
    comparer : Comparer
        With today's scenario.
    changed : Scenario
        The same with the changes made.
    changes : sequence of Change, optional
        As they are written.

    Raises
    ------
    RulesConflictError
        The rules cannot be kept, today's or the changed ones.
    NoPlanInTimeError
        No plan was found in the time given.
    """
    found = _difference(comparer, changed, _today(comparer))
    return _answer(comparer, found, changes)


def compare(comparer: Comparer, alternatives: Sequence[Alternative]) -> Comparison:
    """Alternatives beside today's plan; one that cannot be planned does not stop the others.

    All stand beside the same plan of today: the one that `week` tells.

    Raises
    ------
    RulesConflictError
        Today's rules cannot be kept.
    NoPlanInTimeError
        No plan of today's scenario was found in the time given.
    """
    today, close = _today(comparer), None
    found, failed = [], []
    for each in alternatives:
        try:
            difference = _difference(comparer, each.scenario, today, close)
        except (RulesConflictError, NoPlanInTimeError) as error:
            failed.append(_failed(each, error))
        else:
            found.append((each, difference))
            close = difference.close or close
    rows = [
        Compared(each.name, each.changes, _answer(comparer, _with(difference, close), each.changes))
        for each, difference in found
    ]
    rows.sort(key=lambda row: row.answer.net if row.answer else 0.0, reverse=True)
    return Comparison(today, (*rows, *failed))


def _with(found: Difference, close: Plan | None) -> Difference:
    return found if found.after is found.before else replace(found, close=close)


def _today(comparer: Comparer) -> Plan:
    try:
        return comparer.shown
    except RulesConflictError as error:
        message = f"before anything is changed, {error}"
        raise RulesConflictError(message, error.conflict) from None


def _difference(
    comparer: Comparer, changed: Scenario, today: Plan, close: Plan | None = None
) -> Difference:
    if _alike(comparer.scenario, changed):
        return Difference(today, today)
    return comparer.difference(changed, today, close)


def _alike(one: Scenario, other: Scenario) -> bool:
    """Whether two scenarios are the same, wherever their rules are written."""
    rules = {str(rule) for rule in one.rules} == {str(rule) for rule in other.rules}
    return rules and replace(one, rules=()) == replace(other, rules=())


def _answer(comparer: Comparer, found: Difference, changes: Sequence[Change]) -> WhatIf:
    today = found.before
    if found.after is today:
        nothing = put_beside(today, today)
        return WhatIf(tuple(changes), 0.0, 0.0, True, comparer.options.seconds, nothing)
    proven = all(each.orders_proven for each in (today, found.nearest, found.after))
    return WhatIf(
        changes=tuple(changes),
        least=found.least,
        most=found.most,
        settled=found.settled and proven,
        seconds=comparer.options.seconds,
        beside=put_beside(today, found.after),
    )


def _failed(each: Alternative, error: RulesConflictError | NoPlanInTimeError) -> Compared:
    conflict = error.conflict if isinstance(error, RulesConflictError) else ()
    return Compared(each.name, each.changes, None, str(error), conflict, error.exit_code)
