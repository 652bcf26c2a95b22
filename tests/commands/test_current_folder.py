"""Files beside the scenario are data: no Python that lies in the current folder is run."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

import pytest
from distributed import LocalCluster

from tests.running import REPO, started

HOSTILE = [
    "signal",
    "socket",
    "pickle",
    "yaml",
    "highspy",
    "planner",
    "sitecustomize",
    "usercustomize",
    "numpy",
    "pulp",
    "threading",
    "subprocess",
    "tempfile",
    "select",
    "queue",
    "multiprocessing",
    "distributed",
    "dask",
    "typer",
    "contextlib",
]

COMMANDS = [
    "week one-lamb",
    "week one-lamb corner-shop",
    "week one-lamb corner-shop --cores 2",
    "week one-lamb --solver bundled",
    "week one-lamb one-lamb.yaml --solver bundled",
    "whatif one-lamb --rule {rule}",
    "why one-lamb",
    "check one-lamb.yaml",
]


@pytest.fixture
def hostile(tmp_path):
    """A folder with a scenario, and with modules that tell in a file that they were run."""
    folder = tmp_path / "here"
    folder.mkdir()
    shutil.copy(REPO / "scenarios" / "one-lamb.yaml", folder)
    for name in HOSTILE:
        code = f"open({str(tmp_path / 'ran')!r}, 'a').write({name!r} + ' ')\n"
        (folder / f"{name}.py").write_text(code)
    return folder


def told(hostile):
    mark = hostile.parent / "ran"
    return mark.read_text() if mark.exists() else ""


@pytest.mark.parametrize("command", COMMANDS)
def test_nothing_in_the_current_folder_is_run(hostile, command):
    words = [word.format(rule="all shoulder: stew") for word in command.split()]
    ran = started(*words, folder=hostile)
    out, err = ran.communicate(timeout=60)
    assert (ran.returncode, told(hostile)) == (0, ""), err
    assert out


def test_nor_with_a_cluster(hostile):
    alone = {"n_workers": 1, "processes": False, "protocol": "tcp://", "dashboard_address": None}
    with LocalCluster(**alone) as local:
        words = ("week", "one-lamb", "--scheduler", local.scheduler_address)
        ran = started(*words, folder=hostile)
        out, err = ran.communicate(timeout=60)
        assert (ran.returncode, told(hostile)) == (0, ""), err


@pytest.mark.thorough
@pytest.mark.parametrize("flags", [(), ("-P",)])
def test_nor_with_python_m_once_it_is_at_the_program(hostile, flags):
    """Python itself looks there for `planner` and what it needs to begin, unless told `-P`."""
    if not flags:
        for name in ("planner", "contextlib"):
            (hostile / f"{name}.py").unlink()
    ran = subprocess.run(
        [sys.executable, *flags, "-m", "planner.commands", "week", "one-lamb", "one-lamb.yaml"],
        cwd=hostile,
        env={**os.environ, "PYTHONPATH": str(REPO)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ran.returncode, told(hostile)) == (0, ""), ran.stderr
