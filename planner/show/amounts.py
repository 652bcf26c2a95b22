"""Figures of a scenario for machines: weights in its unit, cuts sold by each as counts."""

from __future__ import annotations

from planner.core.scenario import Scenario
from planner.core.units import figure


class Figures:
    """Numbers for machines."""

    number = staticmethod(figure)

    def __init__(self, scenario: Scenario) -> None:
        self._scenario = scenario

    def weight(self, pounds: float) -> float:
        """Pounds in the unit."""
        return figure(pounds / self._scenario.units.pounds)

    def amount(self, cut: str, value: float) -> float:
        """Of a cut: in the unit, or each."""
        return self._scenario.units.number(self._scenario.quantity(cut, value))

    def price(self, cut: str, value: float) -> float:
        """Of a cut: money for one of the unit, or for each."""
        return self._scenario.units.price(value, self._scenario.cuts[cut].by_each)
