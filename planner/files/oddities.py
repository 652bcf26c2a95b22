"""What is legal but odd about a scenario: slips of the hand that still can be read."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from statistics import median
from typing import TypeAlias

from planner.files.setting import Setting
from planner.measures import POUNDS, WEEKDAYS, read_weight_of_day, show_weight
from planner.recipe import MIXED, piece_shares, recipe_with
from planner.scenario import GrindRule, Lot, Scenario
from planner.yamlfile import Place

Look: TypeAlias = Callable[[Setting, Scenario], None]
"""Records one kind of thing that is odd."""

FEWEST_PRICES = 5
"""Fewer prices have no middle that says anything."""

DEAR = 10.0
HEAVY = 3.0

DAY = 1440
"""Minutes."""

CREW = 6
"""More do not cut in one shop: common practice, no source."""


def point_out(setting: Setting, scenario: Scenario, looks: Sequence[Look] | None = None) -> None:
    """Record what is odd about a scenario in which no fault was found: `looks`, else all of it."""
    for look in LOOKS if looks is None else looks:
        look(setting, scenario)


def _never_made(setting: Setting, scenario: Scenario) -> None:
    """What is wanted though nothing on the rail or in the case can give it.

    Of a species that is nowhere on the rail this is said once, not for every cut.
    """
    on_the_rail = {lot.recipe.species for lot in scenario.lots}
    made = {stock.cut for stock in scenario.case}
    for lot in scenario.lots:
        pieces = piece_shares(lot.recipe, lot.piece)
        ways = [way for name in pieces for way in lot.recipe.pieces[name].ways.values()]
        made |= {given.name for way in ways for given in way.cuts}
    made |= {name for name, blend in scenario.blends.items() if made & set(blend.takes)}
    for recipe in scenario.recipes:
        if recipe.species not in on_the_rail:
            setting.document.odd(("recipes",), f"nothing on the rail is {recipe.species}")
    for written in setting.shape.demand:
        name = setting.cut_names.find(written)
        if setting.cuts[name].species not in {*on_the_rail, MIXED}:
            continue
        demand = scenario.demand[name]
        wanted = sum(demand.want) + sum(demand.markdown_want)
        wanted += sum(order.amount for order in scenario.orders if order.cut == name)
        if wanted and name not in made:
            message = f"{name} is wanted, but nothing on hand can give it"
            setting.document.odd(("demand", written), message)


def _no_bench(setting: Setting, scenario: Scenario) -> None:
    """Days that a map of the bench leaves out; one that is written as 0 is meant."""
    if not isinstance(setting.shape.bench, dict):
        return
    named = setting.by_day(("bench",), setting.shape.bench)
    weekdays = [WEEKDAYS[each.weekday()] for each in setting.period.dates]
    days = range(len(setting.period))
    free = [day for day in days if day not in named]
    working = {weekdays[day] for day in named}
    labels = dict.fromkeys(
        scenario.day_labels[day] if weekdays[day] in working else weekdays[day] for day in free
    )
    if free:
        setting.document.odd(("bench",), f"no bench on {', '.join(labels)}: nobody cuts then")


@dataclass(frozen=True, slots=True)
class _Price:
    """A price in the demand: per pound, or for each."""

    place: Place
    cut: str
    by_each: bool
    money: float


def _prices(setting: Setting, scenario: Scenario) -> Iterator[_Price]:
    numbers = iter(scenario.orders)
    for written, shape in setting.shape.demand.items():
        at: Place = ("demand", written)
        cut = setting.cuts[setting.cut_names.find(written)]
        demand = scenario.demand[cut.name]
        if demand.price is not None:
            yield _Price((*at, "price"), cut.name, cut.by_each, demand.price)
        if shape.markdown:
            yield _Price((*at, "markdown", "price"), cut.name, cut.by_each, demand.markdown_price)
        for place, order in setting.present((*at, "orders"), shape.orders):
            read = next(numbers)
            if order.price:
                yield _Price((*place, "price"), cut.name, cut.by_each, read.price)


def _far_too_dear(setting: Setting, scenario: Scenario) -> None:
    """A price that is far above the others of its kind of selling: a point may be missing."""
    prices = list(_prices(setting, scenario))
    for by_each in (False, True):
        alike = [price for price in prices if price.by_each == by_each]
        if len(alike) < FEWEST_PRICES:
            continue
        middle = median(price.money for price in alike)
        shown = middle if by_each else middle * POUNDS[scenario.unit]
        unit = "each" if by_each else scenario.unit
        for price in alike:
            if price.money > DEAR * middle:
                message = (
                    f"{price.cut}: a price more than {DEAR:g} times the middle price of this file "
                    f"({shown:,.2f}/{unit})"
                )
                setting.document.odd(price.place, message)


def _far_too_heavy(setting: Setting, scenario: Scenario) -> None:
    """A lot whose weight is far from that of an earlier lot of the same piece."""
    lightest: dict[str, Lot] = {}
    heaviest: dict[str, Lot] = {}
    for lot in scenario.lots:
        light = lightest.setdefault(lot.piece, lot)
        heavy = heaviest.setdefault(lot.piece, lot)
        far = light if lot.weight > HEAVY * light.weight else heavy
        if lot.weight > HEAVY * far.weight or far.weight > HEAVY * lot.weight:
            line = setting.document.line((setting.lots_under, far.index))
            message = (
                f"one {lot.piece} weighs {show_weight(lot.weight, scenario.unit)} here and "
                f"{show_weight(far.weight, scenario.unit)} on line {line}"
            )
            setting.document.odd((setting.lots_under, lot.index), message)
        lightest[lot.piece] = min(light, lot, key=lambda each: each.weight)
        heaviest[lot.piece] = max(heavy, lot, key=lambda each: each.weight)


def _no_way_left(setting: Setting, scenario: Scenario) -> None:
    """Rules that together forbid every way to cut a piece."""
    left: dict[str, set[str]] = {}
    last: dict[str, int] = {}
    for number, rule in enumerate(scenario.rules):
        if isinstance(rule, GrindRule):
            continue
        ways = recipe_with(scenario.recipes, rule.piece).pieces[rule.piece].ways
        known = left.setdefault(rule.piece, set(ways))
        if rule.verb == "all":
            known &= {rule.way}
        elif rule.verb == "never" or (rule.verb == "at most" and rule.count == 0):
            known -= {rule.way}
        else:
            continue
        last[rule.piece] = number
    for piece, number in last.items():
        if not left[piece]:
            message = f"with the rules no way is left to cut a {piece}; every {piece} stays whole"
            setting.document.odd(("rules", number), message)


def _no_shares(setting: Setting, _: Scenario) -> None:
    """Traffic in percent that does not add up to 100: rounding may cost half a point a day."""
    texts = setting.document.data.get("traffic")
    if not isinstance(texts, dict):
        return
    shares = [str(text).strip() for text in texts.values()]
    if not all(share.endswith("%") for share in shares):
        return  # relative weights of any size
    total = sum(read_weight_of_day(share) for share in shares)
    if abs(total - 100) > len(shares) / 2:
        message = (
            f"the days of traffic add up to {total:g}%, not 100%: each is taken as its part of that"
        )
        setting.document.odd(("traffic",), message)


def _endless_bench(setting: Setting, scenario: Scenario) -> None:
    """A day with more minutes than a crew of `CREW` has round the clock."""
    if scenario.bench is None or "bench" not in setting.document.data:
        return
    most = max(scenario.bench)
    if most > CREW * DAY:
        message = f"{most:,.0f} minutes a day are more than {CREW} people have in {DAY // 60} hours"
        setting.document.odd(("bench",), message)


_EVERYWHERE: tuple[Look, ...] = (
    _no_bench,
    _endless_bench,
    _far_too_dear,
    _far_too_heavy,
    _no_way_left,
)

SHOP_LOOKS: tuple[Look, ...] = (*_EVERYWHERE, _no_shares)
"""What may be odd about the file of a shop, which does not say what hangs there.

Its traffic is of a whole week; that of a scenario may be a part of one.
"""

LOOKS: tuple[Look, ...] = (_never_made, *_EVERYWHERE)
