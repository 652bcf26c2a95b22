"""Trim, fat, bones and blends in balance, as the maps and lists of their JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.ask.mend import Mend, Remedy
from planner.ask.trim import TrimAnswer
from planner.ask.trimflow import BlendDay, BlendWeek, Flow, TrimWeek
from planner.scenario import Scenario
from planner.show.amounts import Figures
from planner.show.json import FORMAT


def trim_data(answer: TrimAnswer) -> dict[str, Any]:
    """The balance; weights in the scenario's unit, what nobody knows is null.

    `changes` of a remedy are options of `whatif` with their texts; `costs` is negative where it
    earns.
    """
    plan = answer.plan
    scenario, figures = plan.scenario, Figures(plan.scenario)
    return {
        "format": FORMAT,
        "title": scenario.title,
        "unit": scenario.unit,
        "money": scenario.money,
        "days": list(scenario.day_labels),
        "score": figures.number(plan.score),
        "within": figures.number(plan.within),
        "status": answer.plan.status,
        "settled": answer.settled,
        "week": [_week_data(figures, each) for each in answer.weeks],
        "by day": [_flow_data(scenario, each) for each in answer.flows],
        "blends": [_blend_week_data(scenario, each) for each in answer.blend_weeks],
        "blends by day": [_blend_day_data(scenario, each) for each in answer.blend_days],
        "mends": [_mend_data(scenario, each) for each in answer.mends],
    }


def _optional(value: float | None) -> float | None:
    return None if value is None else Figures.number(value)


def _week_data(figures: Figures, each: TrimWeek) -> dict[str, Any]:
    return {
        "cut": each.cut,
        "species": each.species,
        "lean": _optional(each.lean),
        "on hand": figures.weight(each.on_hand),
        "made": figures.weight(each.made),
        "blended": figures.weight(each.used),
        "sold": figures.weight(each.sold),
        "wasted": figures.weight(each.wasted),
        "left": figures.weight(each.left),
    }


def _flow_data(scenario: Scenario, each: Flow) -> dict[str, Any]:
    weight = Figures(scenario).weight
    return {
        "day": scenario.day_labels[each.day],
        "cut": each.cut,
        "species": each.species,
        "on hand": weight(each.had),
        "made": weight(each.made),
        "from": [
            {
                "species": source.species,
                "piece": source.piece,
                "way": source.way,
                "count": source.number,
                "weight": weight(source.pounds),
            }
            for source in each.sources
        ],
        "blended": {blend: weight(pounds) for blend, pounds in each.used.items()},
        "sold": weight(each.sold),
        "wasted": weight(each.wasted),
        "left": weight(each.left),
    }


def _blend_week_data(scenario: Scenario, each: BlendWeek) -> dict[str, Any]:
    weight = Figures(scenario).weight
    return {
        "blend": each.blend,
        "species": each.species,
        "wanted": weight(each.wanted),
        "on hand": weight(each.on_hand),
        "made": weight(each.made),
        "sold": weight(each.sold),
        "unmet": weight(each.unmet),
        "unmet by day": _by_day(scenario, each.unmet_by_day),
        "wasted": weight(each.wasted),
        "left": weight(each.left),
    }


def _by_day(scenario: Scenario, days: Sequence[tuple[int, float]]) -> dict[str, float]:
    return {scenario.day_labels[day]: Figures(scenario).weight(pounds) for day, pounds in days}


def _blend_day_data(scenario: Scenario, each: BlendDay) -> dict[str, Any]:
    figures = Figures(scenario)
    number = figures.number
    return {
        "day": scenario.day_labels[each.day],
        "blend": each.blend,
        "made": figures.weight(each.made),
        "batches": each.batches,
        "fat": _optional(each.fat),
        "fat limits": [number(limit) for limit in each.fat_limits],
        "shares": [
            {
                "of": share.name,
                "share": number(share.reached),
                "limits": [number(share.least), number(share.most)],
            }
            for share in each.shares
        ],
        "from": {cut: figures.weight(pounds) for cut, pounds in each.takes.items()},
        "binds": [bind._asdict() for bind in each.binds],
    }


def _mend_data(scenario: Scenario, each: Mend) -> dict[str, Any]:
    return {
        "kind": each.kind,
        "of": each.what,
        "weight": Figures(scenario).weight(each.pounds),
        "by day": _by_day(scenario, each.by_day),
        "worth": Figures(scenario).price(each.what, each.worth),
        "lacks": each.lacks or None,
        "ordered": Figures(scenario).weight(each.ordered),
        "asked": each.asked,
        "remedies": [_remedy_data(scenario, remedy) for remedy in each.remedies],
    }


def _remedy_data(scenario: Scenario, each: Remedy) -> dict[str, Any]:
    figures = Figures(scenario)

    def pieces(counts: Sequence[tuple[str, str, int]]) -> list[dict[str, Any]]:
        return [{"piece": piece, "way": way, "count": count} for piece, way, count in counts]

    return {
        "changes": [{"option": f"--{change.kind}", "text": change.text} for change in each.changes],
        "more": pieces(each.more),
        "fewer": pieces(each.fewer),
        "moved": [
            {"cut": cut, "blend": blend, "weight": figures.weight(pounds)}
            for cut, blend, pounds in each.moved
        ],
        "into": each.into or None,
        "fat": _optional(each.fat),
        "robbed": {blend: figures.weight(pounds) for blend, pounds in each.robbed},
        "mended": figures.weight(each.mended),
        "costs": {"least": figures.number(each.least), "most": figures.number(each.most)},
    }
