"""The rest of the week planned after what really happened, beside the plan that was made before."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import product

from planner.ask.change_base import ChangedFact
from planner.ask.changed_events import Happened
from planner.ask.changed_files import rewritten, same_files, small
from planner.ask.keep_posted import List, Repair, list_alone, list_of, repaired_plan
from planner.ask.posted_obstacles import Hindrance, hindrances
from planner.core.recipe import full_name, piece_shares
from planner.core.scenario import Scenario
from planner.journal.entries import Recorded
from planner.shop.plans.facts import digest
from planner.shop.plans.posted import KeptPlan, still_listed
from planner.shop.stock.name_lookup import Known
from planner.shop.week.now import ShopState
from planner.solve import Options
from planner.solve.engine import Progress
from planner.solve.plan import Plan

REASONS = 3
"""Reasons that are told for one change."""

_FIRST = (
    "rule", "way", "shop", "keeps", "minutes", "markdown", "markdown want", "offer", "offer cost",
)  # fmt: skip
"""Kinds that the user has written, and that no money is counted of: told first."""

SCRAPS = ("bone", "fat")
"""Kinds that fall off every piece: more or fewer of them is no reason for a way."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where some pieces stand on a list: the day, and the way."""

    day: date
    way: str


@dataclass(frozen=True, slots=True)
class ListChange:
    """Pieces that stand elsewhere on the new list, or on one of the two only.

    Attributes
    ----------
    before, after : Spot or None
    why : tuple of int
        Places, in the `facts` of the replan, of what touches the piece or what it gives.
    """

    species: str
    piece: str
    count: int
    before: Spot | None
    after: Spot | None
    why: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PurchaseChange:
    """Head that the plan buys otherwise than before."""

    day: date
    species: str
    piece: str
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class Replan:
    """A plan beside the one that was kept before.

    Attributes
    ----------
    entry : int
        Number of the entry of the plan before, which is `kept`.
    repair : Repair
        The plan now, and what was looked at beside it.
    listed : int
        Pieces that were still on its list.
    changes : tuple of ListChange
        By day, then in the order of the recipes.
    facts : tuple of ChangedFact
        What is otherwise than that plan expected, the greatest first.
    hindrances : tuple of Hindrance
        Why its list cannot be kept whole, where it cannot.
    alike : bool
        Whether nothing at all is otherwise, however small; so only on the first day of that plan.
    shop_alike : bool or None
        Whether nothing at all is otherwise in the files of the shop, and in what is learned; None
        where that was not kept.
    """

    entry: int
    kept: KeptPlan
    repair: Repair
    listed: int
    changes: tuple[ListChange, ...]
    bought: tuple[PurchaseChange, ...]
    facts: tuple[ChangedFact, ...]
    hindrances: tuple[Hindrance, ...]
    alike: bool = False
    shop_alike: bool | None = None

    @property
    def plan(self) -> Plan:
        """The plan now."""
        return self.repair.plan

    @property
    def nothing(self) -> bool:
        """Whether the list stays and nothing is otherwise."""
        return not (self.changes or self.bought or self.facts)


@dataclass(frozen=True, slots=True)
class Before:
    """A plan that was kept, with the number of its entry, and what counts of the journal.

    Attributes
    ----------
    later : tuple of int and KeptPlan, or None
        A plan that was kept after it for later days only: their list is on the wall.
    """

    entry: int
    kept: KeptPlan
    recorded: Sequence[Recorded]
    later: tuple[int, KeptPlan] | None = None

    def listed(self, scenario: Scenario) -> Counter[tuple[str, str, int]]:
        """What is still to be done of the list, as the scenario calls it and counts its days."""
        known = Known(scenario)
        left = still_listed(self.kept, self.entry, self.recorded, scenario.starts)
        if self.later:
            entry, plan = self.later
            left = Counter({key: count for key, count in left.items() if key[0] < plan.first})
            left += still_listed(plan, entry, self.recorded, plan.first)
        found: Counter[tuple[str, str, int]] = Counter()
        for (day, full, way), count in left.items():
            piece = known.piece(full)
            found[piece.name if piece else full, way, (day - scenario.starts).days] += count
        return found


def replan(
    before: Before,
    state: ShopState,
    options: Options,
    allowance: float,
    progress: Progress | None = None,
) -> Replan:
    """Plan the rest of a week, and put it beside the plan before.

    `allowance` is money that keeping to the list may cost.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        As planning the week does.
    """
    now = state.scenario
    listed = before.listed(now)
    found = _as_before(before, now, options, allowance)
    found = found or repaired_plan(now, listed, options, allowance, progress)
    both = Happened(before.kept, before.entry, state)
    facts = [*both.found(), *rewritten(both)]
    facts.sort(key=lambda fact: (fact.kind not in _FIRST, -fact.money))
    changes = _changes(listed, found.plan)
    bought = tuple(_bought(before.kept, found.plan))
    facts = [fact for fact in facts if changes or bought or not small(fact)]
    return Replan(
        entry=before.entry,
        kept=before.kept,
        repair=found,
        listed=sum(listed.values()),
        changes=tuple(replace(each, why=_why(now, each, facts)) for each in changes),
        bought=bought,
        facts=tuple(facts),
        alike=before.kept.facts == digest(now),
        shop_alike=same_files(both),
        hindrances=hindrances(now, listed) if listed and not (found.whole or found.late) else (),
    )


