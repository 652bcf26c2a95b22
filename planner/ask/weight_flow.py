"""Where the weight of a period goes: from what hangs to pieces, cuts, blends and their ends."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from planner.core.plan_lines import CutLine
from planner.core.recipe import recipe_with
from planner.core.scenario import Lot
from planner.solve.plan import Plan

Stage = Literal["hangs", "piece", "cut", "blend", "fate"]
STAGES: tuple[Stage, ...] = ("hangs", "piece", "cut", "blend", "fate")
"""Stages of the weight, first to last; weight may pass some of them by, and never goes back."""

FATES = ("sold", "left", "out of date", "loss")
"""How weight ends. `left` is in date on the day after the last, `loss` is gone in cutting."""

CASE = "case"
"""Name of the weight that lay in the case when the period opened."""

ADDED = "seasoning, water"
"""Name of the weight that blends take besides cuts."""

SMALL = 0.015
"""Share of all weight below which cuts of a kind, or blends, are put together."""

OTHERS = {
    "roast": "other roasts",
    "chop": "other chops",
    "steak": "other steaks",
    "braise": "other braising",
    "stew": "other stew meat",
    "trim": "other trim",
    "fat": "other fat",
    "bone": "other bones",
    "offal": "other offal",
}
"""What small cuts of a kind are called together."""

OTHER_BLENDS = "other blends"

ROUNDING = 1e-9
"""Pounds that are left over where the shares of a way are added up in floating point."""


@dataclass(frozen=True, slots=True)
class Node:
    """Something weight comes from, passes through or ends in.

    `name` is a species that hangs, a piece, cut, blend or fate; `species` is empty for the case,
    what is added, small cuts together, and fates; `together` has the names of the small ones that
    are put together here; `weight` is the pounds that pass.
    """

    stage: Stage
    name: str
    species: str
    together: tuple[str, ...]
    weight: float


@dataclass(frozen=True, slots=True)
class Link:
    """Pounds that go from one node to another, both by their place among the nodes."""

    source: int
    target: int
    weight: float


@dataclass(frozen=True, slots=True)
class WeightFlow:
    """Where the weight of a period goes, in pounds.

    What comes into a node goes out of it: nodes without anything coming in are where weight comes
    from, and those of stage `fate` where it ends.

    A lot that is itself a piece hangs as its species and stands among the pieces as that piece.
    Among the pieces are those that roots give; what these give in turn is counted as theirs. A cut
    sold by each has the weight of its share of the piece. What of it lay in the case has no weight
    that anyone knows and is left out: what was made then ends as the whole of it did, in
    proportion. What of a cut lay in the case and what was made is not told apart otherwise either.
    """

    nodes: tuple[Node, ...]
    links: tuple[Link, ...]

    @property
    def weight(self) -> float:
        """Pounds in all, which is what ends."""
        return sum(node.weight for node in self.nodes if node.stage == "fate")


_Key = tuple[Stage, str, str]
"""Stage, name, and a word where the name is ours and not the user's: they may be alike."""


_Flow = dict[tuple[_Key, _Key], float]
"""Pounds from one node to another."""


def _add(flow: _Flow, source: _Key, target: _Key, weight: float) -> None:
    if weight > ROUNDING:
        flow[source, target] = flow.get((source, target), 0.0) + weight


def weight_flow(plan: Plan) -> WeightFlow:
    """Where the weight of a plan's period goes."""
    flow: _Flow = {}
    for stock in plan.scenario.case:
        if not plan.scenario.cuts[stock.cut].by_each:
            _add(flow, ("hangs", CASE, "case"), _thing(plan, stock.cut), stock.amount)
    for lot in plan.scenario.lots:
        _come_apart(plan, lot, flow)
    for line in sorted(plan.cuts, key=lambda line: line.cut in plan.scenario.blends):
        _end(plan, line, flow)  # a blend after what it is made from
    return _frozen(plan, *_put_together(plan, flow))


def _key(stage: Stage, name: str) -> _Key:
    return stage, name, ""


def _thing(plan: Plan, name: str) -> _Key:
    return _key("blend" if name in plan.scenario.blends else "cut", name)


