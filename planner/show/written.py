"""Files written for the user: whole or not at all, and what the system refuses in one line."""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path

from planner.drafts import draft_beside, told
from planner.errors import InputError, Problem


def write_text(path: Path, text: str, encoding: str = "utf-8") -> None:
    """Write a file under another name beside it, and let it then take its place at once.

    Parameters
    ----------
    path : Path
        Of a symbolic link, the file it leads to is written. A file that is there already keeps
        its permissions; a device or a pipe is written to as it is.
    text : str
        Line ends are written as they are.
    encoding : str
        What it cannot write becomes a question mark: half a surrogate in a name of the user's.

    Raises
    ------
    InputError
        The file cannot be written; what was there is then as it was.
    """
    data = text.encode(encoding, errors="replace")
    with told(str(path)):
        target = path.resolve()
        kept = _mode(target)
        if kept is not None and not stat.S_ISREG(kept):
            target.write_bytes(data)
            return
        with draft_beside(target, data) as draft:
            if kept is not None:
                os.chmod(draft, stat.S_IMODE(kept))
            os.replace(draft, target)


def stop_unless_writable(path: Path) -> None:
    """Raise `InputError` where `write_text` could not write: to be asked before any planning."""
    with told(str(path)):
        target = path.resolve()
        kept = _mode(target)
        if kept is None or stat.S_ISREG(kept):
            with draft_beside(target, b""):
                pass


def make_folder(path: Path) -> None:
    """Make a folder, and those above it, where they are missing; `InputError` where none can be."""
    with told(str(path)):
        try:
            path.mkdir(parents=True, exist_ok=True)
        except FileExistsError:
            raise InputError([Problem(str(path), 0, "is a file, not a folder")]) from None


def _mode(target: Path) -> int | None:
    """What is there and may be written to: its kind and permissions; None where nothing is."""
    with suppress(FileNotFoundError):
        kept = target.stat().st_mode
        if stat.S_ISDIR(kept):
            raise IsADirectoryError(0, "it is a folder")
        if stat.S_ISREG(kept):  # to replace a file takes no right to write to it: ask for that
            os.close(os.open(target, os.O_WRONLY))
        return kept
    return None
