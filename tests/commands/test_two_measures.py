"""What the quick measure leaves out, what it draws, and how a seed is repeated."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.two_measures import slow_cases

ROOT = Path(__file__).parents[2]

TESTS = """
import pytest
from hypothesis import given, settings, strategies as st

drawn = set()

@pytest.mark.thorough
def test_slow():
    pass

def test_listed():
    with open("listed.txt", "w"):
        pass

@settings(max_examples=90)
@given(st.integers(0, 10**9))
def test_drawn(number):
    drawn.add(number)

def test_seeds(seeds):
    with open("drawn.txt", "a") as file:
        print(len(drawn), sorted(drawn), seeds(9), file=file)
"""


@pytest.fixture
def ran(pytester: pytest.Pytester):
    """Run three tests in a folder of their own, and say what pytest printed and what was drawn."""
    pytester.makepyfile(two_measures=Path(__file__).parent.with_name("two_measures.py").read_text())
    pytester.makefile(".txt", slow_cases="# slow\ntest_three.py::test_listed")
    pytester.makepyfile(test_three=TESTS)
    pytester.makepyprojecttoml("""
        [tool.pytest.ini_options]
        addopts = "-p two_measures -p no:cacheprovider --strict-markers -m 'not thorough'"
    """)
    pytester.syspathinsert()

    def run(*words: str) -> tuple[str, list[str]]:
        drawn = pytester.path / "drawn.txt"
        drawn.unlink(missing_ok=True)
        shutil.rmtree(pytester.path / ".hypothesis", ignore_errors=True)
        result = pytester.runpytest_subprocess(*words)
        assert result.ret == 0, result.stdout.str()
        return result.stdout.str(), drawn.read_text().splitlines()

    return run


def test_a_push_draws_a_third_and_says_what_it_left_out(ran):
    told, drawn = ran("-n", "1")
    assert "left out: 2 thorough tests; all of them: pytest -m ''" in told
    assert "2 passed" in told.splitlines()[-1]
    assert "[0, 1, 2]" in drawn[0] and 10 <= int(drawn[0].split()[0]) <= 30
    assert ran("-n", "1")[1] == drawn, "the same on every push"


@pytest.mark.thorough
@pytest.mark.parametrize("processes", ["0", "1"])
def test_the_whole_draws_anew_and_can_be_repeated(ran, processes):
    told, drawn = ran("-m", "", "-n", processes)
    assert "4 passed" in told.splitlines()[-1] and "left out" not in told
    assert 45 <= int(drawn[0].split()[0]) <= 90
    seed = re.search(r"--seed (\d+)", told)[1]
    assert ran("-m", "", "-n", processes, "--seed", seed)[1] == drawn
    assert ran("-m", "", "-n", processes)[1] != drawn


def test_what_a_push_drew_little_of_is_among_the_thorough(ran):
    told, drawn = ran("-m", "thorough", "-n", "0")
    assert "4 passed" in told.splitlines()[-1] and len(drawn) == 1


def test_what_is_listed_as_slow_is_there():
    for case in slow_cases():
        path, _, function = case.partition("[")[0].partition("::")
        assert f"def {function}(" in (ROOT / path).read_text(encoding="utf-8"), case


def test_what_is_listed_as_slow_is_left_out(ran, pytester):
    ran()
    assert not (pytester.path / "listed.txt").exists()
    ran("-m", "thorough")
    assert (pytester.path / "listed.txt").exists()
