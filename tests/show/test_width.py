"""The week in terminals of all widths: nothing runs over, no figure is lost, names may be any."""

from __future__ import annotations

import io
import json
import os
import pty
import re
import struct
import subprocess
import sys
import termios
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from fcntl import ioctl
from pathlib import Path
from types import MappingProxyType
from typing import Any

import pytest
import wcwidth
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.show.layout import NARROWEST, WIDTH, clip, fitted_table, listed, width_of, wrapped
from planner.show.text import cautions_text, plan_text
from planner.solve import Options, Solution
from planner.solve.plan import Plan, make_plan
from tests.planning import plan_of, read, shipped_plan
from tests.solve.test_several_species import FILES
from tests.two_measures import thorough

ROOT = Path(__file__).resolve().parent.parent.parent
SNAPSHOTS = Path(__file__).parent.parent / "snapshots"
WIDTHS = (60, 72, 80, 100)
FIGURES = ("had", "made", "sold", "ground", "wasted", "left", "short", "$")
BREAK = re.compile(r" +(\d+)  .+  (?:saw|knife) +([\d.,]+ lb) +(<?\d+ min)$")


def columns(line: str) -> int:
    """Columns of a line, sign by sign: what a terminal does is not asked of the program."""
    return sum(wcwidth.wcwidth(sign) for sign in line)


def widest(text: str) -> int:
    return max(map(columns, text.splitlines()))


# ---- shipped weeks ----


@pytest.fixture(scope="module", params=["corner-shop", "holiday", "whole-animal"])
def shipped(request) -> Plan:
    """A shipped week, planned once, and not to the last cent."""
    return shipped_plan(request.param)


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_of_a_shipped_week_is_too_wide(shipped, width):
    assert NARROWEST <= width <= WIDTH
    text = plan_text(shipped, width)
    assert widest(text) <= width
    assert widest(text) > width - 12  # the room there is gets used
    assert not [line for line in text.splitlines() if line != line.rstrip()]


@pytest.mark.parametrize("width", WIDTHS[:-1])
def test_no_figure_of_the_case_is_lost_in_a_narrow_terminal(shipped, width):
    full, narrow = case_figures(plan_text(shipped)), case_figures(plan_text(shipped, width))
    assert set(full) == set(narrow) == set(FIGURES)
    for head in FIGURES:
        names, figures = zip(*full[head], strict=True)
        found_names, found = zip(*narrow[head], strict=True)
        assert found == figures
        for name, found_name in zip(names, found_names, strict=True):
            kept, each = re.fullmatch(r"(.*?)(?:\.\.)?( \(each\))?", found_name).groups("")
            assert name.startswith(kept) and name.endswith(each)


def case_figures(text: str) -> dict[str, list[tuple[str, str]]]:
    """Names and figures of the tables of the case, by the head; dashes left out."""
    told: dict[str, list[tuple[str, str]]] = {}
    for part in re.findall(
        r"\n(?:CASE|HAD, GROUND, WASTED) \(\w+\)\n(.*?)(?=\n\n)", text, re.DOTALL
    ):
        head, *lines = part.splitlines()
        for line in lines:
            name, *figures = re.split(r"\s{2,}", line.strip())
            if len(figures) == len(head.split()):  # else a species, or what was not cut
                for each, figure in zip(head.split(), figures, strict=True):
                    told.setdefault(each, []).extend([(name, figure)] if figure != "-" else [])
    return told


@pytest.mark.parametrize("width", WIDTHS[:-1])
def test_a_break_is_told_on_one_line_at_any_width(shipped, width):
    unit = shipped.scenario.unit
    expected = [
        (f"{each.count}", f"{each.weight:,.1f} {unit}", f"{each.minutes:.0f} min")
        for each in shipped.breaks
    ]
    assert unit == "lb"
    assert break_lines(plan_text(shipped)) == expected
    assert break_lines(plan_text(shipped, width)) == expected


def break_lines(text: str) -> list[tuple[str, ...]]:
    days = text.split("\nCASE")[0]
    return [found.groups() for line in days.splitlines() if (found := BREAK.match(line))]


# ---- snapshots ----


BUYER = "the invented inn at the end of the long lane"
CHANGES = (
    ("for: the inn", f"for: {BUYER}"),
    ("{mon: 110, tue: 130}", "{mon: 60, tue: 60}\novertime: {up to: 20, cost: 0.50}"),
    ("want: 30 lb}\n  pork s", "want: 12 lb, markdown: {price: 8/lb, want: 9 lb}}\n  pork s"),
    ("  - at least 1 hog loin: chops\n  - at least 2 lb lamb trim 85: sausage of two\n", "  []\n"),
)


