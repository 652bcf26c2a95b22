"""Why the rules cannot be kept: a smallest set of rules and days that clash."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable, Sequence
from itertools import combinations

from planner.core.errors import RulesConflictError
from planner.core.scenario import GrindRule, Scenario
from planner.solve import Options, Search
from planner.solve.linear import total
from planner.solve.model import BreakModel

QUESTION = 5.0
"""Seconds for the most that is possible beside the others."""


def explain(scenario: Scenario, seconds: float) -> RulesConflictError:
    """The error that says which rules and limits clash.

    After the seconds given the set named may not be a smallest one.
    """
    model = BreakModel(scenario)
    search = Search(model, Options(seconds=seconds))
    names = {
        row.name: f"{rule} (rule on line {rule.line})" if rule.line else f"{rule} (rule)"
        for rule, row in zip(scenario.rules, model.rules.values(), strict=True)
    }
    names |= {row.name: _bench_text(scenario, day) for day, row in model.bench.items()}
    # half of the time for the smallest, half for one of which no member can be spared
    ends = time.perf_counter() + seconds / 2
    clash, smallest = smallest_infeasible_subset(list(names), search.possible, ends)
    most = {
        model.rules[number].name: _most_possible(model, number, clash)
        for number, rule in enumerate(scenario.rules)
        if rule.verb == "at least" and model.rules[number].name in clash
    }
    lines = [names[name] + most.get(name, "") for name in names if name in clash]
    head = "this cannot be kept" if len(clash) == 1 else "these cannot be kept together"
    if not smallest:
        head += " (whether fewer of them clash was not settled in the time given)"
    listing = "\n".join(f"  {line}" for line in lines)
    return RulesConflictError(
        f"{head}:\n{listing}", [names[each] for each in names if each in clash]
    )


def _bench_text(scenario: Scenario, day: int) -> str:
    assert scenario.bench is not None
    more = (
        f" and {scenario.most_overtime(day):g} of overtime" if scenario.most_overtime(day) else ""
    )
    return f"bench on {scenario.day_labels[day]}: {scenario.bench[day]:g} minutes{more}"


def _most_possible(model: BreakModel, number: int, clash: Iterable[str]) -> str:
    """How many the other members of the clash, and the head on the rail, allow at most."""
    rule = model.scenario.rules[number]
    others = set(clash) - {model.rules[number].name}
    search = Search(model, Options(seconds=QUESTION))
    search.keep_only(others)
    most = search.most(total(model.counted(rule))) or 0.0
    beside = " along with the others" if len(others) else ""
    if isinstance(rule, GrindRule):
        return f": at most {model.scenario.units.weight(most)} can go in{beside}"
    return f": the rail gives at most {most:.0f} in time{beside}"


def smallest_infeasible_subset(
    names: Sequence[str], possible: Callable[[set[str]], bool], ends: float = math.inf
) -> tuple[set[str], bool]:
    """A smallest subset of constraints that cannot hold together, and whether none is smaller.

    Every conflict meets every correction set (constraints whose removal makes the rest possible),
    so the smallest set that meets all correction sets found so far is either a conflict, or shows
    another correction set: Ignatiev, Previti, Liffiton and Marques-Silva, "Smallest MUS extraction
    with minimal hitting set dualization", CP 2015.

    `possible` says whether a subset can hold together; all of `names` cannot, the empty set can. At
    `ends`, of `time.perf_counter`, the search stops with a conflict of which none can be spared.
    """
    corrections: list[set[str]] = []
    while time.perf_counter() < ends:
        candidate = _smallest_hitting_set(names, corrections, ends)
        if candidate is None:
            break
        if not possible(candidate):
            return candidate, True
        kept = set(candidate)
        for name in names:
            if name not in kept and possible(kept | {name}):
                kept.add(name)
        if len(kept) == len(names):  # `possible` ran out of time: all that is known is the whole
            return kept, False
        corrections.append(set(names) - kept)
    return set(none_to_spare(names, lambda rest: not possible(set(rest)))), False


def none_to_spare(names: Sequence[str], holds: Callable[[list[str]], bool]) -> list[str]:
    """Of names for which something holds, some for which it still does; none can be left out."""
    kept = list(names)
    for name in names:
        rest = [each for each in kept if each != name]
        if holds(rest):
            kept = rest
    return kept


def _smallest_hitting_set(
    names: Sequence[str], sets: Sequence[set[str]], ends: float
) -> set[str] | None:
    """Smallest set that shares a member with each, first in the order of `names`; None too late.

    The only member of a set is in any case one, which is most of the work where every day counts.
    """
    forced = {name for each in sets if len(each) == 1 for name in each}
    rest = [each for each in sets if not each & forced]
    useful = [name for name in names if any(name in each for each in rest)]
    for size in range(len(useful) + 1):
        for number, chosen in enumerate(combinations(useful, size)):
            if all(each.intersection(chosen) for each in rest):
                return forced | set(chosen)
            if number % 1000 == 0 and time.perf_counter() > ends:
                return None
    raise ValueError("an empty set cannot be met")
