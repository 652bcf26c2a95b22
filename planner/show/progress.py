"""A progress line on the terminal while the solver works."""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from planner.engine import Progress
from planner.measures import show_money

PATIENCE = 2.0
"""Seconds before anything is shown."""


@contextmanager
def progress_line(money: str) -> Iterator[Progress | None]:
    """Show time, best score so far and bound on one line of standard error, if it is a terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    shown = -1.0

    def tell(seconds: float, best: float, bound: float) -> None:
        nonlocal shown
        if seconds < PATIENCE or seconds - shown < 0.5:
            return
        shown = seconds
        sys.stderr.write(f"\r\033[K{_line(seconds, best, bound, money)}")
        sys.stderr.flush()

    try:
        yield tell
    finally:
        if shown >= 0:
            sys.stderr.write("\r\033[K")
            sys.stderr.flush()


def _line(seconds: float, best: float, bound: float, money: str) -> str:
    best_text = show_money(best, money) if math.isfinite(best) else "none yet"
    bound_text = show_money(bound, money) if math.isfinite(bound) else "open"
    return f"{seconds:4.0f} s   best so far {best_text}   at most {bound_text}"
