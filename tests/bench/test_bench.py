"""The benchmark: its invented shops, its rivals, its arithmetic."""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import replace

import pytest

from planner.files.scenario_file import read_scenario
from tests.bench import __main__ as bench
from tests.bench.compare import Result, disagreements
from tests.bench.generate import WEEKS, growth, plant, shop_week
from tests.bench.generate import main as generate
from tests.bench.growth import exponent
from tests.bench.invent import read_text
from tests.bench.measure import ROOT, export, ours
from tests.bench.questions import alternatives
from tests.bench.rivals import highs_default, sizes
from tests.bench.table import geometric_mean, ratio, summaries

ONE_LAMB = str(ROOT / "scenarios" / "one-lamb.yaml")


def test_same_seed_same_text():
    text = shop_week(5, lots=4, days=6, species=2, head=14)
    assert text == shop_week(5, lots=4, days=6, species=2, head=14)
    assert text != shop_week(6, lots=4, days=6, species=2, head=14)
    # changes with the generator and with the shipped recipes, and with nothing else
    assert hashlib.sha256(text.encode()).hexdigest()[:16] == "d5655186ff95c17a"
    assert "Invented" in text
    assert "invented shop, generated" in text


def test_the_program_writes_the_same_text(capsys):
    generate(["7", "--lots", "3", "--head", "9"])
    assert capsys.readouterr().out == shop_week(7, lots=3, head=9)
    with pytest.raises(SystemExit):
        generate(["7", "--lots", "3", "--head", "1"])
    assert "head for" in capsys.readouterr().err


@pytest.mark.parametrize("week", [*WEEKS, plant()], ids=lambda week: week.name)
def test_generated_weeks_read_and_have_the_sizes_they_say(week):
    scenario = read_text(week.text(), week.name)  # raises on any fault
    assert (len(scenario.lots), scenario.days) == (week.lots, week.days)
    live = [lot for lot in scenario.lots if lot.piece in lot.recipe.roots]
    assert sum(lot.count for lot in live) == week.head
    assert len({lot.recipe.species for lot in live}) == week.species
    assert scenario.demand


def test_weeks_are_those_of_the_issue():
    assert len({week.text() for week in WEEKS}) == 20
    for week in WEEKS:
        assert 2 <= week.lots <= 5
        assert 5 <= week.days <= 7
        assert week.species <= 2
        assert 4 <= week.head <= 30


def test_head_only_scale():
    few, many = (read_text(replace(WEEKS[12], head=head).text()) for head in (50, 5000))
    for one, other in zip(few.lots, many.lots, strict=True):
        assert replace(one, count=0, recipe=other.recipe) == replace(other, count=0)
        assert other.count == pytest.approx(100 * one.count, rel=0.3)
    assert (few.carry, few.disposal) == (many.carry, many.disposal)
    assert [rule.way for rule in few.rules] == [rule.way for rule in many.rules]
    assert few.bench
    assert many.bench
    assert sum(many.bench) == pytest.approx(100 * sum(few.bench), rel=0.1)
    worth = [sum(sum(d.want) * (d.price or 0) for d in s.demand.values()) for s in (few, many)]
    assert worth[1] == pytest.approx(100 * worth[0], rel=0.1)


def test_growth_changes_one_size_at_a_time():
    assert [size for size, _ in growth("head")] == [n for n in (5, 50, 500, 5000) for _ in "abc"]
    assert {week.lots for _, week in growth("lots")} == {2, 5, 10, 20}
    assert {week.days for _, week in growth("days")} == {6, 12, 24}
    for kind, kept in (("head", ("lots", "days")), ("lots", ("days",)), ("days", ("lots", "head"))):
        for size in kept:
            assert len({getattr(week, size) for _, week in growth(kind)}) == 1


@pytest.mark.parametrize("week", [WEEKS[0], WEEKS[3]], ids=lambda week: week.name)
def test_plans_of_generated_weeks_pass_the_checker(week, tmp_path):
    path = tmp_path / f"{week.name}.yaml"
    path.write_text(week.text(), encoding="utf-8")
    answer = ours(str(path), share=0.02, amount=0.0, seconds=10.0)
    assert answer["faults"] == []
    assert answer["short"] == 0
    assert 0 < answer["objective"] <= answer["bound"] <= answer["objective"] * 1.021


