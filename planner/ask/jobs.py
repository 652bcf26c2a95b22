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

    def times(self, number: int, pounds: float) -> JobOutput:
        """The same of so many pieces of so much weight together, this being of one of a pound."""
        count = None if self.count is None else self.count * number
        return JobOutput(self.name, count, self.pounds * pounds)


@dataclass(frozen=True, slots=True)
class Job:
    """Alike pieces cut alike on a day, those of several lots together.

    Attributes
    ----------
    breaks : tuple of Break
        One for each lot.
    head : bool
        Whether it is the break: of what hangs, into pieces.
    gives_each, trays_each : tuple of JobOutput
        What a piece of one pound gives: pieces, then cuts for the case; and trim, fat and bones for
        trays.
    waiting : tuple of Waiting
        The orders that get some of it, today or later.
    """

    species: str
    piece: str
    way: str
    tool: str
    breaks: tuple[Break, ...]
    head: bool
    gives_each: tuple[JobOutput, ...]
    trays_each: tuple[JobOutput, ...]
    waiting: tuple[Waiting, ...]

    def part(self, lots: Mapping[int, int]) -> tuple[tuple[JobOutput, ...], tuple[JobOutput, ...]]:
        """What so many pieces of each lot give: for the next job or the case, and for trays."""
        number = sum(lots.values())
        pounds = sum(lots.get(each.lot, 0) * each.weight / each.count for each in self.breaks)
        gives = tuple(each.times(number, pounds) for each in self.gives_each)
        return gives, tuple(each.times(number, pounds) for each in self.trays_each)

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
    order = dict.fromkeys(
        (recipe.species, piece, way)
        for recipe in plan.scenario.recipes
        for root in recipe.roots
        for piece in piece_shares(recipe, root)  # as they come off the carcass
        for way in recipe.pieces[piece].ways
    )
    ordered = _ordered(plan, day)
    jobs = [_job(plan, grouped[key], ordered) for key in order if key in grouped]
    return _in_order(plan, jobs, plan.stock.pieces[day])


def _job(plan: Plan, breaks: Sequence[Break], ordered: Mapping[Break, Sequence[Use]]) -> Job:
    scenario = plan.scenario
    way = way_cut(scenario, breaks[0])
    gives = [JobOutput(each.name, each.count, each.count * each.share) for each in way.pieces]
    trays: list[JobOutput] = []
    for each in way.cuts:
        cut = scenario.cuts[each.name]
        given = JobOutput(cut.name, each.count if cut.by_each else None, each.count * each.share)
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
        waiting=waiting_for(use for each in breaks for use in ordered.get(each, ())),
    )


def _ordered(plan: Plan, day: int) -> Mapping[Break, Sequence[Use]]:
    """For every break of a day what orders take of what it gives."""
    found: dict[Break, list[Use]] = defaultdict(list)
    for use in orders_of(line for today in plan.stock.cuts[day:] for line in today.values()):
        maker = use.part.origin
        if isinstance(maker, Break) and maker.day == day:
            found[maker].append(use)
    return found


def orders_of(lines: Iterable[DayStock]) -> Iterator[Use]:
    """What orders take of some cuts on some days, part by part."""
    return (use for line in lines for use in line.uses if use.ordered)


def waiting_for(uses: Iterable[Use]) -> tuple[Waiting, ...]:
    """The orders that parts of cuts are for; the same buyer's of several lots as one."""
    amounts: dict[tuple[str, str, int], float] = defaultdict(float)
    for use in uses:
        amounts[use.to, use.cut, use.day] += use.part.amount
    found = [Waiting(*key, amount) for key, amount in amounts.items() if amount > DUST]
    return tuple(sorted(found, key=lambda each: (each.day, each.buyer, each.cut)))


def pieces_given(plan: Plan, each: Break) -> Mapping[PieceOf, int]:
    """The pieces that one piece of a break gives."""
    return {(each.lot, given.name): given.count for given in way_cut(plan.scenario, each).pieces}


def needs(job: Job) -> Counter[PieceOf]:
    """How many pieces of which lot a job takes."""
    return Counter({(each.lot, each.piece): each.count for each in job.breaks})


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
        for each in job.breaks:
            for piece, count in pieces_given(plan, each).items():
                have[piece] += each.count * count
        waiting.remove(job)
        done.append(job)
    return tuple(done)
