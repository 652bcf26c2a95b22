"""Where trim, fat and bones go day by day, what becomes of the blends, and what limits them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from planner.core.plan_lines import Batch, Break, CutLine
from planner.core.recipe import Blend
from planner.core.scenario import GrindRule
from planner.core.stock_replay import DUST, DayStock, total
from planner.solve.plan import Plan

PINCH = 1e-3
"""Pounds that nobody weighs: less than this is none, or all of it."""

CLOSE = 1e-4
"""Shares closer than this are the same."""

BindKind = Literal[
    "fat", "share", "used up", "batches", "bench", "overtime", "rule", "wanted", "full price"
]


class ShareLimit(NamedTuple):
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


def shares_of(batch: Batch, blend: Blend) -> tuple[ShareLimit, ...]:
    """The shares of the weight in that have limits."""
    weight = sum(batch.takes.values())
    return tuple(
        ShareLimit(
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


def binds_of(plan: Plan, batch: Batch) -> Iterator[Bind]:
    """What is at its limit for a blend on a day on which it is made."""
    blend, bench = plan.scenario.blends[batch.blend], plan.bench[batch.day]
    if batch.fat is not None:
        yield from _at_limit("fat", ShareLimit("", batch.fat, *blend.fat))
    for share in shares_of(batch, blend):
        yield from _at_limit("share", share)
    for name in blend.takes:
        line = plan.stock.cuts[batch.day][name]
        if total(line.had) + total(line.made) > PINCH >= _over(plan, name, batch.day):
            yield Bind("used up", name)
    served = slice(batch.day, min(plan.scenario.days, batch.day + blend.cut.keeps))
    unmet = sum(unmet_of(plan, batch.blend)[served])
    if blend.batch:  # less is wanted, or there is meat for less, or some was too much
        meat = sum(_over(plan, name, batch.day) for name in blend.takes) * blend.gain
        part = min(unmet, meat) if unmet > PINCH else _over(plan, batch.blend, served.stop - 1)
        if PINCH < part < blend.batch - PINCH:
            yield Bind("batches")
    if blend.minutes and bench.available is not None:
        if bench.minutes >= bench.available + plan.scenario.most_overtime(batch.day) - PINCH:
            yield Bind("bench")
        elif bench.minutes >= bench.available - PINCH:
            yield Bind("overtime")
    yield from _rules(plan, batch, blend)
    if sum(wanted_of(plan, batch.blend)[served]) > PINCH >= unmet:
        marked = any(plan.scenario.demand_for(batch.blend).markdown_want[served])
        yield Bind("full price" if marked else "wanted")


def _over(plan: Plan, cut: str, day: int) -> float:
    """Pounds of a cut that are there, or out of date, at the end of a day."""
    line = plan.stock.cuts[day][cut]
    return total(line.left) + total(line.gone)


def _at_limit(kind: Literal["fat", "share"], share: ShareLimit) -> Iterator[Bind]:
    least = share.least > 0 and share.reached <= share.least + CLOSE
    most = share.most < 1 and share.reached >= share.most - CLOSE
    if least or most:
        yield Bind(kind, share.name, "both" if least and most else "least" if least else "most")


def _rules(plan: Plan, batch: Batch, blend: Blend) -> Iterator[Bind]:
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
            binds = kept_out and _over(plan, rule.cut, batch.day) > PINCH
        if binds:
            yield Bind("rule", str(rule))


class TrimSource(NamedTuple):
    """A way that gave some of a cut on a day: number of pieces cut so, and pounds of the cut."""

    species: str
    piece: str
    way: str
    number: int
    pounds: float


@dataclass(frozen=True, slots=True)
class Flow:
    """A cut on a day, in pounds: had + made = used + sold + wasted + left.

    Attributes
    ----------
    had : float
        There in the morning.
    sources : tuple of TrimSource
        What `made` is the sum of.
    used : mapping of str to float
        What went into each blend.
    wasted, left : float
        Out of date at the end of the day, and what lies over.
    """

    day: int
    cut: str
    species: str
    had: float
    made: float
    sources: tuple[TrimSource, ...]
    used: Mapping[str, float]
    sold: float
    wasted: float
    left: float


@dataclass(frozen=True, slots=True)
class TrimWeek:
    """A cut over the period, and its lean share, None where nobody knows it."""

    line: CutLine
    lean: float | None


@dataclass(frozen=True, slots=True)
class BlendDay:
    """A blend made on a day, and what is at its limit."""

    batch: Batch
    blend: Blend
    binds: tuple[Bind, ...]

    @property
    def shares(self) -> tuple[ShareLimit, ...]:
        """The shares of the weight in that have limits."""
        return shares_of(self.batch, self.blend)


@dataclass(frozen=True, slots=True)
class BlendWeek:
    """A blend over the period, in pounds.

    `wanted` is what is asked for at full price and ordered, `unmet_by_day` what of that was not to
    be had: pairs of day and pounds.
    """

    line: CutLine
    wanted: float
    unmet_by_day: tuple[tuple[int, float], ...]

    @property
    def unmet(self) -> float:
        """What was not to be had, in all."""
        return sum(pounds for _, pounds in self.unmet_by_day)


def flows(plan: Plan) -> tuple[Flow, ...]:
    """Every trim, fat and bone that a way gives, on every day on which there is any of it.

    They come by species, then by cut, then by day. What blends make and what is sold by each is
    not among them.
    """
    found = [flow_of(plan, today[name]) for name in _followed(plan) for today in plan.stock.cuts]
    return tuple(
        each
        for each in found
        if max(each.had, each.made, each.sold, each.wasted, each.left, *each.used.values()) > DUST
    )


def trim_weeks(plan: Plan) -> tuple[TrimWeek, ...]:
    """The same over the whole period: every one of which there was any."""
    lines, cuts = {line.cut: line for line in plan.cuts}, plan.scenario.cuts
    weeks = []
    for name in _followed(plan):
        if lines[name].on_hand + lines[name].made > DUST:
            lean, fat = cuts[name].lean, cuts[name].fat
            lean = 1.0 - fat if lean is None and fat is not None else lean
            weeks.append(TrimWeek(lines[name], lean))
    return tuple(weeks)


def blend_days(plan: Plan) -> tuple[BlendDay, ...]:
    """Every blend on every day on which it is made: by blend, then by day."""
    blends, order = plan.scenario.blends, list(plan.scenario.blends)
    batches = sorted(plan.batches, key=lambda each: (order.index(each.blend), each.day))
    return tuple(
        BlendDay(each, blends[each.blend], tuple(binds_of(plan, each))) for each in batches
    )


def blend_weeks(plan: Plan) -> tuple[BlendWeek, ...]:
    """Every blend that is wanted, made, or in the case."""
    lines = {line.cut: line for line in plan.cuts}
    weeks = []
    for name in plan.scenario.blends:
        unmet = tuple((day, pounds) for day, pounds in enumerate(unmet_of(plan, name)) if pounds)
        week = BlendWeek(lines[name], sum(wanted_of(plan, name)), unmet)
        if week.wanted + week.line.on_hand + week.line.made > DUST:
            weeks.append(week)
    return tuple(weeks)


def _followed(plan: Plan) -> list[str]:
    """Names of the cuts that are followed, by species."""
    cuts, blends = plan.scenario.cuts, plan.scenario.blends
    return [name for name, cut in cuts.items() if cut.in_tray and name not in blends]


def flow_of(plan: Plan, line: DayStock) -> Flow:
    """What comes and goes of a cut on a day, alike pieces of several lots together."""
    found: dict[tuple[str, str, str], tuple[int, float]] = defaultdict(lambda: (0, 0.0))
    for part in line.made:
        if isinstance(each := part.origin, Break):
            key = each.species, each.piece, each.way
            count, pounds = found[key]
            found[key] = count + each.count, pounds + part.amount
    return Flow(
        day=line.day,
        cut=line.cut,
        species=plan.scenario.cuts[line.cut].species,
        had=total(line.had),
        made=total(line.made),
        sources=tuple(TrimSource(*key, *given) for key, given in found.items()),
        used=line.ground,
        sold=line.sold,
        wasted=total(line.gone),
        left=total(line.left),
    )
