"""`breakplan start`: what it lays out for every species, and that it never overwrites anything."""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tomllib
from datetime import date, timedelta
from itertools import combinations
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft202012Validator

from planner.core.errors import InputError
from planner.core.recipe import BY_PRODUCTS
from planner.files.check import schema
from planner.files.find import shipped_folder, shipped_recipes
from planner.files.scenario_file import read_scenario
from planner.files.shop_file import read_shop
from planner.journal.store import Journal
from planner.shop import new_shop as module
from planner.shop.new_shop import SPECIES, lay_out, new_shop, read_species
from planner.solve import Options
from planner.solve.plan import plan_week

ROOT = Path(__file__).parent.parent.parent
MONDAY = date(2026, 11, 30)
ROUGH = Options(share=0.01)
LAMB = ["recipes/lamb.yaml", "first-week.yaml", "journal.db", "shop.yaml"]


def made(folder, *species, today=MONDAY):
    lay_out(folder, new_shop(species or ("lamb",), today))
    return folder


def files_in(folder):
    """Every file by its path, hidden ones too, with what is in it."""
    found = (path for path in folder.rglob("*") if not path.is_dir())
    return {str(path.relative_to(folder)): path.read_bytes() for path in found}


# ---- what is laid out ----


@pytest.mark.parametrize("species", SPECIES)
def test_a_shop_of_one_species_plans(tmp_path, species):
    folder = made(tmp_path / "shop", species)
    week, odd = read_scenario(folder / "first-week.yaml", "first-week.yaml")
    assert odd == []
    assert week.lots and week.case and week.orders
    plan = plan_week(week, ROUGH)
    assert not plan.short
    assert plan.revenue > 0

    shop, odd = read_shop(folder)
    assert odd == []
    usual = plan_week(shop.week(MONDAY), ROUGH)
    assert usual.bought and usual.score > 0, "with an empty journal the offers alone are planned"


@pytest.mark.parametrize("species", [*combinations(SPECIES, 2), SPECIES, SPECIES[::-1]])
def test_several_species_are_sound_together(tmp_path, species):
    folder = made(tmp_path / "shop", *species)
    week, odd = read_scenario(folder / "first-week.yaml", "first-week.yaml")
    shop, more = read_shop(folder)
    assert [*odd, *more] == []
    assert {recipe.species for recipe in shop.usual.recipes} == set(species)
    assert {lot.recipe.species for lot in shop.usual.lots} == set(species)
    assert {lot.recipe.species for lot in week.lots} == set(species)
    assert {order.cut for order in week.orders} <= set(shop.usual.demand)


@pytest.mark.parametrize("species", [*((each,) for each in SPECIES), SPECIES])
def test_every_main_cut_has_a_price(tmp_path, species):
    usual = read_shop(made(tmp_path / "shop", *species))[0].usual
    main = {name for name, cut in usual.cuts.items() if cut.kind not in BY_PRODUCTS}
    assert main <= {name for name, demand in usual.demand.items() if demand.price}
    wanted = {name for name in main if sum(usual.demand[name].want)}
    assert len(wanted) > 0.9 * len(main), "a few are for orders only"


@pytest.mark.parametrize("species", [("lamb",), ("beef", "lamb"), SPECIES])
def test_the_rules_shown_as_examples_can_be_used(tmp_path, species):
    folder = made(tmp_path / "shop", *species)
    lines = (folder / "shop.yaml").read_text().splitlines()
    start = lines.index("rules: []")
    rules = [line[1:] for line in lines[start - len(species) : start]]
    lines[start - len(species) : start + 1] = ["rules:", *rules]
    (folder / "shop.yaml").write_text("\n".join(lines))
    assert len(read_shop(folder)[0].usual.rules) == len(species)


def test_the_recipes_are_the_shipped_ones_byte_for_byte(tmp_path):
    folder = made(tmp_path / "shop", *SPECIES)
    copies = {path.name: path.read_bytes() for path in (folder / "recipes").iterdir()}
    shipped = {path.name: path.read_bytes() for path in shipped_folder("recipes").glob("*.yaml")}
    assert copies == shipped


