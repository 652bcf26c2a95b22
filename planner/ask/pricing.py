"""What a plan costs, cut by cut: the frozen answer, and every figure derived from it."""

from __future__ import annotations

from dataclasses import dataclass

from planner.ask.yield_test import WayTest
from planner.core.plan_lines import Uncut
from planner.core.stock_replay import DUST
from planner.solve.plan import Plan


@dataclass(frozen=True, slots=True)
class LotCost:
    """What a lot costs, and the value at split-off over which that is shared.

    `paid` is for the head, `bench` for the minutes of its breaks. With no value nothing is shared.
    """

    lot: int
    head: int
    paid: float
    bench: float
    value: float

    @property
    def cost(self) -> float:
        """What is shared."""
        return self.paid + self.bench

    @property
    def rate(self) -> float:
        """Cost for each money of value."""
        return self.cost / self.value if self.value else 0.0


@dataclass(frozen=True, slots=True)
class CutCost:
    """What a cut costs.

    `amount` is what bears the cost, pounds or each: all made this week and not ground; of
    by-products, and of cuts without a price, what is sold of it. `price` is asked for one of it.
    `value` is that of what was made, at split-off: its part of the cost goes by it. Blends, made
    later, have none. `cost` is that of all of it.
    """

    cut: str
    species: str
    by_each: bool
    byproduct: bool
    made: float
    amount: float
    price: float | None
    value: float
    cost: float

    @property
    def cost_of_one(self) -> float | None:
        """Of a pound or each; None where nothing bears it."""
        return self.cost / self.amount if self.amount > DUST else None

    @property
    def margin(self) -> float | None:
        """Gross margin as a share of the price asked."""
        one = self.cost_of_one
        return 1 - one / self.price if self.price and one is not None else None


@dataclass(frozen=True, slots=True)
class UncutCost:
    """What pieces that were not cut carry out of the week, or take along to the bin."""

    uncut: Uncut
    cost: float


@dataclass(frozen=True, slots=True)
class Pricing:
    """Cost of everything in a plan; the costs of cuts and pieces and `unshared` add up to `cost`.

    `target` is the gross margin wanted, as a share of the price; `bench_cost` money a minute at the
    bench; `ways` are yield tests, by what was bought, from the carcass down.
    """

    plan: Plan
    target: float
    bench_cost: float
    lots: tuple[LotCost, ...]
    cuts: tuple[CutCost, ...]
    uncut: tuple[UncutCost, ...]
    ways: tuple[WayTest, ...]

    @property
    def paid(self) -> float:
        """Money for head."""
        return sum(each.paid for each in self.lots)

    @property
    def bench(self) -> float:
        """Money for all minutes at the bench."""
        return self.bench_cost * sum(each.minutes for each in self.plan.bench)

    @property
    def cost(self) -> float:
        """Money for head and bench."""
        return self.paid + self.bench

    @property
    def unshared(self) -> tuple[LotCost, ...]:
        """Lots that cost something and give nothing with a price."""
        return tuple(each for each in self.lots if each.cost and not each.value)

    @property
    def places(self) -> dict[str, float]:
        """Where the cost went; adds up to `cost`."""
        return {
            "cuts": sum(each.cost for each in self.cuts if not each.byproduct),
            "by-products": sum(each.cost for each in self.cuts if each.byproduct),
            "left whole": sum(each.cost for each in self.uncut if not each.uncut.wasted),
            "out of date uncut": sum(each.cost for each in self.uncut if each.uncut.wasted),
            "not shared": sum(each.cost for each in self.unshared),
        }

    @property
    def free(self) -> tuple[str, ...]:
        """Cuts that were made and bear no cost, because nobody pays for them."""
        return tuple(
            each.cut
            for recipe in self.plan.scenario.recipes
            for each in self.cuts
            if each.cut in recipe.cuts and each.made and not each.value
        )

    @property
    def margin(self) -> float | None:
        """Gross margin of the week: revenue less the cost, as a share of revenue."""
        return 1 - self.cost / self.plan.revenue if self.plan.revenue else None

    def price_for(self, cost: float) -> float:
        """Price that leaves the target margin over a cost."""
        return cost / (1 - self.target)
