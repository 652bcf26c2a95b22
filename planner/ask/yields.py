"""What a point of yield is worth in a week: 1% of a piece, moved to the main cut of a way.

The point is taken from what falls into the trays and from what is lost (trim, fat, bones, loss),
from each in proportion, so that the way still adds up to 100%: a better knife leaves less on the
bone and less in the trim. First what it earns with the breaks as planned, which is quick and exact
to a cent; then, dearest first and as long as there is time, the difference between the best plans
with and without it, of which an interval is proven.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Collection, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace

from planner.ask.comparison import Comparer, Difference
from planner.ask.main_cut import main_cut
from planner.core.errors import NoPlanInTimeError
from planner.core.recipe import Recipe, Way
from planner.core.scenario import Scenario
from planner.solve import Options, Search
from planner.solve.engine import Progress
from planner.solve.model import BreakModel
from planner.solve.plan import Plan, make_plan, planned

POINT = 0.01
"""What butchers call a point of yield: 1%. Common practice, no source."""

HELD_EXACT = 0.005
"""Money by which a plan with its breaks held may be below the best of those: less than is shown."""

FOR_THE_PLAN = 0.5
"""Part of the time that the first plan may take. From trying it, no source."""

FOR_ONE = 0.3
"""Part of the time left that one plan may take: two are compared, and both perhaps again.

From trying it, no source.
"""

PATIENCE = 10.0
"""Seconds for one such plan: it has few decisions left. From trying it, no source."""

Way3 = tuple[str, str, str]
"""Species, piece and way."""


@dataclass(frozen=True, slots=True)
class PointWorth:
    """What a point more of its main cut is worth, of one way.

    Attributes
    ----------
    count : int
        How many pieces the plan cuts so.
    held : float or None
        Money it earns with the breaks as planned; None where there was no time to ask.
    difference : Difference or None
        Of the best plans; None where there was no time to ask.
    """

    species: str
    piece: str
    way: str
    cut: str
    count: int
    held: float | None
    difference: Difference | None


@dataclass(frozen=True, slots=True)
class Worths:
    """The plan, and what a point is worth in it for the ways that were asked about."""

    plan: Plan
    points: tuple[PointWorth, ...]


def worths(
    scenario: Scenario,
    pieces: Collection[tuple[str, str]] = (),
    options: Options | None = None,
    progress: Progress | None = None,
    count: Callable[[int, int], None] | None = None,
) -> Worths:
    """What a point of yield is worth for the ways that the plan uses.

    Or for all ways of some `pieces`, by species and name, whether it uses them or not, and no
    others. `options.seconds` is for all of it; what has no turn in that time is not asked.
    `progress` is told of the search for the first plan, `count` how many ways are done.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        There is no plan.
    """
    asked = options or Options()
    ends = time.perf_counter() + asked.seconds
    comparer = Comparer(scenario, replace(asked, seconds=asked.seconds * FOR_THE_PLAN), progress)
    plan, close = comparer.shown, None
    used: Counter[Way3] = Counter()
    for each in plan.breaks:
        used[each.species, each.piece, each.way] += each.count
    better = {
        (*key, cut): _with_way(scenario, key, with_point(scenario, way, cut))
        for key, way in _on_the_rail(scenario).items()
        if (key[:2] in pieces if pieces else key in used)
        and (cut := main_cut(scenario, way)) is not None
        and _spare(scenario, way, cut) >= POINT
    }
    held = Search(_held(scenario, plan), Options(share=0.0, amount=HELD_EXACT, seconds=PATIENCE))
    score = make_plan(scenario, planned(held)).score
    points = {}
    for place, other in better.items():
        times, earns = used[place[:3]], None
        if not times:
            earns = 0.0
        elif time.perf_counter() <= ends:
            held.change(_held(other, plan))
            earns = make_plan(other, planned(held)).score - score
        points[place] = PointWorth(*place, times, earns, None)
        if count:
            count(0, len(better))
    order = sorted(points, key=lambda place: -(points[place].held or 0.0))
    for number, place in enumerate(order, 1):
        left = ends - time.perf_counter()
        if left <= 0:
            break
        comparer.options = replace(asked, seconds=left * FOR_ONE)
        with suppress(NoPlanInTimeError):
            difference = comparer.difference(better[place], plan, close)
            close = difference.close or close
            points[place] = replace(points[place], difference=difference)
        if count:
            count(number, len(order))
    return Worths(plan, tuple(points.values()))


def _held(scenario: Scenario, plan: Plan) -> BreakModel:
    """The model with the breaks of a plan held, so that only what is sold and ground can change."""
    model = BreakModel(scenario)
    model.cut_as(plan.decided.breaks)
    return model


def with_point(scenario: Scenario, way: Way, cut: str) -> Way:
    """The way with a point more of a cut, taken from its trays and its loss."""
    left = 1 - POINT / _spare(scenario, way, cut)
    trays = _trays(scenario, way, cut)
    cuts = tuple(
        replace(each, share=each.share + POINT / each.count)
        if each.name == cut
        else replace(each, share=each.share * left)
        if each.name in trays
        else each
        for each in way.cuts
    )
    return replace(way, cuts=cuts, loss=way.loss * left)


def _trays(scenario: Scenario, way: Way, cut: str) -> set[str]:
    return {each.name for each in way.cuts if each.name != cut and scenario.cuts[each.name].in_tray}


def _spare(scenario: Scenario, way: Way, cut: str) -> float:
    trays = _trays(scenario, way, cut)
    return way.loss + sum(each.share for each in way.cuts if each.name in trays)


def _on_the_rail(scenario: Scenario) -> Mapping[Way3, Way]:
    """Every way of every piece that is there or comes from what is."""
    ways: dict[Way3, Way] = {}
    for lot in scenario.lots:
        for piece, way in scenario.ways(lot):
            ways.setdefault((lot.recipe.species, piece.name, way.name), way)
    return ways


def _with_way(scenario: Scenario, key: Way3, way: Way) -> Scenario:
    """The scenario with another way of that name, in the recipes of its lots too."""
    species, name, _ = key

    def changed(recipe: Recipe) -> Recipe:
        if recipe.species != species or name not in recipe.pieces:
            return recipe
        piece = recipe.pieces[name]
        ways = {**piece.ways, way.name: way}
        return replace(recipe, pieces={**recipe.pieces, name: replace(piece, ways=ways)})

    recipes = tuple(map(changed, scenario.recipes))
    lots = tuple(replace(lot, recipe=changed(lot.recipe)) for lot in scenario.lots)
    return replace(scenario, recipes=recipes, lots=lots)
