"""The plan: the frozen answer, and every figure derived from it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from planner.core.errors import RulesConflictError
from planner.core.plan_lines import (
    Batch,
    BenchDay,
    Bought,
    Break,
    CutLine,
    Later,
    Sale,
    Short,
    Uncut,
)
from planner.core.scenario import Held, Lot, Scenario
from planner.core.stock_replay import DUST, DayStock, StockRecord, total
from planner.solve import (
    SAME,
    Options,
    Search,
    Solution,
    Status,
    ceiling,
    planned_in_parts,
    too_long,
)
from planner.solve.binding import QUESTION, binding_limits
from planner.solve.conflict import explain
from planner.solve.engine import Progress
from planner.solve.model import AFTER_TIE, BIN_TIE, GRIND_TIE, MINUTE_TIE, NIGHT_TIE, BreakModel
from planner.solve.replay import Replay

CENT = 0.005
"""Money closer than this is the same to the cent."""


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan of one scenario, in pounds, minutes and money.

    Attributes
    ----------
    score : float
        revenue - overtime - buying - disposal + carry.
    bound : float
        What no plan can exceed, by proof, its ties counted like this plan's: a plan with more
        minutes or staler cuts may score higher by what its ties weigh more.
    stock : StockRecord
        Every portion of every day: what made it, and what it is used for.
    parts : int
        In how many parts, one after the other, a long period was planned.
    decided : Solution
        The decisions all of it follows from.
    """

    scenario: Scenario
    breaks: tuple[Break, ...]
    cuts: tuple[CutLine, ...]
    sales: tuple[Sale, ...]
    batches: tuple[Batch, ...]
    short: tuple[Short, ...]
    uncut: tuple[Uncut, ...]
    bought: tuple[Bought, ...]
    bench: tuple[BenchDay, ...]
    stock: StockRecord = field(repr=False)
    revenue: float
    overtime: float
    buying: float
    disposal: float
    carry: float
    bound: float
    status: Status
    orders_proven: bool
    seconds: float
    later: tuple[Later, ...]
    parts: int
    decided: Solution = field(repr=False, compare=False)

    @property
    def score(self) -> float:
        """Revenue - overtime pay - head bought - disposal + carry."""
        return self.revenue - self.overtime - self.buying - self.disposal + self.carry

    @property
    def paid(self) -> float:
        """Cost of the head on the rail that are there anyway: sunk, not in the score."""
        lots = self.scenario.lots
        return sum(lot.count * lot.weight * lot.cost for lot in lots if not lot.up_to)

    def head(self, lot: Lot) -> int:
        """How many of a lot there are: of those that may be bought, how many are."""
        bought = sum(each.head for each in self.bought if each.lot == lot.index)
        return bought if lot.up_to else lot.count

    @property
    def within(self) -> float:
        """How far below the best possible the plan can be at most."""
        return max(0.0, self.bound - self.score)


def plan_week(
    scenario: Scenario, options: Options | None = None, progress: Progress | None = None
) -> Plan:
    """Solve a scenario and work out its plan.

    Raises
    ------
    RulesConflictError
        The rules cannot be kept.
    NoPlanInTimeError
        No plan was found in the time given.
    """
    options = options or Options()
    if too_long(scenario, options):
        return make_plan(scenario, planned_in_parts(scenario, options, progress))
    solution = planned(Search(BreakModel(scenario), options), progress)
    plan = make_plan(scenario, solution)
    if not plan.short:
        return plan
    binds = binding_limits(scenario, solution, max(QUESTION, options.seconds - solution.seconds))
    return with_binds(plan, binds)


def with_binds(plan: Plan, binds: Mapping[int, tuple[str, ...]]) -> Plan:
    """The plan with what binds each of its orders that fall short."""
    return replace(plan, short=tuple(replace(each, binds=binds[each.order]) for each in plan.short))


