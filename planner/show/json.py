"""A plan as JSON for machines: weights in the scenario's unit, money, minutes."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from planner.errors import MOST_TOLD, Problem
from planner.files.check import Checked
from planner.plan import Plan
from planner.show.amounts import Figures
from planner.show.later import later_data
from planner.show.missing import missing_words

FORMAT = "breakplan/1"


def plan_json(plan: Plan) -> str:
    """The plan as JSON text.

    Weights are in the scenario's unit, amounts of cuts sold by each are counts. `available` of a
    day without a limit on the bench is null. Days are `mon`..`sun`, or ISO dates when there are
    more than seven.
    """
    return json.dumps(plan_data(plan), indent=1, ensure_ascii=False)


def plan_data(plan: Plan) -> dict[str, Any]:
    """The plan as the maps and lists of its JSON."""
    scenario = plan.scenario
    days, figures = scenario.day_labels, Figures(scenario)
    number, weight, amount, price = figures.number, figures.weight, figures.amount, figures.price

    return {
        "format": FORMAT,
        "title": scenario.title,
        "unit": scenario.unit,
        "money": scenario.money,
        "days": list(days),
        "score": number(plan.score),
        "revenue": number(plan.revenue),
        "spend": {
            "overtime": number(plan.overtime),
            "buying": number(plan.buying),
            "disposal": number(plan.disposal),
        },
        "carry": number(plan.carry),
        "bound": number(plan.bound),
        "within": number(plan.within),
        "status": plan.status,
        "seconds": round(plan.seconds, 3),
        **({"parts": plan.parts} if plan.parts > 1 else {}),
        "breaks": [
            {
                "day": days[each.day],
                "lot": each.lot,
                "species": each.species,
                "piece": each.piece,
                "way": each.way,
                "count": each.count,
                "weight": weight(each.weight),
                "minutes": number(each.minutes),
            }
            for each in plan.breaks
        ],
        "cuts": [
            {
                "cut": line.cut,
                "species": line.species,
                "sold by": "each" if line.by_each else scenario.unit,
                "on hand": amount(line.cut, line.on_hand),
                "made": amount(line.cut, line.made),
                "sold": amount(line.cut, line.sold),
                "revenue": number(line.revenue),
                "blended": amount(line.cut, line.blended),
                "wasted": amount(line.cut, line.wasted),
                "left": amount(line.cut, line.left),
            }
            for line in plan.cuts
        ],
        "sales": [
            {
                "day": days[sale.day],
                "cut": sale.cut,
                "amount": amount(sale.cut, sale.amount),
                "price": price(sale.cut, sale.price),
                "to": sale.to,
            }
            for sale in plan.sales
        ],
        "blends": [
            {
                "day": days[batch.day],
                "blend": batch.blend,
                "made": weight(batch.made),
                "fat": None if batch.fat is None else number(batch.fat),
                "from": {cut: weight(pounds) for cut, pounds in batch.takes.items()},
                **({} if batch.batches is None else {"batches": batch.batches}),
            }
            for batch in plan.batches
        ],
        "short": [
            {
                "day": days[each.day],
                "cut": each.cut,
                "for": each.buyer,
                "ordered": amount(each.cut, each.ordered),
                "short": amount(each.cut, each.short),
            }
            for each in plan.short
        ],
        **({"hints": list(hints)} if (hints := missing_words(scenario)) else {}),
        **({"later": later_data(plan)} if plan.later else {}),
        "whole": [
            {
                "lot": each.lot,
                "piece": each.piece,
                "count": each.count,
                "weight": weight(each.weight),
                "state": "wasted" if each.wasted else "left",
            }
            for each in plan.uncut
        ],
        "bought": [
            {
                "lot": each.lot,
                "head": each.head,
                "weight": weight(each.weight),
                "cost": number(each.cost),
            }
            for each in plan.bought
        ],
        "bench": [
            {
                "day": days[each.day],
                "minutes": number(each.minutes),
                "available": None if each.available is None else number(each.available),
                "overtime": number(each.overtime),
            }
            for each in plan.bench
        ],
    }


def checked_json(found: Sequence[Checked]) -> str:
    """What was found in files, as JSON text."""
    files = [
        {
            "file": each.file,
            "kind": each.kind,
            "sound": not each.problems,
            "problems": [_problem(problem) for problem in each.problems[:MOST_TOLD]],
            "odd": [_problem(problem) for problem in each.oddities[:MOST_TOLD]],
            "not told": max(len(each.problems), len(each.oddities), MOST_TOLD) - MOST_TOLD,
        }
        for each in found
    ]
    return json.dumps({"format": FORMAT, "files": files}, indent=1, ensure_ascii=False)


def _problem(problem: Problem) -> dict[str, Any]:
    return {"file": problem.file, "line": problem.line, "message": problem.message}


def schema_json(schema: dict[str, Any]) -> str:
    """A JSON Schema as text."""
    return json.dumps(schema, indent=1)
