"""A command in a process of its own that is killed while it writes.

It is killed at a step on the disk (a file opened for writing, renamed, linked or removed; a journal
opened), or a little later: then it may be in the middle of a transaction.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import time
from contextlib import redirect_stderr, redirect_stdout, suppress
from dataclasses import dataclass
from pathlib import Path

from planner.commands.program import app
from planner.core import clock
from tests.attack.ground import TODAY

STEPS = {"os.rename", "os.link", "os.remove", "os.mkdir", "os.chmod", "sqlite3.connect"}
WRITING = os.O_WRONLY | os.O_RDWR
LONGEST = 120  # seconds, on a busy machine
LATER = 0.02  # seconds, within which the last steps of a command are done

# Forked from a process that has read the program but has no threads: quicker than a new one.
_CONTEXT = multiprocessing.get_context("forkserver")
_CONTEXT.set_forkserver_preload(
    ["tests.attack.striking", "planner.shop.week.now", "planner.solve.plan", "planner.show.page"]
)


@dataclass(frozen=True)
class Struck:
    """What is known of a command that was killed, or let go.

    Attributes
    ----------
    acknowledged : bool
        It had said that all is done.
    steps : int
        On the disk, up to its end; 0 where it was killed.
    said : str
    """

    acknowledged: bool
    steps: int
    said: str


def struck(words: list[str], folder: Path, step: int = 0, later: float = 0.0) -> Struck:
    """Run a command in a folder and kill it `later` seconds after a step; without one, do not."""
    said = folder.parent / f"{folder.name}-said.txt"
    process = _CONTEXT.Process(target=_run, args=(words, folder, said, step, later))
    process.start()
    process.join(LONGEST)
    if process.exitcode is None:
        process.kill()
        process.join()
        raise AssertionError(f"{words} hung")
    text = said.read_text(errors="replace")
    done = text.rpartition("\ndone, steps: ")
    said.unlink()
    return Struck(bool(done[1]), int(done[2] or 0) if done[1] else 0, text)


def _run(words: list[str], folder: Path, said: Path, step: int, later: float) -> None:
    steps = 0

    def hook(event: str, given: tuple[object, ...]) -> None:
        nonlocal steps
        if event == "open":
            _, _, flags = given
            if not (isinstance(flags, int) and flags & WRITING):
                return
        elif event not in STEPS:
            return
        steps += 1
        if steps == step:
            if later:
                threading.Timer(later, os.kill, (os.getpid(), signal.SIGKILL)).start()
            else:
                os.kill(os.getpid(), signal.SIGKILL)

    with open(said, "w", encoding="utf-8") as file, redirect_stdout(file), redirect_stderr(file):
        os.chdir(folder)
        at = time.mktime((TODAY.year, TODAY.month, TODAY.day, 12, 0, 0, 0, 0, -1))
        clock.now = lambda: clock.datetime.fromtimestamp(at).astimezone()
        sys.addaudithook(hook)
        with suppress(SystemExit):
            code = app(words, standalone_mode=False)
            print(f"\ncode {code}" if code else f"\ndone, steps: {steps}", flush=True)
            if later:
                time.sleep(later)  # so that who is killed later is killed
