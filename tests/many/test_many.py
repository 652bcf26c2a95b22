"""`breakplan week` with several files and with named alternatives of each: rows, codes, words."""

from __future__ import annotations

import io
import json
import os
import sys

import pytest

from planner.core.errors import InputError
from planner.many.units import Trouble, plan_unit
from planner.many.weeks import plan_weeks
from planner.show import progress
from planner.show.many import weeks_text
from planner.solve import Options
from tests.many_work import weeks_of
from tests.planning import TIGHT, json_of, plan_of, read

IDEAS = """\
bone out every leg:
  prices: {leg roast: 61/each}
a longer friday, no bistro:
  bench: {fri: +60}
  drop orders: [the corner bistro]
twenty legs:
  rules: [at least 20 leg: whole]
"""


@pytest.fixture
def ideas(tmp_path):
    path = tmp_path / "ideas.yaml"
    path.write_text(IDEAS)
    return path


@pytest.fixture
def inside(shop, monkeypatch):
    """The shop's folder is the working folder: names are short."""
    monkeypatch.chdir(shop.folder)
    return shop


def names(paths):
    return [path.name for path in paths]


def here(units, told):
    """A runner in this process."""
    for number, unit in units:
        told([number])
        yield number, plan_unit(unit)


def timeless(plan):
    return {**plan, "seconds": 0}


def shut(shop, name, code):
    """A week that ends with an exit code: 2 and 3 as written, 4 for want of time."""
    path = shop.folder / f"{name}.yaml"
    spoil = {2: ("carry: 40%", "carry: 40"), 3: ("1 leg: whole", "20 leg: whole")}[code]
    path.write_text(shop.week.read_text().replace(*spoil))
    return path


# ---- several files ----


def test_one_file_is_told_as_ever_and_several_as_a_document(breakplan, shop):
    one = json.loads(breakplan("week", shop.week, "--json").out)
    assert "weeks" not in one
    paths = weeks_of(shop, 3)
    ran = breakplan("week", *paths, "--json", "--cores", "2")
    assert (ran.code, ran.err) == (0, "")
    data = json.loads(ran.out)
    assert list(data) == ["format", "weeks"] and data["format"] == "breakplan/1"
    assert [list(each) for each in data["weeks"]] == [["file", "plan"]] * 3
    assert [each["file"] for each in data["weeks"]] == [str(path) for path in paths]
    for each, path in zip(data["weeks"], paths, strict=True):
        assert timeless(each["plan"]) == timeless(json_of(path, Options()))


def test_rows_stand_in_the_order_of_the_files_whatever_is_done_first(breakplan, inside):
    first, second = names(weeks_of(inside, 2))
    ran = breakplan("week", "corner-shop", second, first, "--within", "2%", "--cores", "2")
    lines = ran.out.splitlines()
    assert ran.code == 0
    assert [line.split()[0] for line in lines[1:4]] == ["corner-shop", second, first]
    assert lines[0].split() == ["score", "within", "short", "seconds", "ended", "by"]
    assert f"${plan_of(inside.folder / second, Options(share=0.02)).score:,.2f}" in lines[2]
    assert lines[5].startswith("3 of 3 plans made in ")


def test_cores_and_the_within_of_each(breakplan, shop):
    paths = weeks_of(shop, 2)
    ran = breakplan("week", *paths, "--cores", "1", "--within", "0", "--json")
    found = [each["plan"] for each in json.loads(ran.out)["weeks"]]
    assert [each["status"] for each in found] == ["proven", "proven"]
    assert breakplan("week", *paths, "--cores", "0").code == 2


