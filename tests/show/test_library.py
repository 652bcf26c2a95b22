"""The planner as a library: the names it offers, what a notebook shows, tables, the README."""

from __future__ import annotations

import inspect
import re
import subprocess
import sys
import warnings
from pathlib import Path

import pytest

import planner
from planner import InputError, Options, Plan, Scenario, changed, plan_week, read_scenario
from planner.ask.comparison import Comparer
from planner.ask.whatif import whatif
from planner.files.check import check
from planner.show.json import plan_data
from planner.show.table import csv_text, tables
from planner.solve.plan import plan_week as planned

ROOT = Path(__file__).parent.parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
NOTEBOOK = ROOT / "scenarios" / "questions.ipynb"
BEST = Options(share=0, amount=0)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_week(read_scenario("one-lamb"), BEST)


def test_every_public_name_is_there_and_says_what_it_is():
    assert {"read_scenario", "plan_week", "Scenario", "Plan", "Options", "InputError"} <= {
        *planner.__all__
    }
    for name in planner.__all__:
        found = getattr(planner, name)
        assert found.__doc__ and name in dir(planner)
        if inspect.isfunction(found):  # every argument and error is told, numpydoc style
            heads = re.findall(r"^ {4}(\w+) ?: ", found.__doc__, re.MULTILINE)
            assert [*inspect.signature(found).parameters] == heads
            assert "Raises\n    ------\n" in found.__doc__


def test_a_name_that_is_not_public_is_not_offered():
    with pytest.raises(AttributeError, match="no attribute 'make_plan'"):
        planner.make_plan  # noqa: B018
    with pytest.raises(ImportError):
        exec("from planner import make_plan")


def test_the_names_do_not_make_the_program_wait_for_a_solver():
    code = "import sys, planner, planner.commands.program\nprint([*{'highspy', 'pulp', 'pydantic'"
    code += ", 'pandas'} & {*sys.modules}])\nplanner.plan_week\nprint('highspy' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert told.stdout == "[]\nTrue\n", told.stderr


@pytest.mark.thorough
def test_a_type_checker_knows_the_names(tmp_path):
    path = tmp_path / "script.py"
    path.write_text(
        "from planner import Options, plan_week, read_scenario\n"
        "plan = plan_week(read_scenario('one-lamb'), Options(seconds=1.0))\n"
        "reveal_type(plan)\nreveal_type(plan.score)\nreveal_type(plan.breaks[0].way)\n"
        "from planner import make_plan\n"
    )
    command = [sys.executable, "-m", "mypy", "--strict", "--config-file=", "--no-error-summary"]
    told = subprocess.run([*command, str(path)], cwd=ROOT, capture_output=True, text=True)
    kinds = re.findall(r'Revealed type is "(.*)"', told.stdout)
    assert [kind.rpartition(".")[2] for kind in kinds] == ["Plan", "float", "str"]
    assert 'has no attribute "make_plan"' in told.stdout


def test_a_scenario_is_read_by_name_and_by_path(tmp_path):
    named = read_scenario("one-lamb")
    assert isinstance(named, Scenario)
    path = tmp_path / "mine.yaml"
    path.write_text((ROOT / "scenarios" / "one-lamb.yaml").read_text(encoding="utf-8"))
    assert read_scenario(path).title == read_scenario(str(path)).title == named.title


def test_faults_have_their_line_and_slips_are_warnings_of_python(shop):
    shop.spoil("scenario", ("12.99/lb", "1299/lb"))
    with pytest.warns(UserWarning, match="a price more than 10 times") as found:
        read_scenario(shop.week)
    assert [str(each.message) for each in found] == [
        str(each) for each in check(str(shop.week)).warnings
    ]
    assert found[0].filename == __file__
    shop.spoil("scenario", ("days: 6", "days: six"))
    with pytest.raises(InputError, match="week.yaml:3: "):
        read_scenario(shop.week)
    with pytest.raises(InputError, match="no such file"):
        read_scenario("one-lam")


def test_the_plan_is_that_of_the_program_and_goes_wherever_one_does(plan):
    same = planned(plan.scenario, BEST)
    told, expected = plan_data(plan), plan_data(same)
    assert told | {"seconds": 0} == expected | {"seconds": 0}
    assert type(same) is not Plan and isinstance(plan, type(same))


