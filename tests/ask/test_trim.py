"""Where trim, fat and bones go, what binds the blends, and how that is said."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import typer
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from planner.ask.remedies import Imbalance, Remedy
from planner.ask.trim import TrimAnswer
from planner.ask.trim_flow import (
    Bind,
    BlendDay,
    Flow,
    TrimSource,
    blend_days,
    blend_weeks,
    flows,
    trim_weeks,
)
from planner.commands import trim as command
from planner.core.errors import InputError
from planner.core.units import Units
from planner.files.changes import Change
from planner.files.find import shipped_folder
from planner.show.data import json_text
from planner.show.remedies import cost_text
from planner.show.trim import trim_text as text_of
from planner.show.trim_data import trim_data
from planner.solve.plan import Plan, plan_week
from tests.outside.shops import mixed_shops, shops, write_shop
from tests.planning import TIGHT, plan_of, read
from tests.solve.test_properties import SHOPS, plan_or_none

KG = 0.45359237
NEAR = 1e-5  # pounds: what the solver leaves


def side() -> dict[str, Any]:
    """A side with one way, which gives roast, two trims, fat that keeps a day, and bones."""
    gives = {"roast": "50%", "trim 80": "20%", "trim 50": "10%", "fat": "10%", "bones": "10%"}
    return {
        "species": "lamb",
        "root": "side",
        "pieces": {
            "side": {"keeps": "3 days", "ways": {"bone out": {"minutes": 2, "gives": gives}}}
        },
        "cuts": {
            "roast": {"kind": "roast", "keeps": "3 days"},
            "trim 80": {"kind": "trim", "lean": "80%", "keeps": "3 days"},
            "trim 50": {"kind": "trim", "lean": "50%", "keeps": "3 days"},
            "fat": {"kind": "fat", "keeps": "1 day"},
            "bones": {"kind": "bone", "keeps": "3 days"},
        },
    }


MINCE = {"from": ["trim 80", "trim 50"], "keeps": "2 days"}
MUCH = {"price": "10/lb", "want": "90 lb"}


@pytest.fixture
def planned(tmp_path: Path) -> Callable[..., Plan]:
    """The plan of a shop with one side of 100 lb, one blend and a day or more."""

    def plan(blend: dict[str, Any], demand: dict[str, Any], **more: Any) -> Plan:
        recipe = side() | {"blends": {"mince": MINCE | blend}}
        scenario = {
            "title": "An invented block",
            "starts": "2026-11-30",
            "days": 1,
            "recipes": ["lamb.yaml"],
            "rail": [{"lamb": "1 side at 100 lb"}],
            "demand": demand,
        }
        (tmp_path / "lamb.yaml").write_text(yaml.safe_dump(recipe, sort_keys=False))
        path = tmp_path / "shop.yaml"
        path.write_text(yaml.safe_dump(scenario | more, sort_keys=False))
        return plan_of(path)

    return plan


def answer_of(plan: Plan, *mends: Imbalance) -> TrimAnswer:
    return TrimAnswer(plan, mends)


def trim_text(answer: TrimAnswer) -> str:
    """With all tables."""
    return text_of(answer, tables=True)


def only_day(plan: Plan) -> BlendDay:
    [day] = blend_days(plan)
    return day


def flow_of(plan: Plan, cut: str, day: int = 0) -> Flow:
    return next(each for each in flows(plan) if (each.cut, each.day) == (cut, day))


def said(plan: Plan, *mends: Imbalance) -> str:
    """The text as one line, so that where lines end does not matter."""
    return " ".join(trim_text(answer_of(plan, *mends)).split())


# -- by hand ---------------------------------------------------------------------------------------


def test_fat_at_its_most_and_no_lean_left_as_worked_by_hand(planned):
    """20 lb of 20% fat with x of 50% make 26%: 4 + 0.5 x = 0.26 (20 + x), so x = 5."""
    plan = planned({"fat": "20% to 26%"}, {"mince": MUCH})
    day = only_day(plan)
    assert day.batch.made == pytest.approx(25)
    assert day.batch.takes == {"trim 80": pytest.approx(20), "trim 50": pytest.approx(5)}
    assert (day.batch.fat, day.blend.fat) == (pytest.approx(0.26), (0.20, 0.26))
    assert day.binds == (Bind("fat", "", "most"), Bind("used up", "trim 80"))
    [week] = blend_weeks(plan)
    assert (week.wanted, week.line.made, week.line.sold) == tuple(map(pytest.approx, (90, 25, 25)))
    assert week.unmet_by_day == ((0, pytest.approx(65)),)
    assert flow_of(plan, "trim 50").left == pytest.approx(5)
    text = said(plan)
    assert "mon 25.0 lb, fat 26.0% (20% to 26%) from trim 80 20.0 lb, trim 50 5.0 lb" in text
    assert "binds: fat at its maximum; nothing is left of trim 80" in text
    assert "mince: wanted 90.0 lb, made 25.0 lb, sold 25.0 lb, SHORT 65.0 lb (mon 65.0 lb)" in text


def test_fat_at_its_least(planned):
    """10 lb of 50% fat with x of 20% make 40%: 5 + 0.2 x = 0.4 (10 + x), so x = 5."""
    day = only_day(planned({"fat": "at least 40%"}, {"mince": MUCH}))
    assert day.batch.made == pytest.approx(15)
    assert day.binds == (Bind("fat", "", "least"), Bind("used up", "trim 50"))
    fixed = only_day(planned({"fat": "40% to 40%"}, {"mince": MUCH}))
    assert fixed.binds[0] == Bind("fat", "", "both")


def test_a_share_at_its_least(planned):
    """Trim 50 is worth more by itself, but 20 lb of trim 80 need 20 x 0.3 / 0.7 lb of it."""
    demand = {"mince": MUCH, "trim 50": {"price": "20/lb", "want": "90 lb"}}
    plan = planned({"trim 50": "at least 30%"}, demand)
    day, flow = only_day(plan), flow_of(plan, "trim 50")
    [share] = day.shares
    assert share == ("trim 50", pytest.approx(0.3), 0.3, 1.0)
    assert day.binds[:2] == (Bind("share", "trim 50", "least"), Bind("used up", "trim 80"))
    assert flow.used == {"mince": pytest.approx(20 * 0.3 / 0.7)}
    assert flow.sold == pytest.approx(10 - 20 * 0.3 / 0.7)
    assert "trim 50 30.0% (at least 30%)" in said(plan)
    assert "trim 50 at its minimum" in said(plan)


def test_a_share_at_its_most(planned):
    """20 lb at most 80% of the whole: 25 lb, and 5 of them trim 50."""
    day = only_day(planned({"trim 80": "at most 80%", "trim 50": "at most 20%"}, {"mince": MUCH}))
    assert day.batch.made == pytest.approx(25)
    assert Bind("share", "trim 80", "most") in day.binds
    assert Bind("share", "trim 50", "most") in day.binds


@pytest.mark.parametrize(
    ("keeps", "want", "made", "number", "binds"),
    [
        ("1 day", 20, 24, 3, True),  # the rest of the third batch is binned: 4 lb more are sold
        ("2 days", 20, 24, 3, True),  # it lies over instead
        ("2 days", 24, 24, 3, False),
        ("2 days", 90, 24, 3, True),  # there is meat for 30 lb
    ],
)
def test_whole_batches_bind_where_less_than_one_would_be_made(
    planned, keeps, want, made, number, binds
):
    plan = planned(
        {"batch": "8 lb", "keeps": keeps}, {"mince": {"price": "10/lb", "want": f"{want} lb"}}
    )
    day = only_day(plan)
    assert (day.batch.made, day.batch.batches) == (pytest.approx(made), number)
    assert (Bind("batches") in day.binds) == binds
    assert (Bind("wanted") in day.binds) == (want <= made)
    assert f"mon {made:.1f} lb in {number} batches" in said(plan)
    assert ("whole batches of 8.0 lb" in said(plan)) == binds


def test_the_bench_binds_only_blends_that_take_time(planned):
    """2 minutes of 12 go to the side."""
    blend = {"minutes": "1 per lb"}
    full = only_day(planned(blend, {"mince": MUCH}, bench=12))
    assert full.batch.made == pytest.approx(10)
    assert [bind for bind in full.binds if bind.kind != "used up"] == [Bind("bench")]
    dear = only_day(
        planned(blend, {"mince": MUCH}, bench=12, overtime={"up to": 60, "cost": "0.50"})
    )
    assert dear.batch.made == pytest.approx(30)
    assert Bind("overtime") in dear.binds and Bind("bench") not in dear.binds
    quick = only_day(planned({}, {"mince": MUCH}, bench=2))
    assert quick.batch.made == pytest.approx(30)
    assert Bind("bench") not in quick.binds


def test_whole_batches_do_not_bind_where_there_is_meat_for_another(planned):
    """The bench has 8 minutes left for the mince: a batch of 8 lb, with meat for 22 lb over."""
    day = only_day(planned({"minutes": "1 per lb", "batch": "8 lb"}, {"mince": MUCH}, bench=10))
    assert (day.batch.batches, day.binds) == (1, (Bind("bench"),))


def test_all_that_is_used_up_is_told_at_once(planned):
    text = said(planned({}, {"mince": MUCH}))
    assert text.split(" Grinder:")[0].endswith("binds: nothing is left of trim 80, trim 50")


@pytest.mark.parametrize(
    ("rule", "takes", "binds"),
    [
        ("at most 4 lb trim 50: mince", 4, True),
        ("at most 40 lb trim 50: mince", 10, False),
        ("never trim 50: mince", 0, True),
        ("all trim 50: mince", 10, False),
    ],
)
def test_rules_on_the_grind_bind(planned, rule, takes, binds):
    plan = planned({}, {"mince": MUCH}, rules=[dict([rule.split(": ")])])
    day = only_day(plan)
    assert day.batch.takes.get("trim 50", 0.0) == pytest.approx(takes)
    assert (Bind("rule", rule) in day.binds) == binds
    assert (f'the rule "{rule}"' in said(plan)) == binds


def test_all_that_is_wanted(planned):
    few = {"price": "10/lb", "want": "5 lb"}
    assert only_day(planned({}, {"mince": few})).binds == (Bind("wanted"),)
    marked = few | {"markdown": {"price": "4/lb", "want": "3 lb"}}
    assert only_day(planned({}, {"mince": marked})).binds == (Bind("full price"),)


def test_what_lies_over_what_is_out_of_date_and_where_it_came_from(planned):
    """Two sides on Monday and Tuesday; fat keeps that day only, bones three."""
    plan = planned(
        {},
        {"mince": MUCH, "bones": {"price": "1/lb", "want": {"tue": "12 lb"}}},
        days=2,
        rail=[
            {"lamb": "1 side at 100 lb", "keeps": "1 day"},
            {"lamb": "1 side at 60 lb", "arrives": "tue", "keeps": "1 day"},
            {"lamb": "2 sides at 40 lb", "arrives": "tue", "keeps": "1 day"},
        ],
        rules=[{"at least 4 side": "bone out"}],
        case={"bones": "3 lb"},
    )
    bones = [flow_of(plan, "bones", day) for day in (0, 1)]
    assert bones[0].had == pytest.approx(3)
    assert bones[0].sources == (TrimSource("lamb", "side", "bone out", 1, pytest.approx(10)),)
    assert bones[0].left == bones[1].had == pytest.approx(13)
    assert bones[1].sources == (TrimSource("lamb", "side", "bone out", 3, pytest.approx(14)),)
    assert (bones[1].sold, bones[1].left) == (pytest.approx(12), pytest.approx(15))
    assert [flow_of(plan, "fat", day).wasted for day in (0, 1)] == pytest.approx([10, 14])
    weeks = {each.line.cut: each for each in trim_weeks(plan)}
    assert list(weeks) == ["trim 80", "trim 50", "fat", "bones"]
    assert [each.lean for each in weeks.values()] == [0.8, 0.5, 0.0, None]
    assert weeks["fat"].line.wasted == pytest.approx(24)
    assert weeks["bones"].line.on_hand == pytest.approx(3)
    text = said(plan)
    assert "fat mon 1 side, bone out 10.0 lb OUT OF DATE 10.0 lb" in text
    assert (
        "bones mon had 3.0 lb; 1 side, bone out 10.0 lb left 13.0 lb "
        "tue had 13.0 lb; 3 side, bone out 14.0 lb sold 12.0 lb; left 15.0 lb" in text
    )


def test_without_blends_and_without_trim_the_program_says_so(tmp_path):
    recipe = side()
    recipe["cuts"] = {"roast": recipe["cuts"]["roast"]}
    recipe["pieces"]["side"]["ways"]["bone out"]["gives"] = {"roast": "50%", "loss": "50%"}
    (tmp_path / "lamb.yaml").write_text(yaml.safe_dump(recipe, sort_keys=False))
    (tmp_path / "shop.yaml").write_text(
        "title: An invented block\nstarts: 2026-11-30\ndays: 1\nrecipes: [lamb.yaml]\n"
        "rail: [{lamb: 1 side at 9 lb}]\ndemand: {roast: {price: 9/lb, want: 9 lb}}\n"
    )
    plan = plan_of(tmp_path / "shop.yaml")
    assert said(plan) == (
        "An invented block Nothing is short, and nothing goes out of date. "
        "This plan has no trim, fat or bones. "
        "Nothing is ground, stuffed or rendered here: there are no blends."
    )


def test_kilograms_say_the_same_as_pounds(planned):
    demand = {"mince": {"price": "10/kg", "want": "40 kg"}}
    plan = planned({"fat": "20% to 26%"}, demand, unit="kg", rail=[{"lamb": "1 side at 100 kg"}])
    [row] = [each for each in trim_data(answer_of(plan))["by day"] if each["cut"] == "trim 50"]
    assert (row["made"], row["blended"]["mince"]) == (pytest.approx(10), pytest.approx(5))
    assert flow_of(plan, "trim 50").made == pytest.approx(10 / KG)
    assert "trim 80 20.0 kg, trim 50 5.0 kg" in said(plan)


# -- whatever the shop -----------------------------------------------------------------------------


@settings(SHOPS, max_examples=50)
@given(st.one_of(shops(), mixed_shops()))
def test_in_every_shop_all_flows_balance_and_blends_are_as_made(shop):
    with TemporaryDirectory() as folder:
        scenario = read(write_shop(shop, Path(folder)))
    plan = plan_or_none(scenario)
    if plan is None:
        return
    answer = answer_of(plan)
    assert_flows(plan, answer)
    assert_blends(plan, answer)
    text = trim_text(answer)
    assert max(map(len, text.splitlines())) <= 100
    data = json.loads(json_text(trim_data(answer)))
    assert len(data["by day"]) == len(flows(plan))
    assert sum(each["wasted"] for each in data["by day"]) == pytest.approx(
        sum(each["wasted"] for each in data["week"]), abs=NEAR
    )


def assert_flows(plan: Plan, answer: TrimAnswer) -> None:
    lines = {line.cut: line for line in plan.cuts}
    mornings: dict[str, tuple[int, float]] = {}
    for each in flows(plan):
        there = each.had + each.made
        gone = sum(each.used.values()) + each.sold + each.wasted
        assert there == pytest.approx(gone + each.left, abs=NEAR)
        assert each.made == pytest.approx(sum(source.pounds for source in each.sources))
        assert min(each.had, each.sold, each.wasted, each.left) >= 0
        day, left = mornings.get(each.cut, (-1, lines[each.cut].on_hand))
        if left > NEAR:  # what lay over is there the next morning
            assert each.day == day + 1
        assert each.had == pytest.approx(left, abs=NEAR)
        mornings[each.cut] = each.day, each.left
        for source in each.sources:
            cut_so = sum(
                one.count
                for one in plan.breaks
                if (one.day, one.piece, one.way) == (each.day, source.piece, source.way)
            )
            assert source.number == cut_so
    for week in trim_weeks(plan):
        line = week.line
        own = [each for each in flows(plan) if each.cut == line.cut]
        assert sum(each.made for each in own) == pytest.approx(line.made, abs=NEAR)
        assert sum(sum(each.used.values()) for each in own) == pytest.approx(line.blended, abs=NEAR)
        assert sum(each.wasted for each in own) == pytest.approx(line.wasted, abs=NEAR)
        assert line == lines[line.cut]
        assert line.on_hand + line.made == pytest.approx(
            line.blended + line.sold + line.wasted + line.left, abs=NEAR
        )
    order = list(plan.scenario.cuts)
    keys = [(order.index(each.cut), each.day) for each in flows(plan)]
    assert keys == sorted(set(keys))


def assert_blends(plan: Plan, answer: TrimAnswer) -> None:
    """Fat and shares once more, from what went in and the lean shares of the recipe."""
    scenario = plan.scenario
    assert len(blend_days(plan)) == len(plan.batches)
    for day in blend_days(plan):
        blend, weight = day.blend, sum(day.batch.takes.values())
        close = 1e-4 + NEAR / weight
        leans = {cut: scenario.cuts[cut].lean for cut in day.batch.takes}
        leans = {
            cut: 0.0 if lean is None and scenario.cuts[cut].kind == "fat" else lean
            for cut, lean in leans.items()
        }
        if None in leans.values():
            assert day.batch.fat is None
        else:
            lean = sum(day.batch.takes[cut] * leans[cut] for cut in day.batch.takes) / weight
            assert day.batch.fat == pytest.approx(1 - lean)
            assert blend.fat[0] - close <= day.batch.fat <= blend.fat[1] + close
        for share, limit in zip(day.shares, blend.limits, strict=True):
            inside = [
                pounds
                for cut, pounds in day.batch.takes.items()
                if limit.name in (cut, scenario.cuts[cut].species)
            ]
            assert share.reached == pytest.approx(sum(inside) / weight)
            assert limit.least - close <= share.reached <= limit.most + close
        if day.batch.batches is not None:
            assert day.batch.made == pytest.approx(day.batch.batches * blend.batch, abs=1e-4)
        for bind in day.binds:
            if bind.kind == "used up":
                over = [
                    each.left + each.wasted
                    for each in flows(plan)
                    if (each.cut, each.day) == (bind.name, day.batch.day)
                ]
                assert sum(over) < 0.01
    lines = {line.cut: line for line in plan.cuts}
    for week in blend_weeks(plan):
        assert week.unmet == pytest.approx(lines[week.line.cut].unmet, abs=1e-4)
        assert sum(pounds for _, pounds in week.unmet_by_day) == pytest.approx(week.unmet)
        assert week.line == lines[week.line.cut]
    shown = {week.line.cut for week in blend_weeks(plan)}
    assert {batch.blend for batch in plan.batches} <= shown


# -- advice in words -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def lamb() -> Plan:
    return plan_week(read(shipped_folder("scenarios") / "one-lamb.yaml"), TIGHT)


def remedy(*rules: str, **fields: Any) -> Remedy:
    empty = {"more": (), "fewer": (), "moved": (), "into": "", "fat": None}
    empty |= {"robbed": (), "mended": 4.2}
    changes = tuple(Change("rule", rule) for rule in rules)
    return Remedy(changes=changes, **(empty | {"least": 9.10, "most": 9.10} | fields))


def test_a_shortage_in_a_butchers_words(lamb):
    grind = remedy(
        "at least 2 foreshank: trim",
        "at least 1 neck: trim",
        more=(("foreshank", "trim", 2), ("neck", "trim", 1)),
        fewer=(("foreshank", "whole", 2), ("neck", "whole", 1)),
    )
    mend = Imbalance("short", "ground lamb", ((0, 4.2),), 12.99, "lean", (grind,))
    text = trim_text(answer_of(lamb, mend)).split("SHORT AND SURPLUS\n")[1].split("\n\n")[0]
    lines = text.split("\n\n")[0].splitlines()
    assert lines[0] == "  Monday's ground lamb is 4.2 lb short of lean:"
    assert " ".join(" ".join(lines[1:-1]).split()) == (
        "grind 2 foreshanks and 1 neck instead of selling them as whole shank and "
        "whole neck: costs $9.10"
    )
    first, second = (f'--rule "{change.text}"' for change in grind.changes)
    assert lines[-1] == f"      breakplan whatif FILE {first} {second}"


def test_a_surplus_in_a_butchers_words(lamb):
    moved = remedy(
        "at least 3 lb fat: lamb sausage",
        moved=(("fat", "lamb sausage", 3.0), ("trim 70", "lamb sausage", -3.0)),
        into="lamb sausage",
        fat=0.24,
        mended=3.0,
        least=0.4,
        most=0.4,
    )
    other = remedy(
        more=(("breast", "whole", 2),),
        fewer=(("breast", "trim", 1), ("shoulder", "trim", 1)),
        mended=11.0,
        least=-1.0,
        most=2.0,
    )
    mend = Imbalance("surplus", "fat", ((0, 11.0),), 0.5, "", (moved, other))
    text = said(lamb, mend)
    assert "11.0 lb of fat will go out of date Monday: move 3.0 lb more of it into" in text
    assert "lamb sausage (fat then 24.0%, limit 26%) (mends 3.0 lb of it): costs $0.40" in text
    assert (
        "or cut 2 breasts (whole) instead of grinding them; grind 1 shoulder less: "
        "between earning $1.00 and costing $2.00" in text
    )


def test_several_days_and_nothing_that_mends_it(lamb):
    longer = replace(lamb, scenario=replace(lamb.scenario, days=9))
    days = ((0, 4.0), (8, 7.0))
    asked, late = (Imbalance("surplus", "fat", days, 1.5, asked=each) for each in (True, False))
    text = trim_text(replace(answer_of(lamb, asked, late), plan=longer))
    assert "11.0 lb of fat will go out of date (2026-11-30 4.0 lb, 2026-12-08 7.0 lb):" in text
    assert "no blend and no other way to cut was found that mends it at up to $1.50/lb" in " ".join(
        text.split()
    )
    assert "not looked into: out of time" in text
    one = Imbalance("surplus", "fat", ((8, 7.0),), 2.0)
    text = trim_text(replace(answer_of(lamb, one), plan=longer))
    assert "7.0 lb of fat will go out of date Tuesday 2026-12-08:" in text
    assert "no blend and no other way to cut was found that mends it" in " ".join(text.split())


def test_other_mixtures_and_pieces_left_whole(lamb):
    mixed = remedy(moved=(("fat", "ground lamb", -1.0), ("fat", "lamb sausage", 2.0)))
    whole = remedy(fewer=(("breast", "trim", 2), ("neck", "slices", 1)))
    text = said(lamb, Imbalance("short", "ground lamb", ((0, 4.2),), 12.99, "", (mixed, whole)))
    assert "Monday's ground lamb is 4.2 lb short: put 2.0 lb more fat into lamb sausage" in text
    assert "and less into ground lamb: costs $9.10" in text
    assert "or grind 2 breasts less; cut 1 neck less (slices): costs $9.10" in text


def test_what_a_shell_would_read_is_not_told_to_be_typed(lamb):
    for rule in ('at least 1 leg: "best"', "at least 1 leg: $5", "at least 1 leg: " + "w" * 80):
        mend = Imbalance("short", "ground lamb", ((0, 4.2),), 12.99, "", (remedy(rule),))
        assert "whatif" not in said(lamb, mend)
        [data] = trim_data(answer_of(lamb, mend))["mends"]
        assert data["remedies"][0]["changes"] == [{"option": "--rule", "text": rule}]


@pytest.mark.parametrize(
    ("least", "most", "text"),
    [
        (9.1, 9.1, "costs $9.10"),
        (9.101, 9.399, "costs $9.10 to $9.40"),
        (12.3, 15.1, "costs $12 to $16"),
        (0.0, 0.0, "costs nothing"),
        (0.0, 0.4, "costs at most $0.40"),
        (-0.4, 0.0, "earns at most $0.40"),
        (-2.0, -1.0, "earns $1.00 to $2.00"),
        (-0.5, 0.25, "between earning $0.50 and costing $0.25"),
    ],
)
def test_what_a_remedy_costs(least, most, text):
    assert cost_text(least, most, Units("lb", "$")) == text


def test_without_advice_a_shortage_is_not_called_balance(planned):
    plan = planned({"fat": "20% to 26%"}, {"mince": MUCH})
    assert "Nothing is short" not in said(plan)
    assert "SHORT AND SURPLUS" not in said(plan)


# -- the command -----------------------------------------------------------------------------------


@pytest.fixture
def run():
    app = typer.Typer(rich_markup_mode=None, pretty_exceptions_enable=False)
    app.command(epilog=command.EXAMPLE)(command.trim)

    def call(*words: str | Path) -> Any:
        return CliRunner().invoke(app, [str(word) for word in words])

    return call


def test_the_command_prints_for_a_person_and_for_machines(run):
    text = run("one-lamb", "--no-advice", "--all")
    assert text.exit_code == 0
    assert text.stdout.startswith(
        "One lamb, an invented shop\n\nShort: ground lamb 4.5 lb.\n\nDAY (lb)\n"
    )
    data = json.loads(run("one-lamb", "--no-advice", "--json", "--within", "0.01").stdout)
    assert (data["format"], data["unit"], data["mends"]) == ("breakplan/1", "lb", [])
    for row in (*data["week"], *data["by day"]):
        blended = row["blended"]
        used = sum(blended.values()) if isinstance(blended, dict) else blended
        there = row["on hand"] + row["made"]
        assert there == pytest.approx(used + row["sold"] + row["wasted"] + row["left"], abs=NEAR)
    for blend in data["blends by day"]:
        low, high = blend["fat limits"]
        assert low - 1e-6 <= blend["fat"] <= high + 1e-6


@pytest.mark.parametrize("name", ["one-lamb", "corner-shop"])
def test_without_all_the_advice_fits_a_screen(run, name):
    lines = run(name, "--seconds", "10").stdout.splitlines()
    assert len(lines) <= 24 and max(map(len, lines)) <= 100
    assert lines[2] == "SHORT AND SURPLUS" and "--all" in lines[-3] and "Grinder: " in lines[-1]


@pytest.mark.parametrize("name", ["holiday", "whole-animal"])
def test_without_all_and_without_advice_the_answer_fits_a_screen(run, name):
    lines = run(name, "--no-advice", "--within", "2%").stdout.splitlines()
    assert len(lines) <= 24 and max(map(len, lines)) <= 100
    assert "WEEK (lb)" not in lines and lines[2].startswith("Short: ")


def test_the_advice_of_a_bad_week_fits_a_screen_and_the_rest_is_counted(lamb):
    """Twenty shortages with five remedies each, told where there is room."""
    rules = ("at least 2 foreshank: trim", "at least 1 neck: trim", "at least 1 shoulder: trim")
    remedies = tuple(remedy(*rules) for _ in range(5))
    late = replace(lamb, status="time limit")
    for number in (1, 2, 5, 20):
        mends = (Imbalance("short", "ground lamb", ((0, 4.2),), 9.0, "lean", remedies),) * number
        lines = text_of(answer_of(late, *mends)).splitlines()
        told = sum("short of lean" in line for line in lines)
        assert len(lines) <= 24 and told >= 1
        assert (f"  and {number - told} more" in lines) == (told < number)


def test_the_advice_of_the_command_is_in_its_json(run):
    data = json.loads(run("one-lamb", "--json", "--seconds", "8").stdout)
    assert data["settled"] in (True, False)
    for mend in data["mends"]:
        assert mend["kind"] in ("short", "surplus")
        for each in mend["remedies"]:
            assert each["costs"]["least"] <= each["costs"]["most"]
            assert all(change["option"] == "--rule" for change in each["changes"])


def test_the_command_draws_a_square_without_planning(run):
    ran = run("one-lamb", "--square", "trim 85, fat: 10 lb at 20%")
    assert ran.stdout.startswith("MIX TO 20.0% FAT\n")
    data = json.loads(run("one-lamb", "--square", "trim 85, fat: 20%", "--json").stdout)
    assert data["total"] is None and data["mix"][0]["weight"] is None
    wrong = run("one-lamb", "--square", "trim 86, fat: 20%").exception
    assert isinstance(wrong, InputError)
    assert str(wrong).startswith('--square: no cut called "trim 86" in lamb; did you mean "trim 8')


def test_a_plan_stopped_by_the_time_limit_says_so(lamb):
    for status in ("within tolerance", "time limit"):
        answer = TrimAnswer(replace(lamb, status=status), ())
        assert trim_data(answer)["status"] == status
        assert ("Stopped by the time limit" in trim_text(answer)) == (status == "time limit")
