"""The cutting of a day as jobs, in the order in which the work is done."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from planner.ask.daystock import DayStock, PieceStock, Use
from planner.ledger import DUST
from planner.lines import Break
from planner.plan import Plan, way_cut
from planner.recipe import BY_PRODUCTS, piece_shares

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
class Thing:
    """What a job gives: pieces and cuts sold by each have a count, all have pounds."""

    name: str
    count: int | None
    pounds: float


@dataclass(frozen=True, slots=True)
class Job:
    """Alike pieces cut alike on a day, those of several lots together.

    Attributes
    ----------
    breaks : tuple of Break
        One for each lot.
    head : bool
        Whether it is the break: of what hangs, and not of a piece of it.
    gives : tuple of Thing
        Pieces, then cuts for the case.
    trays : tuple of Thing
        Trim, fat and bones: what goes into trays.
    waiting : tuple of Waiting
        The orders that get some of it, today or later.
    """

    species: str
    piece: str
    way: str
    tool: str
    breaks: tuple[Break, ...]
    head: bool
    gives: tuple[Thing, ...]
    trays: tuple[Thing, ...]
    waiting: tuple[Waiting, ...]

    def part(self, count: int) -> tuple[tuple[Thing, ...], tuple[Thing, ...]]:
        """What `count` of the pieces give on average: `gives` and `trays` of so many."""
        share = count / self.count
        gives, trays = (
            tuple(
                Thing(
                    each.name,
                    None if each.count is None else round(each.count * share),
                    each.pounds * share,
                )
                for each in things
            )
            for things in (self.gives, self.trays)
        )
        return gives, trays

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


def jobs_of(
    plan: Plan, day: int, stock: Sequence[Mapping[str, DayStock]], pieces: Sequence[PieceStock]
) -> tuple[Job, ...]:
    """The jobs of a day in the order of the work: the break, saw work, then knife work.

    Parameters
    ----------
    plan : Plan
    day : int
    stock : sequence of mapping
        The stock of every day, as `stock_by_day` has it.
    pieces : sequence of PieceStock
        The pieces of every lot on this day.
    """
    grouped: dict[tuple[str, str, str], list[Break]] = defaultdict(list)
    for each in plan.breaks:
        if each.day == day:
            grouped[each.species, each.piece, each.way].append(each)
    order = [
        (recipe.species, piece.name, way.name)
        for recipe in plan.scenario.recipes
        for piece, way in recipe.ways()
    ]
    waiting = _waiting(plan, day, stock)
    jobs = [_job(plan, grouped[key], waiting) for key in order if key in grouped]
    return _in_order(plan, _parents_first(plan, jobs), pieces)


def _job(plan: Plan, breaks: Sequence[Break], waiting: Mapping[Break, Sequence[Waiting]]) -> Job:
    scenario = plan.scenario
    way = way_cut(scenario, breaks[0])
    gives: list[Thing] = []
    trays: list[Thing] = []
    for given in way.pieces:
        count = sum(each.count for each in breaks) * given.count
        pounds = sum(each.weight for each in breaks) * given.share * given.count
        gives.append(Thing(given.name, count, pounds))
    for given in way.cuts:
        cut = scenario.cuts[given.name]
        pounds = sum(each.weight for each in breaks) * given.share * given.count
        count = sum(each.count for each in breaks) * given.count
        by_product = cut.kind in BY_PRODUCTS and not cut.by_each
        thing = Thing(cut.name, count if cut.by_each else None, pounds)
        (trays if by_product else gives).append(thing)
    recipe = scenario.lots[breaks[0].lot].recipe
    return Job(
        species=breaks[0].species,
        piece=breaks[0].piece,
        way=breaks[0].way,
        tool=way.tool,
        breaks=tuple(breaks),
        head=breaks[0].piece in recipe.roots,
        gives=tuple(gives),
        trays=tuple(trays),
        waiting=added_up([each for done in breaks for each in waiting.get(done, ())]),
    )


def _waiting(
    plan: Plan, day: int, stock: Sequence[Mapping[str, DayStock]]
) -> Mapping[Break, Sequence[Waiting]]:
    """For every break of a day the orders that get some of what it gives."""
    found: dict[Break, list[Waiting]] = defaultdict(list)
    for use in orders_of(stock[day:]):
        origin = use.part.origin
        if origin and origin.day == day and isinstance(origin.maker, Break):
            found[origin.maker].append(waiting_for(use))
    return found


def orders_of(stock: Sequence[Mapping[str, DayStock]]) -> Iterator[Use]:
    """What orders take in some days, part by part."""
    return (use for today in stock for line in today.values() for use in line.uses if use.ordered)


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


def needs(job: Job) -> Counter[tuple[int, str]]:
    """How many pieces of which lot a job takes."""
    return Counter({(each.lot, each.piece): each.count for each in job.breaks})


def yields(plan: Plan, job: Job) -> Counter[tuple[int, str]]:
    """How many pieces of which lot a job gives."""
    return Counter(
        {
            (each.lot, given.name): each.count * given.count
            for each in job.breaks
            for given in way_cut(plan.scenario, each).pieces
        }
    )


def there(pieces: Sequence[PieceStock]) -> Counter[tuple[int, str]]:
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
