"""What steers a terminal, turns the writing or is not seen never gets out of the program raw."""

from __future__ import annotations

import io
import json
import os
import pty
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.core.signs import Codes, Shown, shown_line, shown_text
from planner.show.layout import clip, columns_of, fitted_table, wrapped
from planner.show.templating import environment
from tests.two_measures import thorough

HOSTILE = "a\x1b[31mb\x1b]0;t\x07\rc\x9bd\u202ee\u200bf\U000e0041g\u2066h\x08i\x7f"
FORBIDDEN = set(HOSTILE) - set("[]0;1342mtabcdefghi")
PROGRAM = Path(sys.executable).with_name("breakplan")


def run(folder: Path, *words: object, typed: str = "") -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [PROGRAM, *map(str, words)],
        cwd=folder,
        input=typed.encode(),
        capture_output=True,
        check=False,
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("signs")
    assert run(folder, "start", "shop").returncode == 0
    shop = folder / "shop"
    week = (shop / "first-week.yaml").read_text()
    (shop / f"{HOSTILE}.yaml").write_text(week)
    (shop / "names.yaml").write_text(
        week.replace("title:", f"t{HOSTILE}:").replace("unit:", f"{json.dumps(HOSTILE)}: 1\nunit:")
    )
    (shop / "till.csv").write_text(f"cut,{HOSTILE},day{HOSTILE}\nx{HOSTILE},1,{HOSTILE}\n")
    (shop / "near.csv").write_text(
        f"piece,way,coun{HOSTILE[:4]}t,weight,gav\u202ee\nleg,{HOSTILE},1\n"
    )
    (shop / f"{HOSTILE}.csv").write_text(f"cut,amount,day\n{HOSTILE},{HOSTILE},{HOSTILE}\n")
    return shop


def stop_unless_seen(said: bytes) -> None:
    text = said.decode()
    for sign in text:
        assert sign not in FORBIDDEN, f"U+{ord(sign):04X} in {text!r}"
        assert unicodedata.category(sign) not in ("Cc", "Cf", "Cs", "Zl", "Zp") or sign == "\n"


QUICK = ("--within", "20%")
FILE = f"{HOSTILE}.yaml"


CASES = [
    (("week", HOSTILE), ""),
    (("week", "names.yaml"), ""),
    (("week", FILE, "--page", f"{HOSTILE}.html", *QUICK), ""),
    (("week", FILE, "--csv", HOSTILE, *QUICK), ""),
    (("week", FILE, "--model-file", f"no/{HOSTILE}", *QUICK), ""),
    (("week", FILE, "first-week.yaml", *QUICK), ""),
    (("week", FILE, "--changes", f"{HOSTILE}.csv"), ""),
    (("week", "--solver", HOSTILE), ""),
    (("morning", FILE, "--day", HOSTILE), ""),
    (("whatif", FILE, HOSTILE), ""),
    (("why", FILE, HOSTILE), ""),
    (("order", FILE, HOSTILE), ""),
    (("promise", FILE, HOSTILE), ""),
    (("promise", FILE, f"loin chops: 1 lb on fri for {HOSTILE}"), ""),
    (("price", FILE, HOSTILE), ""),
    (("trim", FILE, HOSTILE), ""),
    (("start", f"{HOSTILE}\n{HOSTILE}"), ""),
    (("start", "x", "--species", HOSTILE), ""),
    (("journal", "add", HOSTILE), ""),
    (("journal", "add", f"sale {HOSTILE}: 1 lb"), ""),
    (("journal", "add", f"order loin chops: 1 lb on fri for {HOSTILE}"), ""),
    (("journal", "import", "till.csv"), ""),
    (("journal", "import", f"{HOSTILE}.csv"), ""),
    (("journal", "import", "till.csv", "--columns", f"{HOSTILE}=cut"), ""),
    (("journal", "--what", HOSTILE), ""),
    (("journal", "export", f"{HOSTILE}.out.csv"), ""),
    (("journal", "backup", f"{HOSTILE}.db"), ""),
    (("weigh-in", "near.csv"), ""),
    (("weigh-in",), f"{HOSTILE}\n\u202e\u200b\n"),
    (("weigh-in", "--csv-form", f"{HOSTILE}.form.csv"), ""),
    (("count", "near.csv"), ""),
    (("count",), f"{HOSTILE}\n\u202e\u200b\n"),
    (("yields", HOSTILE), ""),
    (("demand", HOSTILE), ""),
    (("check", FILE), ""),
    (("check", "names.yaml"), ""),
    (("check", HOSTILE, "--json"), ""),
    ((HOSTILE,), ""),
    (("week", f"--{HOSTILE}"), ""),
    (("week", "--shop", HOSTILE), ""),
]


