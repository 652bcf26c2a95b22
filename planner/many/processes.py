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
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from queue import Empty, SimpleQueue
from tempfile import TemporaryDirectory
from typing import Any

from planner.many.units import Outcome, Outcomes, Running, Trouble, Unit, Work, plan_unit

TRIES = 2
"""Processes that a unit may take with it before it is given up."""

TICK = 0.5
"""Seconds between one look at what runs and the next."""


def all_cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@dataclass(frozen=True, slots=True)
class Processes:
    """A runner in processes of this machine.

    Attributes
    ----------
    cores : int
        How many units are worked on side by side.
    work : callable
    """

    cores: int
    work: Work = plan_unit

    def __call__(self, units: Iterable[tuple[int, Unit]], told: Running) -> Outcomes:
        """Outcomes as they come; closing the iterator ends all processes at once."""
        # what processes that are ended leave behind goes with the folder
        with TemporaryDirectory(prefix="breakplan-", ignore_cleanup_errors=True) as folder:
            crew = _Crew(self.cores, self.work, folder)
            try:
                yield from crew.outcomes(_Tasks(units), told)
            finally:
                crew.end()


@dataclass(frozen=True, slots=True)
class _Task:
    number: int
    unit: Unit
    tries: int = 0


class _Tasks:
    """Tasks not yet given to anybody; those whose process was killed come after all others."""

    def __init__(self, units: Iterable[tuple[int, Unit]]) -> None:
        self._units = iter(units)
        self.again: deque[_Task] = deque()

    def next(self) -> _Task | None:
        for number, unit in self._units:
            return _Task(number, unit)
        return self.again.popleft() if self.again else None


class _Crew:
    """The processes that there are."""

    def __init__(self, cores: int, work: Work, folder: str) -> None:
        self._cores, self._work = cores, work
        self._environment = {
            **os.environ,
            # they import from where this program does; `-P` in their command keeps them from
            # looking in the current folder first, where data lies
            "PYTHONPATH": os.pathsep.join(each for each in sys.path if each),
            **dict.fromkeys(("TMPDIR", "TEMP", "TMP"), folder),
        }
        self._workers: list[_Worker] = []
        self._told: SimpleQueue[tuple[_Worker, Outcome | None]] = SimpleQueue()

    def outcomes(self, tasks: _Tasks, told: Running) -> Outcomes:
        while True:
            self._hand_out(tasks)
            busy = [worker.task.number for worker in self._workers if worker.task]
            told(busy)
            if not busy:
                return
            for worker, outcome in self._back():
                task, worker.task = worker.task, None
                if outcome is None:
                    self._workers.remove(worker)
                    worker.end()
                    if task and task.tries >= TRIES:
                        outcome = _killed(worker.exit_code)
                if task and outcome is not None:
                    yield task.number, outcome
                elif task:
                    tasks.again.append(task)

    def _hand_out(self, tasks: _Tasks) -> None:
        """Give tasks to idle workers, and to new ones as long as there are cores for them."""
        idle = [worker for worker in self._workers if not worker.task]
        while (idle or len(self._workers) < self._cores) and (task := tasks.next()):
            if not idle:
                self._workers.append(_Worker(self._work, self._environment, self._told))
                idle = [self._workers[-1]]
            idle.pop().give(task)

    def _back(self) -> Iterator[tuple[_Worker, Outcome | None]]:
        """Outcomes there are, or the first that comes within a while; None of who was killed."""
        with suppress(Empty):
            yield self._told.get(timeout=TICK)
            while True:
                yield self._told.get_nowait()

    def end(self) -> None:
        """End all processes at once."""
        for worker in self._workers:
            worker.end()


class _Worker:
    """A process, and the task it is at."""

    def __init__(
        self,
        work: Work,
        environment: Mapping[str, str],
        told: SimpleQueue[tuple[_Worker, Outcome | None]],
    ) -> None:
        # a group of its own: Ctrl-C is for the program alone, and with a solver that the process
        # may start it can be ended together
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", "planner.many.serving"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=environment,
            process_group=0,
        )
        self._told = told
        self.task: _Task | None = None
        threading.Thread(target=self._listen, daemon=True).start()
        self._send(work)

    def give(self, task: _Task) -> None:
        self.task = replace(task, tries=task.tries + 1)
        self._send(task.unit)

    @property
    def exit_code(self) -> int | None:
        """That of a process that was ended."""
        return self._process.returncode

    def end(self) -> None:
        """End the process at once, with those that it started."""
        if hasattr(os, "killpg"):
            with suppress(ProcessLookupError, PermissionError):  # it is gone already
                os.killpg(self._process.pid, signal.SIGKILL)
        self._process.kill()
        self._process.wait()

    def _send(self, what: Any) -> None:
        assert self._process.stdin
        with suppress(OSError):  # it was killed while idle: `_listen` finds that out
            pickle.dump(what, self._process.stdin)
            self._process.stdin.flush()

    def _listen(self) -> None:
        """Pass outcomes on as they come, and that no more will."""
        assert self._process.stdout
        with suppress(EOFError, OSError, pickle.UnpicklingError):
            while True:
                self._told.put((self, pickle.load(self._process.stdout)))
        self._told.put((self, None))


def _killed(exit_code: int | None) -> Trouble:
    how = f"exit code {exit_code}"
    if exit_code == -9:  # SIGKILL, which not every system has a name for
        how = "SIGKILL, as when memory runs out"
    elif exit_code is not None and exit_code < 0:
        how = signal.strsignal(-exit_code) or f"signal {-exit_code}"
    brief = "the process that planned it was killed"
    return Trouble(brief, f"{brief}, and so was a second one ({how})")
