"""Many weeks on a Dask cluster: two workers of a local scheduler, some of which die."""

from __future__ import annotations

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time

import dask
import pytest
from distributed import LocalCluster, Security

from planner import __version__
from planner.core.errors import InputError
from planner.many import cluster as many
from planner.many.cluster import Cluster
from planner.many.units import Planned, Trouble, plan_unit
from planner.solve import Options
from tests import many_work
from tests.commands.test_cli import REPO, program
from tests.many_work import DEADLY, same, silent, units_of, weeks_of
from tests.planning import json_of
from tests.running import seen, started


@pytest.fixture(scope="module")
def scheduler():
    """A scheduler with two workers that are started again when they die; a unit may take two."""
    few = {"distributed.scheduler.allowed-failures": 1}
    size = {"n_workers": 2, "threads_per_worker": 1}
    with (
        dask.config.set(few),
        LocalCluster(dashboard_address=":0", silence_logs=100, **size) as cluster,
    ):
        yield cluster


@pytest.fixture
def local(scheduler):
    """The same, with both workers there."""
    with scheduler.get_client() as client:
        client.wait_for_workers(2, timeout=30)
    return scheduler


def cluster(local, work=plan_unit, notice=pytest.fail):
    return Cluster(local.scheduler_address, notice, work)


@pytest.mark.parametrize("late", [False, True], ids=["at work", "with plans not fetched"])
def test_a_worker_killed_in_the_middle_loses_nothing(local, shop, late):
    units, outcomes, killed = units_of(shop, 10), {}, []
    for number, outcome in cluster(local, many_work.slow)(enumerate(units), silent):
        assert number not in outcomes, "told once"
        outcomes[number] = outcome
        if len(outcomes) == 3:
            while late and not done_with_all(local):
                time.sleep(0.05)
            killed = [next(iter(local.workers.values())).pid]
            os.kill(killed[0], signal.SIGKILL)
    assert killed
    assert sorted(outcomes) == list(range(len(units)))
    assert all(same(outcomes[number], plan_unit(unit)) for number, unit in enumerate(units))


def done_with_all(local):
    tasks = local.scheduler.tasks.values()
    return all(task.state == "memory" for task in tasks)


@pytest.mark.thorough
def test_a_unit_that_kills_its_workers_is_told_and_the_others_are_planned(local, shop):
    units = units_of(shop, 3)
    units.insert(1, units_of(shop, 1, DEADLY)[0])
    outcomes = dict(cluster(local, many_work.deadly)(enumerate(units), silent))
    told = outcomes.pop(1)
    assert isinstance(told, Trouble) and told.exit_code == 1
    assert told.brief == "the workers that planned it were killed"
    assert sorted(outcomes) == [0, 2, 3]
    assert all(same(outcomes[each], plan_unit(units[each])) for each in outcomes)


def test_a_mistake_in_the_program_is_one_line(local, shop):
    outcomes = dict(cluster(local, many_work.broken)(enumerate(units_of(shop, 1)), silent))
    assert isinstance(outcomes[0], Trouble) and outcomes[0].exit_code == 1
    assert "ZeroDivisionError: in An invented goat week and more" in outcomes[0].message


def test_what_runs_is_told(local, shop):
    told = []
    outcomes = dict(cluster(local, many_work.slow)(enumerate(units_of(shop, 6)), told.append))
    assert len(outcomes) == 6
    assert max(map(len, told)) >= 2, "both workers have something to do"
    assert {number for running in told for number in running} <= set(range(6))


# ---- the command ----


def test_the_command_gives_what_it_gives_without_a_cluster(local, shop):
    paths = weeks_of(shop, 2)
    strict = shop.folder / "strict.yaml"
    strict.write_text(shop.week.read_text().replace("1 leg: whole", "20 leg: whole"))
    ideas = shop.folder / "ideas.yaml"
    ideas.write_text("more: {prices: {leg roast: 61/each}}\n")
    words = ["week", paths[0], strict, paths[1], "--changes", ideas, "--json"]
    ran = program(*words, "--scheduler", local.scheduler_address)
    assert ran.returncode == 3
    assert "Traceback" not in ran.stderr and "at least 20 leg: whole" in ran.stderr
    rows, alone = (json.loads(each.stdout)["weeks"] for each in (ran, program(*words)))
    assert len(rows) == 6 and rows[2]["exit code"] == 3
    for row in [*rows, *alone]:
        if "plan" in row:
            row["plan"]["seconds"] = 0
    assert rows == alone


