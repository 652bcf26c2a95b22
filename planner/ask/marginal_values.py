"""What each limit costs at the margin: ten more minutes, a pound more wanted, a day longer kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.ask.comparison import NAMED
from planner.core.recipe import Cut
from planner.core.scenario import Scenario
from planner.files.changes import Change, read_changes
from planner.solve.sensitivity import Sensitivity

MINUTES = 10
"""Minutes of bench a day is given more."""

FEW = 3
"""Pieces up to which other ways to cut them are looked at first."""


@dataclass(frozen=True, slots=True)
class LimitStep:
    """One limit a little wider: `kind` is bench, want or keeps, `name` the day, cut or piece."""

    kind: str
    name: str
    step: str

    @property
    def change(self) -> Change:
        """The step as a change to the scenario."""
        return Change(self.kind, f"{self.name}: +{self.step}")


@dataclass(frozen=True, slots=True)
class LimitWorth:
    """What the best plan earns more with a limit a little wider: money between these."""

    limit: LimitStep
    least: float
    most: float

    @property
    def nothing(self) -> bool:
        """Whether it is known to be worth less than 1.00."""
        return self.most <= NAMED


def limits_of(scenario: Scenario) -> tuple[LimitStep, ...]:
    """Every bench day, every want, and everything whose days may run out inside the period."""
    days = scenario.day_labels
    limits = [
        LimitStep("bench", days[day], f"{MINUTES}")
        for day, minutes in enumerate(scenario.bench or ())
        if minutes > 0
    ]
    for name, demand in scenario.demand.items():
        if demand.price is not None and any(demand.want):
            step = "1" if scenario.cuts[name].by_each else f"1 {scenario.unit}"
            limits.append(LimitStep("want", name, step))
    keeps = {
        name: lot.recipe.pieces[name].keeps
        for lot in scenario.lots
        for name in lot.weights()
        if name != lot.piece or not lot.own_keeps  # days of its own do not follow
    }
    keeps |= {cut.name: cut.keeps for cut in _to_be_had(scenario)}
    limits += [
        LimitStep("keeps", name, "1 day") for name, kept in keeps.items() if kept <= scenario.days
    ]
    return tuple(limits)


def worths(
    sensitivity: Sensitivity, limits: Sequence[LimitStep], best: tuple[float, float]
) -> tuple[LimitWorth, ...]:
    """What limits are worth, many at once: if all of them together earn nothing, none does.

    `best` is what today's plan is worth, and what no plan exceeds, less ties.
    """
    plan, at_most = best
    sensitivity.put(read_changes(sensitivity.scenario, [each.change for each in limits]))
    most = max(0.0, sensitivity.at_most() - plan)
    if most <= NAMED:
        return tuple(LimitWorth(each, 0.0, most) for each in limits)
    if len(limits) > 1:
        half = len(limits) // 2
        return worths(sensitivity, limits[:half], best) + worths(sensitivity, limits[half:], best)
    found = sensitivity.best(_pieces_of(sensitivity.scenario, limits[0].name))
    least = max(0.0, found.objective - at_most)
    return (LimitWorth(limits[0], least, max(least, found.bound - plan)),)


def _to_be_had(scenario: Scenario) -> list[Cut]:
    """Cuts that lie in the case or that something on the rail can give, and what blends make."""
    names = {stock.cut for stock in scenario.case}
    for lot in scenario.lots:
        names |= {given.name for _, way in scenario.ways(lot) for given in way.cuts}
    names |= {name for name, blend in scenario.blends.items() if names.intersection(blend.takes)}
    return [cut for cut in scenario.cuts.values() if cut.name in names]


def _pieces_of(scenario: Scenario, name: str) -> set[str]:
    """Pieces that a cut comes from, or a piece itself; none where it falls off nearly all."""
    pieces = {
        piece.name
        for lot in scenario.lots
        for piece, way in scenario.ways(lot)
        if name == piece.name or any(given.name == name for given in way.cuts)
    }
    return pieces if len(pieces) <= FEW else set()
