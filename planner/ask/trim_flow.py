"""Where trim, fat and bones come from and go to, day by day, and what becomes of the blends."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from planner.ask.blend_limits import (
    Bind,
    Evening,
    Evenings,
    Share,
    binds_of,
    shares_of,
    unmet_of,
    wanted_of,
)
from planner.core.plan_lines import Batch, Break, CutLine
from planner.core.stock_replay import DUST, DayStock, total
from planner.solve.plan import Plan


class Source(NamedTuple):
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
    sources : tuple of Source
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
    sources: tuple[Source, ...]
    used: Mapping[str, float]
    sold: float
    wasted: float
    left: float


@dataclass(frozen=True, slots=True)
class TrimWeek:
    """A cut over the period, in pounds: on hand + made = used + sold + wasted + left.

    `lean` is its lean share, None where nobody knows it.
    """

    cut: str
    species: str
    lean: float | None
    on_hand: float
    made: float
    used: float
    sold: float
    wasted: float
    left: float

    @property
    def surplus(self) -> float:
        """What nothing took before it was out of date."""
        return self.wasted


@dataclass(frozen=True, slots=True)
class BlendDay:
    """A blend made on a day: pounds, what went in, and what is at its limit.

    `fat` is None where it is not known, `batches` where any amount may be made. `fat_limits` and
    `shares` are of the weight in.
    """

    day: int
    blend: str
    made: float
    batches: int | None
    fat: float | None
    fat_limits: tuple[float, float]
    shares: tuple[Share, ...]
    takes: Mapping[str, float]
    binds: tuple[Bind, ...]


@dataclass(frozen=True, slots=True)
class BlendWeek:
    """A blend over the period, in pounds: on hand + made = sold + wasted + left.

    `wanted` is what is asked for at full price and ordered; `unmet` what of that was not to be
    had, and `unmet_by_day` the same by day: pairs of day and pounds. `sold` counts markdowns too.
    """

    blend: str
    species: str
    wanted: float
    on_hand: float
    made: float
    sold: float
    unmet: float
    unmet_by_day: tuple[tuple[int, float], ...]
    wasted: float
    left: float


def flows(plan: Plan) -> tuple[Flow, ...]:
    """Every trim, fat and bone that a way gives, on every day on which there is any of it.

    They come by species, then by cut, then by day. What blends make and what is sold by each is
    not among them.
    """
    found = [_flow(plan, today[name]) for name in _followed(plan) for today in plan.stock.cuts]
    return tuple(
        each
        for each in found
        if max(each.had, each.made, each.sold, each.wasted, each.left, *each.used.values()) > DUST
    )


def trim_weeks(plan: Plan) -> tuple[TrimWeek, ...]:
    """The same over the whole period: every one of which there was any."""
    lines = {line.cut: line for line in plan.cuts}
    return tuple(
        _week(plan, lines[name])
        for name in _followed(plan)
        if lines[name].on_hand + lines[name].made > DUST
    )


def blend_days(plan: Plan) -> tuple[BlendDay, ...]:
    """Every blend on every day on which it is made: by blend, then by day."""
    blends, order = plan.scenario.blends, list(plan.scenario.blends)
    batches = sorted(plan.batches, key=lambda each: (order.index(each.blend), each.day))
    made = {each.blend for each in batches}
    evenings = {
        name: [
            Evening(total(day.had) + total(day.made), total(day.left) + total(day.gone))
            for day in (today[name] for today in plan.stock.cuts)
        ]
        for name in made.union(*(blends[each].takes for each in made))
    }
    return tuple(_blend_day(plan, batch, evenings) for batch in batches)


def blend_weeks(plan: Plan) -> tuple[BlendWeek, ...]:
    """Every blend that is wanted, made, or in the case."""
    lines = {line.cut: line for line in plan.cuts}
    weeks = [_blend_week(plan, lines[name]) for name in plan.scenario.blends]
    return tuple(each for each in weeks if each.wanted + each.on_hand + each.made > DUST)


def _followed(plan: Plan) -> list[str]:
    """Names of the cuts that are followed, by species."""
    cuts, blends = plan.scenario.cuts, plan.scenario.blends
    return [name for name, cut in cuts.items() if cut.in_tray and name not in blends]


def _flow(plan: Plan, line: DayStock) -> Flow:
    return Flow(
        day=line.day,
        cut=line.cut,
        species=plan.scenario.cuts[line.cut].species,
        had=total(line.had),
        made=total(line.made),
        sources=_sources(line),
        used=line.ground,
        sold=line.sold,
        wasted=total(line.gone),
        left=total(line.left),
    )


def _sources(line: DayStock) -> tuple[Source, ...]:
    """What gives a cut on a day, alike pieces of several lots together."""
    found: dict[tuple[str, str, str], tuple[int, float]] = defaultdict(lambda: (0, 0.0))
    for part in line.made:
        if isinstance(each := part.origin, Break):
            key = each.species, each.piece, each.way
            count, pounds = found[key]
            found[key] = count + each.count, pounds + part.amount
    return tuple(Source(*key, count, pounds) for key, (count, pounds) in found.items())


def _week(plan: Plan, line: CutLine) -> TrimWeek:
    cut = plan.scenario.cuts[line.cut]
    lean = cut.lean if cut.lean is not None or cut.fat is None else 1.0 - cut.fat
    return TrimWeek(
        cut=line.cut,
        species=line.species,
        lean=lean,
        on_hand=line.on_hand,
        made=line.made,
        used=line.blended,
        sold=line.sold,
        wasted=line.wasted,
        left=line.left,
    )


def _blend_day(plan: Plan, batch: Batch, evenings: Evenings) -> BlendDay:
    blend = plan.scenario.blends[batch.blend]
    return BlendDay(
        day=batch.day,
        blend=batch.blend,
        made=batch.made,
        batches=batch.batches,
        fat=batch.fat,
        fat_limits=blend.fat,
        shares=shares_of(batch, blend),
        takes=batch.takes,
        binds=binds_of(plan, batch, evenings),
    )


def _blend_week(plan: Plan, line: CutLine) -> BlendWeek:
    unmet = unmet_of(plan, line.cut)
    return BlendWeek(
        blend=line.cut,
        species=line.species,
        wanted=sum(wanted_of(plan, line.cut)),
        on_hand=line.on_hand,
        made=line.made,
        sold=line.sold,
        unmet=sum(unmet),
        unmet_by_day=tuple((day, pounds) for day, pounds in enumerate(unmet) if pounds > 0),
        wasted=line.wasted,
        left=line.left,
    )