def test_one_file_on_a_cluster_is_told_as_ever(local, breakplan, shop):
    ran = breakplan("week", shop.week, "--json", "--scheduler", local.scheduler_address)
    assert (ran.code, ran.err) == (0, "")
    assert {**json.loads(ran.out), "seconds": 0} == {**json_of(shop.week, Options()), "seconds": 0}
    shop.spoil("scenario", ("1 leg: whole", "20 leg: whole"))
    ran = breakplan("week", shop.week, "--scheduler", local.scheduler_address)
    assert (ran.code, ran.out) == (3, "")
    assert "at least 20 leg: whole (rule on line 31)" in ran.err


def test_ctrl_c_takes_back_what_has_not_begun(local):
    words = ["week", "holiday", "whole-animal", "corner-shop", "--within", "0", "--seconds", "2"]
    ran = started(*words, "--scheduler", local.scheduler_address)
    with local.get_client() as client:
        seen(lambda: sum(map(len, client.processing().values())) >= 2)
        began = time.perf_counter()
        os.killpg(ran.pid, signal.SIGINT)
        out, err = ran.communicate(timeout=20)
        assert time.perf_counter() - began < 5
        assert (ran.returncode, out, err) == (130, "", "stopped\n")
        seen(lambda: not client.who_has())  # nobody's plans are kept
        seen(lambda: sum(map(len, client.processing().values())) == 0)


# ---- nobody there, or others than expected ----


def refused(address):
    with pytest.raises(InputError) as caught:
        list(Cluster(address, pytest.fail)(iter([]), silent))
    (problem,) = caught.value.problems
    assert problem.file == "--scheduler" and "\n" not in problem.message
    return problem.message


def test_an_address_at_which_nobody_answers(monkeypatch):
    assert many.ANSWER <= 9
    monkeypatch.setattr(many, "ANSWER", 1)
    with socket.socket() as silence:
        silence.bind(("127.0.0.1", 0))
        silence.listen()
        began = time.perf_counter()
        told = refused(f"127.0.0.1:{silence.getsockname()[1]}")
    assert time.perf_counter() - began < 3
    assert told.startswith('no Dask scheduler answers at "127.0.0.1:')
    assert told.endswith(" in 1 s")


@pytest.mark.parametrize("address", ["nonsense", "", "carrier-pigeon://here:1"])
def test_an_address_that_is_none(address):
    assert refused(address).startswith(f'no Dask scheduler answers at "{address}": ')