def test_every_shipped_species_can_be_started_with():
    assert set(SPECIES) == {
        each.data["species"] for each in shipped_recipes() if "species" in each.data
    }


@pytest.mark.parametrize(
    ("species", "recipes"),
    [
        (("beef",), {"beef-hind", "beef-fore"}),
        (("lamb",), {"lamb"}),
        (("lamb", "hog"), {"lamb", "hog", "blends"}),
    ],
)
def test_only_the_recipes_needed(tmp_path, species, recipes):
    folder = made(tmp_path / "shop", *species)
    assert {path.stem for path in (folder / "recipes").iterdir()} == recipes


@pytest.mark.parametrize("species", [("lamb",), SPECIES])
def test_editors_find_nothing_wrong_with_the_files(tmp_path, species):
    folder = made(tmp_path / "shop", *species)
    for name, kind in [("shop.yaml", "shop"), ("first-week.yaml", "scenario")]:
        data = yaml.safe_load((folder / name).read_text())
        written = json.loads(json.dumps(data, default=str))
        Draft202012Validator(schema(kind)).validate(written)


def test_the_files_say_that_they_are_invented_and_are_easy_to_read(tmp_path):
    folder = made(tmp_path / "shop", "lamb", "hog")
    for name in ("shop.yaml", "first-week.yaml"):
        lines = (folder / name).read_text().splitlines()
        assert any("invented" in line for line in lines[:3])
        assert max(map(len, lines)) <= 130
        assert not [line for line in lines if line != line.rstrip()]
        blank = [number for number, line in enumerate(lines) if not line]
        assert not [number for number in blank if number + 1 in blank]


@pytest.mark.parametrize("day", range(7))
def test_the_first_week_begins_on_the_coming_monday(tmp_path, day):
    today = MONDAY + timedelta(days=day)
    week, _ = read_scenario(made(tmp_path / "shop", today=today) / "first-week.yaml", "it")
    assert week.starts == (MONDAY if day == 0 else date(2026, 12, 7))


def test_the_journal_is_empty_and_can_be_used(tmp_path):
    folder = made(tmp_path / "shop")
    with Journal(folder / "journal.db") as journal:
        assert journal.recorded(undone=True) == ()


# ---- the command ----


def test_what_it_says(breakplan, tmp_path, monkeypatch, clock_at):
    monkeypatch.chdir(tmp_path)
    clock_at(date(2027, 1, 2))
    ran = breakplan("start", "my shop", "--species", "hog, lamb,hog")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines() == [
        "Made my shop, for hog, lamb: recipes/hog.yaml, recipes/lamb.yaml, recipes/blends.yaml,",
        "first-week.yaml, journal.db, shop.yaml",
        "Every figure in it is an invented guess: put your own into shop.yaml, prices first.",
        "A first plan at once: breakplan week 'my shop/first-week.yaml'",
        "Your own: in that folder, enter what arrives (breakplan journal add --help) and what lies "
        "in the",
        "case (breakplan counts); then breakplan week plans from today on.",
    ]
    assert "starts: 2027-01-04" in (tmp_path / "my shop" / "first-week.yaml").read_text()
    assert breakplan("check", "my shop/shop.yaml", "my shop/first-week.yaml").code == 0


def test_json(breakplan, tmp_path):
    folder = tmp_path / "a" / "new" / "shop"
    ran = breakplan("start", folder, "--json")
    assert json.loads(ran.out) == {
        "format": "breakplan/1",
        "folder": str(folder),
        "species": ["lamb"],
        "made": LAMB,
    }
    assert set(files_in(folder)) == set(LAMB), "and nothing beside them"
    assert os.listdir(folder.parent) == ["shop"]


@pytest.mark.parametrize(
    ("species", "message"),
    [
        ("lamp", 'no recipe for "lamp"; did you mean "lamb"? (lamb, hog, beef, veal, goat)'),
        ("lamb,emu", 'no recipe for "emu" (lamb, hog, beef, veal, goat)'),
        (" , ", "no species is named; write one or more of lamb, hog, beef, veal, goat"),
    ],
)
def test_unknown_species(breakplan, tmp_path, species, message):
    ran = breakplan("start", tmp_path / "shop", "--species", species)
    assert (ran.code, ran.out, ran.err) == (2, "", f"--species: {message}")
    assert os.listdir(tmp_path) == []


