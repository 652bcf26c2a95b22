"""What is kept of a plan that is told: taken from the plan, in the names of the journal."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from planner.ask.jobs import Job, jobs_of
from planner.core.plan_lines import Batch
from planner.core.recipe import full_name
from planner.core.scenario import Scenario
from planner.core.stock_replay import total
from planner.journal.entries import Weighed
from planner.shop.plans.facts import DIGITS, cut_name, digest, facts_of
from planner.shop.plans.posted import (
    FORMAT,
    KeptArrival,
    KeptBatch,
    KeptBreak,
    KeptMorning,
    KeptPieces,
    KeptPlan,
    KeptShort,
)
from planner.solve.plan import Plan


def kept_of(
    plan: Plan, week: Scenario | None = None, best: float | None = None, *, sheet: bool = False
) -> KeptPlan:
    """What is kept of a plan; `sheet`: it is only shown as a day's sheet.

    `week` is the calendar week as the shop has it, before anything was sold or done in it: what it
    says is kept, else what the plan's scenario says. `best` is the best score that was found, where
    the plan is held to a list that earns less.
    """
    scenario = plan.scenario
    days = range(scenario.days)
    return KeptPlan(
        format=FORMAT,
        first=scenario.starts,
        until=scenario.date(scenario.days - 1),
        score=plan.score,
        bound=plan.bound,
        best=best,
        facts=digest(scenario),
        breaks=tuple(_break(scenario, day, job) for day in days for job in jobs_of(plan, day)),
        batches=tuple(_batch(scenario, each) for each in plan.batches),
        mornings=tuple(_morning(plan, day) for day in days),
        arrivals=tuple(_arrivals(plan)),
        week=facts_of(week or scenario),
        short=shorts_of(plan),
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


def _round(number: float) -> float:
    return round(number, DIGITS) + 0.0


def _break(scenario: Scenario, day: int, job: Job) -> KeptBreak:
    gives = tuple(
        Weighed(full_name(job.species, each.name), each.count, _round(each.pounds))
        for each in (*job.gives, *job.trays)
    )
    piece = full_name(job.species, job.piece)
    return KeptBreak(scenario.date(day), piece, job.way, job.count, _round(job.pounds), gives)


def _batch(scenario: Scenario, each: Batch) -> KeptBatch:
    takes = tuple(
        Weighed(cut_name(scenario, cut), None, _round(pounds)) for cut, pounds in each.takes.items()
    )
    blend = cut_name(scenario, each.blend)
    return KeptBatch(scenario.date(each.day), blend, _round(each.made), takes)


def _arrivals(plan: Plan) -> Iterator[KeptArrival]:
    for lot in plan.scenario.lots:
        head = plan.head(lot)
        if head and (lot.arrives > 0 or lot.up_to):
            what = full_name(lot.recipe.species, lot.piece)
            day = plan.scenario.date(lot.arrives)
            yield KeptArrival(day, what, head, _round(head * lot.weight), lot.up_to)


def _morning(plan: Plan, day: int) -> KeptMorning:
    """What lies there when a day opens; of what arrives, what does on the first day."""
    scenario = plan.scenario
    cuts = {
        cut_name(scenario, name): _round(total(each.had))
        for name, each in plan.stock.cuts[day].items()
        if each.had
    }
    there: dict[str, KeptPieces] = {}
    for each in plan.stock.pieces[day]:
        lot = scenario.lots[each.lot]
        weights = lot.weights()
        for piece, had in each.had.items():
            count = had - (each.came if day and piece == lot.piece else 0)
            if count:
                name = full_name(lot.recipe.species, piece)
                alike = there.get(name, KeptPieces(0, 0.0))
                pounds = _round(alike.pounds + count * weights[piece])
                there[name] = KeptPieces(alike.count + count, pounds)
    return KeptMorning(scenario.date(day), cuts, there)