def test_rivals_agree_on_one_lamb(tmp_path):
    mine = ours(ONE_LAMB, share=1e-7, amount=0.0, seconds=20.0)
    pulps = ours(ONE_LAMB, share=1e-7, amount=0.0, seconds=20.0, bundled=True)
    path = str(tmp_path / "lamb.mps")
    rough = export(ONE_LAMB, path, 10.0)
    theirs = highs_default(path, rough["constant"], allowed=1e-5, seconds=20.0)
    assert mine["done"]
    assert theirs["done"]
    assert theirs["objective"] == pytest.approx(mine["objective"], abs=1e-3)
    assert theirs["bound"] == pytest.approx(mine["bound"], abs=1e-3)
    assert pulps["objective"] == pytest.approx(mine["objective"], abs=1e-3)
    assert list(disagreements(mine, theirs)) == []
    assert sizes(path)["columns"] > 50


def test_a_plan_above_a_bound_is_noticed():
    mine = {"objective": 100.0, "bound": 100.5}
    above = {"objective": 101.0, "bound": 101.5}
    below = {"objective": 98.0, "bound": 99.0}
    (one,) = disagreements(mine, above)
    assert "HiGHS has a plan" in one
    (other,) = disagreements(mine, below)
    assert "our plan" in other
    assert list(disagreements(mine, {"objective": None, "bound": None})) == []


def test_exponent_of_known_numbers():
    assert exponent({n: 0.3 * n**1.7 for n in (2, 5, 10, 20)}) == pytest.approx(1.7)
    assert exponent({5: 1.0, 50: 1.0, 500: 1.0}) == pytest.approx(0.0)
    # by hand: slope through (0, 0), (1, 1), (2, 1) in powers of ten is 1/2
    assert exponent({1: 1.0, 10: 10.0, 100: 10.0}) == pytest.approx(0.5)


def test_ratios_and_their_mean():
    def answer(wall: float, done: bool = True) -> dict[str, float | bool]:
        return {"wall": wall, "solver": wall / 2, "done": done}

    assert str(ratio("a", answer(2), answer(7))) == "3.50"
    assert str(ratio("a", answer(2), answer(60, done=False))) == ">30.00"
    assert str(ratio("a", answer(60, done=False), answer(30))) == "<0.50"
    assert ratio("a", answer(60, done=False), answer(60, done=False)) is None
    assert geometric_mean([1.0, 4.0]) == pytest.approx(2.0)
    results = [
        Result(name, {}, {"1.00": answer(2)}, {"1.00": answer(theirs)})
        for name, theirs in (("a", 8), ("b", 2))
    ]
    (summary,) = summaries(results)
    assert summary.mean == pytest.approx(2.0)
    assert summary.smallest.name == "b"
    assert [each.times for each in summary.solver_only] == [8.0, 2.0]


def test_ten_alternatives_that_can_be_read():
    for name in ("corner-shop.yaml", "holiday.yaml", "one-lamb.yaml"):
        scenario, _ = read_scenario(ROOT / "scenarios" / name, name)
        ten = list(alternatives(scenario))
        assert len({each.name for each in ten}) == 10
        assert all(each.scenario != scenario for each in ten)
    for week in (WEEKS[1], WEEKS[5], WEEKS[13]):
        assert len(list(alternatives(read_text(week.text())))) == 10


@pytest.mark.thorough
def test_a_run_prints_a_table_and_writes_json(tmp_path, capsys):
    path = tmp_path / "bench.json"
    run = ["--only", "one-lamb", "--gaps", "0.1%", "--seconds", "20", "--json", str(path)]
    assert bench.main(run) == 0
    shown, told = capsys.readouterr()
    assert re.search(r"^one-lamb +[\d.]+ +[\d.]+$", shown, re.MULTILINE)
    assert "geometric mean" in shown
    assert "one-lamb: 0.1%, HiGHS" in told
    assert max(map(len, shown.splitlines())) <= 100
    data = json.loads(path.read_text(encoding="utf-8"))
    (one,) = data["instances"]
    assert one["sizes"]["columns"] > 50
    assert one["ours"]["0.1%"]["done"]
    assert one["ours"]["0.1%"]["peak"] > 10
    assert [each["gap"] for each in data["summary"]] == ["0.1%", "bundled"]
    assert bench.main(["--seconds", "20", "--show", str(path)]) == 0
    assert capsys.readouterr().out == shown
    assert bench.main(["--show", str(path), "--clock", "cpu"]) == 0
    assert "Processor time" in capsys.readouterr().out


def test_help_has_an_example(capsys):
    with pytest.raises(SystemExit, match="0"):
        bench.main(["--help"])
    assert "Example: python -m tests.bench --only corner-shop" in capsys.readouterr().out


def test_a_wrong_answer_is_told_and_fails(monkeypatch, capsys):
    wrong = Result("one-lamb", {}, wrong=["a plan above a bound"])
    monkeypatch.setattr(bench, "measured", lambda *_: wrong)
    assert bench.main(["--only", "one-lamb"]) == 1
    assert "WRONG ANSWER: ONE-LAMB, A PLAN ABOVE A BOUND" in capsys.readouterr().out