@pytest.mark.parametrize(
    ("words", "typed"),
    [*CASES[::4], *thorough(*(case for n, case in enumerate(CASES) if n % 4))],
    ids=lambda value: ascii(" ".join(value).replace(HOSTILE, "X")) if value else "",
)
def test_no_command_lets_them_out(folder: Path, words: tuple[str, ...], typed: str) -> None:
    ran = run(folder, *words, typed=typed)
    assert ran.stdout or ran.stderr
    assert b"Traceback" not in ran.stderr
    stop_unless_seen(ran.stdout)
    stop_unless_seen(ran.stderr)
    if "--json" in words:  # nothing is lost of it
        assert json.loads(ran.stdout)["files"][0]["file"] == HOSTILE


def test_nor_on_a_terminal(folder: Path) -> None:
    """There typer leaves colours in what it prints."""
    ours, theirs = pty.openpty()
    with open(ours, "rb", buffering=0) as screen:
        subprocess.run(
            [PROGRAM, "check", f"no {HOSTILE}"],
            cwd=folder,
            stdout=theirs,
            stderr=theirs,
            check=False,
        )
        os.close(theirs)
        said = screen.read(100_000)
    stop_unless_seen(said.replace(b"\r\n", b"\n"))
    assert rb"\u001b[31m" in said


@given(st.text())
def test_json_says_the_same_when_it_is_shown(text: str) -> None:
    written = json.dumps({text: [text]}, ensure_ascii=False, indent=1)
    assert json.loads(shown_text(written)) == {text: [text]}


@given(st.text())
def test_what_is_shown_is_seen_and_stays(text: str) -> None:
    shown = shown_line(text)
    assert shown_line(shown) == shown
    assert all(sign.isprintable() or unicodedata.category(sign) == "Zs" for sign in shown)


def test_lines_tabs_and_our_own_codes_pass() -> None:
    raw = io.BytesIO()
    stream = Shown(raw, encoding="utf-8", newline="")
    stream.write(Codes("\r\033[K"))
    stream.write("a\tb\r\nc\rd\n")
    print("e", file=stream, flush=True)
    assert raw.getvalue() == b"\r\033[Ka\tb\r\nc\\u000dd\ne\n"


def test_widths_are_those_of_what_is_shown() -> None:
    name = "lo\u202ein\x1b"
    assert columns_of(name) == len(shown_line(name)) == len(r"lo\u202ein\u001b")
    assert columns_of(clip(name, 10)) <= 10
    assert all(columns_of(line) <= 20 for line in wrapped(f"{name} " * 5, 0, 20))
    text = fitted_table([[name, "1"], ["shank", "2"]], ["cut", "lb"], ["left", "right"], 60, [0])
    assert len({len(line) for line in text.split("\n")}) == 1 and "\u202e" not in text


def test_on_a_page_they_are_seen() -> None:
    template = environment().from_string("{{ name }} {{ markup|safe }}")
    page = template.render(name="<\u202eb\x07", markup="<b>\n</b>")
    assert page == r"&lt;\u202eb\u0007 <b>" + "\n</b>"