def by_hand(folder: Path, names: Mapping[str, str] = MappingProxyType({})) -> Plan:
    """A plan of three species that no solver had a say in: it has a bit of everything.

    `names` are put in the place of others.
    """
    for file, text in FILES.items():
        for old, new in CHANGES if file == "week.yaml" else ():
            assert text.count(old) == 1
            text = text.replace(old, new)
        for old, new in names.items():
            text = text.replace(old, json.dumps(new, ensure_ascii=False))  # which is YAML
        (folder / file).write_text(text, encoding="utf-8")
    scenario = read(folder / "week.yaml")

    def named(numbers: dict[Any, float]) -> dict[Any, Any]:
        def new(key: Any) -> Any:
            return tuple(names.get(each, each) for each in key) if isinstance(key, tuple) else key

        return {new(key): number for key, number in numbers.items()}

    decided = Solution(
        breaks=named({
            (0, "carcass", "break", 0): 2, (0, "leg", "whole", 0): 1, (0, "leg", "whole", 1): 2,
            (0, "lamb loin", "rolled", 1): 1, (1, "side", "break", 0): 1,
            (1, "hog loin", "chops", 0): 1, (2, "hindquarter", "break", 0): 1,
            (2, "sirloin", "steaks", 1): 1, (3, "forequarter", "bone out", 1): 1,
        }),
        bought={3: 1},
        walk_in=named({
            ("leg roast", 0): 8.0, ("leg roast", 1): 10.0, ("lamb saddle", 1): 1.0,
            ("pork chops", 0): 6.0, ("pork chops", 1): 6.0, ("sirloin steaks", 1): 12.0,
            ("chuck roast", 1): 20.0, ("hog bones", 0): 1.0, ("ground lamb", 1): 2.0,
        }),
        marked_down=named({("pork chops", 1): 9.0}),
        filled={0: 0.0},
        blended=named({
            ("ground lamb", "trim 85", 1): 2.1, ("ground lamb", "lamb fat", 1): 0.2,
            ("sausage of two", "trim 85", 1): 2.2, ("sausage of two", "hog trim 80", 1): 2.6,
        }),
        batches=named({("sausage of two", 1): 1}),
        objective=0.0, bound=1e6, status="within tolerance", orders_proven=True, seconds=1.0,
    )  # fmt: skip
    plan = make_plan(scenario, decided)
    binds = ("bench time on tue", "how long round keeps")
    short = tuple(replace(each, binds=binds) for each in plan.short)
    return replace(plan, short=short, bound=plan.score + 2.5)


@pytest.mark.parametrize("width", [60, 80, 100])
def test_the_week_as_it_was_looked_at(tmp_path, width):
    text = plan_text(by_hand(tmp_path), width)
    assert widest(text) <= width
    same_as_snapshot(f"week-three-species-{width}.txt", text)


@pytest.fixture(scope="module")
def one_lamb() -> Plan:
    """The week of the README, planned to the end."""
    return plan_of(ROOT / "scenarios" / "one-lamb.yaml", Options(share=0.0, amount=0.0))


@pytest.mark.parametrize("width", [60, 80, 100])
def test_one_lamb_as_it_was_looked_at(one_lamb, width):
    same_as_snapshot(f"week-one-lamb-{width}.txt", plan_text(one_lamb, width))


def same_as_snapshot(name: str, text: str) -> None:
    """Compare with a file that somebody looked at; `WRITE_SNAPSHOTS=1` writes it anew."""
    path = SNAPSHOTS / name
    if os.environ.get("WRITE_SNAPSHOTS"):
        path.write_text(f"{text}\n", encoding="utf-8")
    assert f"{text}\n" == path.read_text(encoding="utf-8")


# ---- names of any length and script ----

LONG = "bone-in shoulder with hock and jowl and a good lot of neck"
SCRIPTS = (
    LONG,
    "肩肉の骨付きロースト用に縛ったもの特大サイズ贈答用",
    "كتف خروف كامل بالعظم مربوط للشوي في الفرن",
    "épaule désossée et roulée à la façon de la grand-mère",
    "x" * 58,
    "e\u0301" * 29,
    "हड्डी वाला मेमने का कंधा भूनने के लिए बाँधा हुआ बड़ा टुकड़ा",
)


@pytest.mark.parametrize("name", SCRIPTS)
def test_names_of_any_length_and_script_stay_inside_the_width(tmp_path, name):
    """Of a cut, one sold by each, a blend, a way, a piece that comes in, and a buyer."""
    old = ("leg roast", "lamb saddle", "sausage of two", "bone out", "forequarter", BUYER)
    plan = by_hand(tmp_path, {each: f"{name[:55]} {n}" for n, each in enumerate(old, start=11)})
    for width in WIDTHS:
        text = plan_text(plan, width)
        assert widest(text) <= width
        assert len(break_lines(text)) == len(plan.breaks)
        assert text.count(" (each)") == 1
        assert {head for head, told in case_figures(text).items() if told} >= {"made", "sold", "$"}
        assert list(case_figures(text)["$"]) and "SHORT 8.0 lb" in " ".join(text.split())


