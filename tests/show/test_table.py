"""CSV for a spreadsheet: the figures of the JSON, names that cannot be formulas, files in place."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import stat
import tempfile
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.errors import InputError, RulesConflictError
from planner.files.atomic_write import Mark, stop_unless_writable, write_text
from planner.show.json import plan_data
from planner.show.table import NAMES, Table, csv_text, tables, write_tables
from planner.solve.plan import Plan
from tests.outside.shops import mixed_shops, shops, write_shop
from tests.planning import TIGHT, plan_of, shipped_plan
from tests.show.test_width import BUYER, by_hand
from tests.solve.test_properties import SHOPS

ROOT = Path(__file__).resolve().parent.parent.parent
FILES = tuple(f"{name}.csv" for name in NAMES)
NUMBER = re.compile(r"-?\d+(\.\d+)?(e-?\d+)?")
HOSTILE = (
    *("=1+1", "+cmd|' /C calc'!A0", "-x", "@SUM(1,2)", "\t=1", "\r=1", "\n=1", "  =x", "\t"),
    *("＝1+1", "＋1", "－1", "＠SUM(1)", "\u00a0=1", "\ufeff=1", "\u200b+1", "\u202e=1", "\x00=1"),
    *("a;=1+1", "a\t=1", "a\n=1", "a\r\n-1", ";@x", ';"=1', '"=1"', '=HYPERLINK("http://x","y")'),
)
HARMLESS = (
    *("loin chops", 'a "quoted" name', "a, b", "a\nb", "'=1", "x=1", "square-cut", "9-rib", "肉"),
    *(" x", "a; b", "", "5", "$", "mother's", "a @ b"),
)


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


# ---- the figures of the JSON ----


def compare(plan: Plan) -> None:
    """Every figure of the four tables with the JSON's, and none too few or too many."""
    data = plan_data(plan)
    read = {name: rows(csv_text(table)) for name, table in tables(plan).items()}
    assert tuple(read) == NAMES
    unit, money = data["unit"], data["money"]

    expected = [
        {
            **day_of(plan, each["day"]),
            "lot": str(each["lot"] + 1),
            "species": each["species"],
            "piece": each["piece"],
            "way": each["way"],
            "count": str(each["count"]),
            f"weight ({unit})": repr(each["weight"]),
            "minutes": repr(each["minutes"]),
        }
        for each in data["breaks"]
    ]
    for row in read["breaks"]:
        lot = plan.scenario.lots[int(row["lot"]) - 1]
        arrives = day_of(plan, data["days"][lot.arrives])["date"]
        assert (row.pop("lot arrives"), row.pop("tool")) == (arrives, tool(plan, row))
    assert read["breaks"] == expected

    words = ("on hand", "made", "sold", "blended", "wasted", "left")
    assert read["cuts"] == [
        {
            "species": each["species"],
            "cut": each["cut"],
            "sold by": each["sold by"],
            **{f"{word} ({each['sold by']})": repr(each[word]) for word in words},
            **{f"{word} ({other(each['sold by'], unit)})": "" for word in words},
            f"revenue ({money})": repr(each["revenue"]),
        }
        for each in data["cuts"]
    ]

    by = {each["cut"]: each["sold by"] for each in data["cuts"]}
    species = {each["cut"]: each["species"] for each in data["cuts"]}
    assert read["sales"] == [
        {
            **day_of(plan, each["day"]),
            "species": species[each["cut"]],
            "cut": each["cut"],
            "to": each["to"],
            f"amount ({by[each['cut']]})": repr(each["amount"]),
            f"price ({money}/{by[each['cut']]})": repr(each["price"]),
            f"amount ({other(by[each['cut']], unit)})": "",
            f"price ({money}/{other(by[each['cut']], unit)})": "",
        }
        for each in data["sales"]
    ]

    assert read["blends"] == [
        {
            **day_of(plan, each["day"]),
            "species": species[each["blend"]],
            "blend": each["blend"],
            "from": cut,
            f"weight in ({unit})": repr(weight),
            f"made ({unit})": "" if number else repr(each["made"]),
            "batches": "" if number else str(each.get("batches", "")),
            "fat (share of weight in)": "" if number or each["fat"] is None else repr(each["fat"]),
        }
        for each in data["blends"]
        for number, (cut, weight) in enumerate(each["from"].items())
    ]


def day_of(plan: Plan, label: str) -> dict[str, str]:
    """Date and label, the date counted from the first day."""
    first = plan.scenario.starts.toordinal()
    number = plan_data(plan)["days"].index(label)
    return {
        "date": type(plan.scenario.starts).fromordinal(first + number).isoformat(),
        "day": label,
    }


