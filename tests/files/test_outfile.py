"""Files that the program writes: whole or not at all, and never over what is not its own."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from planner.core.errors import InputError
from planner.files import atomic_write as outfile
from planner.files.atomic_write import Mark, draft_beside, write_file
from tests.commands.test_start import ROOT
from tests.journal.test_journal_safety import mounted  # noqa: F401 - a fixture

MARK = Mark(b"ours\n", "one of ours")
QUICK = ("--within", "5%")


@pytest.fixture
def shop(breakplan, tmp_path, monkeypatch) -> Path:
    folder = tmp_path / "shop"
    assert breakplan("start", folder).code == 0
    assert (
        breakplan("journal", "--shop", folder, "add", "delivery lamb: 2 head at 57.5 lb").code == 0
    )
    monkeypatch.chdir(folder)
    return folder


def content(folder: Path) -> dict[str, bytes]:
    """All files; the log of a journal that is open belongs to no command that has ended."""
    return {
        str(each.relative_to(folder)): each.read_bytes()
        for each in sorted(folder.rglob("*"))
        if each.is_file()
    }


OVER = (
    *("journal.db", "recipes/../journal.db", "journal.db-wal", "journal.db-shm"),
    *("shop.yaml", "recipes/lamb.yaml", "first-week.yaml"),
    *("link.html", "hard.html", "letter.html"),
)


@pytest.mark.parametrize(
    "words",
    [
        ("week", "first-week.yaml", "--page"),
        ("week", "first-week.yaml", "--model-file"),
        ("morning", "first-week.yaml", "--day", "mon", "--page"),
        ("journal", "export"),
        ("journal", "backup"),
        ("weigh-in", "--csv-form"),
    ],
    ids=" ".join,
)
def test_no_option_replaces_a_file_that_is_not_of_its_kind(
    breakplan, shop: Path, monkeypatch, words: tuple[str, ...]
) -> None:
    monkeypatch.setattr(
        "planner.solve.plan.plan_week", None
    )  # found out before anything is planned
    (shop / "link.html").symlink_to("journal.db")
    os.link(shop / "journal.db", shop / "hard.html")
    (shop / "letter.html").write_text("<!doctype html>\n<title>A letter</title>")
    before = content(shop)
    for place in OVER:
        ran = breakplan(*words, place)
        assert ran.code == 2 and ran.out == "" and len(ran.err.splitlines()) == 1
        assert re.match(rf"{re.escape(str(Path(place)))}: (is|already exists)\b", ran.err)
        assert content(shop) == before


def test_replace_lets_all_be_replaced_but_journals_and_yaml(breakplan, shop: Path) -> None:
    """Whatever the spelling of the path; and what is written may be written again without it."""
    week = ("week", "first-week.yaml", *QUICK, "--replace")
    (shop / "link.html").symlink_to("journal.db")
    os.link(shop / "shop.yaml", shop / "hard.html")
    (shop / "recipes.txt").write_text("# mine\n\n---\nspecies: emu\n")
    before = content(shop)
    for place in ("journal.db", "first-week.yaml", "link.html", "hard.html", "recipes.txt"):
        for option in ("--page", "--model-file"):
            ran = breakplan(*week, option, place)
            assert ran.code == 2 and ran.out == "" and "--replace leaves alone" in ran.err
    assert content(shop) == before
    letter = shop / "letter.html"
    letter.write_text("<!doctype html>\n<title>A letter</title>")
    assert "add --replace" in breakplan("week", "first-week.yaml", "--page", letter).err
    assert breakplan(*week, "--page", letter).code == 0
    assert "A letter" not in letter.read_text()
    day = ("morning", "first-week.yaml", "--day", "mon", *QUICK)
    assert breakplan(*day, "--page", letter).code == 0
    letter.write_text("a letter")
    assert breakplan(*day, "--page", letter, "--replace").code == 0
    letter.write_text("a letter")
    assert breakplan(*week, "--model-file", letter).code == 0
    tables = shop / "tables"
    tables.mkdir()
    (tables / "cuts.csv").write_text("mine;all mine")
    assert breakplan("week", "first-week.yaml", *QUICK, "--csv", tables).code == 2
    assert breakplan(*week, "--csv", tables).code == 0
    assert "--replace" in breakplan("week", "first-week.yaml", "--replace").err


def test_tables_replace_only_tables(breakplan, shop: Path) -> None:
    mine = shop / "tables" / "sales.csv"
    mine.parent.mkdir()
    mine.write_text("date,item,amount\n2026-11-30,chops,3\n")
    before = content(shop)
    ran = breakplan("week", "first-week.yaml", "--csv", "tables", *QUICK)
    assert ran.code == 2 and "is not a table of --csv" in ran.err
    assert content(shop) == before


def test_what_an_option_wrote_before_it_replaces(breakplan, shop: Path) -> None:
    words = ("--page", "w.html", "--model-file", "w.mps", "--csv", "t", *QUICK)
    (shop / "w.html").touch()  # in an empty file there is nothing to lose
    for _ in range(2):
        assert breakplan("week", "first-week.yaml", *words).code == 0
    assert breakplan("morning", "first-week.yaml", "--day", "mon", "--page", "w.html").code == 0
    ran = breakplan("week", "first-week.yaml", "--page", "w.mps")
    assert ran.code == 2 and "w.mps: already exists and is not a page of --page" in ran.err


@pytest.mark.parametrize("name", ["-", "/dev/stdout"])
def test_standard_output_is_written_to_or_refused(breakplan, shop: Path, name: str) -> None:
    before = content(shop)
    for option in ("--page", "--model-file", "--csv"):
        ran = breakplan("week", "first-week.yaml", option, name)
        assert (ran.code, ran.out) == (2, "") and f"{name}: is standard output; name a " in ran.err
    for words in (("journal", "backup", name), ("start", name)):
        ran = breakplan(*words)
        assert (ran.code, ran.out) == (2, "") and f"{name}: is standard output; name a " in ran.err
    assert breakplan("journal", "export", name).out.count("\n") == 2
    assert breakplan("weigh-in", "--csv-form", name).code == 0
    assert content(shop) == before


def test_a_pipe_is_written_to_as_it_is(shop: Path) -> None:
    program = Path(sys.executable).with_name("breakplan")
    words = f"{program} week first-week.yaml --within 5% --page >(cat >page.html; echo done >&2)"
    ran = subprocess.run(["bash", "-c", f"{words}; sleep 1"], check=False, capture_output=True)
    assert ran.returncode == 0, ran.stderr
    assert (shop / "page.html").read_text().startswith("<!doctype html>")


@pytest.mark.parametrize("words", [("--page",), ("--model-file",)], ids=" ".join)
def test_a_link_that_leads_nowhere_makes_nothing_there(breakplan, shop: Path, words) -> None:
    (shop / "out").symlink_to("gone/out.html")
    (shop / "gone").mkdir()
    ran = breakplan("week", "first-week.yaml", *words, "out")
    assert ran.code == 2 and "out: is a link to" in ran.err and "not there" in ran.err
    assert list((shop / "gone").iterdir()) == []


def test_a_full_disk_leaves_the_model_that_was_there(
    breakplan,
    shop: Path,
    mounted: Callable[[str], Path],  # noqa: F811
) -> None:
    disk = mounted("size=64k")
    model = disk / "week.mps"
    model.write_bytes(old := b"* breakplan: a model\nold")
    ran = breakplan("week", "first-week.yaml", "--model-file", model)
    assert ran.code == 2 and "No space left" in ran.err and len(ran.err.splitlines()) == 1
    assert model.read_bytes() == old and os.listdir(disk) == ["week.mps"]


KILLED = """
import os, sys
from pathlib import Path
from planner.files.atomic_write import draft_beside
with draft_beside(Path(sys.argv[1]), b"half"):
    os._exit(9)
