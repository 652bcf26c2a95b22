"""Trim, fat, bones and blends in balance, as the maps and lists of their JSON."""

from __future__ import annotations

from typing import Any

from planner.ask.trim import TrimAnswer
from planner.show.data import Data, head, shape

_TRIM = shape(
    "score = plan.score: number, within = plan.within: number, status = plan.status, settled,"
    "week = weeks: week, by day = flows: flow, blends = blend_weeks: blend_week,"
    "blends by day = blend_days: blend_day, mends: mend",
    week=shape(
        "cut, species, lean: number, on hand: weight, made: weight, blended = used: weight,"
        "sold: weight, wasted: weight, left: weight"
    ),
    flow=shape(
        "day: day, cut, species, on hand = had: weight, made: weight, from = sources: source,"
        "blended = used: weight, sold: weight, wasted: weight, left: weight",
        source=shape("species, piece, way, count = number, weight = pounds: weight"),
    ),
    blend_week=shape(
        "blend, species, wanted: weight, on hand: weight, made: weight, sold: weight,"
        "unmet: weight, unmet by day: by day, wasted: weight, left: weight"
    ),
    blend_day=shape(
        "day: day, blend, made: weight, batches, fat: number, fat limits: number, shares: share,"
        "from = takes: weight, binds: bind",
        share=shape("of = name, share = reached: number, limits = least & most: number"),
        bind=shape("kind, name, end"),
    ),
    mend=shape(
        "kind, of = what, weight = pounds: weight, by day: by day, worth: price of what,"
        "lacks: text, ordered: weight, asked, remedies: remedy",
        remedy=shape(
            "changes: change, more: pieces, fewer: pieces, moved: moved, into: text, fat: number,"
            "robbed: by name, mended: weight, costs = self: between",
            change=shape("option = kind: option, text"),
            pieces=shape("piece = 0, way = 1, count = 2"),
            moved=shape("cut = 0, blend = 1, weight = 2: weight"),
        ),
    ),
)


def trim_data(answer: TrimAnswer) -> dict[str, Any]:
    """The balance; weights in the scenario's unit, what nobody knows is null.

    `changes` of a remedy are options of `whatif` with their texts; `costs` is negative where it
    earns.
    """
    scenario = answer.plan.scenario
    told = Data(scenario).one(_TRIM, answer)
    return {**head(scenario), "days": list(scenario.day_labels), **told}
