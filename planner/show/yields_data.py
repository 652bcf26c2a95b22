"""What each way gives in this shop, and what is told of it; for machines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from planner.ask.yields import Worths
from planner.core.scenario import Scenario
from planner.core.units import figure
from planner.learn.shares import Share
from planner.learn.significance import LEVEL
from planner.shop.learned.weighed import TakenBack
from planner.shop.learned.write_yields import Written
from planner.shop.learned.yield_report import WayYield
from planner.show.data import FORMAT, one, rows, shape


@dataclass(frozen=True)
class YieldsAnswer:
    """What is told of a shop's yields: every way of its recipes.

    `shop` is its usual week; `pieces` are the species and pieces that were asked about, none for
    all; `worths` is None where there is no plan, and `why_not` then says why; `taken_back` is what
    was undone of what the recipes' figures have in them.
    """

    shop: Scenario
    day: date
    ways: tuple[WayYield, ...]
    pieces: frozenset[tuple[str, str]]
    worths: Worths | None
    why_not: str
    taken_back: tuple[TakenBack, ...] = ()

    @property
    def told(self) -> list[WayYield]:
        """The ways that are told: those that were asked about, or those with weigh-ins."""
        if self.pieces:
            return [each for each in self.ways if (each.species, each.piece) in self.pieces]
        return [each for each in self.ways if each.tests or each.left_out]

    @property
    def several(self) -> bool:
        """Whether there are several species."""
        return len({each.species for each in self.ways}) > 1


def yields_data(answer: YieldsAnswer) -> dict[str, Any]:
    """All of it; shares are fractions of the piece, of one where there are several."""
    worths = answer.worths
    told = {
        "format": FORMAT,
        "title": answer.shop.title,
        "money": answer.shop.money,
        "day": answer.day.isoformat(),
        "false discovery rate": LEVEL,
        "ways": [_way_data(each) for each in (answer.told if answer.pieces else answer.ways)],
        "undone": rows(_UNDONE, answer.taken_back),
        "points": None
        if worths is None
        else [
            {**one(_POINT, each), **(one(_WORTH, each) if each.difference else {"worth": None})}
            for each in worths.points
        ],
        "no points, for": answer.why_not or None,
    }
    if worths is not None:
        scenario = worths.plan.scenario
        told["from"] = scenario.starts.isoformat()
        told["to"] = scenario.date(scenario.days - 1).isoformat()
    return told


_UNDONE = shape("species, piece, way, writings, weigh-ins = weigh_ins")
_POINT = shape("species, piece, way, main cut = cut, count, with these breaks = held: number")
_WORTH = shape("worth = difference.least & difference.most: number")
_WAY = shape(
    "species, piece, way = way.name, weigh-ins = tests, counted in = counted, left out, by hand"
)
_WRITTEN = shape(
    "file, changed = ways: way, counted in = entries: entry",
    way=shape("piece = 0, way = 1"),
    entry=shape("piece, way, weight: number"),
)


def _way_data(each: WayYield) -> dict[str, Any]:
    return {
        **one(_WAY, each),
        "shares": {
            name: _share_data(share, each.record[name], each.count(name))
            for name, share in each.shares.items()
        },
        "beyond chance": {
            name: _number(
                (each.shares[name].mean or 0.0) - each.shares[name].recipe, each.count(name)
            )
            for name in each.beyond
        },
        "drifts": {
            name: {
                "since": drift.since.isoformat(),
                "in 30 days": _number(drift.a_month, each.count(name)),
            }
            for name, drift in each.drifts.items()
        },
    }


def _share_data(share: Share, record: Share, count: int) -> dict[str, Any]:
    low, high = share.interval()
    return {
        "count": count,
        "weighed": record.tests,
        "mean": _number(record.mean, count),
        "spread": _number(record.spread, count),
        "recipe": _number(share.recipe, count),
        "estimate": _number(share.estimate, count),
        "interval": [_number(low, count), _number(high, count)],
    }


def _number(value: float | None, count: int) -> float | None:
    return None if value is None else figure(value / count)


def written_data(written: Sequence[Written]) -> dict[str, Any]:
    """Which files were written."""
    return {"format": FORMAT, "written": rows(_WRITTEN, written)}
