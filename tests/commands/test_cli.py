"""The program from its command line: what it prints, its exit codes, its files."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import highspy
import pytest

from planner import __version__
from planner.commands.program import app
from planner.files.scenario_file import read_scenario
from planner.solve import Options, Search, bundled, solve
from tests.running import BREAKPLAN, started

REPO = Path(__file__).resolve().parent.parent.parent
ASKING = ["morning", "trim", "price", "order", "check", "why"]
COMMANDS = [command.callback.__name__.replace("_", "-") for command in app.registered_commands]


def run(*words, folder=REPO, stdout=subprocess.PIPE, **environment):
    """Python in a process of its own, with the program at hand in any working folder."""
    return subprocess.run(
        [sys.executable, *map(str, words)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(REPO), **environment},
        stdout=stdout,
        stderr=subprocess.PIPE,
        text=True,
        timeout=60,
        check=False,
    )


def program(*words, **how):
    return run("-m", "planner.commands", *words, **how)


# ---- help ----


def test_version(breakplan):
    ran = breakplan("--version")
    assert (ran.code, ran.out) == (0, f"breakplan {__version__}\n")


@pytest.mark.parametrize("words", [["--help"], ["-h"], *([each, "--help"] for each in COMMANDS)])
def test_help_has_an_example(breakplan, words):
    ran = breakplan(*words)
    assert ran.code == 0
    assert "Example: breakplan " in ran.out
    assert max(map(len, ran.out.splitlines())) <= 100


def test_the_help_lists_every_command(breakplan):
    out = breakplan("--help").out
    assert {"week", "check"} <= set(COMMANDS)
    for command in COMMANDS:
        assert f"  {command} " in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["wek", "one-lamb"], "wek"),
        (["week"], "FILE"),
        (["week", "one-lamb", "--solver", "abacus"], "neither highs nor bundled"),
        (["week", "one-lamb", "--within", "little"], "such as 0.05% or money such as 0.50"),
        (["week", "one-lamb", "--within", "-1"], ""),
        (["week", "one-lamb", "--within=-1"], "is negative"),
        (["week", "one-lamb", "--seconds", "0"], "--seconds"),
        (["week", "one-lamb", "--seconds", "nan"], "--seconds"),
        (["week", "one-lamb", "--seconds", "soon"], "--seconds"),
        (["check"], "name at least one file"),
        (["check", "--schema", "plan"], "none of recipe, scenario, blends"),
    ],
)
def test_wrong_words_on_the_command_line(breakplan, words, told):
    ran = breakplan(*words)
    assert (ran.code, ran.out) == (2, "")
    assert told in ran.err
    assert "Traceback" not in ran.err


# ---- what is printed for a person ----


@pytest.fixture(scope="module")
def corner_shop():
    return program("week", "corner-shop", "--within", "2%")


def test_the_parts_of_the_text_stand_in_their_order(corner_shop):
    assert (corner_shop.returncode, corner_shop.stderr) == (0, "")
    out = corner_shop.stdout
    parts = ["An invented corner shop", "mon 30 nov to sat 5 dec 2026", "MON 30 NOV", "CASE (lb)",
             "ORDERS", "BLENDS", "MONEY", "SCORE", "this plan is within", "HACCP"]  # fmt: skip
    places = [out.index(part) for part in parts]
    assert places == sorted(places)
    assert "in: 4 head lamb, 58.0 lb each" in out
    assert "carcass" in out and "block break" in out
    assert "the corner bistro: 9.0 lb shoulder roast - " in out
    assert "trim 85" in out[out.index("BLENDS") :] and "fat " in out[out.index("BLENDS") :]


@pytest.mark.parametrize("name", ["corner-shop", "one-lamb", "holiday"])
def test_text_is_at_most_100_columns_and_without_colour(breakplan, name):
    ran = breakplan("week", name, "--within", "5%")
    assert ran.code == 0
    assert max(map(len, ran.out.splitlines())) <= 100
    assert ran.out.isascii() and "\x1b" not in ran.out
    assert not any(line != line.rstrip() for line in ran.out.splitlines())


def test_long_names_do_not_burst_the_columns(breakplan, shop):
    long = "a roast with a very long name that somebody thought of one night"[:60]
    shop.spoil(
        "recipe", ("  shoulder roast: {k", f"  {long}: {{k"), ("{shoulder roast:", f"{{{long}:")
    )
    shop.spoil(
        "scenario",
        ("title: An invented goat week", "title: " + "An invented goat week " * 8),
        ("demand:\n  shoulder roast", f"demand:\n  {long}"),
        ("case:\n  shoulder roast", f"case:\n  {long}"),
        ("the corner bistro", ("the bistro at the corner of two very long streets " * 3)[:120]),
    )  # fmt: skip
    ran = breakplan("week", shop.week)
    assert ran.code == 0
    assert max(map(len, ran.out.splitlines())) <= 100


def test_cautions_in_full_when_asked_for(breakplan, shop):
    assert "CAUTIONS" not in breakplan("week", shop.week).out
    assert "spinal cord" in breakplan("week", shop.week, "--cautions").out.lower()


def test_what_is_odd_goes_to_standard_error(breakplan, shop):
    shop.spoil("scenario", ("60/each", "0/each"))
    ran = breakplan("week", shop.week)
    assert ran.code == 0
    assert ran.err == f"warning: {shop.week}:25: leg roast has a price of zero\n"


# ---- JSON ----


def test_json_has_the_promised_parts(breakplan, shop):
    data = json.loads(breakplan("week", shop.week, "--json", "--cautions").out)
    assert list(data) == [
        "format", "title", "unit", "money", "days", "score", "revenue", "spend", "carry", "bound",
        "within", "status", "seconds", "breaks", "cuts", "sales", "blends", "short", "whole",
        "bought", "bench",
    ]  # fmt: skip
    assert (data["format"], data["unit"], data["money"]) == ("breakplan/1", "lb", "$")
    assert data["days"] == ["mon", "tue", "wed", "thu", "fri", "sat"]
    spend = sum(data["spend"].values())
    assert data["score"] == pytest.approx(data["revenue"] - spend + data["carry"])
    assert data["bound"] >= data["score"] - 1e-6


# ---- options ----


def test_within_as_money_and_as_a_share(breakplan, shop):
    for within, allowed in [("0", 0.01), ("0.01", 0.02), ("20%", 0.2 * 1000)]:
        data = json.loads(breakplan("week", shop.week, "--json", "--within", within).out)
        assert data["within"] <= allowed
        assert data["status"] in ("proven", "within tolerance")


def test_the_bundled_solver_agrees(breakplan, shop):
    scores = [
        json.loads(breakplan("week", shop.week, "--json", "--within", "0", *more).out)["score"]
        for more in ([], ["--solver", "bundled"])
    ]
    assert scores[0] == pytest.approx(scores[1], abs=0.01)


MUCH = """\
title: Much, invented
starts: 2026-11-30
days: 1
recipes: [lamb]
case: {loin chops: 123456.7891 lb}
demand: {loin chops: {price: 22.99/lb, want: 1000000 lb}}
"""


def test_the_bundled_solver_writes_eight_digits_and_that_is_borne(breakplan, tmp_path):
    path = tmp_path / "much.yaml"
    path.write_text(MUCH)
    ran = breakplan("week", path, "--json", "--solver", "bundled")
    assert json.loads(ran.out)["score"] == pytest.approx(123456.7891 * 22.99, rel=1e-6)


@pytest.mark.parametrize("fails", [1, 2, 3])
def test_a_bundled_solver_that_fails_is_no_traceback(breakplan, shop, monkeypatch, fails):
    """Such as where it is ended from outside: at its first run, or at a later one."""
    runs, finish = [], bundled._finish

    def failing(words):
        runs.append(words)
        if len(runs) < fails:
            finish(words)

    monkeypatch.setattr(bundled, "_finish", failing)
    ran = breakplan("week", shop.week, "--solver", "bundled")
    assert ran.code in (0, 4)


def test_the_model_file_has_the_same_optimum_when_highs_reads_it(breakplan, shop, tmp_path):
    path = tmp_path / "week.mps"
    assert breakplan("week", shop.week, "--model-file", path).code == 0
    solver = highspy.Highs()
    solver.silent()
    assert solver.readModel(str(path)) != highspy.HighsStatus.kError
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.run()
    scenario, _ = read_scenario(shop.week, "week.yaml")
    best = solve(scenario, Options(share=0.0, amount=0.0)).objective
    # the file has the score with its sign turned, to be minimized
    assert -solver.getInfo().objective_function_value == pytest.approx(best, abs=1e-3)


def test_a_model_file_that_cannot_be_written(breakplan, shop, tmp_path):
    ran = breakplan("week", shop.week, "--model-file", tmp_path / "no" / "folder.mps")
    assert (ran.code, ran.out) == (2, "")
    assert "folder.mps: cannot be written: No such file or directory" in ran.err


# ---- exit codes ----


def test_exit_code_2_and_nothing_half_done(breakplan, shop, tmp_path):
    shop.spoil("scenario", ("carry: 40%", "carry: 40"), ("days: 6", "days: six"))
    path = tmp_path / "week.mps"
    ran = breakplan("week", shop.week, "--model-file", path, "--json")
    assert (ran.code, ran.out) == (2, "")
    assert len(ran.err.splitlines()) == 2
    assert not path.exists()


def test_exit_code_3_names_the_rules_in_conflict(breakplan, shop):
    shop.spoil("scenario", ("1 leg: whole", "20 leg: whole"))
    ran = breakplan("week", shop.week)
    assert (ran.code, ran.out) == (3, "")
    assert "cannot be kept" in ran.err
    assert "at least 20 leg: whole" in ran.err and "line 31" in ran.err
    assert "all shoulder" not in ran.err, "a smallest set"


def test_exit_code_4_when_no_plan_is_found_in_time(breakplan, monkeypatch):
    monkeypatch.setattr(Search, "_left", lambda self: 0.0)
    ran = breakplan("week", "holiday", "--seconds", "3")
    assert (ran.code, ran.out) == (4, "")
    assert "no plan" in ran.err and "3 seconds" in ran.err


def test_a_time_limit_with_a_plan_says_so(breakplan):
    for seconds in ("3", "10", "30"):  # a busy machine needs more for its first plan
        ran = breakplan("week", "holiday", "--seconds", seconds, "--within", "0", "--json")
        if ran.code == 0:
            break
    assert ran.code == 0
    data = json.loads(ran.out)
    assert data["status"] == "time limit"
    assert data["within"] > 0


# ---- a process of its own ----


@pytest.mark.parametrize(
    ("spoil", "code", "stream"),
    [
        ([], 0, "stdout"),
        ([("carry: 40%", "carry: 40")], 2, "stderr"),
        ([("1 leg: whole", "20 leg: whole")], 3, "stderr"),
    ],
)
def test_exit_codes_from_another_folder(shop, spoil, code, stream):
    shop.spoil("scenario", *spoil)
    ran = program("week", "week.yaml", folder=shop.folder)
    assert ran.returncode == code
    assert "Traceback" not in ran.stderr
    assert bool(ran.stdout) == (stream == "stdout")
    assert bool(ran.stderr) == (stream == "stderr")
    if code == 2:
        assert ran.stderr.startswith(f"week.yaml:{shop.line('scenario', 'carry:')}: carry: ")


def test_exit_code_4_of_the_program(tmp_path):
    short = "from planner.commands import program as cli; from planner.solve.search import Search\n"
    short += "Search._left = lambda self: 0.0; cli.main()"
    ran = run("-c", short, "week", "holiday", folder=tmp_path)
    assert (ran.returncode, ran.stdout) == (4, "")
    assert ran.stderr.startswith("no plan") and len(ran.stderr.splitlines()) == 1


def test_shipped_names_work_from_another_folder(tmp_path):
    ran = program("check", "corner-shop", "lamb", folder=tmp_path)
    assert (ran.returncode, ran.stderr) == (0, "")


def test_standard_output_that_cannot_show_a_sign(shop):
    shop.spoil("scenario", ("money: $", "money: €"))
    ran = program("week", shop.week, PYTHONIOENCODING="latin-1")
    assert (ran.returncode, ran.stderr) == (0, "")
    assert "SCORE" in ran.stdout and "?" in ran.stdout


@pytest.mark.parametrize("words", [["check", "--schema", "scenario"], ["week", "one-lamb"]])
def test_a_reader_that_has_seen_enough_is_left_in_silence(words):
    read_end, write_end = os.pipe()
    os.close(read_end)
    ran = program(*words, stdout=write_end)
    os.close(write_end)
    assert ran.stderr == ""
    assert ran.returncode in (0, 1), "typer ends with 1 then"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_told_in_one_line():
    with Path("/dev/full").open("w") as full:
        ran = program("week", "one-lamb", stdout=full)
    assert ran.returncode == 1
    assert ran.stderr == "cannot write: No space left on device\n"


def test_ctrl_c_stops_a_question_and_says_so():
    ran = started("why", "holiday")
    time.sleep(3)
    os.kill(ran.pid, signal.SIGINT)
    assert ran.communicate(timeout=60) == ("", "stopped\n")
    assert ran.returncode == 130


# ---- standard streams that are closed ----


@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-"])
@pytest.mark.parametrize(
    "words",
    [
        ("counts", "--shop", "shop"),
        ("--version",),
        pytest.param(("week", "one-lamb", "one-lamb"), marks=pytest.mark.thorough),
        *(pytest.param((each, "one-lamb"), marks=pytest.mark.thorough) for each in ASKING),
    ],
)
def test_a_closed_stream_is_an_empty_one(tmp_path, words, closed):
    run("-m", "planner.commands", "start", "shop", folder=tmp_path)
    ran = subprocess.run(
        ["sh", "-c", f'exec "$@" {closed}', "sh", *BREAKPLAN, *words],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(REPO)},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ran.returncode == 0 and "Traceback" not in ran.stderr, ran.stderr
    assert (ran.stdout == "") == (">&-" in closed.split())
