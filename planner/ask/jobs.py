"""The cutting of a day as jobs, in the order in which the work is done."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from planner.core.plan_lines import Break, way_cut
from planner.core.recipe import piece_shares
from planner.core.stock_replay import DUST, DayStock, PieceStock, Use
from planner.solve.plan import Plan

PieceOf: TypeAlias = tuple[int, str]
"""A lot and a piece of it."""

FIRST_TOOL = "saw"
"""Saw work comes first: what is sawn apart is then finished with the knife."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """An order that waits for some of what a job gives: pounds, or each."""

    buyer: str
    cut: str
    day: int
    amount: float


@dataclass(frozen=True, slots=True)
class JobOutput:
    """What a job gives: pieces and cuts sold by each have a count, all have pounds."""

    name: str
    count: int | None
    pounds: float


@dataclass(frozen=True, slots=True)
class OutputOfOne:
    """What one piece gives of a thing: how many (None: by weight), which share of its weight."""

    name: str
    count: int | None
    share: float

    def of(self, number: int, pounds: float) -> JobOutput:
        """What so many pieces of so much weight together give."""
        count = None if self.count is None else self.count * number
        return JobOutput(self.name, count, self.share * pounds)


@dataclass(frozen=True, slots=True)
class Job:
    """Alike pieces cut alike on a day, those of several lots together.

    Attributes
    ----------
    breaks : tuple of Break
        One for each lot.
    head : bool
        Whether it is the break: of what hangs, into pieces.
    gives_each, trays_each : tuple of OutputOfOne
        What one piece gives: pieces, then cuts for the case; and trim, fat and bones for trays.
    waiting : tuple of Waiting
        The orders that get some of it, today or later.
    """

    species: str
    piece: str
    way: str
    tool: str
    breaks: tuple[Break, ...]
    head: bool
    gives_each: tuple[OutputOfOne, ...]
    trays_each: tuple[OutputOfOne, ...]
    waiting: tuple[Waiting, ...]

    def part(self, lots: Mapping[int, int]) -> tuple[tuple[JobOutput, ...], tuple[JobOutput, ...]]:
        """What so many pieces of each lot give: for the next job or the case, and for trays."""
        number = sum(lots.values())
        pounds = sum(lots.get(each.lot, 0) * each.weight / each.count for each in self.breaks)
        gives, trays = (
            tuple(each.of(number, pounds) for each in yields)
            for yields in (self.gives_each, self.trays_each)
        )
        return gives, trays

    @property
    def lots(self) -> Mapping[int, int]:
        """How many pieces of each lot."""
        return {each.lot: each.count for each in self.breaks}

    @property
    def gives(self) -> tuple[JobOutput, ...]:
        """What all of them give for the next job or the case."""
        return self.part(self.lots)[0]

    @property
    def trays(self) -> tuple[JobOutput, ...]:
        """What all of them give for trays."""
        return self.part(self.lots)[1]

    @property
    def count(self) -> int:
        """How many pieces."""
        return sum(each.count for each in self.breaks)

    @property
    def pounds(self) -> float:
        """Weight of all of them."""
        return sum(each.weight for each in self.breaks)

    @property
    def minutes(self) -> float:
        """Bench time of all of them."""
        return sum(each.minutes for each in self.breaks)


def jobs_of(plan: Plan, day: int) -> tuple[Job, ...]:
    """The jobs of a day in the order of the work: the break, saw work, then knife work."""
    grouped: dict[tuple[str, str, str], list[Break]] = defaultdict(list)
    for each in plan.breaks:
        if each.day == day:
            grouped[each.species, each.piece, each.way].append(each)
    order = [
        (recipe.species, piece.name, way.name)
        for recipe in plan.scenario.recipes
        for piece, way in recipe.ways()
    ]
    waiting = _waiting(plan, day)
    jobs = [_job(plan, grouped[key], waiting) for key in order if key in grouped]
    return _in_order(plan, _parents_first(plan, jobs), plan.stock.pieces[day])


def _job(plan: Plan, breaks: Sequence[Break], waiting: Mapping[Break, Sequence[Waiting]]) -> Job:
    scenario = plan.scenario
    way = way_cut(scenario, breaks[0])
    gives = [OutputOfOne(each.name, each.count, each.count * each.share) for each in way.pieces]
    trays: list[OutputOfOne] = []
    for each in way.cuts:
        cut = scenario.cuts[each.name]
        given = OutputOfOne(cut.name, each.count if cut.by_each else None, each.count * each.share)
        (trays if cut.in_tray else gives).append(given)
    recipe = scenario.lots[breaks[0].lot].recipe
    return Job(
        species=breaks[0].species,
        piece=breaks[0].piece,
        way=breaks[0].way,
        tool=way.tool,
        breaks=tuple(breaks),
        head=breaks[0].piece in recipe.roots and bool(way.pieces),
        gives_each=tuple(gives),
        trays_each=tuple(trays),
        waiting=added_up([each for done in breaks for each in waiting.get(done, ())]),
    )


def _waiting(plan: Plan, day: int) -> Mapping[Break, Sequence[Waiting]]:
    """For every break of a day the orders that get some of what it gives."""
    found: dict[Break, list[Waiting]] = defaultdict(list)
    for use in orders_of(line for today in plan.stock.cuts[day:] for line in today.values()):
        maker = use.part.origin
        if isinstance(maker, Break) and maker.day == day:
            found[maker].append(waiting_for(use))
    return found


def orders_of(lines: Iterable[DayStock]) -> Iterator[Use]:
    """What orders take of some cuts on some days, part by part."""
    return (use for line in lines for use in line.uses if use.ordered)


def waiting_for(use: Use) -> Waiting:
    """The order that a part of a cut is for."""
    return Waiting(use.to, use.cut, use.day, use.part.amount)


def added_up(waiting: Sequence[Waiting]) -> tuple[Waiting, ...]:
    """The same buyer's of several lots as one."""
    amounts: dict[tuple[str, str, int], float] = defaultdict(float)
    for each in waiting:
        amounts[each.buyer, each.cut, each.day] += each.amount
    found = [Waiting(*key, amount) for key, amount in amounts.items() if amount > DUST]
    return tuple(sorted(found, key=lambda each: (each.day, each.buyer, each.cut)))