def test_species_as_they_are_written():
    assert read_species("Lamb, HOG ,lamb") == ("lamb", "hog")


# ---- never over anything ----


def test_a_folder_with_other_files_is_filled(tmp_path):
    (tmp_path / "recipes").mkdir()
    (tmp_path / "recipes" / "mine.yaml").write_text("mine")
    (tmp_path / "notes.txt").write_text("notes")
    made(tmp_path)
    files = files_in(tmp_path)
    assert set(files) == {*LAMB, "recipes/mine.yaml", "notes.txt"}
    assert (files["recipes/mine.yaml"], files["notes.txt"]) == (b"mine", b"notes")
    assert read_shop(tmp_path)[1] == []


def test_the_folder_one_is_in(breakplan, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert breakplan("start", ".").code == 0
    assert set(os.listdir(".")) == {"recipes", "first-week.yaml", "journal.db", "shop.yaml"}


@pytest.mark.parametrize("name", [*LAMB, "recipes"])
def test_a_file_of_the_user_in_one_place_and_nothing_is_written(breakplan, tmp_path, name):
    path = tmp_path / name
    path.parent.mkdir(exist_ok=True)
    path.write_text("mine")
    ran = breakplan("start", tmp_path)
    assert ran.code == 2
    shown = "recipes (which is not a folder)" if name == "recipes" else name
    hint = "; its journal.db is missing: breakplan journal new makes an empty one"
    hint = hint if name == "shop.yaml" else ""
    assert ran.err == f"{tmp_path}: nothing was written, because it already has: {shown}{hint}"
    assert files_in(tmp_path) == {name: b"mine"}


def test_a_shop_folder_stays_as_it_is(breakplan, tmp_path):
    made(tmp_path / "shop")
    before = files_in(tmp_path / "shop")
    ran = breakplan("start", tmp_path / "shop")
    assert ran.code == 2
    assert ran.err.endswith(f"it already has: {', '.join(LAMB)}")
    assert breakplan("start", tmp_path / "shop", "--species", "hog").code == 2
    assert files_in(tmp_path / "shop") == before


def test_a_shop_folder_whose_journal_is_gone_is_told_how_to_get_one(breakplan, tmp_path):
    made(tmp_path)
    (tmp_path / "journal.db").unlink()
    before = files_in(tmp_path)
    ran = breakplan("start", tmp_path)
    assert ran.code == 2
    assert ran.err.endswith(
        "shop.yaml; its journal.db is missing: breakplan journal new makes an empty one"
    )
    assert files_in(tmp_path) == before


def test_a_file_that_comes_meanwhile_is_not_written_over(tmp_path, monkeypatch):
    """Another terminal writes shop.yaml after it was looked for: all that was moved goes back."""
    real = module.place_new

    def late(source, target):
        if target.name == "shop.yaml":
            target.write_text("theirs")
        real(source, target)

    monkeypatch.setattr(module, "place_new", late)
    with pytest.raises(InputError) as caught:
        made(tmp_path)
    shop = tmp_path / "shop.yaml"
    assert str(caught.value) == f"{shop}: is in the way; nothing was written"
    assert files_in(tmp_path) == {"shop.yaml": b"theirs"}
    assert not (tmp_path / "recipes").exists()


@pytest.mark.parametrize("there", [True, False])
def test_a_disk_without_links(tmp_path, monkeypatch, there):
    def no_links(source, target):
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    folder = tmp_path / "shop"
    if there:
        folder.mkdir()
    assert set(files_in(made(folder))) == set(LAMB)


# ---- places that will not do ----


def test_a_file_by_the_name_of_the_folder(breakplan, tmp_path):
    (tmp_path / "shop").write_text("mine")
    ran = breakplan("start", tmp_path / "shop")
    assert (ran.code, ran.err) == (2, f"{tmp_path / 'shop'}: is a file, not a folder")
    ran = breakplan("start", tmp_path / "shop" / "inner")
    assert ran.code == 2
    assert len(ran.err.splitlines()) == 1
    assert files_in(tmp_path) == {"shop": b"mine"}


@pytest.mark.parametrize("there", [True, False])
def test_a_full_disk(breakplan, tmp_path, there):
    """No file may be larger than 4 kB: the system refuses the rest of the recipe."""
    folder = tmp_path / "shop"
    if there:
        folder.mkdir()
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, hard))
    try:
        ran = breakplan("start", folder)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert ran.code == 2
    assert ran.err == f"{folder}: no shop folder can be made there: File too large"
    assert files_in(tmp_path) == {}
    assert os.listdir(tmp_path) == (["shop"] if there else [])


