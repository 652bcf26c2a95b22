"""Costs of lots given beside the scenario, for those that have none in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.core.errors import InputError, Problem
from planner.core.quantities import per_pound, read_price
from planner.core.scenario import Scenario


def read_costs(scenario: Scenario, texts: Sequence[str]) -> dict[str, float]:
    """Read costs such as `7.10/lb`, for all lots without one, or `lamb: 7.10/lb`.

    They are money a pound by name, `""` for the cost without a name.

    Raises
    ------
    InputError
        A text cannot be read, or a lot is named twice.
    """
    costs: dict[str, float] = {}
    problems = []
    for text in texts:
        before, colon, price = text.rpartition(":")
        name = " ".join(before.split())
        try:
            if colon and not name:
                raise ValueError(f'"{text}" names no lot; write "lamb: 7.10/lb", or 7.10/lb')
            if name in costs:
                raise ValueError(f"two costs for {name or 'all lots without one'}")
            costs[name] = per_pound(read_price(price.strip()), scenario.unit)
        except ValueError as error:
            problems.append(Problem("--cost", 0, str(error)))
    if problems:
        raise InputError(problems)
    return costs


def with_costs(scenario: Scenario, costs: Mapping[str, float]) -> Scenario:
    """The scenario with costs for the lots that have none, as `read_costs` has them.

    Raises
    ------
    InputError
        A lot stays without a cost, or a cost is given that no lot needs.
    """
    without = [lot for lot in scenario.lots if not lot.cost]
    names = list(dict.fromkeys(lot.name for lot in without))
    problems = [
        Problem("--cost", 0, _not_needed(name, names))
        for name in costs
        if name not in names and (name or all(each in costs for each in names))
    ]
    unit, lots = scenario.unit, []
    for lot in scenario.lots:
        cost = lot.cost or next((costs[name] for name in (lot.name, "") if name in costs), None)
        if cost is None:
            number = f"{lot.count} {lot.word}".strip()
            message = (
                f"no cost given for {lot.name}, {number} at {scenario.units.weight(lot.weight)}; "
                f'write cost: 7.10/{unit} in its line, or pass --cost "{lot.name}: 7.10/{unit}"'
            )
            problems.append(Problem("rail", 0, message))
        else:
            lots.append(replace(lot, cost=cost))
    if problems:
        raise InputError(problems)
    return replace(scenario, lots=tuple(lots))


def _not_needed(name: str, names: Sequence[str]) -> str:
    if not names:
        return "every lot on the rail has its cost"
    lots = ", ".join(names)
    if not name:
        return f"every lot without a cost is named already: {lots}"
    return f'no lot without a cost is called "{name}"; known: {lots}'
