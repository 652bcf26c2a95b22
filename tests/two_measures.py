"""The tests in two measures: the quick one of every push, and everything.

What is marked `thorough` is left out of the quick measure (`-m "not thorough"` in pyproject.toml),
and pytest says at its end how much that is. A random test, one of hypothesis's or one that takes
its seeds from the fixture `seeds`, belongs to both: on a push it draws a third, always the same,
so that what fails was broken by the push; otherwise it draws everything anew from a seed that is
told, so that a failure can be repeated with `--seed`.
"""

from __future__ import annotations

import random
from collections.abc import Callable

import hypothesis
import pytest

QUICK = "not thorough"
PART = 3  # a third of what a random test draws is drawn on every push

_LEFT_OUT = pytest.StashKey[int]()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--seed", type=int, help="seed of everything drawn at random, as an earlier run told it"
    )


def _is_quick(config: pytest.Config) -> bool:
    return config.option.markexpr == QUICK


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line(
        "markers", "thorough: too slow for every push; `pytest -m ''` and .ci/run have it too"
    )
    if hasattr(config, "workerinput"):  # in a process of xdist
        config.option.seed = config.workerinput["seed"]
    elif config.option.seed is None and not _is_quick(config):
        config.option.seed = random.SystemRandom().randrange(10**6)


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


# ---- what is drawn ----


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    told = set()
    for item in items:
        function = getattr(item, "function", None)
        is_hypothesis = getattr(function, "is_hypothesis_test", False)
        if not is_hypothesis and "seeds" not in getattr(item, "fixturenames", ()):
            continue
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


@pytest.fixture
def seeds(request: pytest.FixtureRequest) -> Callable[[int], list[int]]:
    """Numbers to begin random shops from: the first third of them on a push, else all anew."""

    def drawn(many: int) -> list[int]:
        config = request.config
        fewer = -(-many // PART) if _is_quick(config) else many
        if config.option.seed is None:
            return list(range(fewer))
        return random.Random(f"{config.option.seed} {request.node.name}").sample(
            range(10**6), fewer
        )

    return drawn


# ---- what is told at the end ----


def pytest_deselected(items: list[pytest.Item]) -> None:
    for item in items:
        if item.get_closest_marker("thorough"):
            stash = item.config.stash
            stash[_LEFT_OUT] = stash.get(_LEFT_OUT, 0) + 1


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
