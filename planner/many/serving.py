"""What a process does that plans units for another: `python -P -m planner.many.serving`.

It takes a function and then units for it from standard input, and gives outcomes to standard
output, all of them pickled.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
import threading
from queue import SimpleQueue
from typing import Any

from planner.core.streams import divert_stdout
from planner.many.units import Trouble, UnitOutcome


def serve() -> None:
    """Work on units until nobody is at the other end."""
    outcomes = os.fdopen(divert_stdout(), "wb")
    told: SimpleQueue[Any] = SimpleQueue()
    threading.Thread(target=_listen, args=(told,), daemon=True).start()
    work = told.get()
    while True:
        unit = told.get()
        try:
            outcome: UnitOutcome = work(unit)
        except Exception as error:
            outcome = Trouble.unexpected(error)
        pickle.dump(outcome, outcomes)
        outcomes.flush()


def _listen(told: SimpleQueue[Any]) -> None:
    """Pass on what comes; where nothing comes any more, do not go on for nobody."""
    try:
        while True:
            told.put(pickle.load(sys.stdin.buffer))
    finally:
        if hasattr(os, "killpg"):
            os.killpg(0, signal.SIGKILL)  # with a solver that was started
        os._exit(1)


if __name__ == "__main__":
    serve()
