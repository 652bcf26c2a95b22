"""A copy in the place of a journal: put there rightly, and noticed where it was not."""

from __future__ import annotations

import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from planner.journal.restoring import Restored, restore
from planner.journal.store import Journal
from tests.journal.test_journal_safety import (
    SALE,
    made,
    mounted,
    posix_only,
    said,
    stop_unless_whole,
)
from tests.journal_work import ROOT, stop_unless_sound, writing_of

__all__ = ["mounted"]

TODAY = date(2026, 11, 30)

KILLED = """
import os, signal, sys
from pathlib import Path
from planner.journal.store import Journal
from tests.journal_work import writing_of
journal = Journal(Path(sys.argv[1]))
for number in range(int(sys.argv[2]), int(sys.argv[3])):
    journal.add(writing_of(1, number))
os.kill(os.getpid(), signal.SIGKILL)
"""


def killed(path: Path, begin: int, end: int) -> None:
    """Enter writings and be killed: the last are in the log."""
    words = [sys.executable, "-c", KILLED, str(path), str(begin), str(end)]
    ended = subprocess.run(words, cwd=ROOT, check=False)
    assert ended.returncode == -signal.SIGKILL
    assert Path(f"{path}-wal").stat().st_size > 0


def backup(path: Path, copy: Path) -> Path:
    with Journal(path) as journal:
        journal.backup(copy)
    return copy


def contents(folder: Path) -> dict[str, bytes]:
    return {each.name: each.read_bytes() for each in folder.iterdir() if each.is_file()}


def entries(path: Path) -> int:
    return sum(map(len, stop_unless_whole(path).values()))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return made(tmp_path / "journal.db")


@pytest.fixture
def copy(path: Path) -> Path:
    return backup(path, path.with_name("copy.db"))


FOREIGN = "is a copy that was put here next to the log of another"


@posix_only
@pytest.mark.parametrize("end", [6, 25, 60])
def test_a_copy_put_beside_the_log_of_a_crash_is_noticed(path: Path, copy: Path, end: int) -> None:
    """Both where the copy is older than the log, and where it was made while the log grew."""
    killed(path, 5, end)
    shutil.copyfile(copy, path)
    before = contents(path.parent)
    for _ in range(2):
        assert FOREIGN in said(path, lambda: Journal(path))
    assert contents(path.parent) == before, "nothing was read into it or written"


@posix_only
def test_a_copy_of_the_file_alone_is_noticed_too(path: Path) -> None:
    """Made by `cp`, not by --backup: its state is one that the journal once had."""
    old = path.with_name("old.db")
    shutil.copyfile(path, old)
    with Journal(path) as journal:
        journal.add([SALE])
    killed(path, 5, 20)
    shutil.copyfile(old, path)
    assert FOREIGN in said(path, lambda: Journal(path))


@posix_only
def test_a_copy_made_while_the_log_was_there_is_noticed(path: Path) -> None:
    killed(path, 5, 9)
    with Journal(path) as keeps_the_log:
        copy = backup(path, path.with_name("copy.db"))
        keeps_the_log.add([SALE])
        aside = path.with_name("aside")
        for end in ("", "-wal"):  # as the disk is at this moment
            shutil.copyfile(f"{path}{end}", f"{aside}{end}")
    assert entries(shutil.copyfile(aside, path.with_name("lone.db"))) > 0
    shutil.copyfile(copy, aside)
    assert FOREIGN in said(aside, lambda: Journal(aside))


@posix_only
def test_ones_own_log_is_always_taken(path: Path) -> None:
    """Killed again and again, with the log emptied in between or not; big writings and small."""
    done = 5
    for end in (6, 8, 30, 40, 90):
        killed(path, done, end)
        killed(path, end, end + 1)
        done = end + 1
        if end == 30:
            with Journal(path) as journal:
                assert len({one.writing for one in journal.recorded()}) == done
    assert len(stop_unless_whole(path)) == done


