"""What a scenario says, as plain data: kept with a plan, and compared with what is said later.

The names are those of the format and not of the classes, pieces and cuts have their species in
front, days are dates, weights are pounds. What is zero, empty or false is left out, and so is what
is only printed: a class that is renamed, or has one more field, changes nothing here.
"""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from hashlib import sha256
from typing import Any, TypeAlias

from planner.core.recipe import Blend, full_name
from planner.core.scenario import Order, Rule, Scenario

Facts: TypeAlias = Mapping[str, Any]
"""Maps of maps of numbers, texts and lists."""

Difference: TypeAlias = tuple[tuple[str, ...], Any, Any]
"""The names that lead to a fact, and what it was and is; None where it is not there."""

DIGITS = 6
"""Decimals that are kept: a millionth of a pound is nothing, and the text stays short."""

_BETWEEN = " | "
"""Between the parts of a name in the first format: a piece and its way, a day and an offer."""

_DATE = re.compile(r"\d{4}-\d\d-\d\d")


def facts_of(scenario: Scenario) -> dict[str, Any]:
    """What a scenario says.

    Returns
    -------
    dict of str to Any
        By group; an empty group is there.
        shop: overtime (minutes), overtime cost (money a minute), carry (a share), disposal (money a
        pound). bench: minutes by date, and 1 as its limit where it has one. want: pounds or each by
        cut and date. price: by cut. rule: 1 by its words. keeps: days by cut and by piece. minutes:
        by piece and way. yield: by piece, way and thing the share of the piece that it is, of one
        where it is counted. markdown: its price by cut; markdown want: of all days. offer, offer
        cost: head, and money a pound, by date and what. other: what no words tell.
    """
    demand = {cut_name(scenario, name): each for name, each in scenario.demand.items()}
    marked = {name: each for name, each in demand.items() if any(each.markdown_want)}
    keeps = {cut_name(scenario, name): each.keeps for name, each in scenario.cuts.items()}
    minutes: dict[str, dict[str, float]] = defaultdict(dict)
    shares: dict[str, dict[str, dict[str, float]]] = defaultdict(dict)
    for recipe in scenario.recipes:
        for piece, way in recipe.ways():
            name = full_name(recipe.species, piece.name)
            keeps[name] = piece.keeps
            minutes[name][way.name] = way.minutes
            shares[name][way.name] = {
                full_name(recipe.species, each.name): each.share
                for each in (*way.pieces, *way.cuts)
            }
    heads: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    costs: dict[str, dict[str, float]] = defaultdict(dict)
    for lot in scenario.lots:
        if lot.up_to:
            day = scenario.date(lot.arrives).isoformat()
            what = full_name(lot.recipe.species, lot.piece)
            heads[day][what] += lot.count
            costs[day][what] = max(costs[day].get(what, 0.0), lot.cost)
    facts = {
        "rule": {str(rule): 1 for rule in scenario.rules},
        "bench": {
            "limit": int(scenario.bench is not None),
            **_by_date(scenario, scenario.bench or ()),
        },
        "want": {name: _by_date(scenario, each.want) for name, each in demand.items()},
        "price": {name: each.price for name, each in demand.items()},
        "yield": shares,
        "shop": {
            "overtime": scenario.overtime_limit,
            **_fields(scenario, "overtime_cost", "carry", "disposal"),
        },
        "keeps": keeps,
        "minutes": minutes,
        "markdown": {name: each.markdown_price for name, each in marked.items()},
        "markdown want": {name: sum(each.markdown_want) for name, each in marked.items()},
        "offer": heads,
        "offer cost": costs,
        "other": _other(scenario),
    }
    return {group: _plain(said) for group, said in facts.items()}


def digest(scenario: Scenario) -> str:
    """A short text that differs where two scenarios do, whatever it is in."""
    text = json.dumps(facts_of(scenario), sort_keys=True)
    return sha256(text.encode()).hexdigest()[:32]


def differences(then: Facts, now: Facts, depth: int) -> Iterator[Difference]:
    """What is otherwise, down to facts that so many names lead to at most."""
    for name in dict.fromkeys((*then, *now)):
        before, after = then.get(name), now.get(name)
        if before == after or not (before or after):
            continue
        if depth > 1 and (isinstance(before, Mapping) or isinstance(after, Mapping)):
            for names, *both in differences(before or {}, after or {}, depth - 1):
                yield (name, *names), *both
        else:
            yield (name,), before, after


def in_days(facts: Facts, first: date, until: date) -> dict[str, Any]:
    """The facts without those of other days."""
    return {
        name: in_days(said, first, until) if isinstance(said, Mapping) else said
        for name, said in facts.items()
        if not _DATE.fullmatch(name) or first.isoformat() <= name <= until.isoformat()
    }


