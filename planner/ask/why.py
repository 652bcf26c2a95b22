"""Why pieces are cut as they are: what one more cut another way costs, and what limits cost."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace

from planner.ask.break_even import BreakEven, break_even
from planner.ask.comparison import closer
from planner.ask.main_cut import main_cut
from planner.ask.marginal_values import LimitStep, LimitWorth, limits_of, worths
from planner.core.recipe import way_of
from planner.core.scenario import Scenario
from planner.solve import Options, Solution
from planner.solve.engine import INFINITY, Progress
from planner.solve.plan import Plan, plan_week
from planner.solve.sensitivity import Sensitivity, WayOf

WORKERS = 2
"""Questions asked at once; always as many, so that the answers do not depend on the machine."""

Count = Callable[[int, int], None]
"""Told how many questions are answered, and of how many."""

BASE = 0.3
"""Money to which the best is known: what is asked is about small differences."""

BASE_SECONDS = 20.0
"""Seconds for it."""

SHOWN = 0.05
"""Pounds (or each) of a cut that count as a change."""


@dataclass(frozen=True, slots=True)
class Shift:
    """A count or an amount that changes: pieces cut a way, or a cut sold."""

    name: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class WayWhy:
    """A way to cut a piece, and what one more piece cut so would do.

    Attributes
    ----------
    used : int
        Pieces cut so in the plan.
    asked : bool
        False where the time was over before it was this way's turn.
    possible : bool
        Whether one more can be cut so at all.
    least, most : float
        What it costs, with everything else free to change; `most` is infinite where no plan with
        it was found in time.
    instead : tuple of Shift
        Other ways whose counts change, as `piece: way`.
    sales : tuple of Shift
        Cuts whose sales change.
    break_even : BreakEven or None
        None for a way that gives no cut with a full price, or that costs nothing to be told of.
    """

    piece: str
    way: str
    used: int
    asked: bool = True
    possible: bool = False
    least: float = 0.0
    most: float = 0.0
    instead: tuple[Shift, ...] = ()
    sales: tuple[Shift, ...] = ()
    break_even: BreakEven | None = None


@dataclass(frozen=True, slots=True)
class PieceWhy:
    """A piece: the ways it is cut in the plan, and those asked about."""

    piece: str
    used: Mapping[str, int]
    others: tuple[WayWhy, ...]


@dataclass(frozen=True, slots=True)
class Why:
    """Answers about one plan; `unasked` limits had no turn before the time was over."""

    plan: Plan
    pieces: tuple[PieceWhy, ...]
    limits: tuple[LimitWorth, ...]
    unasked: int = 0


def why(
    scenario: Scenario,
    piece: str | None = None,
    options: Options | None = None,
    progress: Progress | None = None,
    count: Count | None = None,
    shown: Plan | None = None,
) -> Why:
    """Ask about each way that a plan uses less than another of its piece.

    Of one `piece` only, and no limits; else of all of them, and all limits. `options.seconds` is
    for all of it; what has no turn in that time is not asked. `progress` is told of the search for
    a plan, `count` how many questions are answered. `shown` is the plan that was told; else the one
    that planning the week tells.

    Raises
    ------
    RulesConflictError, NoPlanInTimeError
        As planning the week does.
    """
    began = time.perf_counter()
    asked = options or Options()
    plan = shown or plan_week(scenario, asked, progress)
    solution = _known(plan, asked, progress)
    used = {(whole.name, way.name): 0 for lot in scenario.lots for whole, way in scenario.ways(lot)}
    for (_, piece_name, way_name, _), number in solution.breaks.items():
        used[piece_name, way_name] += number
    ways = _ways_asked(used, piece)
    limits = limits_of(scenario) if piece is None else ()
    ends = began + asked.seconds
    answers, worth = _answers(scenario, solution, used, ways, limits, ends, count)
    pieces = tuple(
        PieceWhy(
            name,
            {way: number for (each, way), number in used.items() if each == name},
            tuple(answer for answer in answers if answer.piece == name),
        )
        for name in dict.fromkeys(each for each, _ in used)
        if piece in (None, name)
    )
    return Why(plan, pieces, worth, len(limits) - len(worth))


def _known(plan: Plan, asked: Options, progress: Progress | None) -> Solution:
    """The decisions of a plan, with what is known of the best: its least and most, less ties.

    Where the plan is not close to the best, a closer one is sought for that alone.
    """
    seconds = min(BASE_SECONDS, asked.seconds / 3)
    base = replace(asked, share=0.0, amount=BASE, seconds=seconds, bundled=False)
    close = closer(plan, base, progress)
    least, most = plan.decided.objective, plan.bound - (plan.score - plan.decided.objective)
    if close is not plan:
        least, most = max(least, close.decided.objective), min(most, close.decided.bound)
    return replace(plan.decided, objective=least, bound=max(least, most))


def _ways_asked(used: Mapping[WayOf, int], piece: str | None) -> list[WayOf]:
    """All ways of a piece but the one it is cut most; none of a piece that has only one."""
    asked: list[WayOf] = []
    for name in dict.fromkeys(each for each, _ in used if piece in (None, each)):
        ways = [way for way in used if way[0] == name]
        top = max(ways, key=lambda way: used[way])
        if len(ways) > 1:
            asked += [way for way in ways if way != top or not used[top]]
    return asked


def _answers(
    scenario: Scenario,
    solution: Solution,
    used: Mapping[WayOf, int],
    ways: Sequence[WayOf],
    limits: Sequence[LimitStep],
    ends: float,
    count: Count | None,
) -> tuple[list[WayWhy], tuple[LimitWorth, ...]]:
    """Put the questions to several engines at once.

    Each has the same part of the ways every time, since what one was asked before may sway it;
    limits, where it may not, are taken as they come.
    """
    stop, lock, done = threading.Event(), threading.Lock(), [0]
    wanted = len(ways) + len(limits)
    best = (solution.objective, solution.bound)
    waiting = deque(_parts(limits))

    def over() -> bool:
        return stop.is_set() or time.perf_counter() > ends

    def tick(number: int) -> None:
        with lock:
            done[0] += number
            if count:
                count(done[0], wanted)

    def work(worker: int) -> tuple[dict[WayOf, WayWhy], dict[LimitStep, LimitWorth]]:
        sensitivity = Sensitivity(scenario, solution, over)
        found: dict[WayOf, WayWhy] = {}
        worth: dict[LimitStep, LimitWorth] = {}
        for way in ways[worker::WORKERS]:
            late = WayWhy(*way, used[way], asked=False)
            found[way] = late if over() else _way(sensitivity, way, solution)
            tick(1)
        while waiting and not over():
            with suppress(IndexError):  # the other worker may have taken the last
                part = waiting.popleft()
                worth |= {each.limit: each for each in worths(sensitivity, part, best)}
                tick(len(part))
        return found, worth

    with ThreadPoolExecutor(WORKERS) as pool:
        jobs = [pool.submit(work, worker) for worker in range(WORKERS)]
        try:
            results = [job.result() for job in jobs]
        except BaseException:
            stop.set()
            raise
    answers = {way: answer for found, _ in results for way, answer in found.items()}
    worth = {limit: each for _, found in results for limit, each in found.items()}
    return [answers[way] for way in ways], tuple(worth[limit] for limit in limits if limit in worth)


def _parts(limits: Sequence[LimitStep]) -> list[list[LimitStep]]:
    """Limits as they are asked about: shelf lives many at once, for most are worth nothing."""
    keeps = [each for each in limits if each.kind == "keeps"]
    others = [[each] for each in limits if each.kind != "keeps"]
    parts = [keeps[worker::WORKERS] for worker in range(WORKERS)]
    return [part for part in [*parts, *others] if part]


def _way(sensitivity: Sensitivity, way: WayOf, solution: Solution) -> WayWhy:
    """What one more piece cut a way costs, does, and from which price on it pays."""
    piece, name = way
    known = sensitivity.known
    assert known is not None
    before = sensitivity.count(known)
    more = before[way] + 1
    found = sensitivity.ask(way, more)
    least = max(0.0, solution.objective - found.bound) if found.possible else 0.0
    if found.values is None:
        most = INFINITY if found.possible else 0.0
        return WayWhy(piece, name, before[way], True, found.possible, least, most)
    after = sensitivity.count(found.values)
    sold, sells = sensitivity.sold(known), sensitivity.sold(found.values)
    cut = main_cut(sensitivity.scenario, way_of(sensitivity.scenario.recipes, *way))
    pays = None
    if cut is not None and sensitivity.scenario.price(cut) > 0:
        sides = (known, solution.bound), (found.values, found.bound)
        pays = break_even(sensitivity, way, more, cut, *sides)
    return WayWhy(
        piece=piece,
        way=name,
        used=before[way],
        possible=True,
        least=least,
        most=max(0.0, solution.bound - found.objective),
        instead=tuple(
            Shift(f"{each[0]}: {each[1]}", before[each], after[each])
            for each in sensitivity.ways
            if before[each] != after[each] and each != way
        ),
        sales=tuple(
            Shift(each, sold[each], sells[each])
            for each in sold
            if abs(sold[each] - sells[each]) > SHOWN
        ),
        break_even=pays,
    )
