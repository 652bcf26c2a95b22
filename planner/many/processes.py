"""Units worked on in processes of this machine, one for each core.

Each process is held by pipes of its own. So when one is killed it is known which unit it was at,
and no other is touched: a pool of `concurrent.futures` would be lost as a whole.
"""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import threading
from collections.abc import Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from tempfile import TemporaryDirectory
from typing import Any, TypeAlias

from planner.many.pool import Pool
from planner.many.units import Outcomes, Running, Trouble, Unit, UnitOutcome, Work, plan_unit

Process: TypeAlias = "subprocess.Popen[bytes]"


def all_cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@dataclass(frozen=True, slots=True)
class Processes:
    """A runner in processes of this machine: so many `cores` of them, which do the `work`."""

    cores: int
    work: Work = plan_unit

    def __call__(self, units: Iterable[tuple[int, Unit]], told: Running) -> Outcomes:
        """Outcomes as they come; closing the iterator ends all processes at once."""
        # what processes that are ended leave behind goes with the folder
        with TemporaryDirectory(prefix="breakplan-", ignore_cleanup_errors=True) as folder:
            pool = _ProcessPool(self.cores, self.work, folder)
            try:
                yield from pool.outcomes(units, told)
            finally:
                pool.end()


class _ProcessPool(Pool):
    """Threads, each of which waits for a process; processes are kept for the next unit."""

    def __init__(self, cores: int, work: Work, folder: str) -> None:
        super().__init__()
        self._cores, self._work = cores, work
        self._environment = {
            **os.environ,
            # they import from where this program does; `-P` in their command keeps them from
            # looking in the current folder first, where data lies
            "PYTHONPATH": os.pathsep.join(each for each in sys.path if each),
            **dict.fromkeys(("TMPDIR", "TEMP", "TMP"), folder),
        }
        self._threads = ThreadPoolExecutor(cores)
        self._lock = threading.Lock()
        self._over = False
        self._all: list[Process] = []
        self._idle: list[Process] = []
        self._exit_code: int | None = None

    @property
    def room(self) -> bool:
        return len(self.at_work) < self._cores

    def submit(self, number: int, unit: Unit) -> Future[UnitOutcome | None]:
        return self._threads.submit(self._worked_on, unit)

    def outcome(self, future: Future[UnitOutcome | None]) -> UnitOutcome | None:
        return future.result()

    def killed(self) -> Trouble:
        code = self._exit_code
        how = f"exit code {code}"
        if code == -9:  # SIGKILL, which not every system has a name for
            how = "SIGKILL, as when memory runs out"
        elif code is not None and code < 0:
            how = signal.strsignal(-code) or f"signal {-code}"
        brief = "the process that planned it was killed"
        return Trouble(brief, f"{brief}, and so was a second one ({how})")

    def _worked_on(self, unit: Unit) -> UnitOutcome | None:
        """What a process made of a unit; None where it was killed."""
        with self._lock:
            if self._over:
                return None
            process = self._idle.pop() if self._idle else self._started()
        try:
            _send(process, unit)
            assert process.stdout
            outcome: UnitOutcome = pickle.load(process.stdout)
        except (EOFError, OSError, pickle.UnpicklingError):
            with self._lock:
                if self._over:
                    return None
                self._all.remove(process)
            _end(process)
            self._exit_code = process.returncode
            return None
        self._idle.append(process)
        return outcome

    def _started(self) -> Process:
        """A new process, in a group of its own.

        Ctrl-C is for the program alone, and with a solver that the process may start it can be
        ended together.
        """
        process = subprocess.Popen(
            [sys.executable, "-P", "-m", "planner.many.serving"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=self._environment,
            process_group=0,
        )
        self._all.append(process)
        with suppress(OSError):  # killed at once: that is found when a unit is sent
            _send(process, self._work)
        return process

    def end(self) -> None:
        """End all processes at once."""
        self._threads.shutdown(wait=False, cancel_futures=True)
        with self._lock:
            self._over = True
            for process in self._all:
                _end(process)


def _send(process: Process, what: Any) -> None:
    assert process.stdin
    pickle.dump(what, process.stdin)
    process.stdin.flush()


def _end(process: Process) -> None:
    """End a process at once, with those that it started."""
    if hasattr(os, "killpg"):
        with suppress(ProcessLookupError, PermissionError):  # it is gone already
            os.killpg(process.pid, signal.SIGKILL)
    process.kill()
    process.wait()
