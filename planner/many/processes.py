"""Units worked on in processes of this machine, one for each core.

Each process is held by a connection of its own. So when one is killed it is known which unit it was
at, and no other is touched: a pool of `concurrent.futures` would be lost as a whole.
"""

from __future__ import annotations

import os
import signal
import threading
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from multiprocessing import get_context, parent_process, resource_tracker
from multiprocessing.connection import Connection, wait

from planner.many.units import Outcome, Outcomes, Running, Trouble, Unit, Work, plan_unit
from planner.quiet import divert_stdout

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
        tasks, workers = _Tasks(units), list[_Worker]()
        try:
            while True:
                self._hand_out(tasks, workers)
                busy = [worker for worker in workers if worker.task]
                told([worker.task.number for worker in busy if worker.task])
                if not busy:
                    return
                for worker, task, outcome in _finished(busy):
                    if worker.dead:
                        workers.remove(worker)
                    if outcome is not None:
                        yield task.number, outcome
                    else:
                        tasks.again.append(task)
        finally:
            for worker in workers:
                worker.end()

    def _hand_out(self, tasks: _Tasks, workers: list[_Worker]) -> None:
        """Give tasks to idle workers, and to new ones as long as there are cores for them."""
        idle = [worker for worker in workers if not worker.task]
        while (idle or len(workers) < self.cores) and (task := tasks.next()):
            if not idle:
                workers.append(_Worker(self.work))
                idle = [workers[-1]]
            idle.pop().give(task)


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


class _Worker:
    """A process, and the task it is at."""

    def __init__(self, work: Work) -> None:
        context = get_context("spawn")  # HiGHS's threads would not survive a fork
        self._ours, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, work), daemon=True)
        with _ctrl_c_held():
            self._process.start()
        theirs.close()
        self.task: _Task | None = None
        self.dead = False

    def give(self, task: _Task) -> None:
        self.task = replace(task, tries=task.tries + 1)
        with suppress(OSError):  # it was killed while idle: `take` finds that out
            self._ours.send(task.unit)

    @property
    def connection(self) -> Connection:
        return self._ours

    def take(self) -> Outcome | None:
        """The outcome; None where the process was killed and the task may be tried again."""
        assert self.task is not None
        try:
            outcome: Outcome = self._ours.recv()
        except (EOFError, OSError):
            self.end()
            return _killed(self._process.exitcode) if self.task.tries >= TRIES else None
        return outcome

    def end(self) -> None:
        """End the process at once, with those that it started."""
        self.dead = True
        if hasattr(os, "killpg") and self._process.pid:
            with suppress(OSError):  # it is gone, or has not come so far as to lead a group
                os.killpg(self._process.pid, signal.SIGKILL)
        self._process.kill()
        self._process.join()
        self._ours.close()


def _finished(busy: Sequence[_Worker]) -> Iterator[tuple[_Worker, _Task, Outcome | None]]:
    """Those workers that have an outcome or were killed; none where nothing happens for a while."""
    ready = wait([worker.connection for worker in busy], TICK)
    for worker in busy:
        if worker.connection in ready and worker.task:
            task, outcome = worker.task, worker.take()
            worker.task = None
            yield worker, task, outcome


def _killed(exit_code: int | None) -> Trouble:
    how = f"exit code {exit_code}"
    if exit_code == -9:  # SIGKILL, which not every system has a name for
        how = "SIGKILL, as when memory runs out"
    elif exit_code is not None and exit_code < 0:
        how = signal.strsignal(-exit_code) or f"signal {-exit_code}"
    brief = "the process that planned it was killed"
    return Trouble(brief, f"{brief}, and so was a second one ({how})")


@contextmanager
def _ctrl_c_held() -> Iterator[None]:
    """Hold Ctrl-C back for a moment: a process started meanwhile never gets it.

    It would print a traceback; who started it is told, and ends it.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # in starting it would let Ctrl-C through again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _serve(connection: Connection, work: Work) -> None:
    """What a process does: take a unit, give an outcome, until nobody is at the other end."""
    divert_stdout()
    if hasattr(os, "setpgid"):
        os.setpgid(0, 0)  # with a solver it may start, a group that can be ended together
    threading.Thread(target=_end_with_parent, daemon=True).start()
    with suppress(EOFError, OSError, KeyboardInterrupt):
        while True:
            unit = connection.recv()
            try:
                outcome = work(unit)
            except Exception as error:
                outcome = Trouble.unexpected(error)
            connection.send(outcome)


def _end_with_parent() -> None:
    """Do not go on for nobody when the program itself is killed."""
    parent = parent_process()
    if parent is None:
        return
    parent.join()
    if hasattr(os, "killpg"):
        os.killpg(0, signal.SIGKILL)
    os._exit(1)
