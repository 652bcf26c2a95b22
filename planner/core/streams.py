"""The standard streams: there even where they were closed, and standard output kept for us.

The solver's library prints now and then.
"""

from __future__ import annotations

import os
import sys


def open_closed() -> None:
    """Put an empty stream where whoever started us closed one.

    Else the next file opened would take its number, and what a library prints would go into it.
    """
    for number, name, mode in ((0, "stdin", "r"), (1, "stdout", "w"), (2, "stderr", "w")):
        try:
            os.fstat(number)
        except OSError:
            # takes the lowest number that is free; processes that are started have it too
            os.set_inheritable(os.open(os.devnull, os.O_RDWR), True)
        if getattr(sys, name) is None:
            setattr(sys, name, open(number, mode, encoding="utf-8", closefd=False))  # noqa: SIM115


def divert_stdout() -> int:
    """Lead whatever else is written to standard output nowhere; a new descriptor of what it was."""
    ours = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    return ours
