"""Read a scenario file: its recipes, its shape, then every part against the others."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from planner.core.errors import Problem
from planner.core.quantities import Amount
from planner.core.recipe import Cut
from planner.core.scenario import Demand, Order, Scenario, Stock
from planner.files.context import Setting
from planner.files.file_kind import stop_unless
from planner.files.rail import read_rail
from planner.files.recipes import read_recipes
from planner.files.rules import read_rules
from planner.files.scenario_shape import DemandShape, OrderShape, ScenarioShape, StockShape
from planner.files.scenario_warnings import LOOKS, point_out
from planner.files.shape_check import fit
from planner.files.yamlfile import Place, load


def read_scenario(path: Path, name: str) -> tuple[Scenario, list[Problem]]:
    """Read and check a scenario and the recipes it names; the second is what is legal but unlikely.

    Raises `InputError` with every fault of the scenario and of its recipes.
    """
    document = load(path, name)
    stop_unless("scenario", document)
    shape = fit(document, ScenarioShape)
    named = read_recipes(document, shape, path.parent)
    setting = Setting(document, shape, named.recipes, named.own)
    scenario = scenario_of(setting)
    document.stop_if_faulty()
    point_out(setting, scenario, LOOKS)
    return scenario, [*named.warnings, *document.warnings]


def scenario_of(setting: Setting) -> Scenario:
    """Read every part; faults are recorded with the document, so it may not be sound."""
    shape = setting.shape
    traffic = _traffic(setting)
    demand, orders = _demands(setting, traffic)
    disposal = shape.disposal
    return Scenario(
        title=shape.title,
        starts=shape.starts,
        days=shape.days,
        recipes=setting.recipes,
        unit=shape.unit,
        money=shape.money,
        lots=read_rail(setting),
        bench=_bench(setting),
        overtime_limit=shape.overtime.up_to if shape.overtime else 0.0,
        overtime_cost=shape.overtime.cost if shape.overtime else 0.0,
        case=_case(setting),
        demand=demand,
        orders=orders,
        rules=read_rules(setting),
        traffic=traffic,
        carry=shape.carry,
        disposal=setting.per_pound(("disposal",), disposal) if disposal else 0.0,
        own_blends=setting.own_blends,
        aside=setting.aside,
    )


def _bench(setting: Setting) -> tuple[float, ...] | None:
    """Minutes of each day; a day not named has none; None is no limit."""
    bench = setting.shape.bench
    if bench is None:
        return None
    if not isinstance(bench, dict):
        return (bench,) * len(setting.period)
    return setting.each_day(("bench",), bench)


def _traffic(setting: Setting) -> tuple[float, ...]:
    """Relative weight of each day; even where nothing is said."""
    even = (1.0,) * len(setting.period)
    if setting.shape.traffic is None:
        return even
    weights = setting.each_day(("traffic",), setting.shape.traffic)
    if sum(weights) > 0:
        return weights
    if not setting.document.unsure_within(("traffic",)) and setting.period_is_known:
        setting.document.fault(("traffic",), "no day has any traffic")
    return even


def _case(setting: Setting) -> tuple[Stock, ...]:
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


def _demands(
    setting: Setting, traffic: Sequence[float]
) -> tuple[dict[str, Demand], tuple[Order, ...]]:
    """Demand by cut, and all orders in the order of the file."""
    demand: dict[str, Demand] = {}
    orders: list[Order] = []
    for name in setting.document.keys("demand"):
        place = ("demand", name)
        found = setting.find(setting.cut_names, place, name)
        shape = setting.shape.demand.get(name)
        if found is None or shape is None:
            continue
        cut = setting.cuts[found]
        if found in demand:
            setting.document.fault(place, f'"{name}" is {found}, which has its demand already')
        needs_price = shape.price is None and not setting.document.unsure_within(place)
        if needs_price and shape.want is not None:
            setting.document.fault(place, f"{cut.name} is wanted but has no price")
            needs_price = False  # told once
        demand[found] = _demand(setting, place, cut, shape, traffic)
        for here, order in setting.present((*place, "orders"), shape.orders):
            if needs_price and order.price is None and not setting.document.unsure_within(here):
                message = f"this order for {cut.name} has no price, nor has the cut"
                setting.document.fault(here, message)
            orders.append(_order(setting, here, cut, order, demand[found].price, len(orders)))
    return demand, tuple(orders)


def _demand(
    setting: Setting, place: Place, cut: Cut, shape: DemandShape, traffic: Sequence[float]
) -> Demand:
    price = setting.price((*place, "price"), cut, shape.price) if shape.price else None
    if price == 0:
        setting.document.warn((*place, "price"), f"{cut.name} has a price of zero")
    markdown_price, markdown_want = 0.0, (0.0,) * len(setting.period)
    if shape.markdown:
        here = (*place, "markdown")
        markdown_price = setting.price((*here, "price"), cut, shape.markdown.price)
        markdown_want = setting.amounts((*here, "want"), cut, shape.markdown.want, traffic)
        if markdown_price == 0:
            setting.document.warn((*here, "price"), f"{cut.name} has a markdown price of zero")
        if price is not None and markdown_price > price:
            setting.document.warn(here, f"{cut.name}: the markdown is dearer than the full price")
    want = setting.amounts((*place, "want"), cut, shape.want, traffic)
    return Demand(cut.name, price, want, markdown_price, markdown_want)


def _order(
    setting: Setting,
    place: Place,
    cut: Cut,
    shape: OrderShape,
    full_price: float | None,
    index: int,
) -> Order:
    price = full_price
    if shape.price:
        price = setting.price((*place, "price"), cut, shape.price)
    return Order(
        index=index,
        cut=cut.name,
        day=setting.one_day((*place, "day"), shape.day),
        amount=setting.amount((*place, "amount"), cut, shape.amount),
        price=price or 0.0,
        buyer=shape.buyer,
        own_price=shape.price is not None,
    )