@pytest.mark.parametrize("there", [True, False])
def test_a_place_that_may_not_be_written_to(breakplan, tmp_path, monkeypatch, there):
    folder = tmp_path / "shop"
    if there:
        folder.mkdir()
    monkeypatch.setattr(Path, "mkdir", _refuse)
    ran = breakplan("start", folder)
    assert ran.code == 2
    assert ran.err == f"{folder}: no shop folder can be made there: Read-only file system"
    assert os.listdir(tmp_path) == (["shop"] if there else [])


def _refuse(path, *_, **__):
    raise OSError(30, "Read-only file system", str(path))


def test_a_name_no_folder_can_have(breakplan, tmp_path):
    ran = breakplan("start", tmp_path / ("x" * 300))
    assert ran.code == 2
    assert len(ran.err.splitlines()) == 1
    assert os.listdir(tmp_path) == []


# ---- killed in between ----

KILLED = """
import os, sys
from datetime import date
from pathlib import Path
from planner.shop import new_shop as module

def killed_at(step, folder):
    count = 0
    def counted(real):
        def call(*arguments):
            nonlocal count
            count += 1
            if count == step:
                os._exit(9)
            return real(*arguments)
        return call
    os.fsync, os.link, os.rename = map(counted, (os.fsync, os.link, os.rename))
    module.lay_out(folder, module.new_shop(("lamb",), date(2026, 11, 24)))

for step in range(1, 30):
    folder = Path(sys.argv[1]) / str(step)
    folder.mkdir()
    if sys.argv[2] == "there":
        (folder / "shop").mkdir()
    child = os.fork()
    if child == 0:
        killed_at(step, folder / "shop")
        os._exit(0)
    if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0:
        break
"""


@pytest.mark.parametrize("where", ["there", "new"])
def test_killed_at_any_step_it_can_be_done_again(tmp_path, where):
    """Also in another week, with another first Monday."""
    subprocess.run([sys.executable, "-c", KILLED, tmp_path, where], check=True, cwd=ROOT)
    folders = sorted(tmp_path.iterdir(), key=lambda each: int(each.name))
    assert len(folders) > (7 if where == "there" else 4)
    *killed, whole = [folder / "shop" for folder in folders]
    assert set(files_in(whole)) == set(LAMB)
    for folder in killed:
        if (folder / "shop.yaml").exists():  # it comes last: all the others are there
            assert set(LAMB) <= set(files_in(folder))
            continue
        if where == "new":
            assert not folder.exists(), "it comes whole or not at all"
        made(folder, today=date(2026, 12, 4))
        shown = {path for path in files_in(folder) if not path.startswith(".")}
        assert shown == set(LAMB)
        assert read_shop(folder)[1] == []


def test_a_journal_with_entries_or_another_recipe_is_not_taken_for_ours(tmp_path):
    made(tmp_path)
    (tmp_path / "shop.yaml").unlink()
    recipe = tmp_path / "recipes" / "lamb.yaml"
    recipe.write_text(recipe.read_text() + "# mine\n")
    with pytest.raises(InputError, match="already has: recipes/lamb.yaml$"):
        made(tmp_path)


# ---- what is shipped ----


def test_the_templates_are_in_the_package():
    """All of `planner/` goes into the wheel: what is not Python there goes along."""
    build = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["hatch"]["build"]
    assert build["targets"]["wheel"]["packages"] == ["planner"]
    names = {path.name for path in (ROOT / "planner" / "shop" / "starters").iterdir()}
    wanted = {f"{name}.yaml.jinja" for name in (*SPECIES, "several", "shop", "first-week")}
    assert names == wanted