def test_without_the_extra_one_line_says_what_to_install(breakplan, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    ran = breakplan("week", "one-lamb", "--scheduler", "127.0.0.1:8786")
    assert (ran.code, ran.out) == (2, "")
    least = f"distributed>={many.LEAST}"
    assert ran.err == f"--scheduler: needs the package distributed: pip install '{least}'"
    assert f'cluster = ["{least}"]' in (REPO / "pyproject.toml").read_text()


def test_the_extra_is_not_imported_unless_asked_for():
    code = (
        "import sys; from typer.testing import CliRunner; from planner.commands.program import app;"
        "print(CliRunner().invoke(app, ['week', 'one-lamb', 'nowhere.yaml']).exit_code);"
        "print({'distributed', 'dask'} & set(sys.modules))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=REPO, capture_output=True, text=True, check=True
    )
    assert ran.stdout == "2\nset()\n"


def test_a_worker_with_another_release_is_told_and_one_without_the_planner_refused(local, shop):
    (number, unit), *_ = enumerate(units_of(shop, 1))
    one = next(iter(local.scheduler.workers))
    with local.get_client() as client:
        told = []
        client.run(many_work.pretend, "9.9", workers=[one])
        outcomes = dict(cluster(local, notice=told.append)([(number, unit)], silent))
        assert isinstance(outcomes[0], Planned)
        assert told == ["1 of 2 workers have breakplan 9.9, and here it is " + __version__]
        client.run(many_work.lose_planner, workers=[one])
        assert refused(local.scheduler_address) == (
            f"the worker {one} cannot import breakplan: install it there"
        )
        client.run(many_work.find_planner, __version__, workers=[one])
        assert dict(cluster(local)([(number, unit)], silent))


def test_a_scheduler_that_is_lost_and_one_without_workers(tmp_path, shop):
    where = tmp_path / "scheduler.json"
    script = [sys.executable, "-m", "distributed.cli.dask_scheduler", "--host", "127.0.0.1"]
    script += ["--port", "0", "--no-dashboard", "--scheduler-file", str(where)]
    lonely = subprocess.Popen(script, stderr=subprocess.DEVNULL, cwd=tmp_path)
    ends = time.perf_counter() + 30
    while not (where.exists() and where.read_text()) and time.perf_counter() < ends:
        time.sleep(0.05)
    address, notices, looks = json.loads(where.read_text())["address"], [], []

    def told(running):
        looks.append(running)
        if len(looks) == 4:
            lonely.kill()

    outcomes = dict(Cluster(address, notices.append)(enumerate(units_of(shop, 2)), told))
    lonely.wait()
    assert notices == [f"no worker has joined {address} yet: waiting for one"]
    assert [outcomes[number].brief for number in (0, 1)] == ["the cluster was lost"] * 2
    assert all(outcome.exit_code == 1 for outcome in outcomes.values())


@pytest.mark.parametrize("work", [many_work.unreadable, many_work.misshapen, many_work.unknown])
def test_what_a_worker_of_another_release_gives_is_one_line(local, shop, work):
    (outcome,) = dict(cluster(local, work)(enumerate(units_of(shop, 1)), silent)).values()
    assert isinstance(outcome, Trouble) and outcome.brief == "the releases differ"
    assert "install the same one there and here" in outcome.message


# ---- encrypted ----


def certified(folder):
    """A certificate of its own, which is trusted, and its key: made by OpenSSL."""
    key, certificate = folder / "key.pem", folder / "certificate.pem"
    words = [
        "openssl",
        "req",
        "-x509",
        "-newkey",
        "rsa:2048",
        "-nodes",
        "-days",
        "2",
        "-subj",
        "/CN=invented",
    ]
    subprocess.run(
        [*words, "-keyout", key, "-out", certificate], check=True, capture_output=True, timeout=60
    )
    return certificate, key


@pytest.fixture(scope="module")
def secret(tmp_path_factory):
    """An encrypted scheduler with a worker; its address, and the options that reach it."""
    if not shutil.which("openssl"):
        pytest.skip("no openssl here")
    certificate, key = certified(tmp_path_factory.mktemp("tls"))
    names = ("client", "scheduler", "worker")
    security = Security(
        tls_ca_file=str(certificate),
        require_encryption=True,
        **{f"tls_{name}_cert": str(certificate) for name in names},
        **{f"tls_{name}_key": str(key) for name in names},
    )
    local = LocalCluster(
        n_workers=1, processes=False, protocol="tls://", security=security, dashboard_address=None
    )
    with local:
        options = {"--tls-ca": certificate, "--tls-cert": certificate, "--tls-key": key}
        yield local.scheduler_address, options


def flat(options):
    return [word for pair in options.items() for word in pair]


def test_an_encrypted_scheduler_plans(secret, breakplan, shop):
    address, options = secret
    assert address.startswith("tls://")
    ran = breakplan("week", shop.week, "--json", "--scheduler", address, *flat(options))
    assert (ran.code, ran.err) == (0, "")
    assert json.loads(ran.out)["score"] == json_of(shop.week, Options())["score"]


@pytest.mark.parametrize("option", ["--tls-ca", "--tls-cert", "--tls-key"])
def test_a_file_of_it_that_is_lacking_is_named(secret, breakplan, shop, option):
    address, options = secret
    lacking = {**options}
    lacking.pop(option)
    ran = breakplan("week", shop.week, "--scheduler", address, *flat(lacking))
    assert (ran.code, ran.err) == (2, f'{option}: is needed for "{address}": a PEM file')
    wrong = {**options, option: "nowhere.pem"}
    ran = breakplan("week", shop.week, "--scheduler", address, *flat(wrong))
    assert ran.code == 2
    assert ran.err == f"{option}: cannot read nowhere.pem: No such file or directory"
    wrong = {**options, option: shop.week}
    ran = breakplan("week", shop.week, "--scheduler", address, *flat(wrong))
    assert ran.code == 2 and ran.err.count("\n") == 0


@pytest.mark.thorough
def test_tls_and_a_scheduler_without_it_do_not_go_together(secret, local, breakplan, shop):
    options = flat(secret[1])
    plain = local.scheduler_address
    ran = breakplan("week", shop.week, "--scheduler", plain.replace("tcp", "tls"), *options)
    assert ran.code == 2 and ran.err.startswith("--scheduler: no Dask scheduler answers at")
    assert "\n" not in ran.err
    ran = breakplan("week", shop.week, "--scheduler", plain, *options)
    assert ran.code == 2 and f'tls://..., and "{plain}" is not one' in ran.err
    ran = breakplan("week", shop.week, *options)
    assert ran.code == 2 and "--tls-ca: is for --scheduler tls://HOST:PORT" in ran.err