@dataclass(frozen=True, slots=True)
class FirstFormat:
    """What a plan of breakplan-kept/1 has of the week: wants and bench from its first day on."""

    first: date
    wants: Mapping[str, tuple[float, ...]]
    prices: Mapping[str, float]
    bench: tuple[float, ...] | None
    rules: tuple[str, ...]
    yields: Mapping[str, Mapping[str, Mapping[str, float]]]
    settings: Mapping[str, Mapping[str, float]] = field(default_factory=dict)

    def facts(self) -> dict[str, Any]:
        """The same as facts, as far as they go."""
        facts: dict[str, Mapping[str, Any]] = {
            "rule": dict.fromkeys(self.rules, 1),
            "bench": {"limit": int(self.bench is not None), **self._by_date(self.bench or ())},
            "want": {name: self._by_date(wants) for name, wants in self.wants.items()},
            "price": self.prices,
            "yield": self.yields,
            **self.settings,
        }
        for group in ("minutes", "offer", "offer cost"):
            if group in facts:
                parts: dict[str, dict[str, float]] = defaultdict(dict)
                for name, number in facts[group].items():
                    one, _, other = name.partition(_BETWEEN)
                    parts[one][other] = number
                facts[group] = parts
        return {group: _plain(said) for group, said in facts.items()}

    def _by_date(self, numbers: Sequence[float]) -> dict[str, float]:
        dates = ((self.first + timedelta(days=day)).isoformat() for day in range(len(numbers)))
        return dict(zip(dates, numbers, strict=True))


def cut_name(scenario: Scenario, cut: str) -> str:
    """The name of a cut of a scenario with its species in front."""
    return full_name(scenario.cuts[cut].species, cut)


def _other(scenario: Scenario) -> dict[str, Any]:
    """What no words tell, and what is on hand and promised."""
    work: dict[str, dict[str, Any]] = defaultdict(dict)
    for recipe in scenario.recipes:
        for piece, way in recipe.ways():
            counts = {each.name: each.count for each in (*way.pieces, *way.cuts)}
            said = {**_fields(way, "tool", "loss"), "counts": counts}
            work[full_name(recipe.species, piece.name)][way.name] = said
    cuts, blends = scenario.cuts.items(), scenario.blends.items()
    return {
        "days": [scenario.starts.isoformat(), scenario.days],
        "traffic": _by_date(scenario, scenario.traffic),
        "work": work,
        "cuts": {
            cut_name(scenario, name): {
                **_fields(cut, "kind", "by_each"),
                "lean": cut.lean if cut.lean is None else [cut.lean],  # 0% is not unknown
            }
            for name, cut in cuts
        },
        "blends": {cut_name(scenario, name): _blend(blend) for name, blend in blends},
        "markdown want": {
            cut_name(scenario, name): _by_date(scenario, each.markdown_want)
            for name, each in scenario.demand.items()
        },
        "grind rules": [
            _fields(rule, "verb", "pounds", "cut", "blend")
            for rule in scenario.rules
            if not isinstance(rule, Rule)
        ],
        "lots": [
            {
                **_fields(lot, "count", "weight", "arrives", "keeps", "up_to", "cost"),
                "what": full_name(lot.recipe.species, lot.piece),
            }
            for lot in scenario.lots
        ],
        "case": [
            {**_fields(each, "amount", "keeps"), "cut": cut_name(scenario, each.cut)}
            for each in scenario.case
        ],
        "orders": [_order(scenario, order) for order in scenario.orders],
        "held": [
            {**_order(scenario, each.order), **_fields(each, "cut_on", "kept")}
            for each in scenario.held
        ],
    }


def _blend(blend: Blend) -> dict[str, Any]:
    return {
        **_fields(blend, "added", "minutes", "batch", "loss", "standard"),
        "takes": sorted(blend.takes),
        "fat": [*blend.fat],
        "limits": [
            {**_fields(each, "name", "least", "most"), "takes": [*each.takes]}
            for each in blend.limits
        ],
    }


def _order(scenario: Scenario, order: Order) -> dict[str, Any]:
    cut = cut_name(scenario, order.cut)
    return {**_fields(order, "day", "amount", "price"), "cut": cut, "for": order.buyer}


def _fields(thing: object, *names: str) -> dict[str, Any]:
    return {name.replace("_", " "): getattr(thing, name) for name in names}


def _by_date(scenario: Scenario, numbers: Sequence[float]) -> dict[str, float]:
    return {scenario.date(day).isoformat(): number for day, number in enumerate(numbers)}


def _plain(said: Any) -> Any:
    """Numbers rounded, and maps without what is zero, empty or false in them."""
    if isinstance(said, Mapping):
        plain = {name: _plain(each) for name, each in said.items()}
        return {name: each for name, each in plain.items() if each}
    if isinstance(said, list):
        return [_plain(each) for each in said]
    return round(said, DIGITS) + 0.0 if isinstance(said, float) else said
