"""What is shipped, and what the README says about it."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
import zipfile
from collections import Counter
from pathlib import Path

import pytest
from typer.core import TyperGroup
from typer.main import get_command
from typer.testing import CliRunner

from planner.commands.program import app

ROOT = Path(__file__).parent.parent.parent
TEMPLATES = ROOT / "planner/show/templates"
README = (ROOT / "README.md").read_text(encoding="utf-8")
FILES = (ROOT / "scenarios/README.md").read_text(encoding="utf-8")
RECIPES = (ROOT / "recipes/README.md").read_text(encoding="utf-8")


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
    assert "breakplan = planner.commands.__main__:main" in wheel.read(entry).decode()
    assert any(name.endswith("licenses/LICENSE") for name in names)
    assert not [name for name in names if name.startswith("tests")]


def test_the_ci_runs_exactly_the_command_of_the_readme():
    commands = re.findall(r"```sh\n(python3 -m venv .*)\n```", README)
    assert len(commands) == 2
    assert f"{commands[1]} | tee" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert commands[1] in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_output_in_the_texts_is_what_the_program_prints():
    blocks = re.findall(r"```\n\$ breakplan (.*)\n([\s\S]*?)\n```", README + FILES)
    assert len(blocks) == 3
    for command, shown in blocks:
        printed = CliRunner().invoke(app, shlex.split(command))
        assert printed.exit_code == 0
        assert printed.stdout.rstrip("\n") == shown


def test_the_end_of_the_trim_is_what_the_program_prints():
    (shown,) = re.findall(r"```\n(SHORT AND SURPLUS\n[\s\S]*?)\n```", FILES)
    printed = CliRunner().invoke(app, ["trim", "one-lamb"])
    assert f"\n{shown}\n\nEvery trim" in printed.stdout


def test_the_lines_of_the_morning_are_what_the_program_prints():
    (shown,) = re.findall(r"```\n(  KNIFE\n[\s\S]*?)\n```", FILES)
    printed = CliRunner().invoke(app, ["morning", "one-lamb", "--within", "0"])
    assert shown in printed.stdout


def test_the_wheel_has_the_templates_of_the_pages(wheel):
    shipped = {f"planner/show/templates/{path.name}" for path in TEMPLATES.iterdir()}
    assert len(shipped) > 5
    assert shipped <= set(wheel.namelist())


def test_the_alternatives_can_be_compared(tmp_path):
    text = re.search(r"```yaml\n(# ideas.yaml[\s\S]*?)```", FILES)[1]
    path = tmp_path / "ideas.yaml"
    path.write_text(text, encoding="utf-8")
    printed = CliRunner().invoke(app, ["whatif", "one-lamb", "--changes", str(path)])
    assert printed.exit_code == 0
    assert "bone out every shoulder" in printed.stdout


def test_the_readme_names_every_command_and_no_other():
    group = get_command(app)
    assert isinstance(group, TyperGroup)
    assert set(re.findall(r"\bbreakplan ([a-z]+(?:-[a-z]+)?)", README)) == set(group.commands)
    journal = group.commands["journal"]
    assert isinstance(journal, TyperGroup)
    for text in (README, FILES, RECIPES):
        assert set(re.findall(r"\bbreakplan journal ([a-z]+)", text)) <= set(journal.commands)


def test_the_texts_are_short():
    assert len(README.splitlines()) <= 250
    assert len((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").splitlines()) <= 250


@pytest.mark.parametrize(
    ("text", "begins", "name", "sound"),
    [
        (FILES, "title: An", "week.yaml", "a sound scenario"),
        (FILES, "# shop.yaml", "shop.yaml", "a sound shop"),
        (RECIPES, "species: kid", "kid.yaml", "a sound recipe"),
    ],
)
def test_the_files_that_are_explained_are_sound(tmp_path, text, begins, name, sound):
    path = tmp_path / name
    found = re.search(rf"```yaml\n({begins}[\s\S]*?)```", text)
    path.write_text(found[1], encoding="utf-8")
    printed = CliRunner().invoke(app, ["check", str(path)])
    assert sound in printed.stdout


@pytest.mark.parametrize(("topic", "markdown"), [("files", FILES), ("recipes", RECIPES)])
@pytest.mark.parametrize("width", [60, 100])
def test_help_prints_a_text_whole_in_the_width_there_is(monkeypatch, topic, markdown, width):
    monkeypatch.setenv("COLUMNS", str(width))
    printed = CliRunner().invoke(app, ["help", topic])
    assert printed.exit_code == 0
    fenced = re.findall(r"^```.*\n([\s\S]*?)^```", markdown, re.MULTILINE)
    code = "".join(fenced).rstrip("\n")
    blocks = {f"  {line}".rstrip() for line in code.split("\n")}
    lines = printed.stdout.rstrip("\n").split("\n")
    assert blocks <= set(lines)
    assert max(len(line) for line in lines if line not in blocks) <= width
    title = next(iter(markdown.split("\n"))).lstrip("# ").upper()
    assert lines[0] == title and "**" not in printed.stdout and "](" not in printed.stdout
    words = Counter(
        re.findall(
            r"[a-z]{3,}", re.sub(r"\]\([^)]*\)", "]", re.sub(r"(?m)^```.*", "", markdown)).lower()
        )
    )
    told = Counter(re.findall(r"[a-z]{3,}", printed.stdout.lower()))
    assert words - told == Counter()


def test_help_lists_its_topics_and_takes_commands():
    printed = CliRunner().invoke(app, ["help"]).stdout
    assert "breakplan help files" in printed and "breakplan help recipes" in printed
    of_trim = CliRunner().invoke(app, ["help", "trim"]).stdout
    assert "--no-advice" in of_trim and "Usage: " in of_trim
    wrong = CliRunner().invoke(app, ["help", "fles"]).exception
    assert str(wrong) == 'help: no topic is called "fles"; did you mean "files"?'
