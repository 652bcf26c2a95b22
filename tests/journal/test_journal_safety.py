"""What was acknowledged is never lost; what cannot be done is said in a line, and not half done."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from datetime import UTC, date, datetime
from pathlib import Path
from random import Random

import pytest

from planner.core.errors import InputError
from planner.core.units import Quantity
from planner.journal.database import open_database, patiently
from planner.journal.entries import PlanKept, Sold, Wasted
from planner.journal.schema import APPLICATION_ID, STEPS
from planner.journal.store import Journal
from tests.journal_work import start, stop_unless_sound, writing_of, writings

SALE = Sold(date(2026, 11, 30), "shoulder roast", Quantity(4.5), 58.46)
IS_ROOT = hasattr(os, "geteuid") and os.geteuid() == 0
posix_only = pytest.mark.skipif(os.name != "posix", reason="asks for signals or mounts of POSIX")


def said(path: Path, action: Callable[[], object]) -> str:
    """What is said, in one line about this file, when something cannot be done."""
    with pytest.raises(InputError) as caught:
        action()
    (problem,) = caught.value.problems
    assert (problem.file, problem.line) == (str(path), 0)
    assert "\n" not in problem.message
    return problem.message


def made(path: Path, count: int = 5, seed: int = 1) -> Path:
    """A journal with the first writings of a seed."""
    with Journal(path, create=True) as journal:
        for number in range(count):
            journal.add(writing_of(seed, number))
    return path


def stop_unless_whole(path: Path) -> dict[int, list]:
    """Writings of a journal, in which nothing may be half."""
    with Journal(path) as journal:
        found = writings(journal.recorded(undone=True))
    stop_unless_sound(path)
    with closing(sqlite3.connect(path)) as connection:
        assert {number for (number,) in connection.execute("SELECT number FROM writing")} == set(
            found
        )
        (entries,) = connection.execute("SELECT count(*) FROM entry").fetchone()
    assert entries == sum(map(len, found.values())), "an entry without what belongs to it"
    return found


# --- killed, or without power


@posix_only
def test_kills_during_200_random_writings_lose_nothing(tmp_path: Path):
    path, random = tmp_path / "journal.db", Random(20)
    acknowledged: dict[int, list] = {}
    kills, unacknowledged = 20, 0
    for seed in range(kills):
        process = start("write", path, seed, 1_000_000)
        lines = [process.stdout.readline() for _ in range(10)]
        time.sleep(random.uniform(0, 0.004))  # a writing takes about as long
        process.kill()
        rest, errors = process.stdout.read(), process.stderr.read()  # what was buffered, too
        assert errors == "" and process.wait() == -9
        lines += [line for line in rest.splitlines() if line]
        for line in lines:
            number, writing = map(int, line.split())
            acknowledged[writing] = writing_of(seed, number)
        found = stop_unless_whole(path)
        assert acknowledged.items() <= found.items()
        extra = found.keys() - acknowledged.keys()
        assert len(extra) <= 1, "one writing at most was finished and not yet acknowledged"
        for writing in extra:
            assert found[writing] == writing_of(seed, len(lines))
            acknowledged[writing] = found[writing]
            unacknowledged += 1
    assert len(acknowledged) - unacknowledged >= 200


def test_a_log_cut_off_anywhere_leaves_whole_writings(tmp_path: Path):
    """As after a power cut: of what was not yet safe, any part may have reached the disk."""
    path, random = tmp_path / "journal.db", Random(3)
    with Journal(path, create=True) as journal:
        for number in range(12):
            journal.add(writing_of(5, number))
        database, log = path.read_bytes(), Path(f"{path}-wal").read_bytes()
    assert len(log) > 50_000, "all writings are still in the log"
    counts = []
    for cut in [*range(0, len(log), len(log) // 60), len(log)]:
        folder = tmp_path / str(cut)
        folder.mkdir()
        copy = folder / "journal.db"
        copy.write_bytes(database)
        torn = random.randbytes(random.choice([0, 512, 4096])) if cut < len(log) else b""
        Path(f"{copy}-wal").write_bytes(log[:cut] + torn)
        found = stop_unless_whole(copy)
        assert list(found.values()) == [writing_of(5, number) for number in range(len(found))]
        counts.append(len(found))
    assert counts == sorted(counts) and (counts[0], counts[-1]) == (0, 12)
    assert len(set(counts)) > 6


@posix_only
def test_a_kill_while_it_is_made_leaves_a_whole_journal_or_none(tmp_path: Path):
    random, states = Random(4), []
    for number in range(8):
        path = tmp_path / f"{number}.db"
        process = start("make", path)
        assert process.stdout.readline() == "ready\n"
        time.sleep(random.uniform(0, 0.03))
        process.kill()
        process.communicate()
        states.append(path.exists())
        if path.exists():
            stop_unless_whole(path)
        with Journal(path, create=True) as journal:
            journal.add([SALE])
        assert len(stop_unless_whole(path)) == 1


# --- several at once


def test_two_terminals_write_at_once(tmp_path: Path):
    path, count = made(tmp_path / "journal.db", 0), 60
    processes = {1: start("write", path, 1, count), 2: start("each", path, 2, count)}
    told: dict[int, list] = {}
    for seed, process in processes.items():
        output, errors = process.communicate(timeout=60)
        assert errors == "" and process.returncode == 0
        for line in output.splitlines():
            number, writing = map(int, line.split())
            assert writing not in told
            told[writing] = writing_of(seed, number)
    assert stop_unless_whole(path) == told
    assert sorted(told) == list(range(1, 2 * count + 1))


def test_a_backup_while_others_write_is_a_journal_of_one_moment(tmp_path: Path):
    path = made(tmp_path / "journal.db", 0)
    process = start("write", path, 7, 1_000_000)
    sizes = []
    try:
        with Journal(path) as journal:
            for number in range(6):
                for _ in range(5):
                    process.stdout.readline()
                copy = tmp_path / f"backup-{number}.db"
                journal.backup(copy)
                assert not Path(f"{copy}-wal").exists()
                found = stop_unless_whole(copy)
                assert found == {n + 1: writing_of(7, n) for n in range(len(found))}
                sizes.append(len(found))
    finally:
        process.kill()
        _, errors = process.communicate()
    assert errors == ""
    assert sizes == sorted(sizes) and sizes[0] >= 5 and len(set(sizes)) == 6
    assert not list(tmp_path.glob(".breakplan-*"))


def test_a_backup_goes_on_as_a_journal(tmp_path: Path):
    path, copy = made(tmp_path / "journal.db"), tmp_path / "backup.db"
    with Journal(path) as journal:
        journal.backup(copy)
    with Journal(copy) as journal:
        assert journal.add([SALE])[0].writing == 6
        assert journal._connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    assert len(stop_unless_whole(path)) == 5


@pytest.mark.parametrize("kind", ["file", "journal", "folder", "log", "link"])
def test_a_backup_never_takes_the_place_of_a_file(tmp_path: Path, kind: str):
    path, target = made(tmp_path / "journal.db"), tmp_path / "there"
    match kind:
        case "file":
            target.write_text("a list")
        case "journal":
            target = path
        case "folder":
            target.mkdir()
        case "log":
            Path(f"{target}-wal").write_text("a log")
        case "link":
            if os.name != "posix":
                pytest.skip("links need a permission elsewhere")
            target.symlink_to(tmp_path / "nowhere")
    before = sorted(tmp_path.iterdir())
    with Journal(path) as journal:
        message = said(target, lambda: journal.backup(target))
    assert message in (
        "already exists, and a copy never replaces a file",
        "cannot be written: it is a folder",
        f"is a link to {tmp_path / 'nowhere'}, which is not there; nothing was written",
    )
    assert sorted(tmp_path.iterdir()) == before
    assert kind != "file" or target.read_text() == "a list"
    assert len(stop_unless_whole(path)) == 5


def test_a_file_that_appears_during_a_backup_is_left(tmp_path: Path, monkeypatch):
    path, target = made(tmp_path / "journal.db"), tmp_path / "backup.db"
    fsync = os.fsync

    def meanwhile(handle: int) -> None:
        target.write_text("quicker")
        fsync(handle)

    monkeypatch.setattr(os, "fsync", meanwhile)
    with Journal(path) as journal:
        assert "already exists" in said(target, lambda: journal.backup(target))
    assert target.read_text() == "quicker"
    assert sorted(file.name for file in tmp_path.iterdir()) == ["backup.db", "journal.db"]


@pytest.mark.parametrize("taken", [False, True])
def test_a_backup_on_a_file_system_without_links(tmp_path: Path, monkeypatch, taken: bool):
    path, target = made(tmp_path / "journal.db"), tmp_path / "backup.db"

    def refused(*_: object) -> None:
        if taken:
            target.write_text("quicker")
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refused)
    with Journal(path) as journal:
        if taken:
            assert "already exists" in said(target, lambda: journal.backup(target))
            assert target.read_text() == "quicker"
        else:
            journal.backup(target)
            assert len(stop_unless_whole(target)) == 5


def test_a_backup_into_a_folder_that_is_not_there(tmp_path: Path):
    with Journal(made(tmp_path / "journal.db")) as journal:
        target = tmp_path / "usb" / "backup.db"
        message = said(target, lambda: journal.backup(target))
    assert message == "cannot be read or written: No such file or directory"


def test_a_damaged_journal_is_not_copied(tmp_path: Path):
    path, target = made(tmp_path / "journal.db", 20), tmp_path / "backup.db"
    data = bytearray(path.read_bytes())
    page = 4096 * (len(data) // 4096 // 2)
    data[page : page + 4096] = b"\xff" * 4096
    path.write_bytes(data)
    with Journal(path) as journal:
        message = said(target, lambda: journal.backup(target))
    assert message == "is not written: the journal itself is damaged"
    assert [file.name for file in tmp_path.iterdir()] == ["journal.db"]


@posix_only
def test_while_another_program_locks_it(tmp_path: Path):
    path = made(tmp_path / "journal.db")
    process = start("hold", path)
    assert process.stdout.readline() == "held\n"
    with Journal(path, timeout=0.2) as journal:
        assert len(writings(journal.recorded())) == 5, "reading does not wait"
        for action in (lambda: journal.add([SALE]), journal.undo):
            began = time.monotonic()
            message = said(path, action)
            assert message == "is in use by another program: try again when that is done"
            assert 0.15 < time.monotonic() - began < 2
        process.communicate()
        assert journal.add([SALE])[0].writing == 6
    assert len(stop_unless_whole(path)) == 6


@pytest.mark.parametrize("mode", ["WAL", "DELETE"])
def test_while_another_program_has_it_for_itself(tmp_path: Path, mode: str):
    path = made(tmp_path / "journal.db")
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute(f"PRAGMA journal_mode = {mode}")
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        message = said(path, lambda: Journal(path, timeout=0.1))
    assert message == "is in use by another program: try again when that is done"
    assert len(stop_unless_whole(path)) == 5


@pytest.mark.thorough
def test_what_sqlite_does_not_wait_for_is_tried_again(tmp_path: Path):
    path, tries = made(tmp_path / "journal.db"), 0
    with (
        closing(sqlite3.connect(path, isolation_level=None)) as other,
        closing(sqlite3.connect(path, isolation_level=None, timeout=0)) as impatient,
    ):
        other.execute("BEGIN EXCLUSIVE")

        def begin() -> str:
            nonlocal tries
            tries += 1
            if tries == 3:
                other.execute("ROLLBACK")
            impatient.execute("BEGIN EXCLUSIVE")
            return "begun"

        assert patiently(begin, timeout=60) == "begun"
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            patiently(lambda: other.execute("BEGIN IMMEDIATE"), timeout=0)
        with pytest.raises(sqlite3.OperationalError, match="syntax"):
            patiently(lambda: other.execute("no SQL"), timeout=60)
    assert tries == 3


def test_an_interruption_leaves_nothing_half_done(tmp_path: Path):
    path, stop = made(tmp_path / "journal.db"), False

    def clock() -> datetime:
        if stop:
            raise KeyboardInterrupt
        return datetime.now(UTC)

    with Journal(path, clock=clock) as journal, Journal(path, timeout=0) as other:
        before, stop = journal.recorded(), True
        with pytest.raises(KeyboardInterrupt):
            journal.add([SALE])
        with pytest.raises(KeyboardInterrupt):
            journal.undo(5)
        assert other.add([SALE])[0].writing == 6, "the lock is let go"
        stop = False
        assert journal.recorded()[:-1] == before
        assert journal.add([SALE])[0].writing == 7
    assert len(stop_unless_whole(path)) == 7


# --- no place, no right


@pytest.fixture
def mounted(tmp_path: Path) -> Iterator[Callable[[str], Path]]:
    """Mount a file system in memory with options, or again with others."""
    folder = tmp_path / "disk"
    folder.mkdir()

    def mount(options: str) -> Path:
        words = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(folder)]
        if not IS_ROOT or shutil.which("mount") is None:
            pytest.skip("only root may mount a file system to fill or to close")
        if subprocess.run(words, capture_output=True, check=False).returncode:
            pytest.skip("this machine lets nobody mount")
        return folder

    yield mount
    if os.path.ismount(folder):
        subprocess.run(["umount", "-l", str(folder)], check=True)


def enter_until_full(journal: Journal, path: Path) -> int:
    """How many writings there was room for."""
    entered, message = 0, ""
    while not message:
        assert entered < 100, "the disk is never full"
        try:
            journal.add([SALE, PlanKept(SALE.day, "x" * 30_000), SALE])
            entered += 1
        except InputError as error:
            message = str(error)
    assert message == f"{path}: cannot be written: the disk is full"
    return entered


def fill(file: Path) -> None:
    """Leave no room on the disk."""
    with open(file, "wb", buffering=0) as handle, suppress(OSError):
        while handle.write(b"x" * 512):
            pass
    assert shutil.disk_usage(file.parent).free == 0


def test_a_full_disk(mounted: Callable[[str], Path]):
    folder = mounted("size=600k")
    path, copy, new = (folder / name for name in ("journal.db", "copy.db", "new.db"))
    (folder / "room").write_bytes(b"x" * 60_000)  # for the last of it, wherever the pages end
    with Journal(path, create=True) as journal:
        entered = enter_until_full(journal, path)
        assert entered > 3 and len(journal.recorded()) == 3 * entered
        fill(folder / "filled")
        assert "the disk is full" in said(copy, lambda: journal.backup(copy))
    with Journal(path) as journal:
        assert len(journal.recorded()) == 3 * entered, "reading needs no room"
        entered += enter_until_full(journal, path)  # the log is there, and may have room again
        assert len(journal.recorded()) == 3 * entered
    assert "the disk is full" in said(new, lambda: Journal(new, create=True))
    (folder / "filled").unlink()
    (folder / "room").unlink()
    with Journal(path) as journal:
        journal.add([SALE] * 3)
    assert [len(entries) for entries in stop_unless_whole(path).values()] == [3] * (entered + 1)
    left = {file.name for file in folder.iterdir()}  # the log, if there was no room to empty it
    assert left <= {"journal.db", "journal.db-wal", "journal.db-shm"}


def test_a_file_that_may_not_grow(tmp_path: Path):
    """The same as on a full disk, as far as SQLite knows, where nobody may mount one."""
    path = made(tmp_path / "journal.db")
    with Journal(path) as journal:
        (pages,) = journal._connection.execute("PRAGMA page_count").fetchone()
        journal._connection.execute(f"PRAGMA max_page_count = {pages + 4}")
        before = journal.recorded()
        for size in (20_000, 200_000):
            plan = PlanKept(SALE.day, "x" * size)
            message = said(path, lambda plan=plan: journal.add([SALE, plan, SALE]))
            assert message == "cannot be written: the disk is full"
            assert journal.recorded() == before
        journal.add([SALE])
    assert len(stop_unless_whole(path)) == 6


@pytest.fixture
def closable(tmp_path: Path, mounted: Callable[[str], Path]) -> Iterator[tuple[Path, Callable]]:
    """A folder, and what closes it to writing: for root, who may write anywhere, a mount."""
    if IS_ROOT:
        yield mounted("size=2m"), lambda: mounted("remount,ro")
        return
    folder = tmp_path / "closed"
    folder.mkdir()
    yield folder, lambda: folder.chmod(0o555)
    folder.chmod(0o755)


@posix_only
@pytest.mark.parametrize("file", ["journal.db", "backup.db"])
def test_a_read_only_folder(closable: tuple[Path, Callable], tmp_path: Path, file: str):
    folder, close = closable
    with Journal(made(folder / "journal.db")) as journal:
        recorded = journal.recorded()
        journal.backup(folder / "backup.db")
    if not IS_ROOT:
        (folder / file).chmod(0o444)
    close()
    path, new, saved = folder / file, folder / "new.db", tmp_path / "saved.db"
    with Journal(path) as journal:
        assert journal.recorded() == recorded, "reading works"
        for action in (lambda: journal.add([SALE]), journal.undo):
            assert said(path, action) == "cannot be written: the file or its folder is read-only"
        assert "cannot be read or written: " in said(new, lambda: journal.backup(new))
        journal.backup(saved)
    assert "cannot be read or written: " in said(new, lambda: Journal(new, create=True))
    assert sorted(one.name for one in folder.iterdir()) == ["backup.db", "journal.db"]
    assert len(stop_unless_whole(saved)) == 5


@posix_only
def test_a_read_only_folder_with_a_log_in_it(closable: tuple[Path, Callable], tmp_path: Path):
    """What lies in the log counts: without it the journal would be read as it once was."""
    folder, close = closable
    path = made(tmp_path / "journal.db")
    with Journal(path) as journal:
        journal.add([SALE])
        for end in ("", "-wal"):
            shutil.copy(f"{path}{end}", folder)
    close()
    copy = folder / "journal.db"
    assert said(copy, lambda: Journal(copy)).startswith("has its last entries in a file beside it")


@posix_only
@pytest.mark.skipif(IS_ROOT, reason="root may read everything")
def test_a_file_that_may_not_be_read(tmp_path: Path):
    path = made(tmp_path / "journal.db")
    path.chmod(0)
    assert said(path, lambda: Journal(path)) == "cannot be read: no permission"


# --- not a journal


def another_database(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE entry (number INTEGER)")
        connection.commit()


def newer(path: Path) -> None:
    made(path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 7")
        connection.commit()


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (
            lambda path: None,
            "is not there: put a copy in its place with: breakplan journal restore COPY, or begin"
            " an empty one with: breakplan journal new",
        ),
        (Path.mkdir, "is a folder, not a journal"),
        (Path.touch, "is not a journal"),
        (lambda path: path.write_text("mon: 4 lb\n"), "is not a journal"),
        (lambda path: path.write_bytes(Random(1).randbytes(9000)), "is not a journal"),
        (another_database, "is a database of another program, not a journal"),
        (
            newer,
            "is a journal of version 7, and this program knows up to version 2: update breakplan",
        ),
        pytest.param(lambda path: os.mkfifo(path), "is not a file", marks=posix_only),
    ],
)
def test_what_is_no_journal(tmp_path: Path, make: Callable[[Path], object], sentence: str):
    path = tmp_path / "journal.db"
    make(path)
    before = path.read_bytes() if path.is_file() else None
    assert said(path, lambda: Journal(path)) == sentence
    assert (path.read_bytes() if path.is_file() else None) == before
    if path.exists():  # and no new one takes its place
        assert said(path, lambda: Journal(path, create=True)) == sentence
        assert (path.read_bytes() if path.is_file() else None) == before


def test_the_log_of_a_journal_that_is_gone_is_not_taken_for_that_of_a_new_one(tmp_path: Path):
    path = made(tmp_path / "journal.db")
    with Journal(path) as journal:
        journal.add([SALE])
        log = Path(f"{path}-wal").read_bytes()
    path.unlink()
    Path(f"{path}-wal").write_bytes(log)
    message = said(path, lambda: Journal(path, create=True))
    assert message == "is not there, but its journal.db-wal is: find it, or move that too"
    assert not path.exists()


@pytest.mark.parametrize("length", [1, 99, 100, 511, 512, 4096, 8192, 40_000, -4096, -1])
def test_a_journal_that_is_cut_off(tmp_path: Path, length: int):
    path = made(tmp_path / "journal.db", 20)
    path.write_bytes(path.read_bytes()[:length])

    def used() -> None:
        with Journal(path) as journal:
            journal.recorded(undone=True)

    message = said(path, used)
    assert message in (
        "is not a journal",
        "is damaged: put a copy in its place with: breakplan journal restore COPY",
    )


def test_text_where_a_number_belongs_is_damage(tmp_path: Path):
    """SQLite puts text into any column; another program may have done so."""
    path = tmp_path / "journal.db"
    with Journal(path, create=True) as journal:
        journal.add([Wasted(date(2026, 11, 30), "lamb bones", Quantity(1.0))])
    with closing(sqlite3.connect(path)) as other, other:
        for (name,) in other.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            other.execute(f'DROP TRIGGER "{name}"')
        other.execute("PRAGMA ignore_check_constraints = ON")
        other.execute("""UPDATE "wasted" SET "amount" = '3 lb'""")
    with pytest.raises((InputError, ValueError), match="entry 1 is damaged"), Journal(path) as read:
        read.recorded()


def test_a_journal_with_wrong_bytes_is_read_or_refused(tmp_path: Path):
    """Whatever the bytes are, nobody sees a traceback."""
    whole = made(tmp_path / "journal.db", 20).read_bytes()
    path, random, refused = tmp_path / "spoiled.db", Random(11), 0
    for _ in range(300):
        data = bytearray(whole)
        for _ in range(random.choice([1, 10, 100])):
            data[random.randrange(len(data))] = random.randrange(256)
        path.write_bytes(data)
        try:
            with Journal(path, timeout=0.1) as journal:
                journal.recorded(undone=True)
        except InputError as error:
            refused += 1
            (problem,) = error.problems
            assert problem.file == str(path) and "\n" not in problem.message
        for log in tmp_path.glob("spoiled.db-*"):
            log.unlink()
    assert refused > 30


def test_texts_that_came_in_by_another_way_are_told_safely(tmp_path: Path):
    path = made(tmp_path / "journal.db", 0)
    with Journal(path) as journal:
        journal.add([SALE])
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        connection.execute("DROP TRIGGER sold_no_update")
        connection.execute("UPDATE sold SET cut = CAST(x'1b5b33316dff' AS TEXT)")
    with Journal(path) as journal:
        assert "\x1b" not in said(path, journal.recorded)


# --- older versions


NEXT = (
    'ALTER TABLE "wasted" ADD COLUMN "why" TEXT',
    "CREATE TABLE \"lost\" (\"entry\" INTEGER PRIMARY KEY REFERENCES \"entry\" (\"number\"))",
)  # fmt: skip
REBUILT = (
    "DROP TRIGGER sold_no_update",
    'CREATE TABLE "sold_2" ("entry" INTEGER PRIMARY KEY REFERENCES "entry", "cut" TEXT)',
    'INSERT INTO "sold_2" SELECT "entry", "cut" FROM "sold"',
    'DROP TABLE "sold"',
    'ALTER TABLE "sold_2" RENAME TO "sold"',
)


DRAWN = 'INSERT INTO "state"'
"""Names of states are drawn at random."""


def dump(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        (version,) = connection.execute("PRAGMA user_version").fetchone()
        lines = [line for line in connection.iterdump() if not line.startswith(DRAWN)]
        return [f"version {version}", *lines]


def test_a_journal_of_version_0_gets_its_tables(tmp_path: Path):
    path, new = tmp_path / "journal.db", made(tmp_path / "new.db", 0)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    Journal(path).close()
    assert dump(path) == dump(new)


def test_an_older_journal_is_brought_to_todays_version_step_by_step(tmp_path: Path):
    path = made(tmp_path / "journal.db")
    before = dump(path)
    with Journal(path) as journal:
        recorded = journal.recorded()
    with closing(open_database(path, timeout=1, steps=(*STEPS, NEXT, REBUILT))) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (4,)
        assert connection.execute("PRAGMA foreign_keys").fetchone() == (1,)
        with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
            connection.execute("INSERT INTO sold VALUES (999, 'bones')")
        sold = connection.execute('SELECT "entry", "cut" FROM "sold" ORDER BY 1').fetchall()
    assert sold == [(one.number, one.entry.cut) for one in recorded if isinstance(one.entry, Sold)]
    assert set(before) - set(dump(path)), "it did change"
    assert "update breakplan" in said(path, lambda: Journal(path))
    stop_unless_sound(path)


@pytest.mark.parametrize(
    "fault",
    [
        "INSERT INTO \"wasted\" VALUES ('no such column')",
        'CREATE TABLE "sold" ("entry")',
        "this is no SQL",
        "INSERT INTO filled VALUES (1, 777, 1.0)",
    ],
)
def test_a_step_that_fails_leaves_the_journal_as_it_was(tmp_path: Path, fault: str):
    path = made(tmp_path / "journal.db")
    before = dump(path)
    said(path, lambda: open_database(path, timeout=1, steps=(*STEPS, (*NEXT, fault))))
    assert dump(path) == before
    said(path, lambda: open_database(path, timeout=1, steps=(*STEPS, NEXT, (*REBUILT, fault))))
    assert dump(path)[0] == "version 3", "the step before it stays: it was whole"
    stop_unless_sound(path)


def test_a_read_only_journal_of_an_older_version_says_so(closable, tmp_path: Path):
    folder, close = closable
    path = made(folder / "journal.db")
    close()
    message = said(path, lambda: open_database(path, timeout=1, steps=(*STEPS, NEXT)))
    assert message == "cannot be written: the file or its folder is read-only"