def planned(search: Search, progress: Progress | None = None) -> Solution:
    """The best plan a search finds; rules that cannot be kept are explained."""
    try:
        return search.solution(progress)
    except RulesConflictError:
        raise explain(search.model.scenario, search.options.seconds) from None


def make_plan(scenario: Scenario, solution: Solution) -> Plan:
    """Work out every figure of a plan from the decisions of a solution."""
    replay = Replay(scenario, solution)
    replay.up_to(scenario.days)
    breaks, stock = replay.breaks, replay.stock
    batches, sales = tuple(replay.batches), tuple(replay.sales)
    uncut = tuple(_uncut(scenario, stock))
    bought = _bought(scenario, solution)
    bench = tuple(_bench(scenario, replay.minutes))
    cuts = tuple(
        _cut_line(scenario, [today[cut] for today in stock.cuts], sales, batches)
        for cut in scenario.cuts
    )
    by_weight = [line for line in cuts if not line.by_each]
    ties = MINUTE_TIE * sum(each.minutes for each in bench)
    ties += GRIND_TIE * sum(sum(batch.takes.values()) for batch in batches)
    ties += BIN_TIE * sum(line.wasted for line in cuts if line.cut in scenario.blends)
    ties += NIGHT_TIE * sum(
        total(today[line.cut].left) for line in by_weight for today in stock.cuts[:-1]
    )
    ties += AFTER_TIE * sum(solution.cut_after.values())
    wasted = sum(line.wasted for line in by_weight)
    wasted += sum(each.weight for each in uncut if each.wasted)
    plan = Plan(
        scenario=scenario,
        breaks=breaks,
        cuts=cuts,
        sales=sales,
        batches=batches,
        short=_short(scenario, solution),
        uncut=uncut,
        bought=bought,
        bench=bench,
        stock=stock,
        revenue=sum(sale.amount * sale.price for sale in sales),
        overtime=scenario.overtime_cost * sum(each.overtime for each in bench),
        buying=sum(each.cost for each in bought),
        disposal=scenario.disposal * wasted,
        carry=_carry(scenario, cuts, uncut),
        bound=solution.bound + ties,
        status=solution.status,
        orders_proven=solution.orders_proven,
        seconds=solution.seconds,
        later=tuple(_later(scenario, solution)),
        parts=solution.parts,
        decided=solution,
    )
    beyond = plan.score - plan.bound
    if beyond > 0:  # by rounding; more than that disproves the bound
        sure = beyond < max(CENT, SAME * abs(plan.score))
        bound = plan.score if sure else max(plan.score, ceiling(scenario))
        plan = replace(plan, bound=bound, status=plan.status if sure else "time limit")
    if plan.status == "proven" and plan.within >= CENT:  # ties weigh more than the model counted
        return replace(plan, status="within tolerance")
    return plan


def _cut_line(
    scenario: Scenario,
    days: Sequence[DayStock],
    sales: Sequence[Sale],
    batches: Sequence[Batch],
) -> CutLine:
    name = days[0].cut
    cut = scenario.cuts[name]
    sold = [sale for sale in sales if sale.cut == name]
    asked = sum(scenario.demand[name].want) if name in scenario.demand else 0.0
    asked += sum(order.amount for order in scenario.orders if order.cut == name)
    unmet = asked - sum(sale.amount for sale in sold if sale.to != "markdown")
    return CutLine(
        cut=name,
        species=cut.species,
        by_each=cut.by_each,
        on_hand=sum(stock.amount for stock in scenario.case if stock.cut == name),
        made=sum(total(day.made) for day in days),
        sold=sum(sale.amount for sale in sold),
        revenue=sum(sale.amount * sale.price for sale in sold),
        blended=sum(batch.takes.get(name, 0.0) for batch in batches),
        wasted=sum(total(day.gone) for day in days),
        left=total(days[-1].left),
        unmet=unmet if unmet > DUST else 0.0,
    )


