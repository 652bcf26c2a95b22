"""What a scenario draws a warning for: slips of the hand that still can be read."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from statistics import median
from typing import TypeAlias

from planner.core.quantities import POUNDS, WEEKDAYS, read_weight_of_day, show_count
from planner.core.recipe import MIXED, Cut, Recipe, piece_shares, recipe_with
from planner.core.scenario import GrindRule, Lot, Rule, Scenario
from planner.files.context import Setting
from planner.files.yamlfile import Place

Warned: TypeAlias = Iterator[tuple[Place, str]]
"""Places, and what is unlikely there."""

Look: TypeAlias = Callable[[Setting, Scenario], Warned]
"""Finds one kind of thing that is unlikely."""

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

SAME = 1e-9
"""A share by which a weight may be more than there is."""

DAY = 1440
"""Minutes."""

CREW = 6
"""More do not cut in one shop: common practice, no source."""


def point_out(setting: Setting, scenario: Scenario, looks: Sequence[Look]) -> None:
    """Record what is unlikely about a scenario in which no fault was found."""
    for look in looks:
        for place, message in look(setting, scenario):
            setting.document.warn(place, message)


def _never_made(setting: Setting, scenario: Scenario) -> Warned:
    """What is wanted though nothing on the rail or in the case can give it.

    Of a species that is nowhere on the rail this is said once, not for every cut.
    """
    on_the_rail = {lot.recipe.species for lot in scenario.lots}
    made = _first_days(scenario, (1.0,) * scenario.days)
    for recipe in scenario.recipes:
        if recipe.species not in on_the_rail:
            yield ("recipes",), f"nothing on the rail is {recipe.species}"
    for written in setting.shape.demand:
        name = setting.cut_names.find(written)
        if name in made or setting.cuts[name].species not in {*on_the_rail, MIXED}:
            continue
        demand = scenario.demand[name]
        promised = any(order.amount for order in scenario.orders if order.cut == name)
        if promised or any(demand.want) or any(demand.markdown_want):
            yield ("demand", written), f"{name} is wanted, but nothing on hand can give it"


def _no_bench(setting: Setting, scenario: Scenario) -> Warned:
    """Days that a map of the bench leaves out; one that is written as 0 is meant."""
    if not isinstance(setting.shape.bench, dict):
        return
    named = setting.by_day(("bench",), setting.shape.bench)
    weekdays = [WEEKDAYS[each.weekday()] for each in setting.period.dates]
    working = {weekdays[day] for day in named}
    free = dict.fromkeys(
        scenario.day_labels[day] if weekdays[day] in working else weekdays[day]
        for day in range(scenario.days)
        if day not in named
    )
    if free:
        yield ("bench",), f"no bench on {', '.join(free)}: nothing can be cut then"


def _prices(setting: Setting, scenario: Scenario) -> Iterator[tuple[Place, Cut, float]]:
    """Every price in the demand, with its place and its cut."""
    numbers = iter(scenario.orders)
    for written, shape in setting.shape.demand.items():
        at: Place = ("demand", written)
        cut = setting.cuts[setting.cut_names.find(written)]
        demand = scenario.demand[cut.name]
        if demand.price is not None:
            yield (*at, "price"), cut, demand.price
        if shape.markdown:
            yield (*at, "markdown", "price"), cut, demand.markdown_price
        for place, order in setting.present((*at, "orders"), shape.orders):
            read = next(numbers)
            if order.price:
                yield (*place, "price"), cut, read.price


def _far_too_dear(setting: Setting, scenario: Scenario) -> Warned:
    """A price that is far above the others of its kind of selling: a point may be missing."""
    prices = list(_prices(setting, scenario))
    for by_each in (False, True):
        alike = [price for _, cut, price in prices if cut.by_each == by_each]
        if len(alike) < (FEWEST_EACH if by_each else FEWEST_PRICES):
            continue
        middle = median(alike)
        shown = middle if by_each else middle * POUNDS[scenario.unit]
        told = f"a price more than {DEAR:g} times the median price of this file"
        told = f"{told} ({shown:,.2f}/{scenario.units.by(by_each)})"
        for place, cut, price in prices:
            if cut.by_each == by_each and price > DEAR * middle:
                yield place, f"{cut.name}: {told}"


def _order_far_off(setting: Setting, scenario: Scenario) -> Warned:
    """An order whose own price is far from that of its cut."""
    told = f"this price and the full price are more than {APART:g} times apart"
    for place, cut, price in _prices(setting, scenario):
        full = scenario.price(cut.name)
        far = full and price and not full / APART <= price <= full * APART
        if far and "orders" in place:
            yield place, f"{cut.name}: {told}"


def _unusual_weight(setting: Setting, scenario: Scenario) -> Warned:
    """A lot whose weight is not what its species usually weighs, nor a share of that."""
    known: dict[str, tuple[float, float] | None] = {}
    for lot in scenario.lots:
        if lot.piece not in known:
            known[lot.piece] = _usual_weight(lot)
        usual = known[lot.piece]
        if usual and not usual[0] <= lot.weight <= usual[1]:
            low, high, weight = (scenario.units.weight(each) for each in (*usual, lot.weight))
            message = f"one {lot.piece} of {weight}: {low} to {high} is usual"
            yield (setting.lots_under, lot.index), f"{message} ({lot.recipe.species})"


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


def _far_too_heavy(setting: Setting, scenario: Scenario) -> Warned:
    """A lot whose weight is far from that of an earlier lot of the same piece."""
    extremes: dict[str, tuple[Lot, Lot]] = {}
    for lot in scenario.lots:
        light, heavy = extremes.get(lot.piece, (lot, lot))
        far = light if lot.weight > HEAVY * light.weight else heavy
        if lot.weight > HEAVY * far.weight or far.weight > HEAVY * lot.weight:
            line = setting.document.line((setting.lots_under, far.index))
            here, there = (scenario.units.weight(each.weight) for each in (lot, far))
            message = f"one {lot.piece} weighs {here} here and {there} on line {line}"
            yield (setting.lots_under, lot.index), message
        extremes[lot.piece] = (
            lot if lot.weight < light.weight else light,
            lot if lot.weight > heavy.weight else heavy,
        )


def _no_way_left(_: Setting, scenario: Scenario) -> Warned:
    """Rules that together forbid every way to cut a piece."""
    left: dict[str, set[str]] = {}
    last: dict[str, int] = {}
    for number, rule in enumerate(scenario.rules):
        never = rule.verb == "never" or (rule.verb == "at most" and rule.number == 0)
        if isinstance(rule, Rule) and (never or rule.verb == "all"):
            ways = recipe_with(scenario.recipes, rule.piece).pieces[rule.piece].ways
            known = left.setdefault(rule.piece, set(ways))
            known &= set(ways) - {rule.way} if never else {rule.way}
            last[rule.piece] = number
    for piece, number in last.items():
        if not left[piece]:
            message = f"with the rules no way is left to cut a {piece}; every {piece} stays whole"
            yield ("rules", number), message


def _rules_clash(_: Setting, scenario: Scenario) -> Warned:
    """Two rules on one piece, or on one cut for the grind, that cannot both be kept."""
    said: dict[str, Rule | GrindRule] = {}
    for number, rule in enumerate(scenario.rules):
        other = next((each for each in said.values() if _clash(rule, each)), None)
        if len(said) < MOST_RULES:
            said.setdefault(str(rule), rule)
        if other:
            message = f'"{rule}" and "{other}" (line {other.line}) cannot both be kept'
            yield ("rules", number), message


def _parts(rule: Rule | GrindRule) -> tuple[str, str]:
    """What a rule is about, and what is made of it."""
    return (rule.piece, rule.way) if isinstance(rule, Rule) else (rule.cut, rule.blend)


def _clash(one: Rule | GrindRule, other: Rule | GrindRule) -> bool:
    """Whether two rules cannot both be kept, or leave a cut for no blend at all."""
    (thing, made), (thing_too, made_too) = _parts(one), _parts(other)
    if type(one) is not type(other) or thing != thing_too:
        return False
    same = made == made_too
    for each, against in ((one, other), (other, one)):
        if isinstance(each, GrindRule) and each.verb == "all":
            clash = against.verb == ("never" if same else "all")
        else:
            never = against.verb == "never"
            never |= against.verb == "at most" and against.number < each.number
            clash = each.verb == "at least" and each.number > 0
            clash &= never if same else against.verb == "all"
        if clash:
            return True
    return False


def _more_than_there_is(_: Setting, scenario: Scenario) -> Warned:
    """Rules that ask for more of a piece, or of a cut for the grind, than there can be at most."""
    wanted: dict[str, dict[str, float]] = {}
    there: dict[str, float] = {}
    on_the_rail = {lot.recipe.species for lot in scenario.lots}
    for number, rule in enumerate(scenario.rules):
        thing, made = _parts(rule)
        counted = isinstance(rule, Rule)
        species = (
            recipe_with(scenario.recipes, thing) if counted else scenario.cuts[thing]
        ).species
        if rule.verb != "at least" or species not in on_the_rail:
            continue
        by_way = wanted.setdefault(thing, {})
        by_way[made] = max(by_way.get(made, 0.0), rule.number)
        if thing not in there:
            there[thing] = _most_there(scenario, thing, counted=counted)
        asked, most = sum(by_way.values()), there[thing]
        want, have = f"{show_count(asked, thing)} cut", f"{most:g}"
        if not counted:
            want, have = (scenario.units.weight(each) for each in (asked, most))
            want = f"{want} of {thing} ground"
        if asked > most * (1 + SAME):
            yield ("rules", number), f"the rules want {want}, and there can be {have} at most"


def _most_there(scenario: Scenario, thing: str, *, counted: bool) -> float:
    """How many of a piece, or how many pounds of a cut, the rail and the case can give at most."""
    most = sum(stock.amount for stock in scenario.case if stock.cut == thing)
    one: dict[str, float] = {}
    for lot in scenario.lots:
        if lot.piece not in one:
            one[lot.piece] = _most_of(lot.recipe, lot.piece, thing, counted=counted)
        most += lot.count * one[lot.piece] * (1.0 if counted else lot.weight)
    return most


def _most_of(recipe: Recipe, start: str, thing: str, *, counted: bool) -> float:
    """How many of a piece, or what share of its weight of a cut, one `start` can give at most."""
    most: dict[str, float] = {}
    for name in reversed(piece_shares(recipe, start)):  # what a way gives before the piece itself
        most[name] = max(
            sum(
                given.count * (1.0 if counted else given.share) * most.get(given.name, 0.0)
                for given in way.pieces
            )
            + sum(given.count * given.share for given in way.cuts if given.name == thing)
            for way in recipe.pieces[name].ways.values()
        )
        if name == thing:
            most[name] = 1.0
    return most[start]


def _before_anything(setting: Setting, scenario: Scenario) -> Warned:
    """What is wanted, or promised, on a day before any of it can be there.

    Of wants that traffic spreads it is said once for all cuts that come on one day.
    """
    first = _first_days(scenario, scenario.bench or (1.0,) * scenario.days)
    labels = scenario.day_labels
    start = min(first.values(), default=0)
    spread: dict[int, list[str]] = {}
    for written, shape in setting.shape.demand.items():
        cut = setting.cut_names.find(written)
        there = first.get(cut)
        if not there:  # from the first day on, or never: told elsewhere
            continue
        early = [day for day in range(there) if scenario.demand[cut].want[day] > 0]
        said = f"nothing that gives it is there before {labels[there]}"
        if early and isinstance(shape.want, dict):
            days = ", ".join(labels[day] for day in early)
            yield ("demand", written, "want"), f"{cut} is wanted on {days}; {said}"
        elif early and there > start:
            spread.setdefault(there, []).append(written)
        for place, order in setting.present(("demand", written, "orders"), shape.orders):
            if setting.period.one(order.day) < there:
                yield place, f"this order for {cut} cannot be filled: {said}"
    for there, names in spread.items():
        message = (
            f"traffic spreads the wants of {', '.join(names)} over days before {labels[there]}; "
            "nothing that gives them is there earlier"
        )
        yield ("demand", names[0], "want"), message
    if start and any(sum(each.want[:start]) for each in scenario.demand.values()):
        message = f"nothing can be cut or sold before {labels[start]}; what is wanted earlier"
        yield (setting.lots_under,), f"{message} is lost"


def _first_days(scenario: Scenario, bench: Sequence[float]) -> dict[str, int]:
    """The first day on which each cut can be there; those that nothing gives are left out."""
    first = {stock.cut: 0 for stock in scenario.case if stock.amount > 0}
    seen: set[str] = set()
    for lot in sorted(scenario.lots, key=lambda each: each.arrives):
        day = next((day for day in range(lot.arrives, scenario.days) if bench[day] > 0), None)
        if day is None or lot.piece in seen:
            continue
        seen.add(lot.piece)
        for _, way in scenario.ways(lot):
            for given in way.cuts:
                first[given.name] = min(first.get(given.name, day), day)
    for name, blend in scenario.blends.items():
        days = [first[each] for each in blend.takes if each in first]
        if days:
            first[name] = min(first.get(name, scenario.days), *days)
    return first


def _no_carry(setting: Setting, scenario: Scenario) -> Warned:
    """Nothing is said of what is left, and something will be in date after the last day."""
    if "carry" in setting.document.data:
        return
    for lot in scenario.lots:
        longest = max((cut.keeps for cut in lot.recipe.cuts.values()), default=1)
        if lot.arrives + lot.keeps + longest - 1 > scenario.days:
            message = (
                f"with no `carry` what is left of the {lot.piece} counts for nothing, though it "
                "may be in date: write carry: 40%, or carry: 0% if that is meant"
            )
            yield (setting.lots_under, lot.index), message
            return


def _no_shares(setting: Setting, _: Scenario) -> Warned:
    """Traffic in percent that does not add up to 100: rounding may cost half a point a day."""
    texts = setting.document.data.get("traffic")
    if not isinstance(texts, dict) or not all(
        each.strip().endswith("%") for each in texts.values()
    ):
        return  # relative weights of any size
    total = sum(map(read_weight_of_day, texts.values()))
    if abs(total - 100) > len(texts) / 2:
        message = f"the days of traffic add up to {total:g}%, not 100%"
        yield ("traffic",), f"{message}: each is taken as its share of that"


def _endless_bench(setting: Setting, scenario: Scenario) -> Warned:
    """A day with more minutes than a crew of `CREW` has round the clock."""
    most = max(scenario.bench or (0.0,))
    if "bench" in setting.document.data and most > CREW * DAY:
        message = f"{most:,.0f} minutes a day are more than {CREW} people have in {DAY // 60} hours"
        yield ("bench",), message


SHOP_LOOKS: tuple[Look, ...] = (
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
"""What may be unlikely about the file of a shop, which does not say what hangs there."""

LOOKS: tuple[Look, ...] = (
    _never_made,
    _more_than_there_is,
    _before_anything,
    _no_carry,
    *SHOP_LOOKS,
)