def test_a_plan_is_a_line_in_a_terminal(plan):
    assert repr(plan) == ("<Plan of 'One lamb, an invented shop': score $837.92, within $0.00>")
    short = plan_week(changed(plan.scenario, order="frenched rack: 9 on mon"), BEST)
    assert repr(short).endswith(", 1 of the orders short>")


def test_a_notebook_shows_money_proof_orders_and_pictures(plan):
    shown = plan._repr_html_()
    assert shown.count("<svg") == 3
    assert "$837.92" in shown and "Proven: " in shown and "HACCP" in shown
    assert "SHORT" not in shown
    assert "<script" not in shown and "<style" not in shown  # the notebook's own looks stay
    short = plan_week(changed(plan.scenario, order="frenched rack: 9 on mon"), BEST)
    assert f"SHORT {short.short[0].short:.0f}" in short._repr_html_()
    other = plan_week(changed(plan.scenario, rule="all shoulder: boneless roast"), BEST)
    ids = re.findall(r' id="([^"]*)"', shown + other._repr_html_())
    assert len(ids) == len({*ids}) > 12  # two plans in one notebook share no name


def test_names_are_escaped_in_a_notebook(shop):
    shop.spoil("scenario", ("An invented goat week", "A <b>bold</b> week"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        shown = plan_week(read_scenario(shop.week))._repr_html_()
    assert "<b>" not in shown and "&lt;b&gt;bold" in shown


def test_changes_are_those_of_whatif_and_leave_the_scenario_as_it_is():
    week = read_scenario("corner-shop")
    made = changed(
        week,
        rule=["all shoulder: boneless roast", "never rack: rib chops"],
        price="loin chops: 24.99/lb",
        want="ground lamb: +20%",
        head="lamb mon: 5 head",
        bench="fri: +30",
        keeps="rack: +1 day",
        drop_order="the corner bistro",
        order="boneless leg: 9 lb on fri",
    )
    assert len(made.rules) == len(week.rules) + 2
    assert made.demand["loin chops"].price == 24.99
    more = sum(made.demand["ground lamb"].want) / sum(week.demand["ground lamb"].want)
    assert more == pytest.approx(1.2)
    assert made.lots[0].count == 5 and week.lots[0].count == 4
    assert made.bench[4] == week.bench[4] + 30
    rack, before = (each.recipes[0].pieces["rack"] for each in (made, week))
    assert rack.keeps == before.keeps + 1
    bistro = {order.buyer for order in week.orders} - {order.buyer for order in made.orders}
    assert bistro == {"the corner bistro"}
    assert made.orders[-1].cut == "boneless leg" and made.orders[-1].amount == 9
    assert week == read_scenario("corner-shop")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"rule": "all sholder: stew"}, "rule: .*shoulder"),
        ({"price": "loin chops: dear"}, "price: "),
        ({"drop_order": "nobody"}, "drop_order: "),
        ({"order": "boneless leg 9 lb on fri"}, "order: a colon after the cut is missing"),
    ],
)
def test_a_wrong_change_is_told_by_the_name_of_the_argument(change, said):
    with pytest.raises(InputError, match=said):
        changed(read_scenario("corner-shop"), **change)


def test_frames_are_the_tables_of_csv_and_add_up_to_the_plan(plan, tmp_path):
    pandas = pytest.importorskip("pandas", reason="needs the extra `notebook`")
    frames = plan.frames()
    assert [*frames] == ["breaks", "cuts", "sales", "blends", "bench"]
    for name, table in tables(plan).items():
        path = tmp_path / f"{name}.csv"
        path.write_text(csv_text(table), encoding="utf-8", newline="")
        dates = [head for head in table.heads if head in ("date", "lot arrives")]
        read = pandas.read_csv(path, parse_dates=dates)
        pandas.testing.assert_frame_equal(frames[name], read, check_dtype=False)
    assert frames["cuts"]["revenue ($)"].sum() == pytest.approx(plan.revenue)
    assert frames["breaks"]["minutes"].sum() == pytest.approx(
        sum(each.minutes for each in plan.breaks)
    )
    bench = frames["bench"]
    assert [*bench["minutes"]] == pytest.approx([each.minutes for each in plan.bench])
    assert [*bench["overtime (minutes)"]] == pytest.approx([e.overtime for e in plan.bench])
    assert [*bench["date"].dt.day_name()] == ["Monday"]