"""


def test_the_draft_of_a_killed_run_is_taken_away_by_the_next(tmp_path: Path) -> None:
    target = tmp_path / "page.html"
    subprocess.run([sys.executable, "-c", KILLED, target], check=False, cwd=ROOT)
    (tmp_path / ".breakplan-mine").write_text("mine")
    elsewhere = tmp_path / ".breakplan-00000000-1-of-another-machine"
    elsewhere.write_text("theirs")
    assert len(list(tmp_path.glob(f".breakplan-{outfile._HERE}-*"))) == 1
    with draft_beside(tmp_path / "other", b"alive") as alive:
        assert len(list(tmp_path.glob(f".breakplan-{outfile._HERE}-*"))) == 1
        write_file(target, b"ours\n", MARK)
        assert alive.read_bytes() == b"alive", "its writer lives"
    assert {each.name for each in tmp_path.iterdir()} == {
        "page.html",
        ".breakplan-mine",
        elsewhere.name,
    }


def test_a_file_that_comes_while_ours_is_written_is_left(tmp_path: Path, monkeypatch) -> None:
    fsync, target = os.fsync, tmp_path / "page.html"

    def meanwhile(handle: int) -> None:
        target.write_text("theirs")
        fsync(handle)

    monkeypatch.setattr(os, "fsync", meanwhile)
    for mark in (MARK, None):
        target.unlink(missing_ok=True)
        with pytest.raises(InputError, match="already exists"):
            write_file(target, b"ours\n", mark)
        assert target.read_text() == "theirs" and os.listdir(tmp_path) == ["page.html"]


def test_the_marks_are_how_the_files_begin(breakplan, shop: Path) -> None:
    """Also in kilograms and other money: only what holds in every shop is asked for."""
    text = (shop / "first-week.yaml").read_text()
    other = shop / "kg.yaml"
    other.write_text(text.replace("unit: lb", "unit: kg").replace("money: $", "money: €"))
    for _ in range(2):
        assert breakplan("week", other, "--csv", "t", *QUICK).code == 0
    shutil.rmtree(shop / "t")


@pytest.mark.parametrize("name", ["shop.yaml", "journal.db", "recipes/lamb.yaml", "till.csv"])
def test_a_link_that_leads_nowhere_is_told_where_a_file_is_read(
    breakplan, shop: Path, name: str
) -> None:
    (shop / name).unlink(missing_ok=True)
    (shop / "gone").mkdir()
    (shop / name).symlink_to(shop / "gone" / "away")
    words = ("journal", "import", "till.csv") if name == "till.csv" else ("week",)
    for each in (words, ("journal", "new")) if name == "journal.db" else (words,):
        ran = breakplan(*each)
        assert ran.code == 2 and "is a link to" in ran.err and "which is not there" in ran.err
    assert list((shop / "gone").iterdir()) == []


@pytest.mark.thorough
def test_byte_order_marks_stay_where_they_are(breakplan, shop: Path) -> None:
    week = shop / "first-week.yaml"
    week.write_bytes(b"\xef\xbb\xbf" * 2 + week.read_bytes())
    before = week.read_bytes()
    assert breakplan("check", week).code == 0
    ran = breakplan("promise", week, "loin chops: 0.1 lb on sat", "--write")
    assert ran.code == 0 and len(week.read_bytes()) > len(before)
    assert (
        week.read_bytes().startswith(b"\xef\xbb\xbf" * 2)
        and week.read_bytes().count(b"\xef\xbb\xbf") == 2
    )


def test_a_full_disk_is_not_told_as_read_only(
    breakplan,
    shop: Path,
    mounted: Callable[[str], Path],  # noqa: F811
    monkeypatch,
) -> None:
    disk = mounted("size=2m")
    there = disk / "shop"
    shutil.copytree(shop, there)
    monkeypatch.chdir(there)
    room = shutil.disk_usage(disk).free
    for left in (0, 4096, 8192, 40_000):
        (disk / "filled").write_bytes(b"x" * (room - left))
        ran = breakplan("journal", "add", "delivery lamb: 1 head at 57.5 lb", "--yes")
        assert ran.code == 2 and "the disk is full" in ran.err, (left, ran)
        (disk / "filled").unlink()
    mounted("remount,ro")
    ran = breakplan("journal", "add", "delivery lamb: 1 head at 57.5 lb", "--yes")
    assert ran.code == 2 and "read-only" in ran.err and "full" not in ran.err
    mounted("remount,rw")