def test_failing_files_do_not_stop_the_others(breakplan, inside):
    good = names(weeks_of(inside, 2))
    wrong, strict = names([shut(inside, "wrong", 2), shut(inside, "strict", 3)])
    ran = breakplan("week", wrong, good[0], "nowhere.yaml", strict, inside.folder, good[1])
    assert ran.code == 2, "the smallest of 2 and 3"
    lines = ran.out.splitlines()
    assert lines[1].split(maxsplit=1) == [wrong, "the input is wrong"]
    assert "$" in lines[2] and "$" in lines[6]
    assert lines[3].split(maxsplit=1) == ["nowhere.yaml", "the input is wrong"]
    assert lines[4].split(maxsplit=1) == [strict, "the rules cannot be kept"]
    assert lines[5].endswith("  the input is wrong")
    assert "2 of 6 plans made" in ran.out
    told = [line for line in ran.err.splitlines() if not line.startswith("warning: ")]
    line = inside.line("scenario", "carry:")
    assert told[0].startswith(f"{wrong}:{line}: carry: ")
    assert told[1].startswith("nowhere.yaml: no such file")
    assert told[2].startswith(f"{strict}: this cannot be kept:")
    assert "at least 20 leg: whole (rule on line 31)" in told[3]
    assert told[4].endswith(": this is a folder; name a file in it")
    assert len(told) == 5 and "Traceback" not in ran.err


def test_failing_files_in_the_document(breakplan, shop):
    wrong, strict = shut(shop, "wrong", 2), shut(shop, "strict", 3)
    ran = breakplan("week", strict, shop.week, wrong, "--json")
    rows = json.loads(ran.out)["weeks"]
    assert ran.code == 2
    assert [each.get("exit code") for each in rows] == [3, None, 2]
    assert rows[0]["conflict"] == ["at least 20 leg: whole (rule on line 31)"]
    assert rows[2]["problems"][0]["line"] == shop.line("scenario", "carry:")
    assert rows[2]["error"].startswith(f"{wrong}:")
    assert list(rows[1]) == ["file", "plan"]
    assert "carry" in ran.err, "people who look at the terminal are told as well"


@pytest.mark.parametrize(
    ("codes", "code"), [([0, 0], 0), ([0, 4], 4), ([4, 3, 0], 3), ([3, 2], 2), ([2, 1, 4], 1)]
)
def test_the_exit_code_is_the_gravest(shop, codes, code):
    def failing(units, told):
        for number, unit in units:
            bad = codes[number]
            yield number, Trouble("bad", "bad", bad) if bad else plan_unit(unit)

    paths = [str(path) for path in weeks_of(shop, len(codes))]
    assert plan_weeks(paths, None, Options(), failing).exit_code == code


def test_a_file_named_twice_is_planned_once(breakplan, shop):
    ran = breakplan("week", shop.week, "one-lamb", shop.folder / "." / "week.yaml", "one-lamb")
    assert ran.code == 0
    assert "2 of 2 plans made" in ran.out
    assert ran.err.count("named more than once, and planned once") == 2


def test_files_of_one_name_in_two_folders_are_two(breakplan, shop, tmp_path):
    far = tmp_path / ("a folder with a very long name " * 3) / "shop"
    paths = [far / "north" / "week.yaml", far / "south" / "week.yaml"]
    for path in paths:
        path.parent.mkdir(parents=True)
        path.write_text(shop.week.read_text())
        (path.parent / "goat.yaml").write_text(shop.recipe.read_text())
    ran = breakplan("week", *paths)
    first, second = ran.out.splitlines()[1:3]
    assert "north/week.yaml  $" in first and "south/week.yaml  $" in second
    assert max(map(len, ran.out.splitlines())) <= 100


def test_oddities_of_all_files_are_told(breakplan, shop):
    shop.spoil("scenario", ("60/each", "0/each"))
    ran = breakplan("week", shop.week, "one-lamb")
    assert ran.err == f"warning: {shop.week}:25: leg roast has a price of zero\n"


