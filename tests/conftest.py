"""A small invented shop that the tests of files and commands start from, and how to spoil it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis.internal.conjecture import providers
from typer.testing import CliRunner

from planner.commands.program import app
from planner.core import clock
from planner.core.errors import BreakplanError, InputError, Problem
from planner.files.recipe_file import read_recipe
from planner.files.scenario_file import read_scenario

GOAT = """\
species: goat
unit: lb
root: carcass
pieces:
  carcass:
    keeps: 7 days
    ways:
      block break:
        minutes: 16
        tool: saw
        gives:
          shoulder: 2 at 22%
          leg: 2 at 16%
          bones: 20%
          loss: 4%
  shoulder:
    imps: "207"
    keeps: 5 days
    ways:
      boneless roast: {minutes: 11, gives: {shoulder roast: 70%, bones: 19%, trim 85: 11%}}
      trim:
        minutes: 9
        gives: {trim 85: 50%, trim 70: 30%, bones: 20%}
  leg:
    imps: "233"
    keeps: 5 days
    ways:
      whole: {minutes: 3, gives: {leg roast: 1 at 97%, loss: 3%}}
cuts:
  shoulder roast: {kind: roast, keeps: 5 days}
  leg roast: {kind: roast, keeps: 5 days, sold by: each}
  trim 85: {kind: trim, lean: 85%, keeps: 2 days}
  trim 70: {kind: trim, lean: 70%, keeps: 2 days}
  bones: {kind: bone, keeps: 3 days}
blends:
  ground goat:
    from: [trim 85, trim 70]
    fat: 15% to 25%
    minutes: 0.3 per lb
    keeps: 2 days
"""

WEEK = """\
title: An invented goat week
starts: 2026-11-30
days: 6
recipes: [goat.yaml]
unit: lb
money: $
rail:
  - {goat: 3 head at 40 lb, arrives: mon, cost: 5.10/lb}
  - {goat: up to 2 head at 42 lb, arrives: wed, cost: 6.95/lb}
  - {leg: 2 at 6.1 lb, keeps: 2 days}
bench: {mon: 240, tue: 241, wed: 242, thu: 300, fri: 301, sat: 120}
overtime: {up to: 60, cost: 0.75}
case:
  shoulder roast: {amount: 6 lb, keeps: 2 days}
  bones: 4 lb
traffic: {mon: 8, fri: 25, sat: 30}
demand:
  shoulder roast:
    price: 12.99/lb
    want: {mon: 2 lb, fri: 6 lb, sat: 8 lb}
    markdown: {price: 10.99/lb, want: 5 lb}
    orders:
      - {day: fri, amount: 9 lb, for: the corner bistro}
  leg roast:
    price: 60/each
    want: {fri: 2, sat: 3}
  ground goat: {price: 9.99/lb, want: 12 lb}
  bones: {price: 2.99/lb, want: 10 lb}
rules:
  - all shoulder: boneless roast
  - at least 1 leg: whole
carry: 40%
disposal: 0.10/lb
"""

pytest_plugins = ["pytester", "tests.two_measures", "tests.corpus"]

os.environ.pop("COLUMNS", None)  # xdist sets it, and text is laid out in so many columns

# Hypothesis draws numbers too that it finds in the modules loaded so far: then the shops of a test
# change with a line of a drawing, and with the tests that ran before it in the same process.
if hasattr(providers, "_get_local_constants"):
    providers._get_local_constants = lambda: providers._local_constants

NAMES = {"recipe": "goat.yaml", "scenario": "week.yaml"}


@dataclass(frozen=True)
class Shop:
    """The two files in a folder."""

    folder: Path

    @property
    def recipe(self) -> Path:
        return self.folder / NAMES["recipe"]

    @property
    def week(self) -> Path:
        return self.folder / NAMES["scenario"]

    def spoil(self, kind: str, *changes: tuple[str, str]) -> None:
        """Replace texts, each of which stands once in the file."""
        path = self.folder / NAMES[kind]
        text = path.read_text()
        for old, new in changes:
            assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
            text = text.replace(old, new)
        path.write_text(text)

    def line(self, kind: str, part: str) -> int:
        """Number of the line on which a part of a file begins; it stands there once."""
        text = (self.folder / NAMES[kind]).read_text()
        assert text.count(part) == 1, f"{part!r} stands {text.count(part)} times"
        return text[: text.index(part)].count("\n") + 1

    def problems(self, kind: str) -> list[Problem]:
        """What reading one of the files complains about."""
        read = read_recipe if kind == "recipe" else read_scenario
        try:
            read(self.folder / NAMES[kind], NAMES[kind])
        except InputError as error:
            return list(error.problems)
        return []

    def warnings(self, kind: str) -> list[Problem]:
        """What reading one of the files finds odd."""
        read = read_recipe if kind == "recipe" else read_scenario
        return read(self.folder / NAMES[kind], NAMES[kind])[1]


def moment(when: date) -> Callable[[], datetime]:
    """A clock that stands, in the machine's zone; without an hour it is six in the morning."""
    at = when if isinstance(when, datetime) else datetime(when.year, when.month, when.day, 6)
    return lambda: at.astimezone()


@pytest.fixture(autouse=True, scope="session")
def steady_clock() -> Iterator[None]:
    """For all tests it is the same day, whatever the clock of the machine says."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(clock, "now", moment(date(2026, 11, 26)))
        yield


@pytest.fixture
def clock_at(monkeypatch: pytest.MonkeyPatch) -> Callable[[date], None]:
    """Set the clock to a day, or to a moment."""
    return lambda when: monkeypatch.setattr(clock, "now", moment(when))


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / NAMES["recipe"]).write_text(GOAT)
    (folder / NAMES["scenario"]).write_text(WEEK)
    return Shop(folder)


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str


@pytest.fixture
def breakplan() -> Callable[..., Ran]:
    """The commands in the process; what they raise for the user counts as `main` lets it count."""

    def run(*words: str | Path) -> Ran:
        result = CliRunner().invoke(app, [str(word) for word in words])
        if isinstance(result.exception, BreakplanError):
            return Ran(result.exception.exit_code, result.stdout, str(result.exception))
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Ran(result.exit_code, result.stdout, result.stderr)

    return run
