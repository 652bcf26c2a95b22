"""Expected wants as data for machines."""

from __future__ import annotations

from math import isnan
from typing import Any

from planner.core.quantities import WEEKDAYS
from planner.core.scenario import Scenario
from planner.core.units import figure
from planner.learn.backtest import Score, overall
from planner.shop.learned.sales import CutWants, Demanded

FORMAT = "breakplan-demand/1"


def demand_data(answer: Demanded, cut: str | None = None) -> dict[str, Any]:
    """Amounts are in the unit, or each; shares are fractions of 1; nothing known is null."""
    week = answer.week
    scores = answer.scores or {}
    wants = [each for each in answer.wants if cut in (None, each.cut)]
    data: dict[str, Any] = {
        "format": FORMAT,
        "title": week.title,
        "unit": week.unit,
        "starts": week.starts.isoformat(),
        "first": answer.sales.first.isoformat(),
        "cuts": [_cut_data(week, each, scores.get(each.cut)) for each in wants],
        "unsold": [each for each in answer.unsold if cut in (None, each)],
        "odd": [*answer.sales.warnings],
    }
    if answer.scores is not None:
        ratio = overall([scores[each.cut] for each in wants])
        data["ratio"] = None if isnan(ratio) else figure(ratio)
    return data


def _cut_data(week: Scenario, each: CutWants, score: Score | None) -> dict[str, Any]:
    cut = each.cut

    def amount(value: float) -> float | None:
        return None if isnan(value) else week.units.number(week.quantity(cut, value))

    data: dict[str, Any] = {
        "cut": cut,
        "species": week.cuts[cut].species,
        "sold by": "each" if week.cuts[cut].by_each else week.unit,
        "used": each.used if each.file is not None else None,
        "days": [
            {
                "day": WEEKDAYS[day],
                "want": amount(each.want[day]),
                "spread": amount(each.learned.spread[day]),
                "file": None if each.file is None else amount(each.file[day]),
                "used": each.used_on(day) if each.file is not None else None,
                "learned": figure(each.learned.trust[day]),
                "known": each.days[day],
                "sold out": each.sold_out[day],
            }
            for day in range(week.days)
        ],
    }
    if score is not None:
        data["backtest"] = {
            "days": score.days,
            "sold out": score.sold_out,
            "error": amount(score.error),
            "last week": amount(score.last_week_error),
            "within": None if isnan(score.within) else figure(score.within),
        }
    return data
