"""What mends a shortage or a surplus: remedies carried out as their rules say, planned cold."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.ask.remedies import Imbalance, Remedy
from planner.ask.remedy_search import CLOSELY
from planner.ask.trim import TrimAnswer, trim_balance
from planner.ask.trim_flow import unmet_of
from planner.core.errors import RulesConflictError
from planner.core.scenario import Scenario
from planner.files.changes import read_changes
from planner.solve import Options
from planner.solve.plan import Plan, plan_week
from tests.corpus import CorpusShop
from tests.planning import TIGHT, read

# Nothing pays to be ground: a pound of ground lamb brings less than what it is cut from.
SHORT = """
title: An invented shop, short of grind
starts: 2026-12-04
days: 1
recipes: [lamb]
rail: [{lamb: 1 head at 58 lb}]
bench: 400
demand:
  whole leg: {price: 13.99/lb, want: 20 lb}
  loin chops: {price: 23.99/lb, want: 8 lb}
  frenched rack: {price: 76/each, want: 2}
  square-cut shoulder: {price: 10.99/lb, want: 14 lb}
  whole breast: {price: 6.99/lb, want: 8 lb}
  whole shank: {price: 12.99/lb, want: 4 lb}
  neck slices: {price: 9.99/lb, want: 3 lb}
  ground lamb: {price: 12.99/lb, want: 6 lb}
"""

# Rendering takes bench time, and that is overtime here; so the fat is left to go out of date.
SURPLUS = """
title: An invented shop with too much fat
starts: 2026-12-04
days: 5
recipes: [lamb]
rail: [{lamb: 2 head at 58 lb, keeps: 1 day}]
bench: {fri: 200}
overtime: {up to: 120, cost: 0.75}
blends:
  dripping: {from: [fat, suet], loss: 28%, minutes: 2 per lb, keeps: 30 days}
demand:
  boneless leg: {price: 20.99/lb, want: {fri: 20 lb}}
  whole leg: {price: 17.99/lb, want: {fri: 20 lb}}
  loin chops: {price: 23.99/lb, want: {fri: 12 lb}}
  frenched rack: {price: 76/each, want: {fri: 4}}
  shoulder roast: {price: 17.49/lb, want: {fri: 20 lb}}
  riblets: {price: 8.99/lb, want: {fri: 9 lb}}
  whole shank: {price: 12.99/lb, want: {fri: 7 lb}}
  neck slices: {price: 9.99/lb, want: {fri: 4 lb}}
  ground lamb: {price: 9.99/lb, want: {fri: 8 lb}}
disposal: 0.10/lb
"""

# Trim lies over longer than fat, so it alone goes into the sausage, and the fat out of date; trim
# left over is still in date at the end.
GOAT = """
species: goat
root: carcass
pieces:
  carcass:
    keeps: 1 day
    ways: {break: {minutes: 10, gives: {trim 80: 50%, fat: 20%, bones: 30%}}}
cuts:
  trim 80: {kind: trim, lean: 80%, keeps: 3 days}
  fat: {kind: fat, lean: 10%, keeps: 1 day}
  bones: {kind: bone, keeps: 4 days}
blends:
  sausage: {from: [trim 80, fat], fat: 15% to 30%, keeps: 2 days}
"""
MOVED = """
title: An invented shop whose sausage could be fatter
starts: 2026-12-04
days: 2
recipes: [goat.yaml]
rail: [{goat: 1 head at 20 lb}]
demand:
  sausage: {price: 9.99/lb, want: {fri: 5 lb}}