def _parents_first(plan: Plan, jobs: Sequence[Job]) -> list[Job]:
    """In the order in which pieces come off the carcass, whatever the order in the recipe."""
    shares = [
        piece_shares(recipe, root) for recipe in plan.scenario.recipes for root in recipe.roots
    ]
    order = list(dict.fromkeys(piece for each in shares for piece in each))
    return sorted(jobs, key=lambda job: order.index(job.piece))


def pieces_given(plan: Plan, each: Break) -> Mapping[PieceOf, int]:
    """The pieces that one piece of a break gives."""
    return {(each.lot, given.name): given.count for given in way_cut(plan.scenario, each).pieces}


def needs(job: Job) -> Counter[PieceOf]:
    """How many pieces of which lot a job takes."""
    return Counter({(each.lot, each.piece): each.count for each in job.breaks})


def yields(plan: Plan, job: Job) -> Counter[PieceOf]:
    """How many pieces of which lot a job gives."""
    return Counter(
        {
            piece: each.count * count
            for each in job.breaks
            for piece, count in pieces_given(plan, each).items()
        }
    )


def there(pieces: Sequence[PieceStock]) -> Counter[PieceOf]:
    """How many pieces of which lot lie there before anyone begins."""
    return Counter({(each.lot, name): count for each in pieces for name, count in each.had.items()})


def _in_order(plan: Plan, jobs: list[Job], pieces: Sequence[PieceStock]) -> tuple[Job, ...]:
    """The break first; then as long as possible with one tool before the next is taken up."""
    waiting, done, have = list(jobs), [], there(pieces)
    tools = list(dict.fromkeys([FIRST_TOOL, *(job.tool for job in jobs)]))
    tool = FIRST_TOOL
    while waiting:
        ready = [job for job in waiting if needs(job) <= have]
        heads = [job for job in ready if job.head]
        if not heads and not any(job.tool == tool for job in ready):
            tool = next(each for each in tools if any(job.tool == each for job in ready))
        job = heads[0] if heads else next(job for job in ready if job.tool == tool)
        have -= needs(job)
        have += yields(plan, job)
        waiting.remove(job)
        done.append(job)
    return tuple(done)
