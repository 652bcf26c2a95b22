"""Amounts and prices of cuts in the scenario's own terms: its unit, or by each."""

from __future__ import annotations

from planner.core.plan_lines import Batch
from planner.core.quantities import POUNDS, show_count, show_money, show_share, show_weight
from planner.core.scenario import Scenario


def show_amount(scenario: Scenario, cut: str, amount: float) -> str:
    """`4.2 lb`, or `3` of a cut sold by each."""
    if scenario.cuts[cut].by_each:
        return f"{amount:.0f}"
    if not shows_weight(scenario, amount):
        return f"less than 0.1 {scenario.unit}"
    return show_weight(amount, scenario.unit)


def shows_weight(scenario: Scenario, pounds: float) -> bool:
    """Whether a weight shows as more than nothing: half an ounce is no work for anyone."""
    return show_weight(pounds, scenario.unit) != show_weight(0.0, scenario.unit)


def show_made(scenario: Scenario, batch: Batch) -> str:
    """`15.0 lb in 3 batches`."""
    number = f" in {show_count(batch.batches, 'batch', 'batches')}" if batch.batches else ""
    return f"{show_weight(batch.made, scenario.unit)}{number}"


def show_fat(scenario: Scenario, batch: Batch) -> str:
    """`fat 20.0%`; empty where nobody knows it, and of what is rendered: that is what it is."""
    rendered = scenario.cuts[batch.blend].kind == "fat"
    return "" if batch.fat is None or rendered else f"fat {show_share(batch.fat)}"


def show_rate(scenario: Scenario, cut: str, price: float) -> str:
    """`$22.99/lb`, or `$9.00 each`."""
    if scenario.cuts[cut].by_each:
        return f"{show_money(price, scenario.money)} each"
    return f"{show_money(price * POUNDS[scenario.unit], scenario.money)}/{scenario.unit}"


def show_between(least: float, most: float, money: str) -> str:
    """`$41.00 to $43.10`, or one figure where both are shown alike."""
    return " to ".join(dict.fromkeys(show_money(each, money) for each in (least, most)))


class Figures:
    """Numbers for machines: weights in the scenario's unit, cuts sold by each as counts."""

    def __init__(self, scenario: Scenario) -> None:
        self._cuts = scenario.cuts
        self._pounds = POUNDS[scenario.unit]

    @staticmethod
    def number(value: float) -> float:
        """Rounded to nine digits, and no negative zero."""
        return round(value, 9) + 0.0

    def weight(self, pounds: float) -> float:
        """Pounds in the unit."""
        return self.number(pounds / self._pounds)

    def amount(self, cut: str, value: float) -> float:
        """Of a cut: in the unit, or each."""
        return self.number(value) if self._cuts[cut].by_each else self.weight(value)

    def price(self, cut: str, value: float) -> float:
        """Of a cut: money for one of the unit, or for each."""
        return self.number(value if self._cuts[cut].by_each else value * self._pounds)
