"""Where the program begins: ready to be stopped before anything that takes time is imported."""

from __future__ import annotations

import os
import sys


def main() -> None:
    """Run the program `breakplan`."""
    _leave_current_folder()  # before anything is imported that Python has not imported already
    import signal

    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # until we listen: an end without a traceback
    from planner.core.stopping import Stopping
    from planner.core.streams import open_closed

    open_closed()  # before anything is opened that would take its place
    stopping = Stopping()

    def program() -> None:
        stopping.listen()
        from planner.commands import program as cli

        cli.main()

    stopping.run(program)


def _leave_current_folder() -> None:
    """Import nothing from the current folder, which `python -m` puts first: data lies there.

    But the planner itself, where it is the one that runs.
    """
    ours = os.path.abspath(os.path.join(os.path.dirname(__file__), "..", ".."))
    if not sys.flags.safe_path and sys.path[:1] in ([""], [os.getcwd()]) and ours != os.getcwd():
        del sys.path[0]


if __name__ == "__main__":
    main()
