"""`breakplan morning`: the command, its text at any width and for any names, and its JSON."""

from __future__ import annotations

import json
import re
from collections import Counter, defaultdict
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from planner.ask.morning import Morning, mornings
from planner.commands.program import app
from planner.core.errors import BreakplanError
from planner.show.json import plan_data
from planner.show.morning import morning_text
from planner.show.morning_data import morning_data
from planner.solve.plan import Plan, plan_week
from tests.ask.test_crew import CREWS
from tests.ask.test_daystock import SEEDS, random_week
from tests.outside.shops import mixed_shops, shops
from tests.planning import TIGHT, plan_of, read, shipped_plan
from tests.show.test_width import SCRIPTS, columns, same_as_snapshot, widest
from tests.solve.test_properties import SHOPS, plan_or_none, scenario_of
from tests.solve.test_several_species import FILES
from tests.two_measures import thorough

KG = 0.45359237  # exact
SIX = 6 * 60
WIDTHS = (60, 72, 80, 100)
TASK = re.compile(r"  \[ \] +(\d+:\d\d) (\d+)(?: of (\d+))? (.+?)  +(<?\d+ min)$")
BATCH = re.compile(r"  \[ \] +(\d+:\d\d) batch (\S+-\d+) (.+?)  +(<?\d+ min)$")


def ran(*words: str | Path, width: int | None = None) -> tuple[int, str, str]:
    """Exit code, standard output and what is said of errors; what is shown stays in the width."""
    told = {} if width is None else {"COLUMNS": str(width)}
    done = CliRunner().invoke(app, ["morning", *map(str, words)], env=told)
    if isinstance(done.exception, BreakplanError):
        return done.exception.exit_code, done.stdout, str(done.exception)
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    if done.exit_code == 0 and "--json" not in words:
        assert widest(done.stdout) <= max(60, min(100, width or 100))
    return done.exit_code, done.stdout, done.stderr


def text_of(*words: str | Path, width: int | None = None) -> str:
    code, out, err = ran(*words, width=width)
    assert code == 0 and not told_beside_oddities(err)
    return out


def told_beside_oddities(err: str) -> list[str]:
    """Lines on standard error, without what is legal but unlikely in a file."""
    return [line for line in err.strip().splitlines() if line and not line.startswith("warning: ")]


def data_of(*words: str | Path) -> dict[str, Any]:
    return json.loads(text_of(*words, "--json"))


def refused(*words: str | Path) -> str:
    """The one line that says what is wrong; nothing is printed for a person to read."""
    code, out, err = ran(*words)
    assert (code, out) == (2, "")
    *usage, line = told_beside_oddities(err)
    assert [each.split()[0] for each in usage] in ([], ["Usage:", "Try"])
    return line


def one_line(text: str) -> str:
    return " ".join(text.split())


# ---- which day ----


@pytest.mark.parametrize(
    ("now", "day"),
    [("2026-12-02", "wed"), ("2026-11-30", "mon"), ("2026-12-05", "sat"),
     ("2026-11-29", "mon"), ("2026-12-06", "mon"), ("2031-01-01", "mon")],
)  # fmt: skip
def test_today_if_it_is_in_the_period_else_the_first_day(shop, clock_at, now, day):
    clock_at(date.fromisoformat(now))
    assert data_of(shop.week)["day"] == day
    assert data_of(shop.week, "--day", "thu")["day"] == "thu"


