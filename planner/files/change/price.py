"""Full prices."""

from __future__ import annotations

from planner.core.quantities import read_price
from planner.core.scenario import Scenario, with_price
from planner.files.change.words import moved, parted
from planner.files.context import Setting
from planner.files.yamlfile import Place


def change_price(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`loin chops: 24.99/lb`, `loin chops: +10%`: the full price of a cut.

    Orders without a price of their own follow it. A cut that nobody has asked for yet gets a price
    and no demand.
    """
    parts = parted(setting, place, text, "loin chops: 24.99/lb")
    found = setting.find(setting.cut_names, place, parts[0]) if parts else None
    if parts is None or found is None:
        return scenario
    cut = setting.cuts[found]
    now = scenario.demand_for(found).price

    def read(value: str) -> float:
        return setting.price(place, cut, read_price(value))

    price = setting.attempt(place, lambda: moved(text, parts[1], now, read)) or 0.0
    return with_price(scenario, found, price)
