"""The rest of a week beside the plan before: what stays, what it costs, and why it changes."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from planner.ask.keep_posted import as_listed, list_of, repaired_plan
from planner.ask.posted_obstacles import hindrances
from planner.ask.posting import kept_of
from planner.ask.replan import Before, replan
from planner.core.errors import RulesConflictError
from planner.core.scenario import Order, Rule
from planner.journal.entries import PlanKept
from planner.shop.week.now import scenario_now
from planner.show.json import plan_data
from planner.solve.plan import plan_week
from tests.outside.checker import check
from tests.outside.reader import read_shop
from tests.outside.second_model import SecondModel
from tests.outside.shops import mixed_shops, shops, write_shop
from tests.planning import TIGHT, read
from tests.shop.test_now import Weekly, begun, sales_of, small_plan, work_of
from tests.shops import shop_folder

TIES = 0.1  # what the ties of a small shop can weigh: minutes and nights of a few days
SHOPS = settings(
    deadline=None,
    suppress_health_check=list(HealthCheck),
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
)


SEEDS = 6


@settings(SHOPS, max_examples=12)
@given(st.one_of(shops(), mixed_shops()), st.data())
def test_what_goes_as_planned_keeps_the_whole_list(pair, data):
    plan = small_plan(pair)
    scenario = plan.scenario
    assume(plan.breaks)
    day = data.draw(st.integers(1, scenario.days - 1), label="day")
    diary, orders = begun(plan)
    shop, first = Weekly(scenario), scenario.date(day)
    kept = kept_of(plan, shop.week(first))
    number = diary.write(PlanKept(kept.first, kept.text()))
    for done in range(day):
        diary.write(*work_of(plan, diary, done), *sales_of(plan, diary, orders, done))
    state = scenario_now(shop, diary.recorded, first, close=0.0)
    before = Before(number, kept, diary.recorded)
    answer = replan(before, state, TIGHT, TIES + 0.01)
    assert answer.changes == ()
    assert answer.bought == ()
    assert answer.facts == ()
    assert answer.repair.kept == ("all" if answer.listed else "best")
    assert list_of(answer.plan) == {
        (piece, way, on - day): count
        for (piece, way, on), count in list_of(plan).items()
        if on >= day
    }


def most_as_listed(path, listed, floor, order_value, *, every):
    """How many pieces can be cut as listed, by the second model: None where not even none can."""
    model = SecondModel(read_shop(path))
    lower = np.zeros(len(model.upper))
    if every:
        lower[model.shortfalls] = np.array(model.upper)[model.shortfalls]
    kept = {}
    for (piece, way, day), count in listed.items():
        alike = [x for x, (on, _, *what) in model.cut.items() if (*what, on) == (piece, way, day)]
        column = model.column(count)
        kept[column] = 1.0
        model.row({column: 1.0, **dict.fromkeys(alike, -1.0)}, -np.inf, 0.0)
    rows = [(model.money, floor, np.inf), (model.order_value, order_value, np.inf)]
    lower = np.append(lower, np.zeros(len(kept)))
    found = model.solve(model.vector(kept), lower, rows, 0.0)
    return None if found.x is None else round(model.vector(kept) @ found.x)


def filled(plan):
    return sum(sale.amount * sale.price for sale in plan.sales if sale.order is not None)


def disturbed(scenario, listed, moves):
    """A list with one piece after the other moved to another day, or cut in another way."""
    ways = {piece.name: list(piece.ways) for each in scenario.recipes for piece, _ in each.ways()}
    listed = Counter(listed)
    for which, day, way in moves:
        keys = sorted(+listed)
        piece, _, _ = key = keys[which % len(keys)]
        listed[key] -= 1
        listed[piece, ways[piece][way % len(ways[piece])], day % scenario.days] += 1
    return +listed


def assert_as_much_stays_as_can(path, moves, calm):
    """Some of the list is not the best, some of it cannot be: the second model counts what can."""
    scenario = read(path)
    best = plan_week(scenario, TIGHT)
    if not best.breaks:
        return None
    listed = disturbed(scenario, list_of(best), moves)
    found = repaired_plan(scenario, listed, TIGHT, calm)
    assert check(path, plan_data(found.plan)) == []
    assert found.plan.score >= best.score - calm - TIES
    assert found.plan.score >= found.best.score - calm - 1e-6
    assert filled(found.plan) >= filled(best) - 0.01
    assert bool(found.plan.short) == bool(best.short)
    assert found.plan.bound >= best.score - TIES
    if found.cost > 0.01 + found.best.within:
        assert found.plan.status == "held"
    if found.keeping:
        assert found.keeping[0] <= found.best.score - found.whole.score + 0.02
        assert found.keeping[1] >= best.score - found.whole.score - TIES
    fewest, most = (
        most_as_listed(
            path,
            listed,
            found.best.score - calm + off,
            filled(best) - 0.002,
            every=not best.short,
        )
        for off in (0.02, -0.02)
    )
    assert most is not None
    assert (fewest or 0) <= as_listed(found.plan, listed) <= most
    return found


@settings(SHOPS, max_examples=15)
@given(
    shops(),
    st.lists(st.tuples(*[st.integers(0, 40)] * 3), min_size=1, max_size=4),
    st.sampled_from([0.05, 0.5, 2.0, 10.0, 40.0]),
)
def test_as_much_of_a_list_stays_as_the_calm_allows(pair, moves, calm):
    with TemporaryDirectory() as folder:
        try:
            assert_as_much_stays_as_can(write_shop(pair, Path(folder)), moves, calm)
        except RulesConflictError:
            return


RAIL = """rail:
  - {lamb: 2 head at 58 lb, arrives: wed}
  - {lamb: 1 head at 55 lb, arrives: thu}
