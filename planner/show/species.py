"""Text by species, where a scenario has several; with one there is no word about it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Any, TypeVar

from planner.core.recipe import MIXED
from planner.core.scenario import Lot, Scenario
from planner.show.layout import WIDTH, clip, fitted_table

T = TypeVar("T")

INSET = 2  # columns by which what stands under the name of a species is set in
UNCUT = ("left whole, in date", "OUT OF DATE uncut")
"""What became of a piece that is not cut: whether it goes out of date."""

FEW = 3  # lots of pieces that are told one by one; more are told by the piece


@dataclass(frozen=True, slots=True)
class Group:
    """Rows of a table that belong together, and lines that stand above and below them.

    `species` is empty where the scenario has only one, and where `above` says what they are.
    """

    species: str
    rows: Sequence[Sequence[str]]
    below: Sequence[str] = ()
    above: Sequence[str] = ()


def inset(scenario: Scenario) -> int:
    """By how much lines are set in: not at all with one species."""
    return INSET if len(scenario.recipes) > 1 else 0


def by_species(
    scenario: Scenario, things: Sequence[T], species: Callable[[Any], str] = attrgetter("species")
) -> list[tuple[str, list[T]]]:
    """Things by their species, in the order of the recipes, those of several species last.

    With one species all of them under an empty name. Nothing for a species that has none.
    """
    if not inset(scenario):
        return [("", list(things))] if things else []
    groups: dict[str, list[T]] = {recipe.species: [] for recipe in scenario.recipes}
    groups[MIXED] = []
    for each in things:
        groups[species(each)].append(each)
    return [(name, group) for name, group in groups.items() if group]


def heading(species: str) -> list[str]:
    """The line above what belongs to a species; none with one species."""
    if not species:
        return []
    name = "of several species" if species == MIXED else clip(species, 40)
    return [f"  {name.upper()}"]


def grouped_table(
    groups: Sequence[Group],
    heads: Sequence[str],
    align: Sequence[str],
    width: int = WIDTH,
    flexible: Sequence[int] = (),
) -> str:
    """One `fitted_table` over all groups, each under the name of its species."""
    rows = [row for group in groups for row in group.rows]
    space = " " * INSET if any(group.species or group.above for group in groups) else ""
    fitted = fitted_table(rows, heads, align, width - len(space), flexible)
    lines = [f"{space}{line}" for line in fitted.split("\n")]
    text = [lines.pop(0)] if heads else []
    for group in groups:
        text += [*heading(group.species), *group.above]
        text += [lines.pop(0) for _ in group.rows]
        text += group.below
    return "\n".join(text)


def species_table(
    scenario: Scenario,
    things: Sequence[T],
    row: Callable[[T], Sequence[str]],
    heads: Sequence[str],
    align: Sequence[str],
    species: Callable[[Any], str] = attrgetter("species"),
) -> str:
    """A row for each of several things, by species; the first column gives way."""
    groups = by_species(scenario, things, species)
    told = [Group(name, [row(each) for each in group]) for name, group in groups]
    return grouped_table(told, heads, align, WIDTH, (0,))


def lines_by_species(
    scenario: Scenario,
    things: Sequence[T],
    show: Callable[[T, int], Sequence[str]],
    species: Callable[[Any], str] = attrgetter("species"),
    width: int = WIDTH,
) -> list[str]:
    """Lines for things, no wider than told, under a line for each species if there are several."""
    lines, room = [], width - inset(scenario)
    for name, group in by_species(scenario, things, species):
        margin = " " * inset(scenario)
        lines += heading(name)
        lines += [f"{margin}{line}" for each in group for line in show(each, room)]
    return lines


def piece_name(scenario: Scenario, species: str, piece: str) -> str:
    """`lamb leg` where there are several species, `leg` where there is one."""
    told = not inset(scenario) or piece.startswith(f"{species} ")
    return piece if told else f"{species} {piece}"


def lot_name(scenario: Scenario, lot: Lot) -> str:
    """`lamb`, `lamb leg`, `beef hindquarter`."""
    species = lot.recipe.species
    return species if lot.name == species else piece_name(scenario, species, lot.piece)


def lot_label(scenario: Scenario, number: int, room: int = WIDTH) -> str:
    """`mon lamb, 58.0 lb each`: which lot is meant."""
    lot = scenario.lots[number]
    day = scenario.day_labels[lot.arrives]
    weight = f", {scenario.units.weight(lot.weight)} each"
    name = clip(lot_name(scenario, lot), min(30, room - len(f"{day} {weight}")))
    return f"{day} {name}{weight}"
