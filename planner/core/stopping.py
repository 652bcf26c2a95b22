"""The one place where the program is told to stop: Ctrl-C, and what a system sends to end it.

- Ctrl-C, SIGTERM and SIGHUP are one thing: `KeyboardInterrupt` in the main thread, so that all
  that is open is closed, then one line and 128 + the number of the signal as exit code. Commands
  need no handling of their own.
- The main thread may be in HiGHS, which gives no looks in some heuristics for a second, or wait
  for threads that are. So a thread that Python's wakeup descriptor tells of the signal ends the
  program by `os._exit` after `GRACE`; files are written whole or not at all, so nothing
  half-written is left. It also looks whether the exception still lives: PuLP and numpy have an
  `except:` around imports, and one that is swallowed is raised again.
- `_Watch.signals` in `solve/engine.py` puts signals off while HiGHS runs in the main thread: raised
  in its callback they are lost.
- What was ignored from the beginning stays so (`nohup`, `&` in a script). Tests start the program
  by `tests/running.py`, which lets it hear signals again. What comes while Python itself begins,
  before our first line, is out of reach.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from select import select
from types import FrameType
from typing import NoReturn
from weakref import ref

GRACE = 0.6
"""Seconds to clean up in; what then still runs, such as a solver deep in a search, is cut off."""

SIGNALS = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)


class _Stop(KeyboardInterrupt):
    """One that can be looked after: it is gone when nobody handles it any more."""


class Stopping:
    """What a signal does to a program, whatever it is at.

    The main thread gets a `KeyboardInterrupt`, so that all that is open is closed and what was
    begun is taken back. It may be where it hears of that late or not at all: in a solver, or
    waiting for threads that are. So a thread of its own ends the program when the grace is over.

    A signal that was ignored when the program began, as after `nohup`, stays ignored.
    """

    def __init__(self) -> None:
        self.number = 0
        self._main = 0
        self._over = False
        self._raised: Callable[[], _Stop | None] = lambda: None
        self._last = threading.Lock()

    def listen(self) -> None:
        """Hear signals from now on; called in the main thread."""
        self._main = threading.get_ident()
        for number in SIGNALS:
            if signal.getsignal(number) is not signal.SIG_IGN:
                signal.signal(number, self._heard)
        if os.name == "posix":
            ours, theirs = os.pipe()
            os.set_blocking(theirs, False)
            signal.set_wakeup_fd(theirs, warn_on_full_buffer=False)
            threading.Thread(target=self._watch, args=(ours,), daemon=True).start()

    def run(self, program: Callable[[], None]) -> None:
        """Run the program; once a signal was heard, end with its code whatever came of it."""
        try:
            program()
        finally:
            self._over = True
            if self.number:
                self.end()

    def end(self) -> NoReturn:
        """Say so in one line and end: nothing is waited for, neither threads nor a full pipe."""
        if not self._last.acquire(blocking=False):
            time.sleep(2 * GRACE)  # another thread is at it
        with suppress(OSError, ValueError):
            if select([], [2], [], 0)[1]:
                os.write(2, b"\r\033[Kstopped\n" if os.isatty(2) else b"stopped\n")
        os._exit(128 + self.number)

    def _heard(self, number: int, frame: FrameType | None) -> None:
        if self._raised():
            return  # more of them must not disturb the cleaning up
        self.number = number
        # where Python cannot pass an exception on, it prints it: in a thread, or freeing something
        sys.unraisablehook = lambda _: None
        threading.excepthook = lambda _: None
        if self._over:
            self.end()
        stop = _Stop()
        self._raised = ref(stop)
        try:
            raise stop
        finally:
            del stop  # else it would hold itself, by its traceback

    def _watch(self, told: int) -> None:
        """Told of signals at once, also while the main thread cannot be."""
        while (number := os.read(told, 1)[0]) not in SIGNALS:
            pass
        ends = time.monotonic() + GRACE
        while time.monotonic() < ends:
            time.sleep(GRACE / 10)
            if self.number and not self._raised():  # swallowed: some libraries catch everything
                signal.pthread_kill(self._main, number)
        self.number = number
        self.end()
