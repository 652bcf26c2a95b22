"""Which rules and days clash when the rules cannot be kept."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.core.errors import RulesConflictError
from planner.solve.conflict import smallest_infeasible_subset
from tests.planning import plan_of

NAMES = "abcdef"


@given(st.lists(st.sets(st.sampled_from(NAMES), min_size=1), min_size=1, max_size=5))
def test_the_conflict_found_is_one_and_none_is_smaller(conflicts):
    def possible(kept: set[str]) -> bool:
        return not any(conflict <= kept for conflict in conflicts)

    found, smallest = smallest_infeasible_subset(NAMES, possible)
    assert smallest and not possible(found)
    smaller = (set(each) for size in range(len(found)) for each in combinations(NAMES, size))
    assert all(possible(each) for each in smaller)


@given(st.lists(st.sets(st.sampled_from(NAMES), min_size=1), min_size=1, max_size=5))
def test_with_no_time_left_no_member_can_be_spared(conflicts):
    def possible(kept: set[str]) -> bool:
        return not any(conflict <= kept for conflict in conflicts)

    found, smallest = smallest_infeasible_subset(NAMES, possible, ends=0.0)
    assert not smallest and not possible(found)
    assert all(possible(found - {name}) for name in found)


def test_a_conflict_of_everything_is_found_at_once():
    """Where every one of many days counts the sets to meet are single days, not 2^40 choices."""
    days = [f"day {number}" for number in range(40)]
    assert smallest_infeasible_subset(days, lambda kept: len(kept) < 40) == (set(days), True)


def conflict_of(shop) -> tuple[tuple[str, ...], str]:
    with pytest.raises(RulesConflictError) as caught:
        plan_of(shop.week)
    return caught.value.conflict, str(caught.value)


def test_too_many_pieces_asked_for_is_a_conflict_of_one_rule(shop):
    shop.spoil("scenario", ("at least 1 leg: whole", "at least 13 leg: whole"))
    line = shop.line("scenario", "- at least 13")
    conflict, text = conflict_of(shop)
    assert conflict == (f"at least 13 leg: whole (rule on line {line})",)
    # three goats on the rail, two to be bought, two legs in a box
    assert text.endswith("the rail gives at most 12 in time")


def test_two_rules_that_exclude_each_other(shop):
    shop.spoil("scenario", ("at least 1 leg: whole", "at least 1 shoulder: trim"))
    conflict, text = conflict_of(shop)
    assert [each.split(" (")[0] for each in conflict] == [
        "all shoulder: boneless roast",
        "at least 1 shoulder: trim",
    ]
    assert "the rail gives at most 0 in time along with the others" in text


def test_a_rule_and_the_only_bench_days_on_which_it_could_be_kept(shop):
    shop.spoil(
        "scenario",
        ("bench: {mon: 240, tue: 241, wed: 242, thu: 300, fri: 301, sat: 120}", "bench: {wed: 1}"),
        ("overtime: {up to: 60, cost: 0.75}", "overtime: {up to: 1, cost: 0.75}"),
    )
    conflict, _ = conflict_of(shop)
    # the boxed legs keep until tuesday, so the rule needs minutes on monday, tuesday or later
    assert [each.split(" (")[0] for each in conflict] == [
        "at least 1 leg: whole",
        "bench on mon: 0 minutes",
        "bench on tue: 0 minutes",
        "bench on wed: 1 minutes and 1 of overtime",
        "bench on thu: 0 minutes",
        "bench on fri: 0 minutes",
        "bench on sat: 0 minutes",
    ]
