"""The program in a process of its own, as its command starts it, to be watched and stopped."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import psutil

from planner.core.stopping import SIGNALS

REPO = Path(__file__).resolve().parent.parent
BREAKPLAN = [sys.executable, "-P", "-c", "from planner.commands.__main__ import main; main()"]
"""What the installed command does, whose folder comes first on the path."""


def hear_signals() -> None:
    """Before a program is started: whoever runs the tests may ignore signals, as `nohup` does."""
    for number in SIGNALS:
        signal.signal(number, signal.SIG_DFL)


def started(*words: object, folder: Path = REPO, **how: Any) -> subprocess.Popen[str]:
    """The program in a session of its own, as a terminal has it."""
    environment = {**os.environ, "PYTHONPATH": str(REPO), **how.pop("env", {})}
    settings = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True, **how}
    return subprocess.Popen(
        [*BREAKPLAN, *map(str, words)],
        cwd=folder,
        env=environment,
        start_new_session=True,
        preexec_fn=settings.pop("preexec_fn", hear_signals),
        **settings,
    )


def seen(what: Callable[[], Any], seconds: float = 60.0) -> Any:
    """What there is as soon as there is any of it."""
    ends = time.monotonic() + seconds
    while not (found := what()):
        assert time.monotonic() < ends, "not seen in time"
        time.sleep(0.02)
    return found


def session_of(leader: int) -> list[psutil.Process]:
    """The processes of a session that still run."""
    found = []
    for each in psutil.process_iter():
        try:
            if os.getsid(each.pid) == leader and each.status() != psutil.STATUS_ZOMBIE:
                found.append(each)
        except (OSError, psutil.Error):
            continue
    return found
