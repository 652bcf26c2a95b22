"""Standard output kept for what this program says: the solver's library prints now and then."""

from __future__ import annotations

import os


def divert_stdout() -> int | None:
    """Lead whatever else is written to standard output nowhere.

    Returns
    -------
    int or None
        A new descriptor of what was standard output; None where it is closed.
    """
    try:
        ours = os.dup(1)
    except OSError:  # closed by whoever started us: nobody listens
        return None
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    return ours
