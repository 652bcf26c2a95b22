"""Drafts laid beside the files whose place they may take, and what the system refuses."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from uuid import uuid4

from planner.errors import InputError, Problem


@contextmanager
def draft_beside(target: Path, data: bytes, suffix: str = "") -> Iterator[Path]:
    """A file with these bytes, on the disk, in the same folder as another.

    At the end it is gone, if it was not moved.
    """
    draft = target.with_name(f".breakplan-{uuid4().hex}{suffix}")
    try:
        with open(draft, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        yield draft
    finally:
        with suppress(OSError):  # of the folder: told already
            os.unlink(draft)


@contextmanager
def told(name: str) -> Iterator[None]:
    """Tell the user of what the system refuses, as of the file that is called so."""
    try:
        yield
    except (OSError, RuntimeError) as error:  # the latter of links in a ring
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError([Problem(name, 0, f"cannot be written: {reason}")]) from None
