"""What must hold between the plans of related shops, whatever the shop."""

from __future__ import annotations

import json
import os
import random
import re
import subprocess
import sys
from copy import deepcopy
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from planner.core.errors import RulesConflictError
from planner.core.scenario import GrindRule, Rule, Scenario
from planner.solve.plan import Plan, plan_week
from tests.outside.checker import check
from tests.outside.shops import mixed_shops, shops, write_shop
from tests.planning import TIGHT, json_of, read

POUND = 0.45359237  # kg, exact: International Yard and Pound Agreement, 1959
TIES = 0.1  # what the ties of a small shop can weigh: minutes and nights of a few days
SHOPS = settings(
    deadline=None,
    suppress_health_check=list(HealthCheck),
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    max_examples=40,
)


def scenario_of(pair: Any) -> Scenario:
    with TemporaryDirectory() as folder:
        return read(write_shop(pair, Path(folder)))


def plan_or_none(scenario: Scenario) -> Plan | None:
    try:
        return plan_week(scenario, TIGHT)
    except RulesConflictError:
        return None


def order_value(plan: Plan) -> float:
    short = {each.order: each.short for each in plan.short}
    orders = plan.scenario.orders
    return sum(order.price * (order.amount - short.get(order.index, 0.0)) for order in orders)


def assert_no_better(plan: Plan | None, than: Plan | None) -> None:
    """Orders come first, so they are compared first; the score only where they are equal."""
    if plan is None:
        return
    assert than is not None, "a plan where the freer scenario has none"
    assert order_value(plan) <= order_value(than) + 1e-4
    if order_value(plan) > order_value(than) - 1e-4:
        assert plan.score <= than.score + TIGHT.amount + TIES


@settings(SHOPS)
@given(st.one_of(shops(), mixed_shops()), st.data())
def test_a_rule_more_never_pays(pair, data):
    scenario = scenario_of(pair)
    piece, way = data.draw(st.sampled_from(list(scenario.recipes[0].ways())))
    verb = data.draw(st.sampled_from(["all", "never", "at least", "at most"]))
    rule = Rule(verb, 1 if verb.startswith("at") else 0, piece.name, way.name)
    ruled = replace(scenario, rules=(*scenario.rules, rule))
    assert_no_better(plan_or_none(ruled), plan_or_none(scenario))


@settings(SHOPS)
@given(mixed_shops(), st.data())
def test_a_rule_more_on_the_grind_never_pays(shop, data):
    scenario = scenario_of(shop)
    pairs = [(cut, name) for name, blend in scenario.blends.items() for cut in blend.takes]
    if not pairs:
        return
    verb = data.draw(st.sampled_from(["all", "never", "at least", "at most"]))
    cut, blend = data.draw(st.sampled_from(pairs))
    rule = GrindRule(verb, 1.0 if verb.startswith("at") else 0.0, cut, blend)
    ruled = replace(scenario, rules=(*scenario.rules, rule))
    assert_no_better(plan_or_none(ruled), plan_or_none(scenario))


@settings(SHOPS)
@given(st.one_of(shops(), mixed_shops()), st.data())
def test_a_head_less_never_pays_where_disposal_is_free(pair, data):
    scenario = replace(scenario_of(pair), disposal=0.0)
    number = data.draw(st.integers(0, len(scenario.lots) - 1))
    lots = [
        replace(lot, count=lot.count - 1) if lot.index == number else lot for lot in scenario.lots
    ]
    assert_no_better(plan_or_none(replace(scenario, lots=tuple(lots))), plan_or_none(scenario))


@settings(SHOPS)
@given(shops(), st.data())
def test_a_shorter_shelf_life_never_pays(pair, data):
    recipe, scenario = deepcopy(pair)
    things = [*recipe["pieces"].values(), *recipe["cuts"].values()]
    things += recipe.get("blends", {}).values()
    thing = data.draw(
        st.sampled_from([each for each in things if each["keeps"] != "1 day"] or [{}])
    )
    assume(thing)
    assume("case" not in scenario)  # its default is the cut's own
    thing["keeps"] = "1 day"
    shorter = plan_or_none(scenario_of((recipe, scenario)))
    assert_no_better(shorter, plan_or_none(scenario_of(pair)))


