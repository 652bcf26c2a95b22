"""A progress line on the terminal while the solver works."""

from __future__ import annotations

import math
import os
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from planner.core.signs import Codes
from planner.core.units import Units
from planner.core.word_lists import first_few
from planner.show.layout import WIDTH, shortened
from planner.solve.engine import Progress

CLEAR = Codes("\r\033[K")
"""Begins the line of a terminal anew."""

PATIENCE = 2.0  # seconds before anything is shown
PAUSE = 0.5  # seconds between one line and the next
BAR = 20
TIME = len("1234 s   ")
LEAST_NAME = 8
"""Columns of a bar, of the time before what is told, and below which a name says nothing."""

NAMED = 3  # how many of those that run are named at most


@contextmanager
def progress_line(units: Units) -> Iterator[Progress | None]:
    """Show time, best score so far and bound on one line of standard error, if it is a terminal."""
    with _line() as show:
        if show is None:
            yield None
            return

        def tell(seconds: float, best: float, bound: float) -> None:
            best_text = units.money(best) if math.isfinite(best) else "none yet"
            bound_text = units.money(bound) if math.isfinite(bound) else "open"
            show(f"best so far {best_text}   at most {bound_text}")

        yield tell


@contextmanager
def counted_line(what: str) -> Iterator[Callable[[int, int], None] | None]:
    """Show how many of something are done, on one line of standard error, if it is a terminal."""
    with _line() as show:
        yield show and (lambda done, of: show(f"{done} of {of} {what}"))


@contextmanager
def bar_line() -> Iterator[Callable[[int, int, Sequence[str]], None] | None]:
    """Show a bar, how many are done and what runs, on standard error, if it is a terminal."""
    with _line() as show:
        yield show and (lambda done, of, running: show(_bar(done, of, running)))


def _bar(done: int, of: int, running: Sequence[str]) -> str:
    """`[####----] 5 of 12 done   this, that and 2 more`, no longer than the terminal is wide."""
    full = BAR * done // of if of else BAR
    text = f"[{'#' * full}{'-' * (BAR - full)}] {done} of {of} done"
    try:
        columns = min(WIDTH, os.get_terminal_size(sys.stderr.fileno()).columns)
    except OSError:
        columns = WIDTH
    named = min(NAMED, len(running))
    more = len(first_few(running, NAMED)) - len(", ".join(running[:NAMED]))
    width = (columns - TIME - len(text) - more - 4) // named - 2 if named else 0
    if width < LEAST_NAME:
        return text[: max(0, columns - TIME - 1)]
    return f"{text}   {first_few([shortened(name, width) for name in running], NAMED)}"


@contextmanager
def _line() -> Iterator[Callable[[str], None] | None]:
    """A line that is written over and over with the time before it, and taken away at the end."""
    if not sys.stderr.isatty():
        yield None
        return
    began, shown = time.perf_counter(), 0.0

    def show(text: str) -> None:
        nonlocal shown
        now = time.perf_counter() - began
        if now < PATIENCE or now - shown < PAUSE:
            return
        shown = now
        sys.stderr.write(CLEAR)
        sys.stderr.write(f"{now:4.0f} s   {text}")
        sys.stderr.flush()

    try:
        yield show
    finally:
        if shown:
            sys.stderr.write(CLEAR)
            sys.stderr.flush()
