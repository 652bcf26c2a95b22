"""The comparer: what is known of a difference, and how close it looks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.ask.comparison import Comparer, Difference
from planner.core.errors import RulesConflictError
from planner.core.scenario import Rule
from planner.solve import Options
from tests.planning import TIGHT, plan_of, read


@pytest.fixture
def plan(shop):
    return plan_of(shop.week)


def beside(plan, before, after):
    """Two plans of given scores and bounds."""
    one, other = (
        replace(plan, revenue=plan.revenue + score - plan.score, bound=bound)
        for score, bound in (before, after)
    )
    return Difference(one, other)


@pytest.mark.parametrize(
    ("before", "after", "least", "most", "settled", "nameable"),
    [
        ((100.0, 100.5), (140.0, 140.4), 39.5, 40.4, True, True),  # 0.9 wide
        ((100.0, 104.0), (140.0, 143.0), 36.0, 43.0, True, True),  # 7 wide, a fifth is 7.9
        ((100.0, 106.0), (140.0, 143.0), 34.0, 43.0, False, True),  # 9 wide, a fifth is 7.7
        ((100.0, 100.4), (100.2, 100.5), -0.2, 0.5, True, False),  # about nothing
        ((100.0, 103.0), (101.0, 102.0), -2.0, 2.0, False, False),
        ((100.0, 100.1), (99.5, 99.6), -0.6, -0.4, True, False),  # less, but by cents
    ],
)
def test_what_is_known_of_a_difference(plan, before, after, least, most, settled, nameable):
    found = beside(plan, before, after)
    assert (found.least, found.most) == (pytest.approx(least), pytest.approx(most))
    assert (found.settled, found.nameable) == (settled, nameable)


def test_a_difference_is_looked_at_until_it_is_settled(shop):
    """Both plans may be 20 below the best at first: too wide for what one rule costs."""
    scenario = read(shop.week)
    rules = (*scenario.rules, Rule("never", 0, "shoulder", "boneless roast"))
    changed = replace(scenario, rules=rules)
    comparer = Comparer(scenario, Options(share=0.0, amount=20.0))
    found = comparer.difference(changed)
    assert found.settled
    cold = plan_of(shop.week, TIGHT).score
    desk_of_changed = Comparer(changed, TIGHT).plan().score
    assert found.least - 0.1 <= desk_of_changed - cold <= found.most + 0.1


def test_a_plan_is_never_given_up_for_one_that_is_less_close(shop, monkeypatch):
    scenario = read(shop.week)
    comparer = Comparer(scenario, TIGHT)
    plan = comparer.plan()
    worse = replace(plan, bound=plan.bound + 50.0, status="time limit")
    monkeypatch.setattr(comparer, "plan", lambda scenario, amount=None: worse)
    assert comparer._closer(plan, 0.1) is plan
    assert comparer._closer(worse, 0.1).within == pytest.approx(worse.within)


def test_clashing_rules_of_a_changed_shop_are_explained_and_the_desk_goes_on(shop):
    scenario = read(shop.week)
    comparer = Comparer(scenario, TIGHT)
    before = comparer.plan()
    clash = (Rule("at least", 1, "shoulder", "trim"), Rule("never", 0, "shoulder", "trim"))
    with pytest.raises(RulesConflictError) as told:
        comparer.plan(replace(scenario, rules=(*scenario.rules, *clash)))
    assert len(told.value.conflict) == 2
    assert comparer.plan().score == pytest.approx(before.score, abs=0.01)
