"""The case as the period opens."""

from __future__ import annotations

from planner.core.quantities import Amount
from planner.core.scenario import Stock
from planner.files.context import Setting
from planner.files.scenario_shape import StockShape
from planner.files.yamlfile import Place


def read_case(setting: Setting) -> tuple[Stock, ...]:
    """Stock in the order of the file; one cut may lie there with several ages."""
    case = []
    for name in setting.document.keys("case"):
        place: Place = ("case", name)
        found = setting.find(setting.cut_names, place, name)
        given = setting.shape.case.get(name)
        if found is None or given is None:
            continue
        cut = setting.cuts[found]
        if isinstance(given, Amount):
            case.append(Stock(found, setting.amount(place, cut, given), cut.keeps))
            continue
        entries = (
            [(place, given)] if isinstance(given, StockShape) else setting.present(place, given)
        )
        for here, entry in entries:
            amount = setting.amount((*here, "amount"), cut, entry.amount)
            own = entry.keeps is not None
            case.append(Stock(found, amount, entry.keeps or cut.keeps, own))
    return tuple(case)