@posix_only
def test_the_log_of_a_journal_of_version_1_is_taken(path: Path) -> None:
    """Killed under the program before, and opened by this one; then killed on the way to it."""
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript('DROP TABLE "state"; PRAGMA user_version = 1;')
    script = (
        "import os, signal, sqlite3, sys; c = sqlite3.connect(sys.argv[1], isolation_level=None);"
        "c.execute('PRAGMA journal_mode = WAL'); c.execute(\"INSERT INTO writing VALUES (6,"
        " '2026-11-30T10:00:00.000000+00:00')\"); c.execute(\"INSERT INTO entry VALUES (900, 6,"
        " 'undone', '2026-11-30')\"); c.execute('INSERT INTO undone VALUES (900, 1)');"
        "os.kill(os.getpid(), signal.SIGKILL)"
    )
    subprocess.run([sys.executable, "-c", script, str(path)], check=False)
    assert Path(f"{path}-wal").stat().st_size > 0
    killed(path, 6, 7)
    assert set(stop_unless_whole(path)) == set(range(1, 8))


@posix_only
def test_what_a_power_cut_leaves_is_ones_own(path: Path) -> None:
    """Parts of the first writing after the log began may be missing: SQLite does not read it."""
    killed(path, 5, 6)
    log = Path(f"{path}-wal")
    whole = log.read_bytes()
    for at in range(56, len(whole), 4096 + 24):
        log.write_bytes(whole[:at] + bytes(4096) + whole[at + 4096 :])
        Path(f"{path}-shm").unlink(missing_ok=True)
        saved = path.read_bytes()
        assert len(stop_unless_whole(path)) in (5, 6)
        path.write_bytes(saved)


# --- put there rightly


def test_restoring_keeps_what_was_there(path: Path, copy: Path) -> None:
    with Journal(path) as journal:
        journal.add([SALE, SALE])
    before, there = entries(copy), entries(path)
    kept = path.with_name("journal-2026-11-30.db")
    assert restore(copy, path, TODAY) == Restored(before, kept, 2)
    assert (entries(path), entries(kept), entries(copy)) == (before, there, before)
    assert restore(kept, path, TODAY).kept == path.with_name("journal-2026-11-30-2.db")
    assert entries(path) == there, "and back"
    left = {each.name for each in path.parent.iterdir()}
    assert left == {"journal.db", "copy.db", kept.name, "journal-2026-11-30-2.db"}


@posix_only
def test_restoring_after_a_crash_keeps_the_log(path: Path, copy: Path) -> None:
    killed(path, 5, 9)
    done = restore(copy, path, TODAY)
    assert done.kept and len(stop_unless_whole(done.kept)) == 9, "what was in the log too"
    assert len(stop_unless_whole(path)) == 5
    killed(path, 5, 8)  # and goes on from there
    assert len(stop_unless_whole(path)) == 8


@posix_only
def test_restoring_where_a_copy_lies_beside_a_foreign_log(path: Path, copy: Path) -> None:
    killed(path, 5, 9)
    log = Path(f"{path}-wal").read_bytes()
    shutil.copyfile(copy, path)
    done = restore(copy, path, TODAY)
    assert done.missing is None and done.kept
    assert Path(f"{done.kept}-wal").read_bytes() == log
    assert done.kept.read_bytes() == copy.read_bytes()
    assert len(stop_unless_whole(path)) == 5