def test_units_of_frames_are_those_of_the_scenario(shop):
    pytest.importorskip("pandas", reason="needs the extra `notebook`")
    shop.spoil("scenario", ("unit: lb", "unit: kg"), ("money: $", "money: EUR"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        plan = plan_week(read_scenario(shop.week))
    frames = plan.frames()
    assert "weight (kg)" in frames["breaks"] and "revenue (EUR)" in frames["cuts"]
    assert frames["breaks"]["weight (kg)"].sum() == pytest.approx(
        sum(each.weight for each in plan.breaks) * 0.45359237
    )


def test_without_pandas_the_extra_is_named(plan, monkeypatch):
    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(ImportError, match=r"pip install 'breakplan\[notebook\]'"):
        plan.frames()


def test_the_five_lines_of_the_readme_make_a_plan(capsys):
    pytest.importorskip("pandas", reason="needs the extra `notebook`")
    (lines,) = re.findall(r"```python\n([\s\S]*?)\n```", README)
    assert len([line for line in lines.split("\n") if line.strip()]) == 5
    names: dict[str, object] = {}
    exec(lines, names)
    plan = names["plan"]
    assert isinstance(plan, Plan)
    assert plan.scenario == read_scenario("corner-shop")
    printed = capsys.readouterr().out
    assert printed.startswith(f"{plan!r}\n") and "revenue ($)" in printed


@pytest.mark.thorough
def test_the_shipped_notebook_answers_its_three_questions_as_the_library_does(tmp_path):
    nbformat = pytest.importorskip("nbformat", reason="needs the extra `test`")
    client = pytest.importorskip("nbclient", reason="needs the extra `test`")
    pytest.importorskip("ipykernel", reason="needs the extra `notebook`")
    pytest.importorskip("pandas", reason="needs the extra `notebook`")
    written = nbformat.read(NOTEBOOK, as_version=4)
    assert not any(cell.get("outputs") or cell.get("execution_count") for cell in written.cells)
    ran = client.NotebookClient(
        written, timeout=600, kernel_name="python3", resources={"metadata": {"path": str(tmp_path)}}
    ).execute()
    outputs = [each for cell in ran.cells for each in cell.get("outputs", ())]
    printed = "".join(each["text"] for each in outputs if each["output_type"] == "stream")
    shown = [each["data"] for each in outputs if each["output_type"] == "execute_result"]

    week = read_scenario("corner-shop")
    plan = planned(week)
    assert f"Score {plan.score:,.2f}; no plan can have more than {plan.bound:,.2f}." in printed
    assert shown[0]["text/plain"].startswith("<Plan of ") and "<svg" in shown[0]["text/html"]
    pieces, minutes = (
        sum(getattr(each, name) for each in plan.breaks) for name in ("count", "minutes")
    )
    assert f"{pieces} pieces are cut in {minutes / 60:.1f} hours." in printed
    dearest = max(plan.cuts, key=lambda line: line.revenue)
    assert f" {dearest.revenue:.2f}\n" in shown[1]["text/plain"]

    told = re.search(r"changes the week by (-?[\d,.]+) to (-?[\d,.]+)\.\n", printed)
    least, most = (float(each.replace(",", "")) for each in told.groups())
    answer = whatif(Comparer(week), changed(week, rule="all shoulder: boneless roast"))
    assert least - 0.01 <= answer.most and answer.least <= most + 0.01  # both are proven
    assert most < -200 and most - least < 6

    after = {
        int(head): float(net.replace(",", ""))
        for head, net in re.findall(r"(\d) head on Monday: ([\d,.]+) after", printed)
    }
    assert [*after] == [4, 5, 6]
    assert after[4] == pytest.approx(plan.score - plan.paid, abs=0.006)
    five = planned(changed(week, head="lamb mon: 5 head"))
    assert after[5] == pytest.approx(five.score - 5 * 58 * 7.10, abs=0.006)

    assert "boneless leg: 9 lb on fri? yes\n" in printed
    (missing,) = re.findall(r"boneless leg: 90 lb on fri\? no, ([\d.]+) lb are missing", printed)
    (short,) = planned(changed(week, order="boneless leg: 90 lb on fri")).short
    assert float(missing) == pytest.approx(short.short, abs=0.05)
