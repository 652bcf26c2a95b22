"""Trim, fat, bones and blends in balance, as the maps and lists of their JSON."""

from __future__ import annotations

from typing import Any

from planner.ask.trim import TrimAnswer
from planner.show.data import Data, head, shape

_TRIM = shape(
    "score = plan.score: number, within = plan.within: number, status = plan.status, settled,"
    "week = weeks: week, by day = flows: flow, blends = blend_weeks: blend_week,"
    "blends by day = blend_days: blend_day, mends = imbalances: mend",
    week=shape(
        "cut = line.cut, species = line.species, lean: number, on hand = line.on_hand: weight,"
        "made = line.made: weight, blended = line.blended: weight, sold = line.sold: weight,"
        "wasted = line.wasted: weight, left = line.left: weight"
    ),
    flow=shape(
        "day: day, cut, species, on hand = had: weight, made: weight, from = sources: source,"
        "blended = used: weight, sold: weight, wasted: weight, left: weight",
        source=shape("species, piece, way, count = number, weight = pounds: weight"),
    ),
    blend_week=shape(
        "blend = line.cut, species = line.species, wanted: weight, on hand = line.on_hand: weight,"
        "made = line.made: weight, sold = line.sold: weight, unmet: weight, unmet by day: by day,"
        "wasted = line.wasted: weight, left = line.left: weight"
    ),
    blend_day=shape(
        "day = batch.day: day, blend = batch.blend, made = batch.made: weight,"
        "batches = batch.batches, fat = batch.fat: number, fat limits = blend.fat: number,"
        "shares: share, from = batch.takes: weight, binds: bind",
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
