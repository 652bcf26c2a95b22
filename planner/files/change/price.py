"""Full prices."""

from __future__ import annotations

from dataclasses import replace

from planner.files.change.words import moved, parted
from planner.files.setting import Setting
from planner.measures import read_price
from planner.scenario import Demand, Scenario
from planner.yamlfile import Place


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
    none = (0.0,) * scenario.days
    demand = scenario.demand.get(found, Demand(found, None, none, 0.0, none))

    def read(value: str) -> float:
        return setting.price(place, cut, read_price(value))

    price = setting.attempt(place, lambda: moved(text, parts[1], demand.price, read)) or 0.0
    return replace(
        scenario,
        demand={**scenario.demand, found: replace(demand, price=price)},
        orders=tuple(
            replace(order, price=price) if order.cut == found and not order.own_price else order
            for order in scenario.orders
        ),
    )
