"""Files that the program writes: whole or not at all, and never over what is not its own."""

from __future__ import annotations

import hashlib
import os
import platform
import re
import shutil
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4

from planner.core.errors import InputError, Problem

STANDARD_OUTPUT = frozenset(("-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"))
"""Names that shells have for it: there the program tells what it has written."""

_STREAMS = ("/dev/std", "/dev/fd/", "/proc/")
_LOGS = ("-wal", "-shm", "-journal")
_HERE = hashlib.sha256(platform.node().encode()).hexdigest()[:8]
_HEAD = 4096
_INPUT = re.compile(
    rb"\ASQLite format 3\0|\A(\xef\xbb\xbf)*(\s*(#.*|---.*)?\n)*\s*(\{|[^\W\d_][\w -]*:\s)"
)
"""How a database begins, and a YAML file: what people and journals write is never replaced."""

_DRAFT = re.compile(rf"\.breakplan-{_HERE}-([0-9]+)-.+")


@dataclass(frozen=True, slots=True)
class Mark:
    """By what the files of one option are told from all others: how every one of them begins.

    Messages call one as in `a page of --page`. `replace` is whether files of others may be replaced
    too, as `--replace` says; never a journal, nor a YAML file.
    """

    begins: bytes
    called: str
    replace: bool = False


def is_standard_output(path: Path) -> bool:
    """Whether standard output is meant, which each option either writes to or refuses."""
    return str(path) in STANDARD_OUTPUT


def write_text(path: Path, text: str, mark: Mark | None, encoding: str = "utf-8") -> None:
    """`write_file` of a text; half a surrogate in a name of the user's becomes a question mark."""
    write_file(path, text.encode(encoding, errors="replace"), mark)


def write_file(path: Path, data: bytes, mark: Mark | None) -> None:
    """Write a file under another name beside it, and let it then take its place at once.

    Of a symbolic link, the file it leads to is written. A file that is replaced keeps its owner and
    permissions; a device or a pipe is written to as it is. The mark tells which files may be
    replaced (and empty ones; without a mark none) by what is in them, so that no spelling of a path
    leads to a journal, a recipe or a scenario.

    Raises `InputError` where the file cannot be written, or is not to be replaced; what was there
    is then as it was.
    """
    with told(str(path)):
        kept = _kept(path, mark)
        if kept and not stat.S_ISREG(kept.st_mode):
            path.write_bytes(data)
            return
        target = path.resolve()
        with draft_beside(target, data, like=kept) as draft:
            if mark:
                _kept(path, mark)  # again: somebody may have put another file there
                take_place(draft, target)
            else:
                try:
                    place_new(draft, target)
                except FileExistsError:
                    raise _taken(path, mark) from None


def stop_unless_writable(path: Path, mark: Mark | None) -> None:
    """Raise `InputError` where `write_file` could not write: to be asked before any planning."""
    with told(str(path)):
        kept = _kept(path, mark)
        if kept is None or stat.S_ISREG(kept.st_mode):
            target = path.resolve()
            if kept:  # to replace a file takes no right to write to it: ask for that
                os.close(os.open(target, os.O_WRONLY))
            with draft_beside(target, b""):
                pass


def stop_unless_file(path: Path) -> None:
    """Raise `InputError` where a path can be that of no file to be written."""
    if is_standard_output(path):
        raise InputError([Problem(str(path), 0, "is standard output; name a file")])
    with told(str(path)):
        target = path.resolve()
        if nowhere := leads_nowhere(path):
            raise InputError([Problem(str(path), 0, f"{nowhere}; nothing was written")])
        base, dash, log = target.name.rpartition("-")
        if f"{dash}{log}" in _LOGS and target.with_name(base).exists():
            message = f"is the name of the log of {base}; name another file"
            raise InputError([Problem(str(path), 0, message)])
        if path.is_dir():
            raise IsADirectoryError(0, "it is a folder")


def leads_nowhere(path: Path) -> str:
    """What is to be said of a link to a file that is not there; nothing of all else."""
    try:
        if not path.is_symlink() or path.exists():
            return ""
    except (OSError, ValueError):  # a name too long, or with a null byte
        return ""
    return f"is a link to {os.path.realpath(path)}, which is not there"


