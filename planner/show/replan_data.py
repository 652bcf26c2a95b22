"""What a plan of a shop folder adds to its JSON: how it stands beside the one kept before."""

from __future__ import annotations

from typing import Any

from planner.ask.change_base import ChangedFact
from planner.ask.replan import Replan
from planner.core.scenario import Scenario
from planner.show.changes import fact_text
from planner.show.data import Data, shape

_REPLAN = shape(
    "entry, from = kept.first, until = kept.until, listed, same = nothing, changes: change,"
    "bought: bought",
    change=shape("species, piece, count, before: spot, after: spot, why", spot=shape("day, way")),
    bought=shape("day, species, piece, before, after"),
)
_HINDRANCE = shape("kind, day, piece, way, count: number, most: number")
_FACT = shape("what?, way?, gives?, buyer?, day?")


def shop_data(replan: Replan | None, entry: int | None) -> dict[str, Any]:
    """`entry` and `against`, which follow the fields of the week's JSON.

    `entry` is the number under which the plan is kept in the journal, null where it is not;
    `against` is null where there is no plan before. Weights are in the scenario's unit.
    """
    return {"entry": entry, "against": replan and _against(replan)}


def _against(replan: Replan) -> dict[str, Any]:
    repair, scenario = replan.repair, replan.plan.scenario
    data = Data(scenario)
    least, most = repair.keeping or (None, None)
    hindrances = data.all(_HINDRANCE, replan.hindrances)
    for each in hindrances:
        each["day"] = None if each["day"] < 0 else scenario.date(each["day"]).isoformat()
    return {
        **data.one(_REPLAN, replan),
        "otherwise": [_fact(scenario, each) for each in replan.facts],
        "keeping": {
            "possible": repair.whole is not None,
            "orders filled": repair.fills,
            "costs least": least if least is None else data.number(least),
            "costs most": most if most is None else data.number(most),
            "why not": hindrances,
        },
        "calm": data.number(repair.allowance),
        "kept": {"all": "all", "most": "most", "best": "none"}[repair.kept],
        "costs": data.number(repair.cost),
    }


def _fact(scenario: Scenario, fact: ChangedFact) -> dict[str, Any]:
    """Weights in the unit, prices for one of it; counts, minutes and shares as they are."""
    data = Data(scenario)

    def shown(number: float) -> float:
        if fact.what in scenario.cuts and fact.kind in ("case", "order", "want"):
            return data.amount(fact.what, number)
        if fact.what in scenario.cuts and fact.kind == "price":
            return data.price(fact.what, number)
        return data.number(number)

    return {
        "kind": fact.kind,
        "text": fact_text(scenario, fact),
        **data.one(_FACT, fact),
        "before": shown(fact.before),
        "after": shown(fact.after),
        **({"weight": [data.weight(each) for each in fact.pounds]} if fact.pounds else {}),
        "money": data.number(fact.money),
    }
