"""A plan as JSON for machines: weights in the scenario's unit, money, minutes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.core.errors import MOST_TOLD
from planner.files.check import Checked
from planner.show.data import FORMAT, Data, head, rows, shape
from planner.show.later import LATER
from planner.show.missing import missing_words
from planner.solve.plan import Plan

PROBLEM = shape("file, line, message")

SHORT = shape("day: day, cut, for = buyer, ordered: amount, short: amount")

_SEARCH = shape(
    "score: number, revenue: number, spend = self: spend, carry: number, bound: number,"
    "within: number, status",
    spend=shape("overtime: number, buying: number, disposal: number"),
)
_WORK = shape(
    "breaks: break_, cuts: cut, sales: sale, blends = batches: batch, short: short",
    break_=shape("day: day, lot, species, piece, way, count, weight: weight, minutes: number"),
    cut=shape(
        "cut, species, sold by = by_each: sold, on hand: amount, made: amount, sold: amount,"
        "revenue: number, blended: amount, wasted: amount, left: amount"
    ),
    sale=shape("day: day, cut, amount: amount, price: price, to"),
    batch=shape("day: day, blend, made: weight, fat: number, from = takes: weight, batches?"),
    short=SHORT,
)
_AFTER = shape(
    "later?: later, whole = uncut: uncut, bought: bought, bench: bench",
    later=LATER,
    uncut=shape("lot, piece, count, weight: weight, state = wasted: state"),
    bought=shape("lot, head, weight: weight, cost: number"),
    bench=shape("day: day, minutes: number, available: number, overtime: number"),
)


def plan_data(plan: Plan) -> dict[str, Any]:
    """The plan as the maps and lists of its JSON.

    Weights are in the scenario's unit, amounts of cuts sold by each are counts. `available` of a
    day without a limit on the bench is null. Days are `mon`..`sun`, or ISO dates when there are
    more than seven.
    """
    scenario, data, hints = plan.scenario, Data(plan.scenario), missing_words(plan.scenario)
    return {
        **head(scenario),
        "days": list(scenario.day_labels),
        **data.one(_SEARCH, plan),
        "seconds": round(plan.seconds, 3),
        **({"parts": plan.parts} if plan.parts > 1 else {}),
        **data.one(_WORK, plan),
        **({"hints": list(hints)} if hints else {}),
        **data.one(_AFTER, plan),
    }


def checked_data(found: Sequence[Checked]) -> dict[str, Any]:
    """What was found in files."""
    files = [
        {
            "file": each.file,
            "kind": each.kind,
            "sound": not each.problems,
            "problems": rows(PROBLEM, each.problems[:MOST_TOLD]),
            "odd": rows(PROBLEM, each.warnings[:MOST_TOLD]),
            "not told": max(len(each.problems), len(each.warnings), MOST_TOLD) - MOST_TOLD,
        }
        for each in found
    ]
    return {"format": FORMAT, "files": files}
