"""The butcher's yield test: what a usable pound costs, way by way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.ask.main_cut import amount_of, asking_price, cut_for, main_cut
from planner.ask.split_off import Worth
from planner.core.recipe import Given, Way
from planner.core.scenario import Lot, Scenario
from planner.solve.plan import CENT, Plan


@dataclass(frozen=True, slots=True)
class YieldTest:
    """The card of one test. Nothing is rounded before it is shown.

    Attributes
    ----------
    weight, cost : float
        Pounds put to the test, and money paid for them.
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


def way_tests(plan: Plan, worth: Mapping[str, Worth], bench_cost: float) -> tuple[WayTest, ...]:
    """Yield tests of all ways that give something to sell or to grind.

    What was bought is charged at its price. What comes out of it is charged its part of that by
    sales value: value of the piece at its best way by value of the whole at its best. Bones, fat
    and other by-products are credited at what the plan takes for them over the counter; trim for
    the grind, and pieces that the way gives, at their part of the cost, for they have to earn their
    margin too. Pieces of which no way gives anything with a price have no charge, and no test.

    `worth` is as from `split_off.worths`; `bench_cost` is money a minute, which the minutes of the
    way are charged at.
    """
    alike: dict[tuple[str, str], list[Lot]] = {}
    for lot in plan.scenario.lots:
        alike.setdefault((lot.recipe.species, lot.piece), []).append(lot)
    return tuple(test for lots in alike.values() for test in _tests(plan, lots, worth, bench_cost))


def _tests(
    plan: Plan, lots: Sequence[Lot], worth: Mapping[str, Worth], bench_cost: float
) -> Iterator[WayTest]:
    """The tests of lots of the same thing taken together: mean weight of one, mean cost a pound."""
    scenario, first = plan.scenario, lots[0]
    head = [plan.head(lot) for lot in lots]
    if not any(head):  # nothing is bought: what it would cost is still worth knowing
        head = [lot.count for lot in lots]
    pounds = sum(number * lot.weight for number, lot in zip(head, lots, strict=True))
    paid = sum(number * lot.weight * lot.cost for number, lot in zip(head, lots, strict=True))
    one = pounds / sum(head)
    price = one * (paid / pounds)
    mean = replace(first, weight=one)
    values = scenario.full_values(mean, {cut: each.total for cut, each in worth.items()})
    ratio = price / values[first.piece] if values[first.piece] else 0.0
    places = {lot.index for lot in lots}
    counts: Counter[tuple[str, str]] = Counter()
    for done in plan.breaks:
        if done.lot in places:
            counts[done.piece, done.way] += done.count
    for name, weight in mean.weights().items():
        bought = name == first.piece
        for way in first.recipe.pieces[name].ways.values():
            usable = cut_for(scenario, way)
            if not usable or not (bought or values[name]):
                continue
            credit = {each.name: ratio * each.count * values[each.name] for each in way.pieces}
            for given in way.cuts:
                if given not in usable:
                    of_one = worth[given.name].counter + ratio * worth[given.name].ground
                    credit[given.name] = amount_of(scenario, given, weight) * of_one
            test = YieldTest(
                weight=weight,
                cost=price if bought else ratio * values[name],
                usable=sum(each.count * each.share for each in usable) * weight,
                credits={part: money for part, money in credit.items() if money},
                labour=way.minutes * bench_cost,
            )
            yield WayTest(
                first.recipe.species,
                first.name,
                name,
                way.name,
                bought,
                counts[name, way.name],
                test,
                *_main(scenario, way, usable, worth, test),
            )


def _main(
    scenario: Scenario,
    way: Way,
    usable: Sequence[Given],
    worth: Mapping[str, Worth],
    test: YieldTest,
) -> tuple[str, float | None, float]:
    """Main cut of a way, with its price and its part of the usable cost, for a pound or each."""
    prices = {
        each.name: asking_price(scenario, each.name) or worth[each.name].total for each in usable
    }
    if all(prices.values()):
        main = main_cut(scenario, way, test.weight) or ""
        value = sum(amount_of(scenario, each, test.weight) * prices[each.name] for each in usable)
        return main, prices[main], test.usable_cost * prices[main] / value
    heaviest = max(usable, key=lambda each: each.count * each.share)
    of_one = heaviest.share * test.weight if scenario.cuts[heaviest.name].by_each else 1.0
    return heaviest.name, prices[heaviest.name] or None, test.portion(of_one)
