"""A progress line on the terminal while the solver works."""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from planner.engine import Progress
from planner.measures import show_money

PATIENCE = 2.0
"""Seconds before anything is shown."""

PAUSE = 0.5
"""Seconds between one line and the next."""


@contextmanager
def progress_line(money: str) -> Iterator[Progress | None]:
    """Show time, best score so far and bound on one line of standard error, if it is a terminal."""
    with _line() as show:
        if show is None:
            yield None
            return

        def tell(seconds: float, best: float, bound: float) -> None:
            best_text = show_money(best, money) if math.isfinite(best) else "none yet"
            bound_text = show_money(bound, money) if math.isfinite(bound) else "open"
            show(f"best so far {best_text}   at most {bound_text}")

        yield tell


@contextmanager
def counted_line(what: str) -> Iterator[Callable[[int, int], None] | None]:
    """Show how many of something are done, on one line of standard error, if it is a terminal."""
    with _line() as show:
        yield show and (lambda done, of: show(f"{done} of {of} {what}"))


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
        sys.stderr.write(f"\r\033[K{now:4.0f} s   {text}")
        sys.stderr.flush()

    try:
        yield show
    finally:
        if shown:
            sys.stderr.write("\r\033[K")
            sys.stderr.flush()
