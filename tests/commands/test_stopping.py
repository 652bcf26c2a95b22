"""Ctrl-C, SIGTERM and SIGHUP: soon over at whatever moment, in one line, and nothing left."""

from __future__ import annotations

import os
import shlex
import signal
import subprocess
import sys
import time
from random import Random

import pytest

from planner.core.stopping import GRACE, SIGNALS
from tests.running import REPO, hear_signals, seen, session_of, started

SOON = 8 * GRACE
"""Seconds: far more than it takes on a machine that is not busy, where 1.5 are allowed."""

PLANNING = [
    "week holiday --within 0 --solver bundled",
    "week holiday whole-animal --within 0 --cores 2 --solver bundled",
    "trim whole-animal",
    "why holiday",
    "whatif holiday --rule 'all shoulder: stew'",
]


def stopped(ran, number, everybody=False):
    """Send a signal; exit code and what is told, once all processes are gone."""
    began = time.monotonic()
    (os.killpg if everybody else os.kill)(ran.pid, number)
    err = ran.communicate(timeout=60)[1]
    seen(lambda: not session_of(ran.pid))
    assert time.monotonic() - began < SOON
    return ran.returncode, err.splitlines()[-1:]


def cbc_of(ran):
    return [each for each in session_of(ran.pid) if each.name() == "cbc"]


@pytest.mark.parametrize("number", SIGNALS)
@pytest.mark.parametrize("words", [(), ("--cores", "2", "whole-animal")])
def test_a_solver_of_its_own_is_ended_and_its_files_go(tmp_path, words, number):
    wanted = 2 if words else 1
    ran = started(
        *("week", "holiday", *words, "--within", "0", "--solver", "bundled"),
        env={"TMPDIR": str(tmp_path), "TMP": str(tmp_path)},
    )
    seen(lambda: len(cbc_of(ran)) == wanted)
    assert list(tmp_path.iterdir())
    assert stopped(ran, number) == (128 + number, ["stopped"])
    assert list(tmp_path.iterdir()) == []


@pytest.mark.thorough
def test_threads_deep_in_a_search_are_not_waited_for():
    """The advice of `trim` is sought in threads; each looked up only between its searches."""
    ran = started("trim", "whole-animal")
    time.sleep(5)
    if ran.poll() is None:
        assert stopped(ran, signal.SIGINT) == (130, ["stopped"])


@pytest.mark.thorough
@pytest.mark.parametrize("words", PLANNING)
def test_any_moment_is_one_to_stop_at(tmp_path, words):
    random = Random(words)
    for _ in range(6):
        ran = started(*shlex.split(words), env={"TMPDIR": str(tmp_path), "TMP": str(tmp_path)})
        number, everybody = random.choice(SIGNALS), random.random() < 0.5
        time.sleep(random.uniform(0.2, 4.0))
        if ran.poll() is None:
            assert stopped(ran, number, everybody) == (128 + number, ["stopped"])
        ran.communicate()
        assert list(tmp_path.iterdir()) == []


WHILE_IT_BEGINS = """
import os, sys, threading
from planner.commands.__main__ import main
from planner.core.stopping import Stopping
listen = Stopping.listen
def heard(stopping):
    listen(stopping)
    threading.Timer({after}, os.kill, (os.getpid(), {number})).start()
Stopping.listen = heard
main()
"""


def test_while_it_begins_there_is_no_traceback():
    """From when Python has handed over to the program: what it imports takes most of a second."""
    for part in range(12):
        number = SIGNALS[part % len(SIGNALS)]
        words = WHILE_IT_BEGINS.format(after=part / 40, number=int(number))
        ran = subprocess.run(
            [sys.executable, "-c", words, "week", "holiday", "--within", "0"],
            cwd=REPO,
            capture_output=True,
            text=True,
            check=False,
            preexec_fn=hear_signals,
        )
        assert (ran.returncode, ran.stdout, ran.stderr) == (128 + number, "", "stopped\n")


def test_one_that_a_library_swallows_is_raised_again():
    code = (
        "import os, signal, sys, time; from planner.core.stopping import Stopping\n"
        "stopping = Stopping()"
        "\ndef program():\n"
        "    stopping.listen()\n"
        "    try: os.kill(os.getpid(), signal.SIGINT); time.sleep(9)\n"
        "    except: pass\n"
        "    try: time.sleep(9)\n"
        "    finally: print('taken back', flush=True)\n"
        "stopping.run(program)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code],
        cwd=REPO,
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=hear_signals,
    )
    assert (ran.returncode, ran.stdout, ran.stderr) == (130, "taken back\n", "stopped\n")


def test_what_is_ignored_when_it_begins_stays_ignored():
    """As after `nohup`, or in the background of a script."""

    def deaf():
        for number in SIGNALS:
            signal.signal(number, signal.SIG_IGN)

    ran = started("week", "corner-shop", preexec_fn=deaf)
    time.sleep(1)
    for number in SIGNALS:
        os.kill(ran.pid, number)
    out, err = ran.communicate(timeout=60)
    assert (ran.returncode, err) == (0, "") and "SCORE" in out
