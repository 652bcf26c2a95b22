"""Faults of the lines of a file, told together and not without end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.core.errors import InputError, Problem
from planner.core.signs import shown_line
from planner.shop.tables.row_reader import UnknownItemError

TOLD = 20
"""Faults that are told one by one."""

LINES_TOLD = 4
"""More lines of an unknown item that are told."""


class LineFaults:
    """Faults of a file: of its lines, and of items that are none of ours, each told once.

    Attributes
    ----------
    left_out : int
        Rows that were left out without being a fault.
    """

    def __init__(self, name: str) -> None:
        self._name = name
        self._problems: list[tuple[int, str]] = []
        self._unknown: dict[str, tuple[str, list[int]]] = {}
        self.left_out = 0

    def add(self, line: int, message: str) -> None:
        """Note what is wrong on a line."""
        self._problems.append((line, message))

    def unknown(self, line: int, error: UnknownItemError) -> None:
        """Note that an item is none of ours."""
        self._unknown.setdefault(error.item, (str(error), []))[1].append(line)

    @property
    def of_all(self) -> bool:
        """Whether the file as a whole has one, so that its figures may mean something else."""
        return any(line == 0 for line, _ in self._problems)

    def stop(self, doubts: Sequence[tuple[int, str]] = (), *, sure: bool = False) -> None:
        """Raise `InputError` if there are any: `TOLD` of them, and how many more there are.

        Parameters
        ----------
        doubts : sequence of (int, str)
            Lines and what is doubted there: told along with the faults, in the order of the lines.
        sure : bool
            Doubts alone stop nothing.
        """
        found = [*self._problems, *map(self._of_item, self._unknown.values())]
        found += doubts if found or not sure else ()
        if not found:
            return
        found.sort()
        told = [Problem(self._name, line, shown_line(message)) for line, message in found[:TOLD]]
        if len(found) > TOLD:
            last = told[-1]
            told[-1] = replace(last, message=f"{last.message} (and {len(found) - TOLD} more)")
        raise InputError(told)

    @staticmethod
    def _of_item(unknown: tuple[str, list[int]]) -> tuple[int, str]:
        message, (first, *others) = unknown
        if others:
            some = ", ".join(map(str, others[:LINES_TOLD]))
            more = f" and {len(others) - LINES_TOLD} more" if len(others) > LINES_TOLD else ""
            message += f" (also on line{'s' if others[1:] else ''} {some}{more})"
        return first, message
