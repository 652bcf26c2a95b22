"""Pictures of a plan: nothing is left out, nothing overlaps, and no name can do harm."""

from __future__ import annotations

import re
import subprocess
import sys
import xml.etree.ElementTree as ET
import zipfile
from collections import Counter
from dataclasses import replace

import pytest

from planner.ask.decisions import piece_counts
from planner.core.plan_lines import BenchDay
from planner.files.recipe_file import read_recipe
from planner.show.pictures import flow_picture, side_pictures
from planner.show.pictures.side import drawing_of, told_at
from tests.picture_checks import (
    BAD,
    ROOT,
    SCENARIOS,
    SVG,
    assert_harmless,
    assert_no_text_over_another,
    drawings,
    hostile,
    inside,
    pictures,
    shipped,
    texts,
)

SPECIES = ["lamb", "goat", "hog", "beef", "veal"]
RECIPES = ["lamb", "goat", "hog", "beef-hind", "beef-fore", "veal"]


@pytest.mark.parametrize("name", SCENARIOS)
def test_pictures_of_shipped_weeks_are_sound(name):
    every_id: list[str] = []
    for svg in drawings(shipped(name)):
        assert svg.tag == f"{SVG}svg"
        assert svg.get("role") == "img"
        known = {each.get("id"): each for each in svg.iter() if each.get("id")}
        every_id += [each.get("id", "") for each in svg.iter() if each.get("id")]
        for label in svg.get("aria-labelledby", "").split():
            assert known[label].text
        assert float(svg.get("viewBox", "").split()[2]) == 760
        assert float(svg.get("font-size", "0")) >= 13
        assert all(float(each.get("font-size", "13")) >= 13 for each in svg.iter(f"{SVG}text"))
        assert_harmless(svg)
        assert_no_text_over_another(svg)
    assert len(set(every_id)) == len(every_id)
    assert all(picture.words and picture.title for picture in pictures(shipped(name)))


@pytest.mark.parametrize("name", SCENARIOS)
def test_every_way_of_the_plan_is_in_the_drawing_and_in_the_words(name):
    plan = shipped(name)
    for picture in side_pictures(plan):
        shown = texts(ET.fromstring(picture.svg))
        recipe = next(
            each for each in plan.scenario.recipes if f" {each.species} " in picture.title
        )
        counts: Counter[tuple[str, str]] = Counter()
        for each in plan.breaks:
            if each.species == recipe.species:
                counts[each.piece.removeprefix(f"{recipe.species} "), each.way] += each.count
        assert counts
        lines = Counter(line for line in shown if re.match(r"\d", line))
        for (piece, way), count in counts.items():
            told = [line for line in picture.words if re.match(rf"{piece} \d+: ", line)]
            assert len(told) == 1
            assert f"{count} {way}" in re.split(r"[:,] ", told[0])
            in_label = lines[f"{count} {way}"] >= sum(
                other == way and number == count and piece not in ("carcass", "side")
                for (_, other), number in counts.items()
            )
            assert in_label or told[0] in shown
        for piece in {piece for piece, _ in counts}:
            assert any(re.match(rf"{piece} \d+(: .*)?$", line) for line in shown)


def test_pieces_left_whole_and_out_of_date_are_told():
    plan = shipped("holiday")
    (picture,) = side_pictures(plan)
    shown = texts(ET.fromstring(picture.svg))
    assert plan.uncut
    for each in piece_counts(plan, plan.scenario.recipes[0]):
        total = sum(uncut.count for uncut in plan.uncut if uncut.piece == each.piece)
        assert each.left + each.wasted == total
        if each.left:
            assert f"{each.left} left whole" in shown


@pytest.mark.parametrize("name", RECIPES)
def test_every_piece_of_a_shipped_recipe_but_what_hangs_has_a_region(name):
    recipe = read_recipe(ROOT / "recipes" / f"{name}.yaml", name)[0]
    drawing = drawing_of(recipe.species)
    told = told_at(recipe, drawing)
    assert set(recipe.pieces) - set(told) == set(recipe.roots)
    own = {piece for region in drawing.regions for piece in region.pieces}
    for piece in recipe.pieces[recipe.roots[0]].ways.values():
        for given in piece.pieces:
            assert given.name in own or given.name == "shoulder" or name == "hog"


@pytest.mark.parametrize("species", SPECIES)
def test_regions_do_not_overlap_and_cover_the_animal(species):
    drawing = drawing_of(species)
    shapes = [(r.pieces[0], shape) for r in drawing.regions for shape in r.shapes]
    covered = seen = 0
    for x in range(0, 600, 3):
        for y in range(0, 360, 3):
            point = (x + 0.37, y + 0.41)
            at = [name for name, shape in shapes if inside(point, shape)]
            assert len(at) <= 1, (point, at)
            if inside(point, drawing.body):
                seen += 1
                covered += len(at)
    assert seen > 3000
    assert covered / seen > 0.999
    for region in drawing.regions:
        assert any(inside(region.dot, shape) for shape in region.shapes)
        assert inside(region.dot, drawing.body)