def test_a_fault_of_a_shared_recipe_is_told_once_with_its_weeks(breakplan, inside):
    paths = names(weeks_of(inside, 5))
    inside.spoil("recipe", ("minutes: 16", "minutes: soon"))
    ran = breakplan("week", *paths)
    assert ran.code == 2 and "0 of 5 plans" in ran.out
    line, *others = ran.err.splitlines()
    assert line.startswith(f"goat.yaml:{inside.line('recipe', 'minutes: soon')}: ")
    assert line.endswith(f" ({paths[0]}, {paths[1]}, {paths[2]} and 2 more)")
    assert others == [f"{path}:4: the recipe goat.yaml has faults" for path in paths]


def test_options_of_one_file_only(breakplan, shop, tmp_path):
    ran = breakplan("week", shop.week, "one-lamb", "--model-file", tmp_path / "week.mps")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == "--model-file: works with one file only, without --changes and " + (
        "--scheduler"
    )
    assert not (tmp_path / "week.mps").exists()


def test_cores_are_of_this_machine(breakplan, shop):
    ran = breakplan("week", shop.week, "one-lamb", "--cores", "2", "--scheduler", "here:1")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("--cores: is for this machine; ")


def test_cautions_are_printed_once(breakplan, shop):
    ran = breakplan("week", shop.week, "one-lamb", "--cautions")
    assert ran.out.count("CAUTIONS") == 1


# ---- named alternatives of each ----


def test_alternatives_follow_their_file_with_what_they_earn(shop, ideas):
    paths = [str(path) for path in weeks_of(shop, 2)]
    weeks = plan_weeks(paths, str(ideas), TIGHT, here)
    assert [row.file for row in weeks.rows] == [paths[0]] * 4 + [paths[1]] * 4
    names = ["", "bone out every leg", "a longer friday, no bistro", "twenty legs"]
    assert [row.name for row in weeks.rows] == names * 2
    for today, *others in (weeks.rows[:4], weeks.rows[4:]):
        for row in others[:2]:
            assert row.effect.least == row.plan.score - today.plan.bound
            assert row.effect.most == row.plan.bound - today.plan.score
            assert row.effect.least <= row.plan.score - today.plan.score <= row.effect.most
        assert others[2].effect is None and others[2].trouble.exit_code == 3
        assert others[0].effect.least > 0, "a dearer leg earns more"


def test_each_alternative_is_the_plan_of_a_file_that_says_the_same(shop, ideas):
    weeks = plan_weeks([str(shop.week)], str(ideas), TIGHT, here)
    shop.spoil("scenario", ("fri: 301", "fri: 361"))
    shop.spoil(
        "scenario",
        ("    orders:\n      - {day: fri, amount: 9 lb, for: the corner bistro}\n", ""),
    )
    written = plan_of(shop.week, TIGHT)
    assert weeks.rows[2].plan.score == pytest.approx(written.score, abs=0.002)


def test_alternatives_in_the_table(breakplan, shop, ideas):
    ran = breakplan("week", shop.week, "--changes", ideas, "--within", "0")
    lines = ran.out.splitlines()
    assert ran.code == 3
    assert lines[0].split()[:3] == ["score", "earns", "within"]
    assert lines[2].startswith("    + bone out every leg ") and "+$" in lines[2]
    assert lines[4].split(maxsplit=3)[3] == "the rules cannot be kept"
    assert "3 of 4 plans made" in ran.out and "the two ends are proven" in " ".join(lines)
    assert ran.err.startswith(f"{shop.week} + twenty legs: this cannot be kept:\n")
    assert max(map(len, lines)) <= 100


def test_alternatives_in_the_document(breakplan, shop, ideas):
    ran = breakplan("week", shop.week, "one-lamb", "--changes", ideas, "--within", "0", "--json")
    rows = json.loads(ran.out)["weeks"]
    assert [each.get("alternative") for each in rows[:2]] == [None, "bone out every leg"]
    assert rows[1]["changes"] == [{"kind": "price", "text": "leg roast: 61/each"}]
    gain = rows[1]["plan"]["score"] - rows[0]["plan"]["score"]
    assert rows[1]["difference"]["least"] - 1e-6 <= gain <= rows[1]["difference"]["most"] + 1e-6
    assert rows[1]["difference"]["verdict"] == "more"
    assert "plan" not in rows[3] and rows[3]["exit code"] == 3