@pytest.mark.parametrize(
    ("said", "day", "date"),
    [("tue", "tue", "2026-12-01"), ("FRI", "fri", "2026-12-04"), (" sat ", "sat", "2026-12-05"),
     ("2026-12-03", "thu", "2026-12-03")],
)  # fmt: skip
def test_a_weekday_or_a_date(shop, said, day, date):
    data = data_of(shop.week, "--day", said)
    assert (data["day"], data["date"]) == (day, date)
    month = "nov" if "-11-" in date else "dec"
    number = int(date[-2:])
    assert f"{day} {number} {month}".upper() in text_of(shop.week, "--day", said)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--day", "tusday"], '--day: no day called "tusday"; did you '
                              'mean "tuesday"?'),
        (["--day", "fryday"], '--day: no day called "fryday"; did you '
                              'mean "friday"?'),
        (["--day", "sun"], "sun is outside the period (mon 2026-11-30 to sat 2026-12-05)"),
        (["--day", "2026-12-06"], "2026-12-06 is outside the period"),
        (["--day", "2026-02-30"], "there is no day 2026-02-30 in the calendar"),
        (["--day", ""], 'no day called ""'),
        (["--from", "25:00"], '--from: "25:00" is not a time of day; '
                              "write one from 0:00 to 23:59"),
        (["--from", "6:60"], "6:60"),
        (["--from", "noon"], 'cannot read "noon"; write a time such as 6:00 or 18:30'),
        (["--from", "-1"], "--from"),
        (["--until", "5:30"], "--until: 5:30 is not after 6:00"),
        (["--until", "6:00"], "6:00 is not after 6:00"),
        (["--from", "9", "--until", "8:59"], "8:59 is not after 9"),
        (["--cutters", "0"], "--cutters"),
        (["--cutters", "13"], "--cutters"),
        (["--cutters", "two"], "--cutters"),
        (["--within", "close"], "--within"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_in_one_line(shop, words, said):
    assert said in refused(shop.week, *words)


def test_a_file_that_is_not_there():
    assert ran("no-such-shop")[0] == 2


def test_a_weekday_that_comes_twice_is_asked_for_by_its_date(shop):
    shop.spoil(
        "scenario",
        ("days: 6", "days: 12"),
        ("40 lb, arrives: mon", "40 lb, arrives: 2026-11-30"),
        ("42 lb, arrives: wed", "42 lb, arrives: 2026-12-02"),
        ("{day: fri, amount: 9 lb", "{day: 2026-12-11, amount: 3 lb"),
    )
    said = refused(shop.week, "--day", "mon")
    assert said.endswith("mon comes 2 times in the period; write one of 2026-11-30, 2026-12-07")
    data = data_of(shop.week, "--day", "2026-12-07")
    assert (data["day"], data["date"]) == ("2026-12-07", "2026-12-07")
    text = text_of(shop.week, "--day", "2026-12-07", width=60)
    assert "MON 7 DEC" in text
    assert data_of(shop.week, "--day", "2026-12-11")["orders"][0]["for"] == "the corner bistro"


# ---- the clock ----


def test_from_and_until_set_the_clock():
    data = data_of("one-lamb", "--from", "7", "--within", "0")
    assert (data["begins"], data["stints"][0]["time"]) == ("7:00", "7:00")
    assert data["until"] == "9:30"  # 130 minutes of bench and 20 of overtime
    later = data_of("one-lamb", "--from", "7.30", "--until", "23:15", "--within", "0")
    assert (later["begins"], later["until"], later["late"]) == ("7:30", "23:15", 0)
    minutes = sum(each["minutes"] for each in data["stints"])
    assert minutes == pytest.approx(data["bench"]["minutes"])
    hours, rest = divmod(round(7 * 60 + minutes), 60)
    assert data["ends"] == f"{hours}:{rest:02}"
    assert f"All done at {data['ends']}." in text_of("one-lamb", "--from", "7", "--within", "0")


def test_a_list_that_cannot_be_done_in_time_says_so():
    words = ("one-lamb", "--within", "0", "--until", "7:00")
    data, text = data_of(*words), one_line(text_of(*words))
    assert data["late"] == pytest.approx(data["bench"]["minutes"] - 60)
    assert f"CANNOT BE DONE IN TIME: until {data['ends']}" in text
    assert f"{data['late']:.0f} min later than 7:00" in text
    enough = data["enough cutters"]
    assert f"With {enough} cutters it can." in text
    assert data_of(*words, "--cutters", enough)["late"] == 0
    fewer = data_of(*words, "--cutters", enough - 1)
    assert fewer["late"] > 0 and fewer["enough cutters"] == enough
    assert "CANNOT BE DONE" not in text_of(*words, "--cutters", enough)


def test_several_cutters_who_need_longer_than_their_share_is_no_alarm():
    """Two have 75 minutes each on the bench of one lamb; one of them waits for the break."""
    data, text = (
        data_of("one-lamb", "--cutters", "2"),
        one_line(text_of("one-lamb", "--cutters", "2")),
    )
    assert data["late"] > 0 and data["enough cutters"] is None
    assert f"it takes until {data['ends']}, {data['late']:.0f} min longer" in text
    assert "CANNOT" not in text


def test_a_list_that_no_number_of_cutters_can_do_in_time_says_so():
    """The break alone takes 16 minutes."""
    words = ("one-lamb", "--until", "6:15")
    assert data_of(*words)["enough cutters"] is None
    assert "CANNOT BE DONE IN TIME" in text_of(*words)
    assert "cutters it can" not in one_line(text_of(*words, width=60))


def test_work_past_midnight_is_told_by_the_clock():
    data = data_of("one-lamb", "--from", "23:30")
    assert data["stints"][-1]["time"].startswith("1:")
    assert data["ends"].startswith("1:") and data["late"] == 0


# ---- days and shops of all kinds ----


def test_a_day_without_work_still_shows_the_case(shop):
    shop.spoil(
        "scenario",
        (
            "bench: {mon: 240, tue: 241, wed: 242, thu: 300, fri: 301, sat: 120}",
            "bench: {mon: 240}",
        ),
        ("{mon: 2 lb, fri: 6 lb, sat: 8 lb}", "{tue: 2 lb, fri: 6 lb}"),
        ("      - {day: fri, amount: 9 lb", "      - {day: fri, amount: 3 lb"),
    )
    data = data_of(shop.week, "--day", "tue")
    assert not data["jobs"] and not data["batches"] and not data["stints"]
    assert (data["ends"], data["late"]) == ("6:00", 0)
    text = text_of(shop.week, "--day", "tue")
    assert "Nothing is cut today." in text and "All done" not in text
    assert re.search(r"INTO THE CASE.*\n.*\n +shoulder roast +2\.0 lb", text)
    friday = text_of(shop.week, "--day", "fri")
    assert "Nothing is cut today." in friday
    assert "[ ] the corner bistro: 3.0 lb shoulder roast" in friday
    assert "Nothing is cut" not in text_of(shop.week, "--day", "mon")


def test_rules_that_clash_are_exit_code_3(shop):
    shop.spoil("scenario", ("  - at least 1 leg: whole", "  - at least 1 leg: whole\n"
                            "  - never leg: whole"))  # fmt: skip
    code, out, err = ran(shop.week)
    assert (code, out) == (3, "") and "never leg: whole" in err


def test_no_plan_in_the_time_is_exit_code_4(monkeypatch, shop):
    from planner.core.errors import NoPlanInTimeError

    def late(*_: Any) -> None:
        raise NoPlanInTimeError("no plan was found in 1 s")

    monkeypatch.setattr("planner.solve.plan.plan_week", late)
    assert ran(shop.week, "--seconds", "1") == (4, "", "no plan was found in 1 s")


def test_an_order_that_falls_short_is_told(shop):
    shop.spoil("scenario", ("{day: fri, amount: 9 lb", "{day: fri, amount: 900 lb"))
    data = data_of(shop.week, "--day", "fri")
    [order] = data["orders"]
    assert order["ordered"] == 900 and 0 < order["amount"] < 900
    text = one_line(text_of(shop.week, "--day", "fri"))
    short = 900 - order["amount"]
    assert (
        f"[ ] the corner bistro: {order['amount']:.1f} lb shoulder roast - SHORT {short:.1f} lb"
        in text
    )


def test_a_shop_without_a_limit_on_the_bench(shop):
    shop.spoil(
        "scenario",
        ("bench: {mon: 240, tue: 241, wed: 242, thu: 300, fri: 301, sat: 120}\n", ""),
        ("overtime: {up to: 60, cost: 0.75}\n", ""),
    )
    for day in ("mon", "wed"):
        data = data_of(shop.week, "--day", day)
        assert data["bench"]["available"] is data["until"] is data["enough cutters"] is None
        assert data["late"] == data["bench"]["overtime"] == 0
        assert " of " not in text_of(shop.week, "--day", day).splitlines()[1]


def test_kilograms(shop):
    """The same shop, told in kilograms, of the same pounds."""
    pounds = plan_of(shop.week)
    shop.spoil("scenario", ("unit: lb", "unit: kg"))
    scenario = read(shop.week)
    assert scenario.unit == "kg"
    kilos = plan_week(scenario, TIGHT)
    changed = replace(pounds, scenario=replace(pounds.scenario, unit="kg"))
    for day in range(6):
        [lb] = mornings(pounds, [day])
        [kg] = mornings(changed, [day])
        told, same = morning_data(lb, SIX), morning_data(kg, SIX)
        assert (told["unit"], same["unit"]) == ("lb", "kg")
        for a, b in zip(told["jobs"], same["jobs"], strict=True):
            assert b["weight"] == pytest.approx(a["weight"] * KG)
            for one, other in zip(
                [*a["gives"], *a["trays"]], [*b["gives"], *b["trays"]], strict=True
            ):
                assert other["weight"] == pytest.approx(one["weight"] * KG)
                assert other["count"] == one["count"]
        for a, b in zip(told["case"], same["case"], strict=True):
            factor = 1 if pounds.scenario.cuts[a["cut"]].by_each else KG
            assert b["put out"] == pytest.approx(a["put out"] * factor)
            assert b["price"] * factor == pytest.approx(a["price"])
        assert " lb" not in morning_text(kg, SIX).split("CAUTIONS")[0]
    assert [mornings(kilos, [0])[0].plan.scenario.unit] == ["kg"]


@pytest.fixture
def three(tmp_path) -> Plan:
    for name, text in FILES.items():
        (tmp_path / name).write_text(text)
    return plan_of(tmp_path / "week.yaml")


def test_several_species_are_told_apart(three):
    """Of a piece that two species have; the case and the trays have names in full anyway."""
    shown = "".join(morning_text(each, SIX) for each in mornings(three, [0, 1]))
    cut = {(each.species, each.piece) for each in three.breaks}
    assert ("hog", "hog loin") in cut
    assert re.search(r"\d hog loin: ", shown)
    letters = [
        (tray["tray"], tray["cut"])
        for each in mornings(three, [0, 1])
        for tray in morning_data(each, SIX)["trays"]
    ]
    assert {"hog bones", "lamb bones"} & {cut for _, cut in letters}
    assert len(set(letters)) == len({cut for _, cut in letters}) == len({a for a, _ in letters})


def test_cuts_sold_by_each_are_counted():
    for words in (("corner-shop", "--day", "fri"), ("corner-shop", "--day", "sat")):
        data, text = data_of(*words), one_line(text_of(*words))
        racks = [each for each in data["case"] if each["cut"] == "frenched rack"]
        assert racks and racks[0]["put out"] == round(racks[0]["put out"]) > 0
        assert f"frenched rack {racks[0]['put out']:.0f} " in text
    [order] = data["orders"]
    assert (order["cut"], order["amount"], order["for"]) == ("crown roast", 1, "a silver wedding")
    assert "[ ] a silver wedding: 1 crown roast" in text


# ---- JSON ----


def test_figures_are_those_of_the_week(breakplan):
    week = json.loads(breakplan("week", "corner-shop", "--json").out)
    for day in ("mon", "fri"):
        data = data_of("corner-shop", "--day", day)
        assert data["format"] == week["format"] and data["title"] == week["title"]
        assert_same_as_week(week, data)


def test_figures_of_a_shipped_week_are_those_of_its_days(shipped):
    week = json.loads(json.dumps(plan_data(shipped)))
    for morning in mornings(shipped, range(shipped.scenario.days), 2):
        data = json.loads(json.dumps(morning_data(morning, SIX)))
        assert_same_as_week(week, data)
        assert_stints_do_the_work(data, 2)


def assert_same_as_week(week: dict[str, Any], data: dict[str, Any]) -> None:
    """Breaks, blends, orders, sales and the bench of a day, as `week --json` has them."""
    day = data["day"]
    jobs: dict[tuple[Any, ...], list[float]] = {}
    lots: Counter[tuple[Any, ...]] = Counter()
    for each in week["breaks"]:
        if each["day"] == day:
            key = each["species"], each["piece"], each["way"]
            sums = jobs.setdefault(key, [0, 0, 0])
            sums[:] = [
                a + each[b] for a, b in zip(sums, ("count", "weight", "minutes"), strict=True)
            ]
            lots[(*key, each["lot"])] += each["count"]
    assert {
        (job["species"], job["piece"], job["way"]): [job["count"], job["weight"], job["minutes"]]
        for job in data["jobs"]
    } == {key: pytest.approx(figures) for key, figures in jobs.items()}
    told = Counter()
    for job in data["jobs"]:
        for lot in job["lots"]:
            told[job["species"], job["piece"], job["way"], lot["lot"]] += lot["count"]
    assert told == lots
    blends = [each for each in week["blends"] if each["day"] == day]
    assert [
        (
            each["blend"],
            each["made"],
            each["fat"],
            {one["cut"]: one["weight"] for one in each["from"]},
        )
        for each in data["batches"]
    ] == [(each["blend"], each["made"], each["fat"], each["from"]) for each in blends]
    assert [each["batch"] for each in data["batches"]] == [
        f"{day}-{number}" for number in range(1, len(blends) + 1)
    ]
    orders, out, marked = Counter(), Counter(), Counter()
    for sale in week["sales"]:
        if sale["day"] == day and sale["to"] not in ("walk-in", "markdown"):
            orders[sale["to"], sale["cut"]] += sale["amount"]
        elif sale["day"] == day:
            out[sale["cut"]] += sale["amount"]
            marked[sale["cut"]] += sale["amount"] if sale["to"] == "markdown" else 0
    wrapped = Counter()
    for each in data["orders"]:
        wrapped[each["for"], each["cut"]] += each["amount"]
    assert +wrapped == {key: pytest.approx(amount, abs=1e-6) for key, amount in orders.items()}
    for name, expected in (("put out", out), ("marked down", marked)):
        told = {each["cut"]: each[name] for each in data["case"]}
        for cut in {*told, *expected}:
            assert told.get(cut, 0) == pytest.approx(expected[cut], abs=1e-5)
    [bench] = [each for each in week["bench"] if each["day"] == day]
    assert data["bench"] == {key: bench[key] for key in ("minutes", "available", "overtime")}


@settings(SHOPS, max_examples=40)
@given(st.one_of(shops(), mixed_shops()), st.sampled_from(CREWS))
def test_figures_of_any_planned_shop_are_those_of_its_week(shop, cutters):
    plan = plan_or_none(scenario_of(shop))
    if plan is None:
        return
    week = json.loads(json.dumps(plan_data(plan)))
    wasted: Counter[str] = Counter()
    for morning in mornings(plan, range(plan.scenario.days), cutters):
        data = json.loads(json.dumps(morning_data(morning, SIX), allow_nan=False))
        assert_same_as_week(week, data)
        assert_stints_do_the_work(data, cutters)
        for each in data["out of date"]:
            wasted[each.get("cut", each.get("piece"))] += each.get("wasted", each.get("count"))
    for each in week["cuts"]:
        assert wasted.pop(each["cut"], 0) == pytest.approx(each["wasted"], abs=1e-4)
    whole = Counter()
    for each in week["whole"]:
        whole[each["piece"]] += each["count"] if each["state"] == "wasted" else 0
    assert wasted == +whole


def assert_stints_do_the_work(data: dict[str, Any], cutters: int) -> None:
    done, ground = Counter(), []
    for stint in data["stints"]:
        assert 1 <= stint["cutter"] <= cutters
        assert stint["job"] is None or stint["batch"] is None
        if stint["job"] is not None:
            done[stint["job"]] += stint["count"]
        if stint["batch"] is not None:
            ground.append(stint["batch"])
    assert done == {n: job["count"] for n, job in enumerate(data["jobs"])}
    assert sorted(ground) == list(range(len(data["batches"])))


# ---- text ----


def sections(text: str) -> list[tuple[str, str]]:
    """The parts of a text between empty lines: first line, and the rest."""
    parts = [part.partition("\n") for part in text.split("\n\n")]
    return [(head, f"{rest}\n") for head, _, rest in parts]


def cutting_of(text: str) -> str:
    """The lists of all cutters."""
    return "".join(rest for head, rest in sections(text) if head.startswith("CUT"))


def section(text: str, word: str) -> str:
    """The part whose head begins so; empty where there is none."""
    return "".join(rest for head, rest in sections(text) if head.startswith(word))


def shown_tasks(text: str) -> list[tuple[str, ...]]:
    """Time, count, of how many, what, minutes of every line of work."""
    found = [TASK.match(line) for line in cutting_of(text).splitlines()]
    return [each.groups("") for each in found if each]


def minutes_of(minutes: float) -> str:
    return "<1 min" if 0 < minutes < 0.5 else f"{minutes:.0f} min"


@pytest.fixture(scope="module", params=["one-lamb", "corner-shop", "holiday", "whole-animal"])
def shipped(request) -> Plan:
    return shipped_plan(request.param)


@pytest.mark.parametrize("cutters", CREWS)
def test_the_text_has_every_stint_with_its_figures(shipped, cutters):
    for morning in mornings(shipped, range(shipped.scenario.days), cutters):
        text, data = morning_text(morning, SIX), morning_data(morning, SIX)
        stints = [each for each in data["stints"] if each["job"] is not None]
        jobs = data["jobs"]
        told = shown_tasks(text)
        assert [(time, count, many, minutes) for time, count, many, _, minutes in told] == [
            (
                each["time"],
                f"{each['count']}",
                f"{jobs[each['job']]['count']}" * (each["count"] < jobs[each["job"]]["count"]),
                minutes_of(each["minutes"]),
            )
            for each in stints
        ]
        for (*_, what, _), stint in zip(told, stints, strict=True):
            job = jobs[stint["job"]]
            name = f"{job['piece']}: {job['way']}"  # with its species in front where there are more
            assert re.sub(r" \([^)]*lot [^)]*\)$", "", what) in (name, f"{job['species']} {name}")
        waits = [each for each in data["stints"] if each["job"] is each["batch"] is None]
        assert len(re.findall(r"^ +\d+:\d\d  wait ", text, re.MULTILINE)) == len(
            [each for each in waits if each["minutes"] >= 0.5]
        )
        codes = [found[2] for line in text.splitlines() if (found := BATCH.match(line))]
        unit = shipped.scenario.unit
        assert unit == "lb"
        made = {each["batch"] for each in data["batches"] if f"{each['made']:.1f}" != "0.0"}
        assert set(codes) == made and len(codes) == len(made)
        boxes = text.count("[ ]")
        out = [each for each in data["out of date"] if float(f"{_gone(each):.1f}") > 0]
        grinds = len(codes) * (2 if cutters > 1 else 1)  # in a cutter's list, and on its sheet
        assert boxes == len(stints) + grinds + len(data["orders"]) + len(out)


def _gone(each: dict[str, Any]) -> float:
    return each["count"] if "piece" in each else each["wasted"]


def test_the_weights_of_a_list_are_those_of_its_jobs(shipped):
    """What is shown of things given, for one cutter and for three, adds up to the jobs' weights."""
    for cutters in (1, 3):
        for morning in mornings(shipped, range(shipped.scenario.days), cutters):
            shown: dict[str, list[float]] = defaultdict(list)
            for line in given_lines(morning_text(morning, SIX)):
                for thing in line.split("; "):
                    found = re.fullmatch(r"(?:[A-Z] )?(?:\d+ )?(.+?) ([\d,]+\.\d) lb", thing)
                    assert found, thing
                    shown[found[1]].append(float(found[2].replace(",", "")))
            expected: dict[str, float] = defaultdict(float)
            for job in morning.jobs:
                for thing in (*job.gives, *job.trays):
                    expected[thing.name] += thing.pounds
            for name, pounds in expected.items():
                slack = 0.051 * max(1, len(shown[name]))
                hidden = 0.05 * len(morning.rota.stints) if not shown[name] else 0.0
                assert sum(shown[name]) == pytest.approx(pounds, abs=slack + hidden)


def given_lines(text: str) -> list[str]:
    """What is given by each stint, and what goes into its trays, each as one line."""
    lines: list[str] = []
    for line in cutting_of(text).splitlines():
        body = line.strip()
        if line.startswith(" " * 14) and lines:
            lines[-1] += f" {body}"
        elif line.startswith(" " * 12):
            lines.append(body)
    things = [each for each in lines if not each.startswith("FOR ")]
    return [each.removeprefix("trays: ") for each in things]


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_of_a_shipped_week_is_too_wide_and_none_is_lost(shipped, width):
    for cutters in (1, 2):
        for morning in mornings(shipped, range(shipped.scenario.days), cutters):
            text = morning_text(morning, SIX, width)
            assert widest(text) <= width
            assert not [line for line in text.splitlines() if line != line.rstrip()]
            wide = morning_text(morning, SIX)
            assert text.count("[ ]") == wide.count("[ ]")
            assert text.count("FOR ") == wide.count("FOR ")
            assert len(re.findall(r"\d\.\d |<?\d+ min", one_line(text))) == len(
                re.findall(r"\d\.\d |<?\d+ min", one_line(wide))
            )


@pytest.mark.parametrize("width", WIDTHS)
def test_cuts_of_the_case_can_be_told_apart_at_any_width(shipped, width):
    """`boneles..` is a leg, a loin and a rack."""
    for morning in mornings(shipped, range(shipped.scenario.days)):
        rows = section(morning_text(morning, SIX, width), "INTO THE CASE").splitlines()[1:]
        names = [re.split(r"\s{2,}", row.strip())[0] for row in rows]
        assert [name for name, times in Counter(names).items() if times > 1] == []


CLOCK = re.compile(r" +(?:\[ \] +)?(\d+):(\d\d) .*?<?(\d+) min$")


@pytest.mark.parametrize("cutters", CREWS[1:])
def test_the_clock_of_each_cutter_has_no_hole(shipped, cutters):
    """A cutter reads one list: where he grinds between two pieces, it says so there."""
    for morning in mornings(shipped, range(shipped.scenario.days), cutters):
        text = morning_text(morning, SIX)
        for block in re.findall(r"^CUTTER \d+, done at .+\n((?: .+\n)+)", text, re.MULTILINE):
            told = [found for line in block.splitlines() if (found := CLOCK.match(line))]
            begins = [60 * int(each[1]) + int(each[2]) for each in told]
            ends = [first + int(each[3]) for first, each in zip(begins, told, strict=True)]
            holes = [
                (morning.day, told[n].group().strip(), told[n + 1].group().strip())
                for n in range(len(told) - 1)
                if abs(begins[n + 1] - ends[n]) > 1
            ]
            assert begins[0] == SIX and not holes


@pytest.mark.parametrize("cutters", CREWS)
def test_batches_come_in_the_order_of_the_clock(shipped, cutters):
    for morning in mornings(shipped, range(shipped.scenario.days), cutters):
        found = [BATCH.match(line) for line in morning_text(morning, SIX).splitlines()]
        times = [tuple(map(int, each[1].split(":"))) for each in found if each]
        assert times == sorted(times)


@settings(SHOPS, max_examples=20)
@given(SEEDS, st.sampled_from(CREWS), st.sampled_from(WIDTHS))
def test_weeks_at_random_fit(seed, cutters, width):
    plan = random_week(seed)
    for morning in mornings(plan, range(plan.scenario.days), cutters, 30.0):
        text = morning_text(morning, SIX, width)
        assert widest(text) <= width
        assert ("CANNOT BE DONE IN TIME" in one_line(text)) == (morning.rota.late > 0)
        json.dumps(morning_data(morning, SIX), allow_nan=False)


# ---- names of any length and script ----

HOSTILE = (
    "<script>alert(1)</script>",
    "=HYPERLINK(1)",
    "[ ] done; 9.9 lb: FOR me",
    "-",
    "{{ 7*7 }}",
)


def named_shop(folder: Path, name: str) -> Path:
    """A shop all of whose names are as long as a name may be, and in that script."""

    def called(word: str) -> str:
        return f"{name[: 60 - len(word) - 1]} {word}"

    piece, root, way, other = (called(w) for w in ("leg", "goat", "way", "other"))
    cut, each, trim, fat, bone = (called(w) for w in ("roast", "each", "trim", "fat", "bone"))
    blend, buyer = called("mince"), called("buyer")
    tool = called("tool")
    split = {"minutes": 5, "tool": tool, "gives": {piece: "2 at 40%", bone: "20%"}}
    ways = {
        way: {"minutes": 4, "tool": tool, "gives": {cut: "60%", trim: "30%", fat: "10%"}},
        other: {"minutes": 90, "tool": tool, "gives": {each: "1 at 90%", "loss": "10%"}},
    }
    recipe = {
        "species": called("kind")[-59:],
        "root": root,
        "pieces": {
            root: {"keeps": "2 days", "ways": {"break": split}},
            piece: {"keeps": "2 days", "ways": ways},
        },
        "cuts": {
            cut: {"kind": "roast", "keeps": "2 days"},
            each: {"kind": "roast", "keeps": "2 days", "sold by": "each"},
            trim: {"kind": "trim", "lean": "80%", "keeps": "2 days"},
            fat: {"kind": "fat", "keeps": "1 day"},
            bone: {"kind": "bone", "keeps": "1 day"},
        },
        "blends": {blend: {"from": [trim, fat], "minutes": "1 per lb", "keeps": "2 days"}},
    }
    scenario = {
        "title": f"{name * 9}"[:200],
        "starts": "2026-11-30",
        "days": 2,
        "recipes": ["goat.yaml"],
        "money": "$",
        "rail": [{called("kind")[-59:]: "3 head at 1000 lb"}],
        "case": {cut: "3 lb"},
        "demand": {
            cut: {
                "price": "10/lb",
                "want": {"mon": "400 lb"},
                "markdown": {"price": "5/lb", "want": {"mon": "50 lb"}},
                "orders": [
                    {"day": "mon", "amount": "100 lb", "for": buyer},
                    {"day": "tue", "amount": "200 lb", "for": buyer},
                    {"day": "mon", "amount": "5000 lb", "for": buyer},
                ],
            },
            each: {"price": "3000/each", "want": {"tue": "2"}},
            blend: {
                "price": "9/lb",
                "want": {"mon": "30 lb"},
                "orders": [{"day": "tue", "amount": "30 lb", "for": buyer}],
            },
        },
        "rules": [{f"at least 2 {piece}": other}, {f"at least 2 {piece}": way}],
    }
    for file, part in (("goat.yaml", recipe), ("shop.yaml", scenario)):
        text = yaml.safe_dump(part, sort_keys=False, allow_unicode=True, width=10_000)
        (folder / file).write_text(text, encoding="utf-8")
    return folder / "shop.yaml"


@pytest.mark.parametrize("name", [*SCRIPTS, *HOSTILE])
def test_names_of_any_length_and_script_stay_inside_the_width(tmp_path, name):
    plan = plan_of(named_shop(tmp_path, name))
    for cutters in (1, 3):
        for morning in mornings(plan, [0, 1], cutters, 20.0):
            for width in WIDTHS:
                text = morning_text(morning, SIX, width)
                assert widest(text) <= width
                assert_has_all_its_lines(morning, text)


def assert_has_all_its_lines(morning: Morning, text: str) -> None:
    work = [each for each in morning.rota.stints if each.job is not None]
    begun = re.findall(r"^  \[ \] +\d+:\d\d ", text, re.MULTILINE)
    assert len(begun) == len(work) + len(morning.sheets) * (morning.rota.cutters > 1)
    ends = re.findall(r"  <?\d+ min$", text, re.MULTILINE)
    assert len(ends) >= len(work)
    for head, there in (("GRIND", morning.sheets), ("TRAYS", morning.trays),
                        ("WRAP", morning.wraps)):  # fmt: skip
        assert bool(section(text, head)) == bool(there)
    for wrap in morning.wraps:
        if wrap.amount < wrap.ordered:
            assert f"SHORT {wrap.ordered - wrap.amount:,.1f} lb" in one_line(text)


@pytest.mark.parametrize("name", [SCRIPTS[0], HOSTILE[0], *thorough(SCRIPTS[1], SCRIPTS[2])])
def test_such_names_on_the_command_line(tmp_path, name):
    path = named_shop(tmp_path, name)
    for width in (60, 100):
        text_of(path, "--day", "mon", "--cutters", "2", width=width)
    data = data_of(path, "--day", "mon")
    assert data["jobs"][0]["piece"] == f"{name[:55]} goat"
    assert data["orders"][0]["for"] == f"{name[:54]} buyer"


def test_text_is_as_wide_as_columns_says():
    for width in (60, 100):
        text = text_of("one-lamb", width=width)
        header = next(line for line in text.splitlines() if line.startswith("MON 30 NOV"))
        assert columns(header) == width
    assert text_of("one-lamb", width=300) == text_of("one-lamb", width=100) == text_of("one-lamb")
    assert text_of("one-lamb", width=20) == text_of("one-lamb", width=60)


def test_an_order_of_which_there_is_nothing_is_no_work(tmp_path):
    """`less than 0.1 lb` of it would have somebody wrap air."""
    plan = plan_of(named_shop(tmp_path, "x"))
    [morning] = mornings(plan, [0])
    empty = replace(morning, wraps=tuple(replace(each, amount=0.0) for each in morning.wraps))
    text = one_line(morning_text(empty, SIX))
    assert "SHORT 100.0 lb" in text and "less than" not in text


BONY = """
species: goat
root: carcass
pieces:
  carcass: {keeps: 2 days, ways: {break: {minutes: 5, gives: {side: 2 at 45%, neck: 1 at 10%}}}}
  side: {keeps: 2 days, ways: {tie: {minutes: 5, gives: {roast: 80%, bones: 20%}}}}
  neck: {keeps: 2 days, ways: {strip: {minutes: 5, gives: {neck bones: 100%}}}}
cuts:
  roast: {kind: roast, keeps: 2 days}
  bones: {kind: bone, keeps: 2 days}
  neck bones: {kind: bone, keeps: 2 days}
"""
BONES_ORDERED = """
title: An invented block
starts: 2026-11-30
days: 1
recipes: [goat.yaml]
rail: [{goat: 1 head at 100 lb}]
demand:
  roast: {price: 9/lb, orders: [{day: mon, amount: 50 lb, for: the inn}]}
  bones: {price: 1/lb, orders: [{day: mon, amount: 10 lb, for: the kennel}]}
  neck bones: {price: 1/lb, orders: [{day: mon, amount: 5 lb, for: the soup kitchen}]}
"""


@pytest.fixture
def bony(tmp_path) -> Plan:
    """One goat, and orders for what goes into trays."""
    (tmp_path / "goat.yaml").write_text(BONY)
    (tmp_path / "shop.yaml").write_text(BONES_ORDERED)
    return plan_of(tmp_path / "shop.yaml")


def test_cuts_in_trays_are_named_where_an_order_waits_for_them(bony):
    """Else an order for bones reads like one for the roast that the line gives."""
    [morning] = mornings(bony, [0])
    assert [(job.piece, len(job.gives), len(job.waiting)) for job in morning.jobs] == [
        ("carcass", 2, 0), ("side", 1, 2), ("neck", 0, 1),
    ]  # fmt: skip
    told = re.findall(r"FOR (.+)", morning_text(morning, SIX))
    assert "the kennel: 10.0 lb bones" in told
    assert "the soup kitchen: 5.0 lb neck bones" in told


def test_an_order_is_told_once_where_two_share_the_work(bony):
    """Two do one of the sides each; both reading `50.0 lb` would set 100 lb aside."""
    [morning] = mornings(bony, [0], 3)
    text = morning_text(morning, SIX)
    assert len(re.findall(r"1 of 2 side: tie", text)) == 2
    amounts = re.findall(r"FOR the inn: (?:.* of )?([\d.]+) lb", text)
    assert len(amounts) in (1, 2) and sum(map(float, amounts)) == pytest.approx(50.0, abs=0.1)


def test_cautions_are_always_there(shop):
    for words in (("--day", "mon"), ("--day", "sat", "--cutters", "3")):
        text = one_line(text_of(shop.week, *words, width=60))
        for part in ("guard on", "cut-resistant glove", "5 C / 41 F", "HACCP", "risk material"):
            assert part in text


def test_help_has_an_example():
    done = CliRunner().invoke(app, ["morning", "--help"])
    assert done.exit_code == 0
    assert "breakplan morning corner-shop --day thu --cutters 2" in one_line(done.stdout)
    for option in ("--day", "--cutters", "--from", "--until", "--page", "--json", "--within"):
        assert option in done.stdout


# ---- as it was looked at ----


@pytest.mark.parametrize("cutters", [1, 2])
@pytest.mark.parametrize("width", [60, 100])
def test_one_lamb_as_it_was_looked_at(width, cutters):
    """`WRITE_SNAPSHOTS=1 pytest tests/commands/test_morning.py -k looked_at` writes them anew."""
    text = text_of("one-lamb", "--within", "0", "--cutters", str(cutters), width=width)
    same_as_snapshot(f"morning-one-lamb-{width}-{cutters}.txt", text.removesuffix("\n"))
