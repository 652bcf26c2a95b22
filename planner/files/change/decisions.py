"""Rules that are added or lifted, and orders that are given up."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from planner.core.scenario import Scenario
from planner.core.spelling import nearest
from planner.files.change.words import name_and_day, parted
from planner.files.context import Setting
from planner.files.rules import read_rule
from planner.files.yamlfile import Place


def change_rule(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`never rack: rib chops` adds a rule, `lift never rack: rib chops` takes it away.

    A rule that is there already stays as it is.
    """
    lifted = re.fullmatch(r"lift\s+(.+)", text.strip())
    parts = parted(lifted[1] if lifted else text, "never rack: rib chops")
    read = read_rule(setting, place, *parts)
    if read is None:
        return scenario
    rule = replace(read, line=0)  # the line of another file would mislead
    others = tuple(each for each in scenario.rules if replace(each, line=0) != rule)
    there = len(others) < len(scenario.rules)
    if lifted and not there:
        known = ", ".join(f'"{each}"' for each in scenario.rules)
        known = f"the rules are {known}" if known else "there are no rules"
        raise ValueError(f'no rule "{rule}" to lift; {known}')
    if lifted:
        return replace(scenario, rules=others)
    return scenario if there else replace(scenario, rules=(*scenario.rules, rule))


def change_drop_order(setting: Setting, scenario: Scenario, _: Place, text: str) -> Scenario:
    """`the corner bistro`, `the corner bistro fri: shoulder roast`: orders of a buyer are dropped.

    All of them, or those for a day, for a cut, or both.
    """
    buyers = sorted({order.buyer for order in scenario.orders})
    buyer, day, cut = _parts(text.strip(), buyers)
    if buyer not in buyers:
        known = f" ({', '.join(buyers)})" if buyers else "; there are no orders"
        raise ValueError(f'no order for "{buyer}"{nearest(buyer, buyers)}{known}')
    days = setting.period.matching(day) if day else range(scenario.days)
    name = setting.named(setting.cut_names, cut) if cut else None
    theirs = [order for order in scenario.orders if order.buyer == buyer]
    dropped = [order for order in theirs if order.day in days and name in (None, order.cut)]
    if not dropped:
        labels = scenario.day_labels
        known = ", ".join(f"{each.cut} on {labels[each.day]}" for each in theirs)
        raise ValueError(f'no such order: "{text}"; {buyer} has {known}')
    left = [order for order in scenario.orders if order not in dropped]
    orders = tuple(replace(order, index=number) for number, order in enumerate(left))
    return replace(scenario, orders=orders)


def _parts(text: str, buyers: Sequence[str]) -> tuple[str, str | None, str | None]:
    """The buyer, the day and the cut; a buyer's name may have colons and days in it."""
    before, _, behind = (each.strip() for each in text.rpartition(":"))
    whole = name_and_day(text, lambda each: each in buyers)
    if whole[0] in buyers or not before:
        return *whole, None
    return *name_and_day(before, lambda each: each in buyers), behind