@pytest.mark.parametrize("species", SPECIES)
def test_animals_face_left_and_stay_in_their_box(species):
    drawing = drawing_of(species)
    left, top, right, bottom = drawing.box
    names = {piece: region.dot for region in drawing.regions for piece in region.pieces}
    fore = next(names[each] for each in ("neck", "jowl", "brisket") if each in names)
    hind = next(names[each] for each in ("leg", "ham", "round") if each in names)
    assert fore[0] < hind[0]
    for path in (*drawing.behind, *drawing.before):
        if "a" not in path:  # the eye is drawn with steps, not places
            for x, y in re.findall(r"(-?[\d.]+),(-?[\d.]+)", path):
                assert left - 4 <= float(x) <= right + 4
                assert top - 4 <= float(y) <= bottom + 4


@pytest.mark.parametrize("species", ["lamb", "okapi <b>"])
def test_no_name_does_harm(tmp_path, species):
    plan = hostile(tmp_path, species)
    assert len([cut for cut in plan.cuts if cut.made]) > 20
    for picture in pictures(plan):
        assert "<script" not in picture.svg
        assert not any(turn in picture.svg + "".join(picture.words) for turn in "\u202e\u202d")
        if picture.svg:
            svg = ET.fromstring(picture.svg)
            assert_harmless(svg)
            assert_no_text_over_another(svg)
    flow = " ".join(texts(ET.fromstring(flow_picture(plan).svg)))
    assert "<script>" in flow  # as text
    assert "{{ 7" in flow


def test_a_species_without_a_drawing_is_told_in_words(tmp_path):
    plan = hostile(tmp_path, "okapi")
    (picture,) = side_pictures(plan)
    assert picture.svg == ""
    counts = {each.piece: each.total for each in piece_counts(plan, plan.scenario.recipes[0])}
    assert counts[f"p{BAD[0]}"]
    assert f"p{BAD[0]} {counts[f'p{BAD[0]}']}: " in "\n".join(picture.words)
    for bad in BAD:
        assert any(bad[:20] in line for line in picture.words)


def test_pieces_that_are_on_no_drawing_are_told_above_it(tmp_path):
    plan = hostile(tmp_path, "lamb")
    (picture,) = side_pictures(plan)
    shown = texts(ET.fromstring(picture.svg))
    assert any(line.startswith(f"p{BAD[0]} ") for line in shown)
    assert any(line.startswith("carcass 12: ") for line in shown)


def test_pieces_cut_nowhere_are_named_and_not_filled():
    plan = shipped("one-lamb")
    kept = tuple(each for each in plan.breaks if each.piece == "leg")
    (picture,) = side_pictures(replace(plan, breaks=kept, uncut=()))
    svg = ET.fromstring(picture.svg)
    assert "shoulder: none" in texts(svg)
    assert "none: carcass, double rack" in picture.words[-1]
    filled = [each for each in svg.iter(f"{SVG}path") if "meat" in each.get("style", "")]
    assert len(filled) == 1


def test_a_week_in_which_nothing_happens_can_be_drawn():
    plan = shipped("one-lamb")
    bench = tuple(BenchDay(day, 0.0, 0.0, 0.0) for day in range(plan.scenario.days))
    empty = replace(plan, breaks=(), uncut=(), cuts=(), batches=(), bench=bench)
    for svg in drawings(empty):
        assert_no_text_over_another(svg)


@pytest.mark.parametrize("name", SCENARIOS)
def test_the_same_plan_gives_the_same_pictures(name):
    assert pictures(shipped(name)) == pictures(shipped(name))


def test_ids_begin_with_the_prefix():
    for picture in (
        flow_picture(shipped("one-lamb"), "x1"),
        *side_pictures(shipped("one-lamb"), "x2"),
    ):
        ids = re.findall(r' id="([^"]+)"', picture.svg)
        assert ids and all(re.match(r"x[12]-", each) for each in ids)


def test_the_templates_are_in_the_wheel(tmp_path):
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    with zipfile.ZipFile(next(tmp_path.glob("*.whl"))) as wheel:
        names = set(wheel.namelist())
    for name in ("side", "flow", "bench"):
        assert f"planner/show/templates/{name}.svg.jinja" in names


def test_help_does_not_wait_for_the_maker_of_pictures():
    program = (
        "import sys; from typer.testing import CliRunner; from planner.commands.program import app;"
        "assert CliRunner().invoke(app, ['--help']).exit_code == 0;"
        "assert CliRunner().invoke(app, ['week', '--help']).exit_code == 0;"
        "sys.exit('jinja2' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=False).returncode == 0