def _uncut(scenario: Scenario, stock: StockRecord) -> Iterator[Uncut]:
    """Every lot's pieces that are left whole, and those that went out of date."""
    gone: Counter[tuple[int, str]] = Counter()
    for today in stock.pieces:
        for each in today:
            gone.update({(each.lot, name): number for name, number in each.gone.items()})
    for lot, last in zip(scenario.lots, stock.pieces[-1], strict=True):
        for name, weight in lot.weights().items():
            for count, wasted in ((last.left.get(name, 0), False), (gone[lot.index, name], True)):
                if count:
                    yield Uncut(lot.index, name, count, count * weight, wasted)


def _bought(scenario: Scenario, solution: Solution) -> tuple[Bought, ...]:
    return tuple(
        Bought(number, head, head * lot.weight, head * lot.weight * lot.cost)
        for number, head in solution.bought.items()
        for lot in [scenario.lots[number]]
        if head
    )


def _bench(scenario: Scenario, minutes: Sequence[float]) -> Iterator[BenchDay]:
    for day, used in enumerate(minutes):
        available = scenario.bench[day] if scenario.bench is not None else None
        over = max(0.0, used - available) if available is not None else 0.0
        yield BenchDay(day, used, available, over if over > DUST else 0.0)


def _short(scenario: Scenario, solution: Solution) -> tuple[Short, ...]:
    return tuple(
        Short(order.index, order.day, order.cut, order.buyer, order.amount, short)
        for order in scenario.orders
        for short in [order.amount - solution.filled[order.index]]
        if short > 0
    )


def _later(scenario: Scenario, solution: Solution) -> Iterator[Later]:
    """Orders after the period, by their day."""
    for each in sorted(scenario.held, key=lambda each: (each.order.day, each.order.index)):
        order = each.order
        held = solution.held.get(order.index, 0.0)
        why: Literal["", "blend", "keeps", "left"] = ""
        if order.amount - held > DUST:
            can = order.index in solution.held
            why = "left" if can else "blend" if order.cut in scenario.blends else "keeps"
        whole = tuple(_whole_for(scenario, solution, each)) if held else ()
        held = held if why else order.amount
        yield Later(order.index, order.day, order.cut, order.buyer, order.amount, held, whole, why)


def _whole_for(
    scenario: Scenario, solution: Solution, held: Held
) -> Iterator[tuple[str, str, int]]:
    """Pieces that are to be cut for an order after the period, and stay whole until then."""
    counts: dict[tuple[str, str], int] = defaultdict(int)
    for lot in scenario.lots:
        leads: set[str] = set()  # to its cut
        then = {key: n for key, n in solution.cut_after.items() if key[0] == lot.index}
        then = {key: n for key, n in then.items() if key[3] == held.cut_on}
        for name in reversed(lot.weights()):  # children first
            cut = {way: n for (_, piece, way, _), n in then.items() if piece == name}
            ways = [lot.recipe.pieces[name].ways[way] for way in cut]
            if any(
                given.name == held.order.cut or given.name in leads
                for way in ways
                for given in (*way.cuts, *way.pieces)
            ):
                leads.add(name)
            given = sum(
                n * piece.count
                for (_, parent, way, _), n in then.items()
                for piece in lot.recipe.pieces[parent].ways[way].pieces
                if piece.name == name
            )
            if name in leads and sum(cut.values()) > given:
                counts[lot.recipe.species, name] += sum(cut.values()) - given
    yield from ((*key, count) for key, count in counts.items())


def _carry(scenario: Scenario, cuts: Sequence[CutLine], uncut: Sequence[Uncut]) -> float:
    """What is in date on the day after the last, at a share of its full price."""
    value = sum(line.left * scenario.price(line.cut) for line in cuts)
    worth = {lot.index: scenario.full_values(lot) for lot in scenario.lots}
    value += sum(each.count * worth[each.lot][each.piece] for each in uncut if not each.wasted)
    return scenario.carry * value
