"""What is kept of a plan that is told: taken from the plan, in the names of the journal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from hashlib import sha256

from planner.ledger import PieceStock, total
from planner.lines import Break, way_cut
from planner.plan import Plan
from planner.recipe import full_name
from planner.scenario import Scenario
from planner.shop.plans.kept import (
    KeptArrival,
    KeptBatch,
    KeptBreak,
    KeptGiven,
    KeptMorning,
    KeptPieces,
    KeptPlan,
    KeptShort,
)
from planner.shop.plans.settings import cut_name, settings_of

DIGITS = 6
"""Decimals that are kept: a millionth of a pound is nothing, and the text stays short."""


def kept_of(
    plan: Plan,
    jobs: Iterable[Sequence[Break]],
    week: Scenario | None = None,
    best: float | None = None,
    *,
    sheet: bool = False,
) -> KeptPlan:
    """What is kept of a plan.

    Parameters
    ----------
    plan : Plan
    jobs : iterable of sequence of Break
        All its breaks in the order of the work: alike ones of several lots together.
    week : Scenario, optional
        The calendar week as the shop has it, before anything was sold or done in it: its wants,
        bench and rules are kept. Else those of the plan's scenario.
    best : float, optional
        The best score that was found, where the plan is held to a list that earns less.
    sheet : bool
        Whether it is only shown as a day's sheet.
    """
    scenario = plan.scenario
    week = week or scenario
    skipped = (scenario.starts - week.starts).days
    days = slice(skipped, skipped + scenario.days)
    return KeptPlan(
        format="breakplan-kept/1",
        first=scenario.starts,
        until=scenario.date(scenario.days - 1),
        score=plan.score,
        bound=plan.bound,
        best=best,
        facts=digest(scenario),
        breaks=tuple(_break(scenario, breaks) for breaks in jobs),
        batches=tuple(_batches(plan)),
        mornings=tuple(_mornings(plan)),
        arrivals=tuple(_arrivals(plan)),
        wants={
            cut_name(week, cut): tuple(_round(amount) for amount in demand.want[days])
            for cut, demand in week.demand.items()
        },
        prices={
            cut_name(week, cut): _round(demand.price or 0.0) for cut, demand in week.demand.items()
        },
        bench=None if week.bench is None else tuple(_round(each) for each in week.bench[days]),
        rules=tuple(str(rule) for rule in week.rules),
        yields=shares_of(scenario),
        short=shorts_of(plan),
        settings=settings_of(week),
        shop=digest(week),
        sheet=sheet,
    )


def shows_the_same(one: KeptPlan, other: KeptPlan, first: date) -> bool:
    """Whether the sheets of two plans are the same from a day on."""
    return all(
        [each for each in getattr(one, part) if each.day >= first]
        == [each for each in getattr(other, part) if each.day >= first]
        for part in ("breaks", "batches", "mornings")
    )


def shorts_of(plan: Plan) -> tuple[KeptShort, ...]:
    """What orders lack in a plan."""
    scenario = plan.scenario
    return tuple(
        KeptShort(
            scenario.date(each.day), cut_name(scenario, each.cut), each.buyer, _round(each.short)
        )
        for each in plan.short
    )


def digest(scenario: Scenario) -> str:
    """A short text that differs where two scenarios do, whatever it is in."""
    return sha256(repr(scenario).encode()).hexdigest()[:32]


def shares_of(scenario: Scenario) -> dict[str, dict[str, dict[str, float]]]:
    """For every piece and way the share of the piece that each thing it gives is, of one of it."""
    shares: dict[str, dict[str, dict[str, float]]] = {}
    for recipe in scenario.recipes:
        for piece, way in recipe.ways():
            name = full_name(recipe.species, piece.name)
            shares.setdefault(name, {})[way.name] = {
                full_name(recipe.species, given.name): _round(given.share)
                for given in (*way.pieces, *way.cuts)
            }
    return shares


def _round(number: float) -> float:
    return round(number, DIGITS) + 0.0


def _break(scenario: Scenario, breaks: Sequence[Break]) -> KeptBreak:
    one, count = breaks[0], sum(each.count for each in breaks)
    pounds = sum(each.weight for each in breaks)
    way = way_cut(scenario, one)
    gives = [
        KeptGiven(
            full_name(one.species, given.name),
            count * given.count,
            _round(given.count * given.share * pounds),
        )
        for given in way.pieces
    ]
    for in_tray in (False, True):
        for given in way.cuts:
            cut = scenario.cuts[given.name]
            if cut.in_tray == in_tray:
                number = count * given.count if cut.by_each else None
                weight = _round(given.count * given.share * pounds)
                gives.append(KeptGiven(cut_name(scenario, given.name), number, weight))
    piece = full_name(one.species, one.piece)
    day = scenario.date(one.day)
    return KeptBreak(day, piece, one.way, count, _round(pounds), tuple(gives))


def _batches(plan: Plan) -> Iterator[KeptBatch]:
    scenario = plan.scenario
    for each in plan.batches:
        takes = tuple(
            KeptGiven(cut_name(scenario, cut), None, _round(pounds))
            for cut, pounds in each.takes.items()
        )
        blend = cut_name(scenario, each.blend)
        yield KeptBatch(scenario.date(each.day), blend, _round(each.made), takes)


def _arrivals(plan: Plan) -> Iterator[KeptArrival]:
    for lot in plan.scenario.lots:
        head = plan.head(lot)
        if head and (lot.arrives > 0 or lot.up_to):
            what = full_name(lot.recipe.species, lot.piece)
            day = plan.scenario.date(lot.arrives)
            yield KeptArrival(day, what, head, _round(head * lot.weight), lot.up_to)


def _mornings(plan: Plan) -> Iterator[KeptMorning]:
    """What lies there when each day opens; of what arrives, what does on the first day."""
    scenario = plan.scenario
    for day, (cuts, pieces) in enumerate(zip(plan.stock.cuts, plan.stock.pieces, strict=True)):
        had = {name: total(stock.had) for name, stock in cuts.items() if stock.had}
        yield KeptMorning(
            scenario.date(day),
            {cut_name(scenario, name): _round(amount) for name, amount in had.items()},
            _added(_there(plan, pieces, first=day == 0)),
        )


def _there(
    plan: Plan, pieces: Sequence[PieceStock], *, first: bool
) -> Iterator[tuple[str, str, int, float]]:
    """Species, piece, how many and their pounds, for each lot and each of its pieces."""
    for lot, stock in zip(plan.scenario.lots, pieces, strict=True):
        weights = lot.weights()
        for name, had in stock.had.items():
            count = had - (stock.came if name == lot.piece and not first else 0)
            yield lot.recipe.species, name, count, count * weights[name]


def _added(rows: Iterable[tuple[str, str, int, float]]) -> dict[str, KeptPieces]:
    """Pieces of several lots (species, name, how many, pounds) as one."""
    found: dict[str, KeptPieces] = {}
    for species, name, count, pounds in rows:
        if count:
            full = full_name(species, name)
            had = found.get(full, KeptPieces(0, 0.0))
            found[full] = KeptPieces(had.count + count, _round(had.pounds + pounds))
    return found
