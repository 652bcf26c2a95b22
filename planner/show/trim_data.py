"""Trim, fat, bones and blends in balance, as the maps and lists of their JSON."""

from __future__ import annotations

from typing import Any

from planner.ask.remedies import Imbalance, Remedy
from planner.ask.trim import TrimAnswer
from planner.ask.trim_flow import BlendDay, BlendWeek
from planner.show.data import BETWEEN, Data, head, shape

_WEEK = shape(
    "cut, species, lean: number, on hand: weight, made: weight, blended = used: weight,"
    "sold: weight, wasted: weight, left: weight"
)
_FLOW = shape(
    "day: day, cut, species, on hand = had: weight, made: weight, from = sources: source,"
    "blended = used: weight, sold: weight, wasted: weight, left: weight",
    source=shape("species, piece, way, count = number, weight = pounds: weight"),
)
_BLEND_WEEK = shape(
    "blend, species, wanted: weight, on hand: weight, made: weight, sold: weight, unmet: weight"
)
_BLEND_ENDS = shape("wasted: weight, left: weight")
_BLEND_DAY = shape(
    "day: day, blend, made: weight, batches, fat: number, fat limits: number, shares: share,"
    "from = takes: weight",
    share=shape("of = name, share = reached: number, limits = least & most: number"),
)
_REMEDY = shape(
    "changes: change, more: pieces, fewer: pieces, moved: moved, into: text, fat: number",
    change=shape("option = kind: option, text"),
    pieces=shape("piece = 0, way = 1, count = 2"),
    moved=shape("cut = 0, blend = 1, weight = 2: weight"),
)

_MEND = shape("worth: price of what, lacks: text, ordered: weight, asked")
_PROOF = shape(
    "score = plan.score: number, within = plan.within: number, status = plan.status, settled"
)


def trim_data(answer: TrimAnswer) -> dict[str, Any]:
    """The balance; weights in the scenario's unit, what nobody knows is null.

    `changes` of a remedy are options of `whatif` with their texts; `costs` is negative where it
    earns.
    """
    scenario, data = answer.plan.scenario, Data(answer.plan.scenario)

    def blend_week(each: BlendWeek) -> dict[str, Any]:
        return {
            **data.one(_BLEND_WEEK, each),
            "unmet by day": data.by_day(each.unmet_by_day),
            **data.one(_BLEND_ENDS, each),
        }

    def blend_day(each: BlendDay) -> dict[str, Any]:
        return {**data.one(_BLEND_DAY, each), "binds": [bind._asdict() for bind in each.binds]}

    def remedy(each: Remedy) -> dict[str, Any]:
        return {
            **data.one(_REMEDY, each),
            "robbed": {blend: data.weight(pounds) for blend, pounds in each.robbed},
            "mended": data.weight(each.mended),
            "costs": data.one(BETWEEN, each),
        }

    def mend(each: Imbalance) -> dict[str, Any]:
        return {
            "kind": each.kind,
            "of": each.what,
            "weight": data.weight(each.pounds),
            "by day": data.by_day(each.by_day),
            **data.one(_MEND, each),
            "remedies": [remedy(one) for one in each.remedies],
        }

    return {
        **head(scenario),
        "days": list(scenario.day_labels),
        **data.one(_PROOF, answer),
        "week": data.all(_WEEK, answer.weeks),
        "by day": data.all(_FLOW, answer.flows),
        "blends": [blend_week(each) for each in answer.blend_weeks],
        "blends by day": [blend_day(each) for each in answer.blend_days],
        "mends": [mend(each) for each in answer.mends],
    }
