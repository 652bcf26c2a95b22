"""What can go wrong, and the exit code that says so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.core.signs import shown_line

MOST_TOLD = 50
"""Faults, or warnings, of a file that are told one by one: after so many nobody reads on."""


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong (or unlikely) in a file.

    Attributes
    ----------
    file : str
        The file as the user named it.
    line : int
        Line in the file, counted from 1; 0 when the file as a whole is meant.
    message : str
        What is wrong and, where there is one, the nearest right word.
    """

    file: str
    line: int
    message: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return shown_line(f"{place}: {self.message}")


def told(problems: Sequence[object]) -> list[str]:
    """A line for each of the first problems, and one that counts the others."""
    lines = [str(problem) for problem in problems[:MOST_TOLD]]
    more = len(problems) - len(lines)
    return [*lines, f"and {more:,} more"] if more else lines


def warned(warnings: Sequence[object]) -> list[str]:
    """The same for what is legal but unlikely."""
    return [f"warning: {line}" for line in told(warnings)]


class BreakplanError(Exception):
    """Anything the program says to its user instead of a plan; `brief` is it in a few words."""

    exit_code = 1
    brief = "failed"


class InputError(BreakplanError):
    """The input is wrong; `problems` has every fault found, in the order of the lines."""

    exit_code = 2
    brief = "the input is wrong"

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(told(self.problems)))


class RulesConflictError(BreakplanError):
    """The rules cannot be kept; `conflict` is a smallest set of rules and limits that clash."""

    exit_code = 3
    brief = "the rules cannot be kept"

    def __init__(self, message: str, conflict: Sequence[str]) -> None:
        self.conflict = tuple(conflict)
        super().__init__(message)


class NoPlanInTimeError(BreakplanError):
    """No plan at all was found in the time given."""

    exit_code = 4
    brief = "no plan in the time given"


class TooLargeError(BreakplanError):
    """More than can be planned in the memory of a usual computer: which number to make smaller."""

    exit_code = 2


class UnsoundPlanError(BreakplanError):
    """What the solver found does not stand up to being counted again."""

    exit_code = 4