def test_changes_that_do_not_fit_one_file_fail_there_and_nowhere_else(breakplan, shop, ideas):
    ran = breakplan("week", "one-lamb", shop.week, "--changes", ideas, "--within", "0")
    assert ran.code == 2
    lines = ran.out.splitlines()
    assert "$" in lines[1] and "$" in lines[5] and "$" in lines[6] and "$" in lines[7]
    assert all("the changes do not fit this file" in line for line in lines[2:5])
    assert "leg roast" in ran.err and f"{ideas}:2: " in ran.err
    assert ran.err.splitlines()[0].endswith(" (one-lamb)")


def test_a_change_of_nothing_makes_no_difference(shop, tmp_path):
    path = tmp_path / "same.yaml"
    path.write_text("the same: {prices: {leg roast: 60/each}}\n")
    weeks = plan_weeks([str(shop.week)], str(path), TIGHT, here)
    assert weeks.rows[1].effect.verdict == "no difference"
    assert "no difference" in weeks_text(weeks)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (None, "no such file"),
        ("a: [", "not YAML"),
        ("a:\n  prises: {leg roast: 3/each}\n", ":2: "),
        ("starts: 2026-11-30\ndays: 6\nrail: []\n", "a file of alternatives is expected"),
    ],
)
def test_a_wrong_file_of_changes_is_told_before_anything_is_planned(shop, tmp_path, text, told):
    path = tmp_path / "changes.yaml"
    if text is not None:
        path.write_text(text)

    def never(units, running):
        raise AssertionError

    with pytest.raises(InputError, match=told):
        plan_weeks([str(shop.week)], str(path), Options(), never)


# ---- progress ----


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_a_bar_says_how_many_are_done_and_what_runs(inside, ideas, monkeypatch):
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setattr(progress, "PATIENCE", 0.0)
    monkeypatch.setattr(progress, "PAUSE", 0.0)
    paths = [*names(weeks_of(inside, 2)), "nowhere.yaml"]
    with progress.bar_line() as tell:
        plan_weeks(paths, str(ideas), Options(), here, tell)
        tell(5, 100, [f"shops/{'far away/' * 9}{number}.yaml" for number in range(64)])
        tell(100, 100, [])
    *shown, end = terminal.getvalue().split("\r\033[K")[1:]
    shown = [line.partition(" s   ")[2] for line in shown]
    assert shown[0] == f"[{'-' * 20}] 0 of 12 done   week-0.yaml"
    assert shown[1] == f"[#{'-' * 19}] 1 of 12 done   week-0.yaml + bone out every leg"
    assert shown[-3].split("   ")[1] == "week-1.yaml + twenty legs"
    assert shown[-2].endswith("sho..2.yaml and 61 more")
    assert shown[-1] == f"[{'#' * 20}] 100 of 100 done"
    assert max(map(len, shown)) < 100 - progress.TIME
    assert end == "", "taken away at the end"


def test_a_bar_in_a_narrow_terminal_has_one_line(monkeypatch):
    monkeypatch.setattr(progress.os, "get_terminal_size", lambda number: os.terminal_size((40, 20)))
    monkeypatch.setattr(sys, "stderr", sys.__stderr__)
    assert len(progress._bar(3, 100, ["a-week-with-a-long-name.yaml"])) < 40 - progress.TIME


def test_nothing_is_shown_where_there_is_no_terminal(breakplan, shop, monkeypatch):
    monkeypatch.setattr(progress, "PATIENCE", 0.0)
    assert breakplan("week", *weeks_of(shop, 2)).err == ""


def test_a_plan_that_is_read_is_the_file_of_the_row(shop):
    weeks = plan_weeks([str(shop.week)], None, Options(), here)
    assert weeks.rows[0].plan.scenario == read(shop.week)
