"""What is shipped, and what the README says about it."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.cli import app

ROOT = Path(__file__).parent.parent
TEMPLATES = ROOT / "planner/show/templates"
README = (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> zipfile.ZipFile:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    return zipfile.ZipFile(next(folder.glob("*.whl")))


@pytest.mark.parametrize("shelf", ["recipes", "scenarios"])
def test_the_wheel_has_every_shipped_file(wheel, shelf):
    shipped = {f"planner/{shelf}/{path.name}" for path in (ROOT / shelf).glob("*.*")}
    assert shipped
    assert shipped <= set(wheel.namelist())


def test_the_wheel_has_the_program_and_the_licence_and_no_tests(wheel):
    names = wheel.namelist()
    entry = next(name for name in names if name.endswith("entry_points.txt"))
    assert "breakplan = planner.__main__:main" in wheel.read(entry).decode()
    assert any(name.endswith("licenses/LICENSE") for name in names)
    assert not [name for name in names if name.startswith("tests")]


def test_the_ci_runs_exactly_the_command_of_the_readme():
    commands = re.findall(r"```sh\n(python3 -m venv .*)\n```", README)
    assert len(commands) == 2
    assert f"{commands[1]} | tee" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert commands[1] in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_output_in_the_readme_is_what_the_program_prints():
    blocks = re.findall(r"```\n\$ breakplan (.*)\n([\s\S]*?)\n```", README)
    assert len(blocks) == 3
    for command, shown in blocks:
        printed = CliRunner().invoke(app, shlex.split(command))
        assert printed.exit_code == 0
        assert printed.stdout.rstrip("\n") == shown


def test_the_end_of_the_trim_in_the_readme_is_what_the_program_prints():
    (shown,) = re.findall(r"```\n(SHORT AND SURPLUS\n[\s\S]*?)\n```", README)
    printed = CliRunner().invoke(app, ["trim", "one-lamb"])
    assert f"\n{shown}\n\nEvery trim" in printed.stdout


def test_the_lines_of_the_morning_in_the_readme_are_what_the_program_prints():
    (shown,) = re.findall(r"```\n(  KNIFE\n[\s\S]*?)\n```", README)
    printed = CliRunner().invoke(app, ["morning", "one-lamb", "--within", "0"])
    assert shown in printed.stdout


def test_the_wheel_has_the_templates_of_the_pages(wheel):
    shipped = {f"planner/show/templates/{path.name}" for path in TEMPLATES.iterdir()}
    assert len(shipped) > 5
    assert shipped <= set(wheel.namelist())


def test_the_alternatives_in_the_readme_can_be_compared(tmp_path):
    text = re.search(r"```yaml\n(# ideas.yaml[\s\S]*?)```", README)[1]
    path = tmp_path / "ideas.yaml"
    path.write_text(text, encoding="utf-8")
    printed = CliRunner().invoke(app, ["whatif", "one-lamb", "--changes", str(path)])
    assert printed.exit_code == 0
    assert "bone out every shoulder" in printed.stdout


def test_the_readme_names_every_command_and_no_other():
    known = {each.callback.__name__.replace("_", "-") for each in app.registered_commands}
    assert set(re.findall(r"\bbreakplan ([a-z]+(?:-[a-z]+)?)", README)) == known


def test_the_scenario_in_the_readme_is_sound(tmp_path):
    text = re.search(r"```yaml\n([\s\S]*?)```", README)[1]
    path = tmp_path / "week.yaml"
    path.write_text(text, encoding="utf-8")
    printed = CliRunner().invoke(app, ["check", str(path)])
    assert "a sound scenario" in printed.stdout