def _come_apart(plan: Plan, lot: Lot, flow: _Flow) -> None:
    """A lot to cuts, loss, and what is not cut.

    `made[piece][owner]` counts the pieces by what stands among the pieces for them; a piece that
    several of these give is shared out among them in proportion.
    """
    hangs = first = _key("hangs", lot.recipe.species)
    breaks = [each for each in plan.breaks if each.lot == lot.index]
    uncut = [each for each in plan.uncut if each.lot == lot.index]
    weights = lot.weights()
    made: dict[str, dict[_Key, float]] = {name: defaultdict(float) for name in weights}
    pieces = [(each.piece, each.count) for each in breaks]
    pieces += [(each.piece, each.count) for each in uncut]
    there = float(sum(n for piece, n in pieces if piece == lot.piece))
    if lot.piece not in lot.recipe.roots:
        first = _key("piece", lot.piece)
        _add(flow, hangs, first, there * lot.weight)
    made[lot.piece][first] = there
    for name, weight in weights.items():
        number = sum(made[name].values())
        for owner, part in made[name].items():
            share = part / number if number else 0.0
            for each in (each for each in breaks if each.piece == name):
                way = lot.recipe.pieces[name].ways[each.way]
                pounds = each.count * weight * share
                for given in way.pieces:
                    below = _key("piece", given.name) if owner == hangs else owner
                    made[given.name][below] += each.count * given.count * share
                    if below != owner:
                        _add(flow, owner, below, pounds * given.count * given.share)
                for given in way.cuts:
                    cut = _thing(plan, given.name)
                    _add(flow, owner, cut, pounds * given.count * given.share)
                given_away = sum(each.count * each.share for each in (*way.pieces, *way.cuts))
                _add(flow, owner, _key("fate", "loss"), pounds * (1 - given_away))
            for left in (each for each in uncut if each.piece == name):
                fate = "out of date" if left.wasted else "left"
                _add(flow, owner, _key("fate", fate), left.weight * share)


def _end(plan: Plan, line: CutLine, flow: _Flow) -> None:
    """How a cut or a blend ends: all that came in, divided as the plan's line divides it."""
    thing = _thing(plan, line.cut)
    into = sum(weight for (_, target), weight in flow.items() if target == thing)
    # what a blend lost in the making is gone already
    weight = into - sum(weight for (source, _), weight in flow.items() if source == thing)
    ends = {
        _key("fate", "sold"): line.sold,
        _key("fate", "left"): line.left,
        _key("fate", "out of date"): line.wasted,
    }
    for batch in plan.batches:
        blend = _key("blend", batch.blend)
        ends[blend] = ends.get(blend, 0.0) + batch.takes.get(line.cut, 0.0)
    amount = sum(ends.values())
    if not amount:
        ends, amount = {_key("fate", "left"): 1.0}, 1.0
    for end, part in ends.items():
        pounds = weight * part / amount
        _add(flow, thing, end, pounds)
        if end[0] == "blend":  # what is added comes in, and what is lost goes out at once
            recipe = plan.scenario.blends[end[1]]
            _add(flow, ("cut", ADDED, "added"), end, pounds * recipe.added)
            _add(flow, end, _key("fate", "loss"), pounds * (1 + recipe.added) * recipe.loss)


def _put_together(plan: Plan, flow: _Flow) -> tuple[_Flow, dict[_Key, tuple[str, ...]]]:
    """The flow with small cuts of a kind as one where there are several, and what these are."""
    passing = _passing(flow)
    least = SMALL * sum(weight for key, weight in passing.items() if key[0] == "fate")
    small: dict[_Key, list[_Key]] = defaultdict(list)
    for key, weight in passing.items():
        if weight < least and not key[2]:
            if key[0] == "blend":
                small["blend", OTHER_BLENDS, "blend"].append(key)
            elif key[0] == "cut":
                kind = plan.scenario.cuts[key[1]].kind
                small["cut", OTHERS[kind], kind].append(key)
    small = {whole: keys for whole, keys in small.items() if len(keys) > 1}
    one = {key: whole for whole, keys in small.items() for key in keys}
    together: _Flow = {}
    for (source, target), weight in flow.items():
        _add(together, one.get(source, source), one.get(target, target), weight)
    return together, {whole: tuple(key[1] for key in keys) for whole, keys in small.items()}


def _passing(flow: _Flow) -> dict[_Key, float]:
    """Pounds that pass each node: what comes in, or what goes out where nothing does."""
    into: dict[_Key, float] = defaultdict(float)
    out: dict[_Key, float] = defaultdict(float)
    for (source, target), weight in flow.items():
        out[source] += weight
        into[target] += weight
    return {key: into[key] if key in into else out[key] for key in dict.fromkeys([*out, *into])}


def _frozen(plan: Plan, flow: _Flow, small: Mapping[_Key, tuple[str, ...]]) -> WeightFlow:
    """Nodes stage by stage, fates in their order, the others as they came up."""
    passing = _passing(flow)
    keys = sorted(passing, key=lambda key: STAGES.index(key[0]))
    first = next((at for at, key in enumerate(keys) if key[0] == "fate"), len(keys))
    keys[first:] = sorted(keys[first:], key=lambda key: FATES.index(key[1]))
    place = {key: at for at, key in enumerate(keys)}
    return WeightFlow(
        nodes=tuple(
            Node(key[0], key[1], _species(plan, key), small.get(key, ()), passing[key])
            for key in keys
        ),
        links=tuple(
            Link(place[source], place[target], weight) for (source, target), weight in flow.items()
        ),
    )


def _species(plan: Plan, key: _Key) -> str:
    stage, name, whole = key
    if stage == "fate" or whole:
        return ""
    if stage == "hangs":
        return name
    if stage == "piece":
        return recipe_with(plan.scenario.recipes, name).species
    return plan.scenario.cuts[name].species
