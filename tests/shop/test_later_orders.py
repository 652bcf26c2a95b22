"""Orders after the week that is planned: named, and held for as far as can be."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from itertools import product

import pytest

from planner.core.scenario import Held, Order
from planner.core.units import Quantity
from planner.journal.entries import Count, Delivery, OrderTaken
from planner.solve import Options
from planner.solve.plan import plan_week
from tests.commands.test_week_in_shop import Block
from tests.shops import shop_folder

FRI, SAT, SUN, NEXT_MON = (date(2026, 12, day) for day in (4, 5, 6, 7))
CHRISTMAS = date(2026, 12, 24)


@pytest.fixture
def friday(tmp_path, breakplan, clock_at):
    """Two lambs on a Friday, enough for two loins: of two racks each, or of chops."""
    found = Block(shop_folder(tmp_path / "mine"), breakplan, clock_at)
    found.today(FRI)
    found.enter(Delivery(FRI, "lamb carcass", 2, (58.0, 58.0), 7.1))
    return found


def order(cut, amount, day=NEXT_MON, by_each=False):
    return OrderTaken(day, f"lamb {cut}", Quantity(amount, by_each), "the inn")


def counts(plan):
    return {(each["piece"], each["way"]): each["count"] for each in plan["breaks"]}


def test_a_rack_for_monday_is_left_whole_on_saturday(friday):
    assert "later" not in friday.json("--look")
    friday.enter(order("frenched rack", 2.0, by_each=True))
    plan = friday.json()
    (later,) = plan["later"]
    assert later == {
        "day": "2026-12-07",
        "cut": "frenched rack",
        "for": "the inn",
        "ordered": 2,
        "held": 2,
        "whole": [{"species": "lamb", "piece": "loin", "count": 1}],
        "why not": "",
    }
    left = {each["piece"]: each["count"] for each in plan["whole"] if each["state"] == "left"}
    assert left["loin"] == 1
    said = "mon 7 dec  the inn: 2 frenched rack - held: 1 loin left whole"
    assert said in friday.text()
    assert said in friday.run("morning", "--shop", friday.folder).out
    sheet = json.loads(friday.run("morning", "--shop", friday.folder, "--json").out)
    assert sheet["later"] == [later]
    for command in ("week", "morning"):
        page = friday.folder / f"{command}.html"
        friday.run(command, "--shop", friday.folder, "--page", page)
        assert "2 frenched rack - held: 1 loin left whole" in page.read_text()


def test_every_question_bears_with_an_order_for_later(friday):
    friday.enter(order("frenched rack", 2.0, by_each=True), order("loin chops", 3.0, CHRISTMAS))
    for words in (
        ("whatif", "--rule", "never leg: whole"),
        ("order", "--up-to", "3"),
        ("promise", "whole leg: 4 lb on sat"),
        ("why", "loin"),
        ("trim",),
        ("price",),
    ):
        friday.run(words[0], friday.folder, *words[1:])


def test_what_cannot_be_held_is_named_with_the_reason(friday):
    friday.enter(
        order("ground lamb", 3.0),
        order("loin chops", 4.0, CHRISTMAS),
        order("frenched rack", 9.0, by_each=True),
    )
    later = {each["cut"]: each for each in friday.json("--look")["later"]}
    assert {cut: each["why not"] for cut, each in later.items()} == {
        "ground lamb": "blend",
        "loin chops": "keeps",
        "frenched rack": "left",
    }
    assert later["frenched rack"]["held"] == 4  # two loins
    text = friday.text("--look")
    assert "thu 24 dec  the inn: 4.0 lb loin chops - NOT HELD: nothing" in text
    assert "ONLY 4 HELD (2 loin left whole)" in text


def test_orders_of_the_week_come_first(friday):
    friday.enter(order("loin chops", 20.0, SAT), order("frenched rack", 4.0, by_each=True))
    plan = friday.json("--look")
    assert counts(plan)["loin", "chops"] == 2
    assert not plan["short"]
    (later,) = plan["later"]
    assert (later["held"], later["why not"]) == (0, "left")


def test_a_cut_that_keeps_may_be_cut_for_it(friday):
    """Nothing whole is there; of the leg in the case some is kept for Monday, against Saturday."""
    friday.enter(
        Count(FRI, "open", "lamb boneless leg", Quantity(12.0), FRI),
        order("boneless leg", 5.0),
    )
    friday.enter(Count(FRI, "open", "lamb carcass", Quantity(0.0, by_each=True), None))
    plan = friday.json("--look")
    (later,) = plan["later"]
    assert (later["held"], later["whole"]) == (pytest.approx(5.0), [])
    (leg,) = [each for each in plan["cuts"] if each["cut"] == "boneless leg"]
    assert leg["left"] >= 5.0 - 1e-6
    assert "held: what is left of it in the case" in friday.text("--look")


def test_an_order_for_sunday_is_of_this_week(friday):
    friday.enter(order("loin chops", 3.0, SUN))
    assert "later" not in friday.json("--look")


def test_a_shop_with_nothing_in_it_names_it_too(tmp_path, breakplan, clock_at):
    """What a user did first: nothing entered but an order."""
    block = Block(shop_folder(tmp_path / "mine"), breakplan, clock_at)
    block.today(FRI)
    block.enter(order("frenched rack", 2.0, by_each=True))
    assert "mon 7 dec  the inn: 2 frenched rack - NOT HELD" in block.text()


@pytest.mark.parametrize(
    ("racks", "pounds", "legs"), [*product((2.0, 3.0), (5.0, 11.0), (0.0, 9.0))]
)
def test_what_is_held_can_be_cut_on_the_day(friday, racks, pounds, legs):
    """Pieces left are cut once, in one way each: tried out, every way for every piece."""
    from planner.commands.starting import start_of

    scenario = start_of(str(friday.folder)).scenario
    asked = {"frenched rack": racks, "loin chops": pounds, "boneless leg": legs}
    held = tuple(
        Held(Order(number, cut, 3, amount, 20.0, "the inn"), 3)
        for number, (cut, amount) in enumerate(pair for pair in asked.items() if pair[1])
    )
    plan = plan_week(replace(scenario, held=held), Options(share=0.0, amount=0.01))
    whole = {each.piece: each.count for each in plan.uncut if not each.wasted}
    head = whole.get("carcass", 0)
    loins, cut = head + whole.get("loin", 0), head * 2 + whole.get("leg", 0)
    left = {line.cut: line.left for line in plan.cuts}
    got = {each.cut: each.held for each in plan.later}
    weight = 58.0 * 0.2
    assert any(
        got["frenched rack"] <= 2 * as_racks + left["frenched rack"] + 1e-6
        and got["loin chops"] <= (loins - as_racks) * weight * 0.93 + left["loin chops"] + 1e-6
        for as_racks in range(loins + 1)
    )
    if legs:
        assert got["boneless leg"] <= cut * 58.0 * 0.15 * 0.7 + left["boneless leg"] + 1e-6
    # two loins: racks of one and chops of the other, or whatever they give together
    assert got["frenched rack"] >= 2
    if racks == 2 and pounds <= weight * 0.93:
        assert all(each.full for each in plan.later)


# promises


def promised(friday, *words, code=0):
    return friday.run("promise", friday.folder, *words, code=code)


def test_a_promise_for_after_the_week_says_what_can_be_held(friday):
    ran = promised(friday, "frenched rack: 2 on mon", "--for", "the inn", "--write")
    assert ran.out.startswith("YES: all of it can be held.\nNot planned yet: ")
    assert "mon 7 dec  the inn: 2 frenched rack - held: 1 loin left whole" in ran.out
    assert "in the days up to sat 5 dec." in ran.out
    assert "Written into the journal, as entry 2." in ran.out
    (later,) = friday.json("--look")["later"]
    assert (later["day"], later["held"]) == ("2026-12-07", 2)


def test_what_a_promise_costs_is_what_the_week_earns_less(friday):
    before = friday.json("--look", "--within", "0.01")
    told = json.loads(promised(friday, "frenched rack: 2 on mon", "--json").out)
    assert (told["answer"], told["planned"]) == ("yes", False)
    friday.enter(order("frenched rack", 2.0, by_each=True))
    after = friday.json("--look", "--within", "0.01")
    costs = before["score"] - after["score"]
    assert told["costs"]["least"] - 0.02 <= costs <= told["costs"]["most"] + 0.02


def test_what_is_held_already_is_kept(friday):
    friday.enter(order("frenched rack", 4.0, by_each=True))
    told = json.loads(promised(friday, "loin chops: 5 lb on mon", "--json").out)
    assert told["answer"] == "no"
    ran = promised(friday, "loin chops: 5 lb on mon", "--write", code=3)
    assert ran.out.startswith("NO: nothing can be held for it.")
    assert "Nothing was written" in ran.out
    week = promised(friday, "loin chops: 12 lb on sat", "--json")
    assert json.loads(week.out)["answer"] != "yes"  # the second loin is for Monday


def test_orders_of_this_week_and_later_ones_are_asked_for_apart(friday):
    ran = promised(friday, "loin chops: 1 lb on sat", "loin chops: 1 lb on mon", code=2)
    assert "ask for them separately" in ran.err
    ran = promised(friday, "loin chops: 4 lb on 2026-12-24")
    assert ran.out.startswith("NO:")
    assert "every plan lists it" in ran.out
