"""The tests in two measures: the quick one of every push, and everything.

What is marked `thorough`, or listed in `slow_cases.txt`, is left out of the quick measure (`-m "not
thorough"` in pyproject.toml), and pytest says at its end how much that is. A random test, one of
hypothesis's or one that takes its seeds from the fixture `seeds`, belongs to both: on a push it
draws a third, always the same, so that what fails was broken by the push; otherwise it draws
everything anew from a seed that is told, so that a failure can be repeated with `--seed`.
"""

from __future__ import annotations

import os
import random
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

import hypothesis
import pytest

THOROUGH = pytest.mark.thorough
QUICK = "not thorough"
SLOW = Path(__file__).with_name("slow_cases.txt")
DEAR = "whole-animal"  # its plan takes a quarter of a minute
PART = 3  # a third of what a random test draws is drawn on every push

SHARED = "BREAKPLAN_TESTS_SHARED"  # as in planning.py
_DRAWN = {"seeds", "corpus", "mixed_corpus"}
_FOLDER = pytest.StashKey[str]()
_LEFT_OUT = pytest.StashKey[int]()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--seed", type=int, help="seed of everything drawn at random, as an earlier run told it"
    )


def _is_quick(config: pytest.Config) -> bool:
    return config.option.markexpr.endswith(QUICK)


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line(
        "markers", "thorough: too slow for every push; `pytest -m ''` and .ci/run have it too"
    )
    config.addinivalue_line(
        "markers", "drawn: at random, anew in every full run: what fails may be no fault of a push"
    )
    if hasattr(config, "workerinput"):  # in a process of xdist
        config.option.seed = config.workerinput["seed"]
    elif config.option.seed is None and not _is_quick(config):
        config.option.seed = random.SystemRandom().randrange(10**6)
    if SHARED not in os.environ:  # else those of xdist have it from the first process
        config.stash[_FOLDER] = os.environ[SHARED] = tempfile.mkdtemp(prefix="breakplan-tests-")


def pytest_unconfigure(config: pytest.Config) -> None:
    if _FOLDER in config.stash:
        shutil.rmtree(config.stash[_FOLDER], ignore_errors=True)
        del os.environ[SHARED]


@pytest.hookimpl(optionalhook=True)
def pytest_configure_node(node: object) -> None:
    """Give every process of xdist the same seed."""
    node.workerinput["seed"] = node.config.option.seed


def pytest_report_header(config: pytest.Config) -> str:
    return _seed_told(config)


def _seed_told(config: pytest.Config) -> str:
    if config.option.seed is None:
        return "random tests: a third, always the same draws"
    seed = config.option.seed
    return f"random tests: seed {seed}; the same draws again: --seed {seed}"


def thorough(*cases: object) -> list[object]:
    """Cases of a `parametrize` that are left out of the quick measure."""
    return [
        pytest.param(*(case if isinstance(case, tuple) else (case,)), marks=THOROUGH)
        for case in cases
    ]


def slow_cases() -> frozenset[str]:
    """Cases that take more than a second and are left out too, as pytest names them."""
    lines = SLOW.read_text(encoding="utf-8").splitlines()
    return frozenset(line for line in lines if not line.startswith("#"))


# ---- what is drawn ----


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    told = set()
    slow = slow_cases()
    for item in items:
        if item.nodeid in slow or DEAR in item.nodeid:
            item.add_marker("thorough")
        function = getattr(item, "function", None)
        is_hypothesis = getattr(function, "is_hypothesis_test", False)
        if not is_hypothesis and not _DRAWN & set(getattr(item, "fixturenames", ())):
            continue
        item.add_marker("drawn")
        if not _is_quick(config):
            item.add_marker("thorough")  # drawn anew, so it has not been run yet
        if is_hypothesis and function not in told:
            told.add(function)  # once, also where it is run with several parameters
            _draw(function, config)


def _draw(function: Callable[..., None], config: pytest.Config) -> None:
    if _is_quick(config):
        usual = function._hypothesis_internal_use_settings
        fewer = -(-usual.max_examples // PART)
        function._hypothesis_internal_use_settings = hypothesis.settings(
            usual, max_examples=fewer, derandomize=True, database=None
        )
    if config.option.seed is not None:
        hypothesis.seed(config.option.seed)(function)


@pytest.fixture(scope="session")
def drawn_from(request: pytest.FixtureRequest) -> int | None:
    """The seed of all that is drawn; None where everything is as on every push."""
    return request.config.option.seed


@pytest.fixture(scope="session")
def drawn_of(request: pytest.FixtureRequest) -> Callable[[int], int]:
    """How many of so many random things are drawn in this measure."""
    return lambda many: -(-many // PART) if _is_quick(request.config) else many


@pytest.fixture
def seeds(
    request: pytest.FixtureRequest, drawn_of: Callable[[int], int], drawn_from: int | None
) -> Callable[[int], list[int]]:
    """Numbers to begin random shops from: the first third of them on a push, else all anew."""

    def drawn(many: int) -> list[int]:
        if drawn_from is None:
            return list(range(drawn_of(many)))
        pick = random.Random(f"{drawn_from} {request.node.name}")
        return pick.sample(range(10**6), drawn_of(many))

    return drawn


# ---- what is told at the end ----


def pytest_deselected(items: list[pytest.Item]) -> None:
    by_measure = all(item.get_closest_marker("thorough") for item in items)  # else by -k
    if items and by_measure and _is_quick(items[0].config):
        items[0].config.stash[_LEFT_OUT] = len(items)


def pytest_sessionfinish(session: pytest.Session) -> None:
    if hasattr(session.config, "workeroutput"):  # in a process of xdist, whose words are lost
        session.config.workeroutput["left out"] = session.config.stash.get(_LEFT_OUT, 0)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: object) -> None:
    """Take from a process of xdist what it left out; all of them leave out the same."""
    node.config.stash[_LEFT_OUT] = getattr(node, "workeroutput", {}).get("left out", 0)


def pytest_terminal_summary(terminalreporter: object, config: pytest.Config) -> None:
    terminalreporter.write_line(_seed_told(config))
    left_out = config.stash.get(_LEFT_OUT, 0)
    if left_out:
        terminalreporter.write_line(
            f"left out: {left_out:,} thorough tests; all of them: pytest -m ''"
        )