def _as_before(before: Before, now: Scenario, options: Options, allowance: float) -> Repair | None:
    """The plan before, where nothing at all has changed and it is as close as is asked for now.

    What was proven of it then holds still, so that nothing has to be searched. None otherwise, and
    where it was held to a list: what that costs, and whether it may, is found anew.
    """
    if before.kept.facts != digest(now) or before.later or before.kept.best is not None:
        return None
    plan = rebuilt(before, now, options)
    if plan is None:
        return None
    allowed = max(options.share * abs(plan.score), options.amount)
    if plan.within > allowed + allowance:
        return None
    plan = replace(plan, status="within tolerance" if plan.within <= allowed else "held")
    return Repair(plan, plan, plan, True, "all", allowance)


def rebuilt(before: Before, now: Scenario, options: Options) -> Plan | None:
    """The plan with the whole list that was kept; None where it cannot be kept."""
    plan = list_alone(now, before.listed(now), options)
    if plan is None or before.kept.facts != digest(now) or before.later:
        return plan
    return replace(plan, bound=max(before.kept.bound, plan.score))


def _changes(listed: List, plan: Plan) -> list[ListChange]:
    """Fewer of a piece here and more there are the same pieces: in the order of `_PAIRS`."""
    scenario = plan.scenario
    one, two = Counter(listed), list_of(plan)
    species = {piece: each.species for each in scenario.recipes for piece in each.pieces}
    known = (piece.name for recipe in scenario.recipes for piece, _ in recipe.ways())
    found = []
    for name in dict.fromkeys([*known, *(piece for piece, _, _ in one)]):
        fewer, more = (
            {
                Spot(scenario.date(day), way): count
                for (piece, way, day), count in sorted(left.items())
                if piece == name
            }
            for left in (one - two, two - one)
        )
        for before, after, count in _paired(fewer, more):
            found.append(ListChange(species.get(name, ""), name, count, before, after))
    return sorted(found, key=lambda each: min(s.day for s in (each.before, each.after) if s))


_PAIRS: tuple[Callable[[Spot, Spot], bool], ...] = (
    lambda was, now: was.day == now.day,  # another way on the same day
    lambda was, now: was.way == now.way,  # another day
    lambda was, now: True,
)


def _paired(
    fewer: dict[Spot, int], more: dict[Spot, int]
) -> Iterator[tuple[Spot | None, Spot | None, int]]:
    for alike in _PAIRS:
        for was, now in product(fewer, more):
            count = min(fewer[was], more[now])
            if count and alike(was, now):
                fewer[was], more[now] = fewer[was] - count, more[now] - count
                yield was, now, count
    yield from ((was, None, count) for was, count in fewer.items() if count)
    yield from ((None, now, count) for now, count in more.items() if count)


def _bought(kept: KeptPlan, plan: Plan) -> Iterator[PurchaseChange]:
    """Head of offers: those of the plan before on days to come, and those of now."""
    scenario = plan.scenario
    before: Counter[tuple[date, str]] = Counter()
    after: Counter[tuple[date, str]] = Counter()
    lots = {}
    for lot in scenario.lots:
        if lot.up_to:
            key = (scenario.date(lot.arrives), full_name(lot.recipe.species, lot.piece))
            lots[key] = lot
            after[key] += plan.head(lot)
    for each in kept.arrivals:
        if each.offer and (each.day, each.what) in lots:
            before[each.day, each.what] += each.head
    for key, lot in lots.items():
        if before[key] != after[key]:
            yield PurchaseChange(key[0], lot.recipe.species, lot.piece, before[key], after[key])


def _why(scenario: Scenario, change: ListChange, facts: Sequence[ChangedFact]) -> tuple[int, ...]:
    """What touches the piece of a change, what it is cut from, or what it gives: at most a few."""
    names = _touched(scenario, change)
    days = {each.day for each in (change.before, change.after) if each}

    def touches(fact: ChangedFact) -> bool:
        if fact.kind in ("day", "shop"):
            return True
        if fact.kind == "bench":
            return fact.day in days
        if fact.kind == "rule":
            return any(f"{name}:" in fact.what for name in names)
        return bool({fact.what, fact.gives} & names)

    return tuple([number for number, fact in enumerate(facts) if touches(fact)][:REASONS])


def _touched(scenario: Scenario, change: ListChange) -> set[str]:
    """The piece, what it is cut from, what its ways give, and blends of their trim."""
    recipe = next((each for each in scenario.recipes if change.piece in each.pieces), None)
    if recipe is None:
        return {change.piece}
    ways, cuts = recipe.pieces[change.piece].ways, scenario.cuts
    names = {piece for piece in recipe.pieces if change.piece in piece_shares(recipe, piece)}
    changed = [ways[s.way] for s in (change.before, change.after) if s and s.way in ways]
    given = [each.name for way in changed for each in way.pieces]
    below = [piece for each in given for piece in piece_shares(recipe, each)]
    further = [way for piece in below for way in recipe.pieces[piece].ways.values()]
    names |= {*below, *(cut.name for way in (*changed, *further) for cut in way.cuts)}
    trim = {name for name in names if name in cuts and cuts[name].kind == "trim"}
    names |= {name for name, blend in scenario.blends.items() if trim & {*blend.takes}}
    return {change.piece, *(n for n in names if n not in cuts or cuts[n].kind not in SCRAPS)}
