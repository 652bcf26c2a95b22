"""A plan as JSON for machines: weights in the scenario's unit, money, minutes."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from planner.core.errors import MOST_TOLD
from planner.files.check import Checked
from planner.show.data import FORMAT, Data, head, json_text, rows, shape
from planner.show.later import later_data
from planner.show.missing import missing_words
from planner.solve.plan import Plan

PROBLEM = shape("file, line, message")

SHORT = shape("day: day, cut, for = buyer, ordered: amount, short: amount")

_BREAK = shape("day: day, lot, species, piece, way, count, weight: weight, minutes: number")
_CUT = shape(
    "cut, species, sold by = by_each: sold, on hand: amount, made: amount, sold: amount,"
    "revenue: number, blended: amount, wasted: amount, left: amount"
)
_SALE = shape("day: day, cut, amount: amount, price: price, to")
_BATCH = shape("day: day, blend, made: weight, fat: number, from = takes: weight")
_UNCUT = shape("lot, piece, count, weight: weight, state = wasted: state")
_BOUGHT = shape("lot, head, weight: weight, cost: number")
_BENCH = shape("day: day, minutes: number, available: number, overtime: number")
_SCORE = shape("score: number, revenue: number")
_SPEND = shape("overtime: number, buying: number, disposal: number")
_PROOF = shape("carry: number, bound: number, within: number, status")


def plan_json(plan: Plan) -> str:
    """The plan as JSON text.

    Weights are in the scenario's unit, amounts of cuts sold by each are counts. `available` of a
    day without a limit on the bench is null. Days are `mon`..`sun`, or ISO dates when there are
    more than seven.
    """
    return json_text(plan_data(plan))


def plan_data(plan: Plan) -> dict[str, Any]:
    """The plan as the maps and lists of its JSON."""
    scenario, data = plan.scenario, Data(plan.scenario)
    return {
        **head(scenario),
        "days": list(scenario.day_labels),
        **data.one(_SCORE, plan),
        "spend": data.one(_SPEND, plan),
        **data.one(_PROOF, plan),
        "seconds": round(plan.seconds, 3),
        **({"parts": plan.parts} if plan.parts > 1 else {}),
        "breaks": data.all(_BREAK, plan.breaks),
        "cuts": data.all(_CUT, plan.cuts),
        "sales": data.all(_SALE, plan.sales),
        "blends": [
            {
                **data.one(_BATCH, batch),
                **({} if batch.batches is None else {"batches": batch.batches}),
            }
            for batch in plan.batches
        ],
        "short": data.all(SHORT, plan.short),
        **({"hints": list(hints)} if (hints := missing_words(scenario)) else {}),
        **({"later": later_data(plan)} if plan.later else {}),
        "whole": data.all(_UNCUT, plan.uncut),
        "bought": data.all(_BOUGHT, plan.bought),
        "bench": data.all(_BENCH, plan.bench),
    }


def checked_json(found: Sequence[Checked]) -> str:
    """What was found in files, as JSON text."""
    files = [
        {
            "file": each.file,
            "kind": each.kind,
            "sound": not each.problems,
            "problems": rows(PROBLEM, each.problems[:MOST_TOLD]),
            "odd": rows(PROBLEM, each.oddities[:MOST_TOLD]),
            "not told": max(len(each.problems), len(each.oddities), MOST_TOLD) - MOST_TOLD,
        }
        for each in found
    ]
    return json_text({"format": FORMAT, "files": files})


def schema_json(schema: dict[str, Any]) -> str:
    """A JSON Schema as text."""
    return json.dumps(schema, indent=1)
