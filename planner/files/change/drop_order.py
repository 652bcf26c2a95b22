"""Orders that are given up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.core.scenario import Order, Scenario
from planner.core.spelling import nearest
from planner.files.change.words import name_and_day
from planner.files.context import Setting
from planner.files.yamlfile import Place


def change_drop_order(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`the corner bistro`, `the corner bistro fri: shoulder roast`: orders of a buyer are dropped.

    All of them, or those for a day, for a cut, or both.
    """
    buyers = sorted({order.buyer for order in scenario.orders})
    buyer, day, cut = _parts(text.strip(), buyers)
    if buyer not in buyers:
        known = f" ({', '.join(buyers)})" if buyers else "; there are no orders"
        setting.document.fault(place, f'no order for "{buyer}"{nearest(buyer, buyers)}{known}')
        return scenario
    theirs = [order for order in scenario.orders if order.buyer == buyer]
    days = setting.attempt(place, lambda: setting.period.matching(day)) if day else None
    found = setting.find(setting.cut_names, place, cut) if cut else None
    if (day and days is None) or (cut and found is None):
        return scenario
    dropped = [
        order
        for order in theirs
        if (days is None or order.day in days) and found in (None, order.cut)
    ]
    if not dropped:
        setting.document.fault(place, f'no such order: "{text}"; {_told(scenario, theirs)}')
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


def _told(scenario: Scenario, orders: Sequence[Order]) -> str:
    known = ", ".join(f"{each.cut} on {scenario.day_labels[each.day]}" for each in orders)
    return f"{orders[0].buyer} has {known}"
