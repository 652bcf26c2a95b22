"""Every question starts from the plan that `week` shows for the same file and options."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest

from planner.ask.comparison import Comparer
from planner.ask.order import order
from planner.ask.price import price_week
from planner.ask.promise import promise
from planner.ask.trim import trim_balance
from planner.ask.whatif import whatif
from planner.ask.why import why
from planner.commands.starting import start_of
from planner.core.units import Quantity
from planner.files.asked_order import order_of, split_order
from planner.files.changes import Change, read_changes
from planner.files.find import find
from planner.files.scenario_file import read_scenario
from planner.solve import Options
from planner.solve.plan import plan_week
from tests.commands.test_week_in_shop import Block
from tests.shops import shop_folder

SLOW = [
    pytest.param(name, marks=pytest.mark.thorough)
    for name in ("corner-shop", "holiday", "whole-animal")
]

ORDERS = {"one-lamb": "leg steaks: 1 lb on sat", "corner-shop": "boneless leg: 2 lb on fri"}


def scenario_of(name):
    return read_scenario(*find(name, "scenarios", Path()))[0]


@pytest.mark.parametrize("name", ["one-lamb", *SLOW])
def test_every_question_explains_the_plan_of_the_week(name):
    scenario = scenario_of(name)
    options = Options(seconds=300.0)  # a search that is cut off depends on the machine
    told = plan_week(scenario, options).breaks
    piece = next(each.piece for each in told)
    cut = next(name for name, each in scenario.demand.items() if each.price)
    asked = order_of(scenario, split_order(f"{cut}: 1 on {scenario.day_labels[-1]}"))
    change = read_changes(scenario, [Change("price", f"{cut}: +5%")])
    assert price_week(scenario, 0.4, options=options).plan.breaks == told
    if name in ("holiday", "whole-animal"):  # the others begin likewise, and take minutes
        return
    assert whatif(Comparer(scenario, options), change).beside.before.breaks == told
    assert why(scenario, piece, options).plan.breaks == told
    assert trim_balance(scenario, options, advice=False).plan.breaks == told
    assert promise(Comparer(scenario, options), [asked]).before.breaks == told
    heads = [lot for lot in scenario.lots if lot.piece in lot.recipe.roots and not lot.up_to]
    for lot in [each for each in heads if each.count <= 3][:1]:
        curve = order(Comparer(scenario, options), lot.recipe.species, lot.count, 7.0)
        row = next(each for each in curve.deliveries if each.lot == lot).rows[lot.count]
        assert row.plan.breaks == told


def test_the_commands_start_from_what_week_prints(breakplan):
    """What a user saw: why told of 1 square-cut and 3 chops where week had 2 and 3."""
    week = json.loads(breakplan("week", "corner-shop", "--json").out)
    ways: Counter[str] = Counter()
    for each in week["breaks"]:
        if each["piece"] == "shoulder":
            ways[each["way"]] += each["count"]
    why_told = json.loads(breakplan("why", "corner-shop", "shoulder", "--json").out)
    (shoulder,) = why_told["pieces"]
    assert {way: n for way, n in shoulder["used"].items() if n} == dict(ways)
    changed = ("whatif", "corner-shop", "--price", "loin chops: +1%", "--json")
    assert json.loads(breakplan(*changed).out)["before"]["breaks"] == week["breaks"]


@pytest.mark.thorough
def test_options_are_those_of_the_week(breakplan):
    """A wide tolerance gives another plan, and questions start from that one then."""
    loose = ("--within", "10%")
    week = json.loads(breakplan("week", "corner-shop", "--json", *loose).out)
    changed = ("whatif", "corner-shop", "--price", "loin chops: +1%", "--json", *loose)
    assert json.loads(breakplan(*changed).out)["before"]["breaks"] == week["breaks"]


def test_in_a_shop_it_is_the_list_on_the_wall(tmp_path, breakplan, clock_at):
    """Also after an order that `week` would change it for: what was shown last is explained."""
    from planner.journal.entries import Delivery, OrderTaken
    from tests.commands.test_week_in_shop import FRI, MON

    block = Block(shop_folder(tmp_path / "mine"), breakplan, clock_at)
    block.enter(Delivery(MON, "lamb carcass", 3, (58.0,), 7.1))
    shown = block.json()
    block.enter(OrderTaken(FRI, "lamb shoulder roast", Quantity(5.0), "the corner bistro"))
    assert start_of(str(block.folder)).plan(Options()).bound < float("inf")
    told = json.loads(
        block.run("whatif", block.folder, "--price", "loin chops: +1%", "--json").out
    )["before"]

    def list_of(plan):
        return Counter(
            (each["day"], each["piece"], each["way"], each["count"]) for each in plan["breaks"]
        )

    assert list_of(told) == list_of(shown)
    assert told["bound"] >= told["score"]
