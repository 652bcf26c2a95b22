"""Where files are looked for: a path first, then the names of shipped ones."""

from pathlib import Path

import pytest

from planner.core.errors import InputError
from planner.files.find import FOLDERS, find, shipped_folder, shipped_names

SHIPPED = f"shipped recipes: {', '.join(shipped_names('recipes'))}"


@pytest.fixture(autouse=True)
def elsewhere(tmp_path, monkeypatch):
    """A working folder of its own."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("folder", FOLDERS)
def test_every_shipped_name_is_found_from_anywhere(folder):
    assert shipped_names(folder)
    for name in shipped_names(folder):
        path, shown = find(name, folder, Path())
        assert path == shipped_folder(folder) / f"{name}.yaml"
        assert path.is_file() and Path(shown).is_file()


def test_the_names_that_are_promised():
    assert {"corner-shop", "one-lamb", "holiday"} <= set(shipped_names("scenarios"))
    assert "lamb" in shipped_names("recipes")


def test_an_installed_package_has_its_files_inside(tmp_path, monkeypatch):
    module = tmp_path / "site" / "planner" / "files" / "find.py"
    (tmp_path / "site" / "planner" / "recipes").mkdir(parents=True)
    (tmp_path / "site" / "planner" / "recipes" / "emu.yaml").touch()
    monkeypatch.setattr("planner.files.find.__file__", str(module))
    assert shipped_names("recipes") == ["emu"]


@pytest.mark.parametrize("name", ["lamb", "lamb.yaml", "./lamb", "sub/lamb.yaml"])
def test_a_file_at_the_path_wins(elsewhere, name):
    (elsewhere / name).parent.mkdir(exist_ok=True)
    (elsewhere / name).touch()
    path, shown = find(name, "recipes", Path())
    assert path.resolve() == elsewhere / name
    assert shown == str(Path(name)), "the short way"


def test_a_path_starts_from_the_folder_of_the_file_that_names_it(elsewhere):
    (elsewhere / "shop").mkdir()
    (elsewhere / "goat.yaml").touch()
    assert find("../goat.yaml", "recipes", elsewhere / "shop")[0].resolve().parent == elsewhere
    with pytest.raises(InputError):
        find("goat.yaml", "recipes", elsewhere / "shop")


def test_an_absolute_path(elsewhere, tmp_path_factory):
    far = tmp_path_factory.mktemp("far") / "goat.yaml"
    far.touch()
    assert find(str(far), "recipes", elsewhere) == (far, str(far))


def test_a_folder_does_not_hide_a_shipped_name(elsewhere):
    (elsewhere / "lamb").mkdir()
    assert find("lamb", "recipes", Path())[0].is_file()


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("lamp", f'did you mean "lamb"? ({SHIPPED})'),
        ("lamb.yml", 'did you mean "lamb"?'),
        ("no/such/place.yaml", f"no such file ({SHIPPED})"),
        ("corner-shop", f"this is a scenario, but a recipe is expected here ({SHIPPED})"),
        ("nul\0byte", "no such file"),
        ("x" * 5000, "no such file"),
    ],
)
def test_what_is_nowhere(name, words):
    with pytest.raises(InputError) as told:
        find(name, "recipes", Path())
    (problem,) = told.value.problems
    assert (problem.file, problem.line) == (name, 0)
    assert words in problem.message


def test_a_recipe_where_a_scenario_is_wanted():
    with pytest.raises(InputError) as told:
        find("lamb", "scenarios", Path())
    names = ", ".join(shipped_names("scenarios"))
    assert str(told.value) == (
        f"lamb: this is a recipe, but a scenario is expected here (shipped scenarios: {names})"
    )