def tool(plan: Plan, row: dict[str, str]) -> str:
    pieces = plan.scenario.lots[int(row["lot"]) - 1].recipe.pieces
    return pieces[row["piece"]].ways[row["way"]].tool


def other(by: str, unit: str) -> str:
    return unit if by == "each" else "each"


@pytest.mark.parametrize("name", ["one-lamb", "corner-shop", "whole-animal"])
def test_shipped_weeks_have_the_figures_of_the_json(name):
    plan = shipped_plan(name)
    assert plan.breaks and plan.sales and plan.batches
    compare(plan)


@settings(SHOPS, max_examples=60)
@given(shop=shops() | mixed_shops())
def test_random_shops_have_the_figures_of_the_json(shop):
    with tempfile.TemporaryDirectory() as folder:
        try:
            plan = plan_of(write_shop(shop, Path(folder)), TIGHT)
        except RulesConflictError:
            return
    compare(plan)


def test_columns_sum_up_to_the_whole(tmp_path):
    """What people do with a sheet: sum a column, and multiply two."""
    plan = by_hand(tmp_path)
    data = plan_data(plan)
    read = {name: rows(csv_text(table)) for name, table in tables(plan).items()}

    def total(name: str, *columns: str) -> float:
        products = []
        for row in read[name]:
            product = 1.0
            for column in columns:
                product *= float(row[column] or 0)
            products.append(product)
        return sum(products)

    revenue = sum(total("sales", f"amount ({by})", f"price ($/{by})") for by in ("lb", "each"))
    assert revenue == pytest.approx(data["revenue"])
    assert total("cuts", "revenue ($)") == pytest.approx(data["revenue"])
    assert total("breaks", "minutes") + sum(each.minutes for each in plan.batches) == pytest.approx(
        sum(each["minutes"] for each in data["bench"])
    )
    assert total("blends", "made (lb)") == pytest.approx(sum(e["made"] for e in data["blends"]))
    assert total("blends", "weight in (lb)") == pytest.approx(total("cuts", "blended (lb)"))


def test_two_weeks_have_dates_in_both_columns(shop, breakplan, tmp_path):
    shop.spoil(
        "scenario",
        ("starts: 2026-11-30\ndays: 6", "starts: 2026-11-30\ndays: 12"),
        ("arrives: mon", "arrives: 2026-11-30"), ("arrives: wed", "arrives: 2026-12-09"),
        ("day: fri", "day: 2026-12-04"), ("unit: lb", "unit: kg"), ("money: $", "money: EUR"),
    )  # fmt: skip
    done = breakplan("week", shop.week, "--csv", tmp_path / "sheets")
    assert done.code == 0
    sales = sheet(tmp_path / "sheets" / "sales.csv")
    assert {(row["date"], row["day"]) for row in sales} >= {("2026-12-04", "2026-12-04")}
    assert all(row["date"] == row["day"] for row in sales)
    assert "price (EUR/kg)" in sales[0] and "amount (kg)" in sales[0]


def sheet(path: Path) -> list[dict[str, str]]:
    data = path.read_bytes()
    assert data.startswith(b"\xef\xbb\xbf")  # by which spreadsheets know UTF-8
    assert data.count(b"\xef\xbb\xbf") == 1
    return rows(data.decode("utf-8-sig"))


# ---- names that would be formulas ----


def cells(text: str) -> list[list[str]]:
    """Another reader of CSV, sign by sign, from the grammar of RFC 4180, section 2."""
    lines, line, cell, at = [], [], "", 0
    while at < len(text):
        if text[at] == '"' and not cell:
            at += 1
            while text[at : at + 2] == '""' or text[at] != '"':
                step = 2 if text[at] == '"' else 1
                cell += text[at]
                at += step
            at += 1
            assert text[at : at + 1] == "," or text[at : at + 2] == "\r\n"
        elif text[at] == ",":
            line, cell, at = [*line, cell], "", at + 1
        elif text[at : at + 2] == "\r\n":
            lines, line, cell, at = [*lines, [*line, cell]], [], "", at + 2
        else:
            assert text[at] not in '"\r\n'
            cell, at = cell + text[at], at + 1
    assert not line and not cell
    return lines


def is_formula(cell: str) -> bool:
    """Whether the sign of a formula comes first, whatever is not seen being left out."""
    seen = [sign for sign in cell if unicodedata.category(sign)[0] not in "ZC"]
    return bool(seen) and unicodedata.normalize("NFKC", seen[0]) in ("=", "+", "-", "@")


