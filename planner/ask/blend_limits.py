"""What is at its limit for a blend on a day: what keeps it from being richer, or more of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal, NamedTuple

from planner.core.plan_lines import Batch
from planner.core.recipe import Blend
from planner.core.scenario import GrindRule
from planner.core.stock_replay import DUST
from planner.solve.plan import Plan

PINCH = 1e-3
"""Pounds that nobody weighs: less than this is none, or all of it."""

CLOSE = 1e-4
"""Shares closer than this are the same."""

BindKind = Literal[
    "fat", "share", "used up", "batches", "bench", "overtime", "rule", "wanted", "full price"
]


class Share(NamedTuple):
    """A limit on a share of what goes into a blend, and the share reached."""

    name: str
    reached: float
    least: float
    most: float


class Bind(NamedTuple):
    """What is at its limit.

    Attributes
    ----------
    kind : str
        `fat`, `share`: of the weight in. `used up`: of a cut that may go in nothing is left at the
        end of the day. `batches`: but for whole batches more, or less, would be made. `bench`: no
        minute is left. `overtime`: more minutes are paid for. `rule`: a rule on what goes in.
        `wanted`: all that is wanted while the blend keeps is there; `full price`: all that is
        wanted at full price, and more is wanted at the markdown.
    name : str
        Of the limit on a share, of the cut, or the rule; else empty.
    end : str
        `least`, `most` or `both` of a share; else empty.
    """

    kind: BindKind
    name: str = ""
    end: Literal["", "least", "most", "both"] = ""


class Evening(NamedTuple):
    """A cut on a day: all that was there, and what of it is there, or out of date, at the end."""

    there: float
    over: float


Evenings = Mapping[str, Sequence[Evening]]
"""By cut, then by day."""


def shares_of(batch: Batch, blend: Blend) -> tuple[Share, ...]:
    """The shares of the weight in that have limits."""
    weight = sum(batch.takes.values())
    return tuple(
        Share(
            each.name,
            sum(batch.takes.get(name, 0.0) for name in each.takes) / weight,
            each.least,
            each.most,
        )
        for each in blend.limits
    )


def wanted_of(plan: Plan, cut: str) -> list[float]:
    """What is wanted of a cut at full price, and ordered, by day."""
    amounts = list(plan.scenario.demand_for(cut).want)
    for order in plan.scenario.orders:
        if order.cut == cut:
            amounts[order.day] += order.amount
    return amounts


def unmet_of(plan: Plan, cut: str) -> list[float]:
    """What of it was not to be had, by day."""
    amounts = wanted_of(plan, cut)
    for sale in plan.sales:
        if sale.cut == cut and sale.to != "markdown":
            amounts[sale.day] -= sale.amount
    return [amount if amount > DUST else 0.0 for amount in amounts]


def binds_of(plan: Plan, batch: Batch, evenings: Evenings) -> tuple[Bind, ...]:
    """What is at its limit for a blend on a day on which it is made.

    Parameters
    ----------
    plan : Plan
    batch : Batch
    evenings : mapping of str to sequence of Evening
        Of the blend, and of all that it may take.
    """
    blend = plan.scenario.blends[batch.blend]
    return (
        *_shares(batch, blend),
        *_used_up(batch, blend, evenings),
        *_batches(plan, batch, blend, evenings),
        *_bench(plan, batch, blend),
        *_rules(plan, batch, blend, evenings),
        *_all_wanted(plan, batch, blend),
    )


def _shares(batch: Batch, blend: Blend) -> Iterator[Bind]:
    if batch.fat is not None:
        yield from _at_limit("fat", Share("", batch.fat, *blend.fat))
    for share in shares_of(batch, blend):
        yield from _at_limit("share", share)


def _at_limit(kind: BindKind, share: Share) -> Iterator[Bind]:
    least = share.least > 0 and share.reached <= share.least + CLOSE
    most = share.most < 1 and share.reached >= share.most - CLOSE
    if least or most:
        yield Bind(kind, share.name, "both" if least and most else "least" if least else "most")


def _used_up(batch: Batch, blend: Blend, evenings: Evenings) -> Iterator[Bind]:
    for name in blend.takes:
        evening = evenings[name][batch.day]
        if evening.there > PINCH >= evening.over:
            yield Bind("used up", name)


def _served(plan: Plan, batch: Batch, blend: Blend) -> slice:
    """Days on which what is made on a day can be sold."""
    return slice(batch.day, min(plan.scenario.days, batch.day + blend.cut.keeps))


def _batches(plan: Plan, batch: Batch, blend: Blend, evenings: Evenings) -> Iterator[Bind]:
    """Less than a batch is wanted, or there is meat for less than one, or some was too much."""
    if not blend.batch:
        return
    served = _served(plan, batch, blend)
    short = sum(unmet_of(plan, batch.blend)[served])
    meat = sum(evenings[name][batch.day].over for name in blend.takes) * blend.gain
    part = min(short, meat) if short > PINCH else evenings[batch.blend][served.stop - 1].over
    if PINCH < part < blend.batch - PINCH:
        yield Bind("batches")


def _bench(plan: Plan, batch: Batch, blend: Blend) -> Iterator[Bind]:
    bench = plan.bench[batch.day]
    if blend.minutes == 0 or bench.available is None:
        return
    if bench.minutes >= bench.available + plan.scenario.most_overtime(batch.day) - PINCH:
        yield Bind("bench")
    elif bench.minutes >= bench.available - PINCH:
        yield Bind("overtime")


def _rules(plan: Plan, batch: Batch, blend: Blend, evenings: Evenings) -> Iterator[Bind]:
    """Amounts that are just kept, and cuts kept out of which some is over."""
    for rule in plan.scenario.rules:
        if not isinstance(rule, GrindRule) or rule.cut not in blend.takes:
            continue
        here = rule.blend == batch.blend
        if rule.verb in ("at least", "at most"):
            alike = [each for each in plan.batches if each.blend == batch.blend]
            pounds = sum(each.takes.get(rule.cut, 0.0) for each in alike)
            binds = here and abs(pounds - rule.pounds) <= PINCH
        else:
            kept_out = here if rule.verb == "never" else not here
            binds = kept_out and evenings[rule.cut][batch.day].over > PINCH
        if binds:
            yield Bind("rule", str(rule))


def _all_wanted(plan: Plan, batch: Batch, blend: Blend) -> Iterator[Bind]:
    served = _served(plan, batch, blend)
    if (
        sum(wanted_of(plan, batch.blend)[served])
        > PINCH
        >= sum(unmet_of(plan, batch.blend)[served])
    ):
        marked = any(plan.scenario.demand_for(batch.blend).markdown_want[served])
        yield Bind("full price" if marked else "wanted")