"""


def test_as_much_of_a_bigger_list_stays(tmp_path):
    """Lists of about 20 pieces, so that some of them are held and others are not."""
    folder = shop_folder(tmp_path, ("mon: 120, tue: 120, ", ""), ("mon: 8%, tue: 10%, ", ""))
    lines = (folder / "shop.yaml").read_text().splitlines(keepends=True)
    week = [line for line in lines if not line.startswith("days:")]
    path = folder / "week.yaml"
    path.write_text("".join([*week, "starts: 2026-12-02\ndays: 4\n", RAIL]))
    kept = Counter()
    for seed in range(SEEDS):
        dice = random.Random(seed)
        moves = [tuple(dice.randrange(40) for _ in range(3)) for _ in range(dice.randint(2, 8))]
        found = assert_as_much_stays_as_can(path, moves, dice.choice([1.0, 5.0, 20.0]))
        kept[found.kept] += found.cost > 0.02
    assert kept["most"] >= SEEDS / 5


def test_no_calm_is_the_best_plan_as_it_is(shop):
    scenario = read(shop.week)
    best = plan_week(scenario, TIGHT)
    dear = replace(scenario.demand["shoulder roast"], price=0.5)
    other = plan_week(
        replace(scenario, demand={**scenario.demand, "shoulder roast": dear}, rules=()), TIGHT
    )
    assert list_of(other) != list_of(best)
    found = repaired_plan(scenario, list_of(other), TIGHT, 0.0)
    assert found.kept == "best"
    assert found.plan.score == pytest.approx(best.score, abs=0.01)


def test_the_same_list_gives_the_same_plan_to_the_ounce(shop):
    scenario = read(shop.week)
    first = repaired_plan(scenario, {}, TIGHT, 5.0)
    again = repaired_plan(scenario, list_of(first.plan), TIGHT, 5.0)
    assert again.kept == "all"
    assert again.cost == 0
    for part in ("breaks", "batches", "sales", "cuts"):
        assert getattr(again.plan, part) == getattr(first.plan, part), part


def test_what_keeps_a_list_from_being_kept_is_told(shop):
    scenario = read(shop.week)
    listed = list_of(plan_week(scenario, TIGHT))
    assert hindrances(scenario, listed)[0].kind in ("rules", "grind")  # nothing: it can be kept
    carcasses = sum(n for (piece, _, _), n in listed.items() if piece == "carcass")
    fewer = replace(scenario, lots=(replace(scenario.lots[0], count=1),))
    found = hindrances(fewer, listed)
    assert {each.kind for each in found} == {"pieces"}
    assert sum(each.count for each in found if each.piece == "carcass") == carcasses - 1
    assert all(each.piece in ("carcass", "leg") for each in found)  # shoulders come from these

    def only(found):
        (one,) = found
        return one

    gone = Counter({("shoulder", "steaks", 0): 1})
    assert only(hindrances(scenario, gone)).kind == "way"
    day = max(day for _, _, day in listed)
    tight = tuple(0.0 if at == day else minutes for at, minutes in enumerate(scenario.bench))
    over = only(hindrances(replace(scenario, bench=tight), listed))
    assert (over.kind, over.day, over.most) == ("bench", day, 0.0)
    piece, way, _ = next(iter(listed))
    forbidden = replace(scenario, rules=(Rule("never", 0, piece, way),))
    assert only(hindrances(forbidden, listed)).kind == "rules"


def test_orders_come_before_the_list(shop):
    """A list is given up where it cannot fill an order that the best plan fills."""
    scenario = replace(read(shop.week), rules=())
    dear = replace(scenario.demand["shoulder roast"], price=0.5)
    other = replace(scenario, demand={**scenario.demand, "shoulder roast": dear}, orders=())
    listed = list_of(plan_week(other, TIGHT))
    asked = replace(
        scenario, orders=(Order(0, "shoulder roast", 4, 20.0, 0.01, "the corner bistro", True),)
    )
    best = plan_week(asked, TIGHT)
    assert not best.short
    found = repaired_plan(asked, listed, TIGHT, 1000.0)
    assert found.kept == "most"
    assert not found.plan.short
    assert not found.fills
    assert found.keeping is None


def test_days_are_counted_from_the_first_planned(shop):
    """A list of Monday's plan asked on Wednesday has the dates of its own days."""
    scenario = read(shop.week)
    plan = plan_week(scenario, TIGHT)
    kept = kept_of(plan)
    later = replace(scenario, starts=date(2026, 12, 2), days=4)
    listed = Before(1, kept, ()).listed(later)
    assert listed == {
        (piece, way, day - 2): count
        for (piece, way, day), count in list_of(plan).items()
        if day >= 2
    }
    assert kept.first + timedelta(days=5) == kept.until