# signs that join the one before stand behind letters only, where terminals agree about them
SIGNS = st.characters(exclude_categories=["C", "Z", "M"]).map(str)
TEXT = st.lists(SIGNS | st.sampled_from([" ", "肉", "e\u0301", "-"]), max_size=90).map("".join)


@settings(max_examples=150, deadline=None)
@given(text=TEXT, width=st.integers(2, 100))
def test_what_is_clipped_fits(text, width):
    shown = clip(text, width)
    assert wcwidth.width(shown) <= width
    kept = shown.removesuffix("..").rstrip()
    assert " ".join(text.split()).startswith(kept)


@settings(max_examples=100, deadline=None)
@given(
    rows=st.lists(st.tuples(TEXT, st.integers(0, 10**6), TEXT, st.floats(0, 1e6)), min_size=1),
    width=st.sampled_from(WIDTHS),
    heads=st.sampled_from([(), ("cut", "pieces", "way", "weight")]),
)
def test_a_fitted_table_has_all_figures_and_fits(rows, width, heads):
    shown = [[name, f"{count}", way, f"{weight:.1f} lb"] for name, count, way, weight in rows]
    text = fitted_table(shown, heads, ("left", "right", "left", "right"), width, (0, 2))
    lines = text.split("\n")[bool(heads) :]
    assert len(lines) == len(rows)
    assert max(map(wcwidth.width, text.split("\n"))) <= width
    for line, (_, count, _, weight) in zip(lines, shown, strict=True):
        assert line.endswith(f" {weight}") and f" {count} " in line


def test_wrapped_lines_hang_and_fit():
    lines = wrapped("fri  the inn: 9.0 lb shoulder roast " + "肉 " * 30, 2, 60, 5)
    assert len(lines) > 1 and lines[0].startswith("  fri  the") and lines[1].startswith(" " * 7)
    assert max(map(columns, lines)) <= 60
    assert listed("grind", [], 60) == []


# ---- how wide it is ----


@pytest.mark.parametrize(
    ("told", "width"),
    [("60", 60), ("72", 72), ("100", 100), ("20", 60), ("300", 100), ("9" * 5000, 100)]
    + [(word, 100) for word in ("", "0", "-80", "wide", "80.5", "²")],
)
def test_columns_of_the_environment_count(monkeypatch, told, width):
    monkeypatch.setenv("COLUMNS", told)
    assert width_of(io.StringIO()) == width


def test_without_columns_and_without_a_terminal_there_are_a_hundred(monkeypatch, tmp_path):
    monkeypatch.delenv("COLUMNS", raising=False)
    with open(tmp_path / "out", "w") as file:
        assert width_of(file) == width_of(io.StringIO()) == WIDTH


@pytest.mark.parametrize(
    ("terminal", "told", "width"),
    [(60, None, 60), (80, "66", 66),
     *thorough((80, None, 80), (37, None, 60), (211, None, 100), (0, None, 100), (80, "0", 80))],
)  # fmt: skip
def test_the_width_of_a_terminal_is_used(terminal, told, width):
    done, out = in_terminal(terminal, told, "week", "one-lamb")
    assert done == 0
    header = next(line for line in out.splitlines() if line.startswith("MON 30 NOV"))
    assert len(header) == width
    assert widest(out.split("\r\n\r\nCASE")[0]) <= width


def in_terminal(columns: int, told: str | None, *words: str) -> tuple[int, str]:
    """Run the program in a terminal of so many columns; its exit code and what it shows there."""
    ours, theirs = pty.openpty()
    ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    environment = {key: value for key, value in os.environ.items() if key != "COLUMNS"}
    environment |= {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}
    environment |= {} if told is None else {"COLUMNS": told}
    with subprocess.Popen(
        [sys.executable, "-m", "planner.commands", *words],
        cwd=ROOT,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=theirs,
        stderr=subprocess.PIPE,
    ) as process:
        os.close(theirs)
        shown = b""
        with suppress(OSError):  # at the end, when nobody has the other side any more
            while data := os.read(ours, 65536):
                shown += data
        os.close(ours)
    return process.returncode, shown.decode()


@pytest.mark.parametrize(
    "words", [("week", "one-lamb"), *thorough((("week", "one-lamb", "--cautions"),))]
)
def test_piped_it_is_as_wide_as_columns_says(words):
    def piped(**told: str) -> str:
        environment = {key: value for key, value in os.environ.items() if key != "COLUMNS"}
        done = subprocess.run(
            [sys.executable, "-m", "planner.commands", *words],
            cwd=ROOT, env={**environment, "PYTHONPATH": str(ROOT), **told},
            capture_output=True, text=True, timeout=60, check=True,
        )  # fmt: skip
        return done.stdout

    assert 90 < widest(piped()) <= 100
    assert widest(piped(COLUMNS="60")) <= 60


@pytest.mark.parametrize("width", range(60, 101, 5))
def test_cautions_are_all_told_at_any_width(width):
    assert widest(cautions_text(width)) <= width
    assert cautions_text(width).split() == cautions_text(WIDTH).split()
