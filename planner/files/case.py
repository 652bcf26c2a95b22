"""The case as the period opens."""

from __future__ import annotations

from planner.files.scenario_shape import StockShape
from planner.files.setting import Setting
from planner.measures import Amount
from planner.scenario import Stock
from planner.yamlfile import Place


def read_case(setting: Setting) -> tuple[Stock, ...]:
    """Stock in the order of the file; one cut may lie there with several ages."""
    case = []
    for name, given in setting.shape.case.items():
        place: Place = ("case", name)
        found = setting.find(setting.cut_names, place, name)
        if found is None:
            continue
        cut = setting.cuts[found]
        if isinstance(given, Amount):
            entries = [(place, StockShape(amount=given, keeps=None))]
        elif isinstance(given, list):
            entries = list(setting.present(place, given))
        else:
            entries = [(place, given)]
        for here, entry in entries:
            amount = setting.amount((*here, "amount"), cut, entry.amount)
            case.append(Stock(found, amount, entry.keeps or cut.keeps))
    return tuple(case)