def is_harmless(name: str) -> bool:
    """Whether nothing has to be done about a name, whatever a cell ends with."""
    parts = re.split(r"(?<=[;\t\r\n])", name)
    bare = [part.replace('"', "") for part in parts]  # quotes are read as such behind a semicolon
    return name[:1] not in ("\t", "\r", "\n") and not any(map(is_formula, bare))


def all_readings(text: str) -> Iterator[str]:
    """All cells as a spreadsheet may see them, set for commas, semicolons or tabs."""
    for sign in ",;\t":
        for line in csv.reader(io.StringIO(text, newline=""), delimiter=sign):
            yield from line
    for line in cells(text):
        yield from line


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_comes_back_harmless(name):
    assert not is_harmless(name)
    text = csv_text(Table((f"price ({name}/lb)", name), ((name, -1.5), ("x", name))))
    for cell in all_readings(text):
        assert not is_formula(cell) or NUMBER.fullmatch(cell)
    ((_, head), (first, number), (_, last)) = csv.reader(io.StringIO(text, newline=""))
    assert head == first == last and number == "-1.5"
    assert is_harmless(first) and first.replace("'", "") == name.replace("'", "")
    if name[0] not in "a;":
        assert first.startswith("'")


@pytest.mark.parametrize("name", HARMLESS)
def test_a_harmless_name_comes_back_as_it_is(name):
    text = csv_text(Table(("name", "x"), ((name, 2),)))
    assert list(csv.reader(io.StringIO(text, newline=""))) == [["name", "x"], [name, "2"]]
    assert cells(text) == [["name", "x"], [name, "2"]]


WORDS = st.text(max_size=12) | st.lists(
    st.sampled_from([*"=+-@＝＋－＠;,\t\r\n \"'a1", "\u00a0", "\ufeff", "\r\n"]), max_size=8
).map("".join)


@settings(max_examples=500, deadline=None)
@given(names=st.lists(WORDS, min_size=3, max_size=3), number=st.floats(-1e6, 1e6))
def test_any_names_come_back_harmless_and_whole(names, number):
    text = csv_text(Table(("a", "b", "c", "d"), ((*names, number), (*names[::-1], None))))
    lines = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert lines == cells(text)
    assert float(lines[1][3]) == number and lines[2][3] == ""
    for name, cell in zip([*names, *names[::-1]], [*lines[1][:3], *lines[2][:3]], strict=True):
        assert cell.replace("'", "") == name.replace("'", "")
        assert is_harmless(cell) and (cell == name) == is_harmless(name)
    for cell in all_readings(text):
        assert not is_formula(cell) or NUMBER.fullmatch(cell)


def test_hostile_names_of_a_shop_s_files_are_harmless_in_all_sheets(tmp_path):
    shown = ("=1+1", "+cmd", "-x", "@SUM", "＝2", '=a, "b"')
    old = ("leg roast", "lamb saddle", "sausage of two", "bone out", "forequarter", BUYER)
    plan = by_hand(tmp_path, dict(zip(old, shown, strict=True)))
    paths = write_tables(plan, tmp_path / "sheets")
    found = set()
    for path in paths:
        for row in sheet(path):
            assert all(is_harmless(cell) or NUMBER.fullmatch(cell) for cell in row.values())
            found |= set(row.values())
    assert {f"'{name}" for name in shown[:-1]} <= found


def test_negative_and_tiny_numbers_stay_numbers():
    text = csv_text(Table(("a", "b", "c"), ((-1.5, 1e-9, -3), (None, 0.0, 12))))
    assert text == "a,b,c\r\n-1.5,1e-09,-3\r\n,0.0,12\r\n"


# ---- the command and its files ----


def test_the_command_writes_four_files_and_says_so_in_one_line(breakplan, tmp_path):
    folder = tmp_path / "new" / "sheets"
    done = breakplan("week", "one-lamb", "--csv", folder)
    assert done.code == 0
    assert done.out == f"written to {folder}: {', '.join(FILES)}\n"
    assert sorted(os.listdir(folder)) == sorted(FILES)
    assert all(sheet(folder / name) for name in FILES)


def test_with_json_the_line_goes_to_standard_error(breakplan, tmp_path):
    done = breakplan("week", "one-lamb", "--csv", tmp_path, "--json", "--within", "0")
    data: dict[str, Any] = json.loads(done.out)
    assert done.code == 0 and f"written to {tmp_path}: " in done.err
    weights = [float(row["weight (lb)"]) for row in sheet(tmp_path / "breaks.csv")]
    assert weights == [each["weight"] for each in data["breaks"]]