@settings(SHOPS)
@given(shops(), st.randoms(use_true_random=False))
def test_the_order_of_entries_does_not_matter(pair, chance):
    first, second = (
        plan_or_none(scenario_of(pair)),
        plan_or_none(scenario_of(shuffled(pair, chance))),
    )
    if first is None or second is None:
        assert first is second
        return
    assert order_value(first) == pytest.approx(order_value(second), abs=1e-4)
    assert first.score == pytest.approx(second.score, abs=TIGHT.amount + TIES)


def shuffled(value: Any, chance: random.Random) -> Any:
    """The same maps and lists in another order; pairs stay pairs."""
    if isinstance(value, tuple):
        return tuple(shuffled(each, chance) for each in value)
    if isinstance(value, dict):
        keys = chance.sample(list(value), len(value))
        return {key: shuffled(value[key], chance) for key in keys}
    if isinstance(value, list):
        return [shuffled(each, chance) for each in chance.sample(value, len(value))]
    return value


@settings(SHOPS)
@given(shops())
def test_kilograms_and_pounds_give_the_same_score(pair):
    first, second = plan_or_none(scenario_of(pair)), plan_or_none(scenario_of(in_other_unit(pair)))
    if first is None or second is None:
        assert first is second
        return
    assert {first.scenario.unit, second.scenario.unit} == {"lb", "kg"}
    assert first.score == pytest.approx(second.score, abs=TIGHT.amount + 1e-4)


def in_other_unit(pair: Any) -> Any:
    """The scenario written in kg where it is in lb, and the other way round."""
    recipe, scenario = pair
    old, new = ("lb", "kg") if scenario["unit"] == "lb" else ("kg", "lb")
    factor = POUND if old == "lb" else 1 / POUND

    def converted(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: converted(each) for key, each in value.items()}
        if isinstance(value, list):
            return [converted(each) for each in value]
        if not isinstance(value, str):
            return value
        value = re.sub(rf"([\d.]+) {old}\b", lambda m: f"{float(m[1]) * factor:.12f} {new}", value)
        return re.sub(rf"([\d.]+)/{old}\b", lambda m: f"{float(m[1]) / factor:.12f}/{new}", value)

    return recipe, converted(scenario) | {"unit": new}


@pytest.mark.thorough
@settings(SHOPS)
@given(st.one_of(shops(), mixed_shops()))
def test_a_price_list_ten_times_as_high_earns_ten_times_as_much(pair):
    scenario = scenario_of(pair)
    dearer = replace(
        scenario,
        demand={
            name: replace(
                each,
                price=None if each.price is None else 10 * each.price,
                markdown_price=10 * each.markdown_price,
            )
            for name, each in scenario.demand.items()
        },
        orders=tuple(replace(order, price=10 * order.price) for order in scenario.orders),
        lots=tuple(replace(lot, cost=10 * lot.cost) for lot in scenario.lots),
        overtime_cost=10 * scenario.overtime_cost,
        disposal=10 * scenario.disposal,
    )
    plan, ten = plan_or_none(scenario), plan_or_none(dearer)
    if plan is None or ten is None:
        assert plan is ten
    else:
        assert ten.score / 10 == pytest.approx(plan.score, abs=TIGHT.amount + TIES)


@pytest.mark.parametrize("name", ["one-lamb", "corner-shop"])
def test_shipped_plans_pass_the_checker(name):
    path = Path("scenarios") / f"{name}.yaml"
    plan = json_of(path, replace(TIGHT, share=0.001, amount=1.0))
    assert plan is not None
    assert check(path, plan) == []
    assert plan["within"] <= max(1.0, 0.001 * plan["score"]) + 1e-6


@pytest.mark.thorough
@pytest.mark.parametrize("words", [["one-lamb", "--within", "0.01"], ["corner-shop"]])
def test_the_plan_is_the_same_in_every_process(words):
    plans = []
    for seed in ("0", "1", "31337"):
        run = subprocess.run(
            [sys.executable, "-m", "planner.commands", "week", *words, "--json"],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
        )
        assert (run.returncode, run.stderr) == (0, "")
        plans.append({**json.loads(run.stdout), "seconds": 0})
    assert plans[0] == plans[1] == plans[2]
