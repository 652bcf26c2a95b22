"""What a scenario draws a warning for: slips of the hand that still can be read."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from statistics import median
from typing import TypeAlias

from planner.core.quantities import POUNDS, WEEKDAYS, read_weight_of_day, show_count, show_weight
from planner.core.recipe import MIXED, Recipe, piece_shares, recipe_with
from planner.core.scenario import GrindRule, Lot, Rule, Scenario
from planner.files.context import Setting
from planner.files.yamlfile import Place

Look: TypeAlias = Callable[[Setting, Scenario], None]
"""Records one kind of thing that is odd."""

FEWEST_PRICES, FEWEST_EACH = 3, 5
"""Fewer prices have no middle that says anything; what is sold by each varies more."""

DEAR = 10.0
APART = 5.0
"""How many times the price of its cut the price of an order is, or the other way round."""

HEAVY = 3.0

BOXED = 1.5
"""How far a piece bought alone may be from its share of a carcass: it may be trimmed otherwise."""

MOST_RULES = 200
"""Rules that others are held against: no shop has more."""

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
    for lot in {each.piece: each for each in scenario.lots}.values():
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
        if len(alike) < (FEWEST_EACH if by_each else FEWEST_PRICES):
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


def _order_far_off(setting: Setting, scenario: Scenario) -> None:
    """An order whose own price is far from that of its cut."""
    for price in _prices(setting, scenario):
        full = scenario.demand[price.cut].price
        if "orders" not in price.place or not full or not price.money:
            continue
        if not full / APART <= price.money <= full * APART:
            message = (
                f"{price.cut}: this price and the full price are more than {APART:g} times apart"
            )
            setting.document.odd(price.place, message)


def _unusual_weight(setting: Setting, scenario: Scenario) -> None:
    """A lot whose weight is not what its species usually weighs, nor a share of that."""
    known: dict[str, tuple[float, float] | None] = {}
    for lot in scenario.lots:
        if lot.piece not in known:
            known[lot.piece] = _usual_weight(lot)
        usual = known[lot.piece]
        if usual and not usual[0] <= lot.weight <= usual[1]:
            low, high = (show_weight(each, scenario.unit) for each in usual)
            weight = show_weight(lot.weight, scenario.unit)
            message = (
                f"one {lot.piece} of {weight}: {low} to {high} is usual ({lot.recipe.species})"
            )
            setting.document.odd((setting.lots_under, lot.index), message)


def _usual_weight(lot: Lot) -> tuple[float, float] | None:
    """What one of a lot may weigh, by its recipe."""
    own = lot.recipe.pieces[lot.piece].weighs
    if own:
        return own
    for root in lot.recipe.roots:
        whole, share = lot.recipe.pieces[root].weighs, piece_shares(lot.recipe, root).get(lot.piece)
        if whole and share:
            return whole[0] * share / BOXED, whole[1] * share * BOXED
    return None


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


def _rules_clash(setting: Setting, scenario: Scenario) -> None:
    """Two rules on one piece, or on one cut for the grind, that cannot both be kept."""
    said: dict[str, Rule | GrindRule] = {}
    for number, rule in enumerate(scenario.rules):
        other = next((each for each in said.values() if _clash(rule, each)), None)
        if len(said) < MOST_RULES:
            said.setdefault(str(rule), rule)
        if other:
            message = f'"{rule}" and "{other}" (line {other.line}) cannot both be kept'
            setting.document.odd(("rules", number), message)


def _clash(one: Rule | GrindRule, other: Rule | GrindRule) -> bool:
    """Whether two rules cannot both be kept, or leave a cut for no blend at all."""
    numbers: tuple[float, float]
    if isinstance(one, Rule) and isinstance(other, Rule):
        alike, same = one.piece == other.piece, one.way == other.way
        numbers = one.count, other.count
    elif isinstance(one, GrindRule) and isinstance(other, GrindRule):
        alike, same = one.cut == other.cut, one.blend == other.blend
        numbers = one.pounds, other.pounds
        if alike and one.verb == "all" and other.verb == ("never" if same else "all"):
            return True
        if alike and same and (one.verb, other.verb) == ("never", "all"):
            return True
    else:
        return False
    first, second = (one.verb, numbers[0]), (other.verb, numbers[1])
    for (verb, least), (against, most) in ((first, second), (second, first)):
        if alike and verb == "at least" and least > 0:
            forbidden = against == "never" or (against == "at most" and most < least)
            if forbidden if same else against == "all":
                return True
    return False


def _more_than_there_are(setting: Setting, scenario: Scenario) -> None:
    """Rules that ask for more cuts of a piece than there are such pieces."""
    wanted: dict[str, dict[str, int]] = {}
    there: dict[str, int] = {}
    on_the_rail = {lot.recipe.species for lot in scenario.lots}
    head: dict[str, int] = {}
    for lot in scenario.lots:
        head[lot.piece] = head.get(lot.piece, 0) + lot.count
    gives = {each: _most_of(recipe_with(scenario.recipes, each), each) for each in head}
    for number, rule in enumerate(scenario.rules):
        if not isinstance(rule, Rule) or rule.verb != "at least":
            continue
        ways = wanted.setdefault(rule.piece, {})
        ways[rule.way] = max(ways.get(rule.way, 0), rule.count)
        if rule.piece not in there:
            there[rule.piece] = sum(
                count * gives[piece].get(rule.piece, 0) for piece, count in head.items()
            )
        asked = sum(ways.values())
        species = recipe_with(scenario.recipes, rule.piece).species
        if species in on_the_rail and asked > there[rule.piece]:
            have = f"the rail gives {there[rule.piece] or 'none'}"
            message = f"the rules want {show_count(asked, rule.piece)} cut, and {have}"
            setting.document.odd(("rules", number), message)


def _most_of(recipe: Recipe, start: str) -> dict[str, int]:
    """How many of each piece one `start` can give at most."""
    most = {start: 1}
    for name in piece_shares(recipe, start):
        for way in recipe.pieces[name].ways.values():
            for given in way.pieces:
                count = most[name] * given.count
                most[given.name] = max(most.get(given.name, 0), count)
    return most


def _before_anything(setting: Setting, scenario: Scenario) -> None:
    """What is wanted by day, or promised, on a day before any of it can be there."""
    first = _first_days(scenario)
    labels = scenario.day_labels
    for written, shape in setting.shape.demand.items():
        cut = setting.cut_names.find(written)
        there = first.get(cut)
        if not there:  # from the first day on, or never: told elsewhere
            continue
        by_day = (
            setting.by_day(("demand", written, "want"), shape.want)
            if isinstance(shape.want, dict)
            else {}
        )
        early = [day for day in sorted(by_day) if day < there and by_day[day].number > 0]
        said = f"nothing that gives it is there before {labels[there]}"
        if early:
            days = ", ".join(labels[day] for day in early)
            setting.document.odd(("demand", written, "want"), f"{cut} is wanted on {days}; {said}")
        for place, order in setting.present(("demand", written, "orders"), shape.orders):
            if setting.period.one(order.day) < there:
                setting.document.odd(place, f"this order for {cut} cannot be filled: {said}")
    start = min(first.values(), default=0)
    if start and any(sum(each.want[:start]) for each in scenario.demand.values()):
        message = (
            f"nothing can be cut or sold before {labels[start]}; what is wanted earlier is lost"
        )
        setting.document.odd((setting.lots_under,), message)


def _first_days(scenario: Scenario) -> dict[str, int]:
    """The first day on which each cut can be there; those that nothing gives are left out."""
    first = {stock.cut: 0 for stock in scenario.case if stock.amount > 0}
    bench = scenario.bench or (1.0,) * scenario.days
    seen: set[str] = set()
    for lot in sorted(scenario.lots, key=lambda each: each.arrives):
        if lot.piece in seen:
            continue
        day = next((day for day in range(lot.arrives, scenario.days) if bench[day] > 0), None)
        if day is None:
            continue
        seen.add(lot.piece)
        for name in piece_shares(lot.recipe, lot.piece):
            for way in lot.recipe.pieces[name].ways.values():
                for given in way.cuts:
                    first[given.name] = min(first.get(given.name, day), day)
    for name, blend in scenario.blends.items():
        days = [first[each] for each in blend.takes if each in first]
        if days:
            first[name] = min(first.get(name, scenario.days), *days)
    return first


def _no_carry(setting: Setting, scenario: Scenario) -> None:
    """Nothing is said of what is left, and something will be in date after the last day."""
    written = setting.document.data
    if "carry" in written:
        return
    for lot in scenario.lots:
        longest = max((cut.keeps for cut in lot.recipe.cuts.values()), default=1)
        if lot.arrives + lot.keeps + longest - 1 > scenario.days:
            message = (
                f"with no `carry` what is left of the {lot.piece} counts for nothing, though it "
                "may be in date: write carry: 40%, or carry: 0% if that is meant"
            )
            setting.document.odd((setting.lots_under, lot.index), message)
            return


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
        added = f"the days of traffic add up to {total:g}%, not 100%"
        message = f"{added}: each is taken as its share of that"
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
    _order_far_off,
    _unusual_weight,
    _far_too_heavy,
    _no_way_left,
    _rules_clash,
    _no_shares,
)

SHOP_LOOKS: tuple[Look, ...] = _EVERYWHERE
"""What may be odd about the file of a shop, which does not say what hangs there."""

LOOKS: tuple[Look, ...] = (
    _never_made,
    _more_than_there_are,
    _before_anything,
    _no_carry,
    *_EVERYWHERE,
)