@pytest.mark.parametrize("harm", ["gone", "empty", "cut off", "other bytes"])
def test_restoring_where_the_journal_is_damaged(path: Path, copy: Path, harm: str) -> None:
    data = path.read_bytes()
    if harm == "gone":
        path.unlink()
    else:
        data = {"empty": b"", "cut off": data[: len(data) // 2]}.get(harm, b"x" * 9000)
        path.write_bytes(data)
    done = restore(copy, path, TODAY)
    assert len(stop_unless_whole(path)) == 5
    assert (done.kept is None) == (harm == "gone") and done.missing is None
    if done.kept:
        assert done.kept.read_bytes() == data


def _foreign(copy: Path) -> str:
    copy.unlink()
    made(copy, 2, seed=7)
    return "has nothing in common with the journal: if it is right, add --yes"


def _text(copy: Path) -> str:
    copy.write_text("a list of cuts, longer than the least page of any database\n" * 20)
    return "is not a journal"


def _gone(copy: Path) -> str:
    copy.unlink()
    return "is not there"


def _damaged(copy: Path) -> str:
    data = bytearray(copy.read_bytes())
    for at in range(4096 * 3, len(data), 512):
        data[at : at + 8] = b"damaged!"
    copy.write_bytes(data)
    return "is damaged"


@pytest.mark.parametrize("harm", [_foreign, _text, _gone, _damaged])
def test_a_copy_that_is_none_is_refused(path: Path, copy: Path, harm: Callable) -> None:
    message = harm(copy)
    before = contents(path.parent)
    assert message in said(copy, lambda: restore(copy, path, TODAY))
    assert contents(path.parent) == before
    if harm is _foreign:
        assert restore(copy, path, TODAY, sure=True).missing == sum(
            len(writing_of(1, number)) for number in range(5)
        )


def test_the_journal_itself_is_no_copy(path: Path) -> None:
    assert "is the journal itself" in said(path, lambda: restore(path, path, TODAY))


def test_while_somebody_has_it_open_nothing_is_restored(path: Path, copy: Path) -> None:
    with Journal(path) as other:
        other.add([SALE])
        message = said(path, lambda: restore(copy, path, TODAY, timeout=0.2))
        assert "is in use by another program" in message
        other.add([SALE])
    assert len(stop_unless_whole(path)) == 7
    assert {each.name for each in path.parent.iterdir()} == {"journal.db", "copy.db"}


def test_restoring_on_a_full_disk_leaves_the_journal(path: Path, copy: Path, mounted) -> None:  # noqa: F811
    disk = mounted("size=400k")
    there = Path(shutil.copyfile(path, disk / "journal.db"))
    (disk / "filled").write_bytes(b"x" * (shutil.disk_usage(disk).free - 60_000))
    with pytest.raises(Exception, match=r"full|No space"):
        restore(copy, there, TODAY)
    assert len(stop_unless_whole(there)) == 5
    assert {each.name for each in disk.iterdir()} == {"journal.db", "filled"}


RESTORED = """
import os, signal, sqlite3, sys
from datetime import date
from pathlib import Path
from planner.journal import restoring
step, count = int(sys.argv[3]), 0
def tick(*_):
    global count
    count += 1
    if count == step:
        os.kill(os.getpid(), signal.SIGKILL)
for name in ("copy_database", "name_state", "put_in_place", "take_place", "_set_aside", "reading"):
    def wrapped(*words, real=getattr(restoring, name), **more):
        tick()
        done = real(*words, **more)
        tick()
        return done
    setattr(restoring, name, wrapped)
real_close = restoring.closing
class Closing(real_close):
    def __exit__(self, *words):
        tick()
        return super().__exit__(*words)
restoring.closing = Closing
restoring.restore(Path(sys.argv[1]), Path(sys.argv[2]), date(2026, 11, 30))
"""


@posix_only
@pytest.mark.parametrize("state", ["sound", "foreign log"])
def test_killed_at_any_step_it_is_one_or_the_other(path: Path, copy: Path, state: str) -> None:
    killed(path, 5, 9)
    if state == "foreign log":
        shutil.copyfile(copy, path)
    saved = contents(path.parent)
    for step in range(1, 40):
        for each in path.parent.iterdir():
            each.unlink()
        for name, data in saved.items():
            (path.parent / name).write_bytes(data)
        words = [sys.executable, "-c", RESTORED, str(copy), str(path), str(step)]
        code = subprocess.run(words, cwd=ROOT, check=False).returncode
        assert path.exists()
        if state == "sound":
            assert len(stop_unless_whole(path)) == (5 if code == 0 else 9) or code
            assert len(stop_unless_whole(path)) in (5, 9)
        assert len(stop_unless_whole(copy)) == 5
        restore(copy, path, TODAY)
        stop_unless_sound(path)
        if code == 0:
            break
    assert step > 5 and code == 0


def test_the_command(breakplan, tmp_path: Path, monkeypatch) -> None:
    shop = tmp_path / "shop"
    assert breakplan("start", shop).code == 0
    monkeypatch.chdir(shop)
    assert breakplan("journal", "add", "delivery lamb: 2 head at 57.5 lb").code == 0
    assert breakplan("journal", "backup", "copy.db").code == 0
    assert breakplan("journal", "add", "delivery lamb: 1 head at 57.5 lb", "--yes").code == 0
    ran = breakplan("journal", "restore", "copy.db")
    assert ran.code == 0 and ran.out.startswith("Restored the journal from copy.db: 1 entry.\n")
    assert ran.out.endswith(": 1 entry only there.\n")
    (kept,) = shop.glob("journal-*.db")
    assert str(kept) in ran.out or kept.name in ran.out
    assert breakplan("journal", "restore", "journal.db").code == 2
    ran = breakplan("journal", "restore", "none.db")
    assert ran.code == 2 and "none.db: is not there" in ran.err
