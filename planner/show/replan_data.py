"""A plan of a shop folder as JSON, beside the one that was kept before."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from planner.ask.change_base import Otherwise
from planner.ask.replan import Replan, Spot
from planner.core.scenario import Scenario
from planner.show.amounts import Figures
from planner.show.changes import fact_text
from planner.show.data import json_text
from planner.show.json import plan_data
from planner.solve.plan import Plan


def shop_json(plan: Plan, replan: Replan | None, entry: int | None) -> str:
    """A plan of a shop folder as JSON text: that of `plan_json`, with `entry` and `against`.

    `entry` is the number under which it is kept in the journal, null where it is not; `against` is
    null where there is no plan before.
    """
    against = replan and against_data(replan)
    data = {**plan_data(plan), "entry": entry, "against": against}
    return json_text(data)


def against_data(replan: Replan) -> dict[str, Any]:
    """The same as the maps and lists of the week's JSON; weights in the scenario's unit."""
    calm, scenario = replan.calm, replan.plan.scenario
    keeping, number = calm.keeping, Figures.number
    return {
        "entry": replan.entry,
        "from": replan.kept.first.isoformat(),
        "until": replan.kept.until.isoformat(),
        "listed": replan.listed,
        "same": replan.nothing,
        "changes": [
            {
                "species": each.species,
                "piece": each.piece,
                "count": each.count,
                "before": _spot(each.before),
                "after": _spot(each.after),
                "why": list(each.why),
            }
            for each in replan.changes
        ],
        "bought": [
            {
                "day": each.day.isoformat(),
                "species": each.species,
                "piece": each.piece,
                "before": each.before,
                "after": each.after,
            }
            for each in replan.bought
        ],
        "otherwise": [_fact(scenario, each) for each in replan.facts],
        "keeping": {
            "possible": calm.whole is not None,
            "orders filled": calm.fills,
            "costs least": keeping and number(keeping[0]),
            "costs most": keeping and number(keeping[1]),
            "why not": [
                {
                    "kind": each.kind,
                    "day": None if each.day < 0 else scenario.date(each.day).isoformat(),
                    "piece": each.piece,
                    "way": each.way,
                    "count": number(each.count),
                    "most": number(each.most),
                }
                for each in replan.hindrances
            ],
        },
        "calm": number(calm.calm),
        "kept": {"all": "all", "most": "most", "best": "none"}[calm.kept],
        "costs": number(calm.cost),
    }


def _spot(spot: Spot | None) -> dict[str, str] | None:
    return None if spot is None else {"day": spot.day.isoformat(), "way": spot.way}


def _fact(scenario: Scenario, fact: Otherwise) -> dict[str, Any]:
    """`before` and `after` as `_in_units` says; what is empty is left out."""
    data: dict[str, Any] = {"kind": fact.kind, "text": fact_text(scenario, fact)}
    words = {"what": fact.what, "way": fact.way, "gives": fact.gives, "buyer": fact.buyer}
    data |= {key: word for key, word in words.items() if word}
    if fact.day:
        data["day"] = fact.day.isoformat()
    data["before"], data["after"] = _in_units(scenario, fact)
    if fact.pounds:
        data["weight"] = [Figures(scenario).weight(each) for each in fact.pounds]
    return {**data, "money": Figures.number(fact.money)}


def _in_units(scenario: Scenario, fact: Otherwise) -> Iterator[float]:
    """Weights in the unit, prices for one of it; counts, minutes and shares as they are."""
    figures, known = Figures(scenario), fact.what in scenario.cuts
    for number in (fact.before, fact.after):
        if known and fact.kind in ("case", "order", "want"):
            yield figures.amount(fact.what, number)
        elif known and fact.kind == "price":
            yield figures.price(fact.what, number)
        else:
            yield figures.number(number)