def make_folder(path: Path) -> None:
    """Make a folder, and those above it, where they are missing; `InputError` where none can be."""
    if is_standard_output(path):
        raise InputError([Problem(str(path), 0, "is standard output; name a folder")])
    with told(str(path)):
        try:
            path.mkdir(parents=True, exist_ok=True)
        except FileExistsError:
            raise InputError([Problem(str(path), 0, "is a file, not a folder")]) from None


# what the system is asked for


@contextmanager
def draft_beside(
    target: Path, data: bytes, suffix: str = "", like: os.stat_result | None = None
) -> Iterator[Path]:
    """A file with these bytes, on the disk, in the same folder as another.

    At the end it is gone, if it was not moved. `like` has the owner and permissions it gets.
    """
    draft = draft_name(target.parent, suffix)
    try:
        lay(draft, data, like)
        yield draft
    finally:
        with suppress(OSError):  # of the folder: told already
            os.unlink(draft)


def draft_name(folder: Path, suffix: str = "") -> Path:
    """A new name for a draft in a folder; those whose writers were killed are taken away."""
    with suppress(OSError):  # of a folder that cannot be listed: they stay
        for name in os.listdir(folder):
            found = _DRAFT.fullmatch(name)
            if found and not _lives(int(found[1])):
                _remove(folder / name)
    return folder / f".breakplan-{_HERE}-{os.getpid()}-{uuid4().hex}{suffix}"


def lay(path: Path, data: bytes, like: os.stat_result | None = None) -> None:
    """Write a file where there is none, on the disk for good; of one that fails nothing is left."""
    file = open(path, "xb")  # noqa: SIM115 - closed below, and taken away if that fails
    try:
        with file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if like:
            with suppress(OSError, AttributeError):  # not everybody may give files away
                os.chown(path, like.st_uid, like.st_gid)
            os.chmod(path, stat.S_IMODE(like.st_mode))
    except BaseException:
        with suppress(OSError):
            os.unlink(path)
        raise


def take_place(draft: Path, target: Path) -> None:
    """Let a finished file take the place of another at once, and for good."""
    os.replace(draft, target)
    keep_names(target.parent)


def place_new(draft: Path, target: Path) -> None:
    """Give a finished file its name for good, unless that is taken (`FileExistsError`)."""
    try:
        os.link(draft, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without links: the name is taken first, then filled
        with open(target, "xb"):
            pass
        os.replace(draft, target)
    keep_names(target.parent)


def keep_names(folder: Path) -> None:
    """Have the names in a folder on the disk, where the system can say so."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextmanager
def told(name: str) -> Iterator[None]:
    """Tell the user of what the system refuses, as of the file that is called so."""
    try:
        yield
    except (OSError, RuntimeError, ValueError) as error:  # links in a ring, a null byte
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError([Problem(name, 0, f"cannot be written: {reason}")]) from None


def _kept(path: Path, mark: Mark | None) -> os.stat_result | None:
    """What is there and may be written to; None where nothing is."""
    stop_unless_file(path)
    try:
        kept = path.stat()
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(kept.st_mode):
        return kept
    if os.path.abspath(path).startswith(_STREAMS):
        raise InputError([Problem(str(path), 0, "is a stream of this program; name a file")])
    if mark is None:
        raise _taken(path, mark)
    with open(path, "rb") as file:
        head = file.read(_HEAD)
    if not head or (mark.begins and head.startswith(mark.begins)):
        return kept
    if not mark.replace:
        raise _taken(path, mark)
    if _INPUT.match(head):
        message = "is a journal or a YAML file, which --replace leaves alone: name another file"
        raise InputError([Problem(str(path), 0, message)])
    return kept


def _taken(path: Path, mark: Mark | None) -> InputError:
    if mark:
        message = f"already exists and is not {mark.called}: name another file, or add --replace"
    else:
        message = "already exists, and is left alone: name another file"
    return InputError([Problem(str(path), 0, message)])


def _lives(process: int) -> bool:
    """Whether a process of this machine is there; where that cannot be asked, it is."""
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
    else:
        path.unlink(missing_ok=True)