"""


def shop(folder: Path, text: str) -> Scenario:
    path = folder / "week.yaml"
    path.write_text(text)
    return read(path)


def balance(scenario: Scenario) -> TrimAnswer:
    return trim_balance(scenario, Options(seconds=60))


def mend_of(answer: TrimAnswer, what: str) -> Imbalance:
    return next(mend for mend in answer.imbalances if mend.what == what)


def left_of(mend: Imbalance, plan: Plan) -> float:
    """Pounds of the shortage or surplus that a plan has, worked out from its lines."""
    if mend.kind == "short":
        return sum(unmet_of(plan, mend.what))
    return next(line.wasted for line in plan.cuts if line.cut == mend.what)


def carried_out(scenario: Scenario, remedy: Remedy) -> Plan:
    """The rules of a remedy put to the scenario, and planned cold and to the end."""
    return plan_week(read_changes(scenario, remedy.changes), TIGHT)


def assert_does_as_it_says(scenario: Scenario, mend: Imbalance, remedy: Remedy) -> None:
    before, after = plan_week(scenario, TIGHT), carried_out(scenario, remedy)
    cost = before.score - after.score
    assert remedy.least - 0.01 <= cost <= remedy.most + 0.01
    assert left_of(mend, after) == pytest.approx(mend.pounds - remedy.mended, abs=0.05)


def test_a_shortage_is_mended_as_it_says(tmp_path):
    scenario = shop(tmp_path, SHORT)
    mend = mend_of(balance(scenario), "ground lamb")
    assert (mend.kind, mend.lacks, mend.by_day) == ("short", "lean", ((0, pytest.approx(6.0)),))
    remedy = mend.remedies[0]
    assert {piece for piece, _, _ in remedy.more} <= {"shoulder", "foreshank", "neck", "breast"}
    assert all(way == "trim" for _, way, _ in remedy.more)
    assert remedy.mended > 4
    assert_does_as_it_says(scenario, mend, remedy)


def test_what_a_shortage_costs_by_hand(tmp_path):
    """With legs, loins and racks as they are, by hand from the lamb recipe and the prices above.

    A 58 lb lamb has shoulders of 6.38 lb, foreshanks of 1.624 lb. One shoulder to trim: 6.38 x
    0.985 x 10.99 = 69.06 less of square-cut shoulder; two shanks: 3.248 x 0.99 x 12.99 = 41.77
    less. That gives 2.297 + 1.364 = 3.661 lb of 85 and 2.105 lb of 70 beside the 1.7 that lie
    there; at 20% of fat 3.661 lb of 85 take 1.830 lb of 70: 5.491 lb of ground lamb, 71.33.
    69.06 + 41.77 - 71.33 = 39.50.
    """
    remedy = mend_of(balance(shop(tmp_path, SHORT)), "ground lamb").remedies[0]
    assert remedy.more == (("shoulder", "trim", 1), ("foreshank", "trim", 2))
    assert remedy.fewer == (("shoulder", "square-cut", 1), ("foreshank", "whole", 2))
    assert remedy.mended == pytest.approx(5.491, abs=0.02)
    assert remedy.least == pytest.approx(39.50, abs=0.02)
    assert remedy.most == pytest.approx(39.50, abs=0.02)


def test_a_surplus_is_rendered_as_it_says(tmp_path):
    scenario = shop(tmp_path, SURPLUS)
    mend = mend_of(balance(scenario), "fat")
    remedy = next(each for each in mend.remedies if each.into == "dripping")
    # by hand: a pound of fat takes 0.72 lb x 2 minutes x 0.75 of overtime, and saves 0.10: 0.98
    assert remedy.least == pytest.approx(0.98 * remedy.mended, abs=0.02)
    assert remedy.mended == pytest.approx(mend.pounds, abs=0.02)
    assert_does_as_it_says(scenario, mend, remedy)


def test_a_surplus_is_moved_into_a_fatter_sausage(tmp_path):
    """By hand: x of fat in 5 lb reach the limit where 0.2 (5 - x) + 0.9 x = 0.3 x 5, so x = 0.714.

    As much trim is left in date instead, so it costs nothing.
    """
    (tmp_path / "goat.yaml").write_text(GOAT)
    scenario = shop(tmp_path, MOVED)
    mend = mend_of(balance(scenario), "fat")
    assert mend.by_day == ((0, pytest.approx(4.0)),)
    (remedy,) = mend.remedies
    assert (remedy.into, remedy.more, remedy.fewer) == ("sausage", (), ())
    assert remedy.mended == pytest.approx(0.714, abs=0.01)
    assert remedy.fat == pytest.approx(0.30, abs=0.002)
    assert (remedy.least, remedy.most) == (pytest.approx(0, abs=0.01), pytest.approx(0, abs=0.01))
    assert_does_as_it_says(scenario, mend, remedy)


def test_what_is_promised_is_not_taken_to_mend(tmp_path):
    """The foreshanks that would mend it are promised, all but one shoulder too."""
    text = SHORT.replace(
        "whole shank: {price: 12.99/lb, want: 4 lb}",
        "whole shank: {price: 12.99/lb, orders: [{day: fri, amount: 3.2 lb, for: a regular}]}",
    )
    scenario = shop(tmp_path, text)
    mend = mend_of(balance(scenario), "ground lamb")
    for remedy in mend.remedies:
        assert not any(piece == "foreshank" for piece, _, _ in remedy.more)
        assert carried_out(scenario, remedy).short == ()
        assert_does_as_it_says(scenario, mend, remedy)
    assert mend.remedies


def test_nothing_is_advised_beyond_what_it_is_worth(tmp_path):
    scenario = shop(tmp_path, SHORT.replace("12.99/lb, want: 6 lb", "5.00/lb, want: 6 lb"))
    mend = mend_of(balance(scenario), "ground lamb")
    assert mend.worth == 5.00
    assert all(each.least <= 5.00 * each.mended for each in mend.remedies)


def test_in_a_balanced_shop_nothing_is_to_mend(tmp_path):
    text = SHORT.replace("  ground lamb: {price: 12.99/lb, want: 6 lb}\n", "")
    assert balance(shop(tmp_path, text)).imbalances == ()


def test_without_time_nothing_is_asked(tmp_path):
    scenario = shop(tmp_path, SURPLUS)
    answer = trim_balance(scenario, Options(seconds=0.01))
    assert answer.imbalances and not answer.settled
    assert all(not mend.asked and not mend.remedies for mend in answer.imbalances)


def test_on_random_shops_costs_are_those_of_cold_plans(mixed_corpus):
    for shop in mixed_corpus:
        costs_are_those_of_cold_plans(shop)


def costs_are_those_of_cold_plans(shop: CorpusShop) -> None:
    scenario, before = shop.scenario, shop.plan
    try:
        answer = balance(scenario)
    except RulesConflictError:
        assert before is None
        return
    for mend in answer.imbalances:
        for remedy in mend.remedies[:2]:
            after = carried_out(scenario, remedy)
            if not before.orders_proven or before.short:
                continue
            cost = before.score - after.score
            slack = 0.01 + CLOSELY.amount
            assert remedy.least - slack <= cost <= remedy.most + slack
            assert left_of(mend, after) <= mend.pounds - remedy.mended + 0.1
