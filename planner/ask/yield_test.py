"""The butcher's yield test: what a usable pound costs, way by way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from planner.ask.main_cut import amount_of, asking_price, cut_for, main_cut
from planner.ask.split_off import Worth, piece_values
from planner.core.recipe import Given, Recipe, Way, piece_shares
from planner.core.scenario import Lot
from planner.solve.plan import CENT, Plan


@dataclass(frozen=True, slots=True)
class YieldTest:
    """The card of one test. Nothing is rounded before it is shown.

    Attributes
    ----------
    weight : float
        Pounds put to the test.
    cost : float
        Money paid for them.
    usable : float
        Pounds of what it was cut for; more than 0.
    credits : mapping of str to float
        Money that other parts are worth, by name; parts worth nothing are left out.
    labour : float
        Money for the time at the bench; not a part of the usual card.
    """

    weight: float
    cost: float
    usable: float
    credits: Mapping[str, float]
    labour: float = 0.0

    @property
    def price(self) -> float:
        """Money paid a pound."""
        return self.cost / self.weight

    @property
    def usable_share(self) -> float:
        """Usable weight as a share of the weight."""
        return self.usable / self.weight

    @property
    def usable_cost(self) -> float:
        """What all of the usable part costs: paid, less credits."""
        return self.cost - sum(self.credits.values()) + self.labour

    @property
    def credits_pay(self) -> bool:
        """Whether the credits alone pay for it, so that the usable part costs nothing."""
        return bool(self.credits) and self.usable_cost < CENT

    @property
    def cost_per_lb(self) -> float:
        """Money a usable pound."""
        return self.usable_cost / self.usable

    @property
    def factor(self) -> float | None:
        """Cost of a usable pound for each money paid a pound; None where nothing was paid."""
        return self.cost_per_lb / self.price if self.cost else None

    def portion(self, pounds: float) -> float:
        """Cost of a portion."""
        return pounds * self.cost_per_lb


@dataclass(frozen=True, slots=True)
class WayTest:
    """The yield test of one way to cut one piece.

    Attributes
    ----------
    species, source, piece, way : str
        `source` is what was bought: the species for head, else a piece.
    bought : bool
        Whether the piece itself is what was bought, so that its cost was paid and not shared.
    count : int
        How many of these pieces the plan cuts so.
    test : YieldTest
        Of one piece.
    main : str
        The main cut; the heaviest where one of them has no price.
    price : float or None
        Of the main cut, for a pound or each; of trim without a price what the grind makes of it.
    cost : float
        Of the main cut, for a pound or each: the usable cost is shared over the cuts of the way by
        sales value, or by weight where one of them has no price.
    """

    species: str
    source: str
    piece: str
    way: str
    bought: bool
    count: int
    test: YieldTest
    main: str
    price: float | None
    cost: float

    @property
    def margin(self) -> float | None:
        """Gross margin of the main cut as a share of its price."""
        return 1 - self.cost / self.price if self.price else None


@dataclass(frozen=True, slots=True)
class Source:
    """Lots of the same thing taken together: mean weight of one, and mean cost a pound."""

    recipe: Recipe
    piece: str
    lots: tuple[int, ...]
    weight: float
    cost: float


def head_of(plan: Plan, lot: Lot) -> int:
    """How many of a lot are paid for: all of them, or those the plan buys."""
    if not lot.up_to:
        return lot.count
    return sum(each.head for each in plan.bought if each.lot == lot.index)


def way_tests(plan: Plan, worth: Mapping[str, Worth], bench_cost: float) -> tuple[WayTest, ...]:
    """Yield tests of all ways that give something to sell or to grind.

    What was bought is charged at its price. What comes out of it is charged its part of that by
    sales value: value of the piece at its best way by value of the whole at its best. Bones, fat
    and other by-products are credited at what the plan takes for them over the counter; trim for
    the grind, and pieces that the way gives, at their part of the cost, for they have to earn their
    margin too. Pieces of which no way gives anything with a price have no charge, and no test.

    Parameters
    ----------
    plan : Plan
    worth : mapping of str to Worth
        As from `splitoff.worths`.
    bench_cost : float
        Money a minute: the minutes of the way are charged to it.
    """
    return tuple(
        test for source in _sources(plan) for test in _source_tests(plan, source, worth, bench_cost)
    )


def _sources(plan: Plan) -> Iterator[Source]:
    def key(lot: Lot) -> tuple[str, str]:
        return lot.recipe.species, lot.piece

    order = {key(lot): number for number, lot in reversed(list(enumerate(plan.scenario.lots)))}
    for _, group in groupby(sorted(plan.scenario.lots, key=lambda lot: order[key(lot)]), key):
        lots = list(group)
        head = [head_of(plan, lot) for lot in lots]
        if not any(head):  # nothing is bought: what it would cost is still worth knowing
            head = [lot.count for lot in lots]
        pounds = [number * lot.weight for number, lot in zip(head, lots, strict=True)]
        paid = sum(each * lot.cost for each, lot in zip(pounds, lots, strict=True))
        indices = tuple(lot.index for lot in lots)
        first = lots[0]
        weight, cost = sum(pounds) / sum(head), paid / sum(pounds)
        yield Source(first.recipe, first.piece, indices, weight, cost)


def _source_tests(
    plan: Plan, source: Source, worth: Mapping[str, Worth], bench_cost: float
) -> Iterator[WayTest]:
    scenario, recipe = plan.scenario, source.recipe
    shares = piece_shares(recipe, source.piece)
    weights = {name: source.weight * share for name, share in shares.items()}
    values = piece_values(scenario, recipe, weights, worth)
    whole = values[source.piece]
    ratio = source.weight * source.cost / whole if whole else 0.0
    for name, weight in weights.items():
        bought = name == source.piece
        charge = source.weight * source.cost if bought else ratio * values[name]
        for way in recipe.pieces[name].ways.values():
            usable = cut_for(scenario, way)
            if not usable or not (bought or values[name]):
                continue
            test = YieldTest(
                weight=weight,
                cost=charge,
                usable=sum(each.count * each.share for each in usable) * weight,
                credits=_credits(plan, way, usable, weight, values, worth, ratio),
                labour=way.minutes * bench_cost,
            )
            main, price, cost = _main(plan, way, usable, weight, worth, test)
            count = sum(
                each.count
                for each in plan.breaks
                if each.lot in source.lots and (each.piece, each.way) == (name, way.name)
            )
            named = scenario.lots[source.lots[0]].name
            yield WayTest(
                recipe.species, named, name, way.name, bought, count, test, main, price, cost
            )


def _credits(
    plan: Plan,
    way: Way,
    usable: Sequence[Given],
    weight: float,
    values: Mapping[str, float],
    worth: Mapping[str, Worth],
    ratio: float,
) -> dict[str, float]:
    credit = {each.name: ratio * each.count * values[each.name] for each in way.pieces}
    for each in way.cuts:
        if each not in usable:
            of_one = worth[each.name].counter + ratio * worth[each.name].ground
            credit[each.name] = amount_of(plan.scenario, each, weight) * of_one
    return {name: money for name, money in credit.items() if money}


def _main(
    plan: Plan,
    way: Way,
    usable: Sequence[Given],
    weight: float,
    worth: Mapping[str, Worth],
    test: YieldTest,
) -> tuple[str, float | None, float]:
    """Main cut of a way, with its price and its part of the usable cost, for a pound or each."""
    scenario = plan.scenario
    prices = {
        each.name: asking_price(scenario, each.name) or worth[each.name].total for each in usable
    }
    heaviest = max(usable, key=lambda each: each.count * each.share)
    if all(prices.values()):
        main = main_cut(scenario, way, weight) or heaviest.name
        value = sum(amount_of(scenario, each, weight) * prices[each.name] for each in usable)
        return main, prices[main], test.usable_cost * prices[main] / value
    of_one = heaviest.share * weight if scenario.cuts[heaviest.name].by_each else 1.0
    return heaviest.name, prices[heaviest.name] or None, test.portion(of_one)