def test_old_files_are_replaced_and_keep_their_permissions(breakplan, tmp_path):
    old = tmp_path / "breaks.csv"
    assert breakplan("week", "one-lamb", "--csv", tmp_path).code == 0
    before = old.read_text() + "old" * 100_000
    old.write_text(before)
    old.chmod(0o640)
    (tmp_path / "mine.csv").write_text("mine")
    with open(old) as opened:  # whoever has it open still sees the old one whole
        assert breakplan("week", "one-lamb", "--csv", tmp_path).code == 0
        assert opened.read() == before
    assert sheet(old) and stat.S_IMODE(old.stat().st_mode) == 0o640
    assert (tmp_path / "mine.csv").read_text() == "mine"
    assert sorted(os.listdir(tmp_path)) == sorted([*FILES, "mine.csv"])


@pytest.mark.parametrize("what", ["file", "below a file", "a sheet is a folder"])
def test_a_folder_that_cannot_be_written_to_is_one_line(breakplan, tmp_path, monkeypatch, what):
    monkeypatch.setattr(
        "planner.solve.plan.plan_week", None
    )  # found out before anything is planned
    folder = tmp_path / "sheets"
    if what == "a sheet is a folder":
        (folder / "sales.csv").mkdir(parents=True)
        place = folder / "sales.csv"
    else:
        folder.write_text("a file")
        place = folder = folder if what == "file" else folder / "below"
    done = breakplan("week", "one-lamb", "--csv", folder)
    assert (done.code, done.out) == (2, "")
    assert done.err.startswith(f"{place}: ") and "\n" not in done.err.rstrip("\n")
    assert os.listdir(tmp_path) == ["sheets"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_without_the_right_to_write(breakplan, tmp_path):
    tmp_path.chmod(0o500)
    done = breakplan("week", "one-lamb", "--csv", tmp_path)
    tmp_path.chmod(0o700)
    assert done.code == 2 and "Permission denied" in done.err


def test_a_full_disk_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    path = tmp_path / "breaks.csv"
    path.write_text("old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("planner.files.atomic_write.os.fsync", full)
    with pytest.raises(InputError, match=r"breaks\.csv: cannot be written: No space left"):
        write_text(path, "new", Mark(b"old", "old"))
    assert path.read_text() == "old" and os.listdir(tmp_path) == ["breaks.csv"]


def test_of_a_link_the_file_it_leads_to_is_written(tmp_path):
    there = tmp_path / "there.txt"
    there.write_text("old")
    link = tmp_path / "link.txt"
    link.symlink_to(there)
    write_text(link, "new é\n", Mark(b"old", "old"))
    assert link.is_symlink() and there.read_bytes() == "new é\n".encode()


def test_a_new_file_may_be_read_by_whom_the_umask_lets(tmp_path):
    old = os.umask(0o027)
    try:
        write_text(tmp_path / "new.txt", "x", None)
        stop_unless_writable(tmp_path / "other.txt", None)
    finally:
        os.umask(old)
    assert stat.S_IMODE((tmp_path / "new.txt").stat().st_mode) == 0o640
    assert os.listdir(tmp_path) == ["new.txt"]


def test_half_a_surrogate_becomes_a_question_mark(tmp_path):
    write_text(tmp_path / "x", "a\ud800b", None)
    assert (tmp_path / "x").read_text() == "a?b"


@pytest.mark.parametrize(
    "words",
    [
        ("one-lamb", "corner-shop"),
        ("one-lamb", "--changes", "ideas.yaml"),
        ("one-lamb", "--scheduler", "tcp://127.0.0.1:9"),
    ],
)
def test_only_one_plan_is_written(breakplan, tmp_path, words):
    done = breakplan("week", *words, "--csv", tmp_path / "sheets")
    assert (done.code, done.out) == (2, "")
    assert done.err.strip() == (
        "--csv: works with one file only, without --changes and --scheduler"
    )
    assert os.listdir(tmp_path) == []


def test_a_faulty_scenario_leaves_no_folder(breakplan, tmp_path):
    done = breakplan("week", "nowhere", "--csv", tmp_path / "sheets")
    assert done.code == 2 and os.listdir(tmp_path) == []


def test_the_help_has_an_example_of_it(breakplan):
    assert "breakplan week corner-shop --csv tables" in breakplan("week", "--help").out
