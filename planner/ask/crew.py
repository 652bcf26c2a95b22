"""The jobs of a day shared out among cutters, with a running clock, and its orders among them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.ask.jobs import Job, PieceOf, Waiting, needs, pieces_given, there
from planner.ask.trays import BatchSheet
from planner.core.stock_replay import DUST, PieceStock
from planner.solve.plan import Plan

GRINDER = "grinder"
"""The tool at which batches are made. There is one."""

MOST_CUTTERS = 12
"""Nobody has more room than that at one block."""

BLINK = 1e-6
"""Minutes that nobody notices."""


@dataclass(frozen=True, slots=True)
class Stint:
    """What one cutter does from one time to another, in minutes from the beginning.

    `job` is a number into the jobs, then the batches; None where the cutter waits for what another
    has to cut first. `lots` says how many pieces of which lot; none for a batch.
    """

    cutter: int
    job: int | None
    begins: float
    ends: float
    lots: tuple[tuple[int, int], ...] = ()

    @property
    def count(self) -> int:
        """How many pieces."""
        return sum(count for _, count in self.lots)


@dataclass(frozen=True, slots=True)
class Rota:
    """Who does what when: stints by cutter, then by time.

    Attributes
    ----------
    ends : float
        Minutes until the last one is done.
    until : float or None
        Minutes until everything has to be done; None without a limit.
    fixed : bool
        Whether that is a time of the day; else it is the share each has in the bench.
    enough : int or None
        Where they are late for a time of the day: the least number of cutters, of `MOST_CUTTERS`
        at most, who would not be; None where no number would do.
    """

    cutters: int
    stints: tuple[Stint, ...]
    ends: float
    until: float | None
    fixed: bool = False
    enough: int | None = None

    @property
    def late(self) -> float:
        """Minutes by which it ends too late."""
        over = self.ends - self.until if self.until is not None else 0.0
        return over if over > BLINK else 0.0

    def of(self, cutter: int) -> tuple[Stint, ...]:
        """What one cutter does."""
        return tuple(stint for stint in self.stints if stint.cutter == cutter)


def share_out(
    plan: Plan,
    jobs: Sequence[Job],
    sheets: Sequence[BatchSheet],
    pieces: Sequence[PieceStock],
    cutters: int,
    until: float | None,
    *,
    fixed: bool,
) -> Rota:
    """Share jobs out: nobody waits while there is a piece to cut, the break comes before the rest.

    Whoever is free goes on with the job in hand; then helps with the break; then takes the first
    job that nobody is at, rather one whose pieces are all there, rather one with a tool that nobody
    else has in hand; then helps another, a piece at a time. Tools are not counted: two may stand at
    the saw. This is list scheduling (R. L. Graham, Bounds on multiprocessing timing anomalies, SIAM
    J. Appl. Math. 17, 1969, from memory). A batch waits for what is cut for it that day, and until
    there is nothing else to do.
    """

    def played(number: int) -> Rota:
        return replace(_Day(plan, jobs, sheets, pieces, number).rota(until), fixed=fixed)

    rota = played(cutters)
    if fixed and rota.late:
        more = range(cutters + 1, MOST_CUTTERS + 1)
        enough = next((number for number in more if not played(number).late), None)
        return replace(rota, enough=enough)
    return rota


@dataclass(slots=True)
class _Work:
    """A job or a batch: how many pieces of which lot are still to be taken up, minutes of one.

    `after` are the jobs that have to be done before.
    """

    number: int
    tool: str
    head: bool
    minutes: float
    left: Counter[PieceOf]
    after: frozenset[int] = frozenset()


class _Day:
    """A day played through, piece by piece."""

    def __init__(
        self,
        plan: Plan,
        jobs: Sequence[Job],
        sheets: Sequence[BatchSheet],
        pieces: Sequence[PieceStock],
        cutters: int,
    ) -> None:
        self._work = [
            _Work(number, job.tool, job.head, job.minutes / job.count, needs(job))
            for number, job in enumerate(jobs)
        ]
        self._have = there(pieces)
        for number, sheet in enumerate(sheets, start=len(jobs)):
            after = frozenset(n for n, job in enumerate(jobs) if sheet.fresh & set(job.breaks))
            itself = Counter({(number, ""): 1})  # a batch is one piece of its own, and there
            self._work.append(_Work(number, GRINDER, False, sheet.batch.minutes, itself, after))
            self._have += itself
        self._gives = [
            {(each.lot, each.piece): pieces_given(plan, each) for each in job.breaks}
            for job in jobs
        ]
        self._at: list[int | None] = [None] * cutters  # the work each was last at
        self._busy: dict[int, tuple[float, int, PieceOf]] = {}  # until when, at which piece
        self._stints: list[Stint] = []

    def rota(self, until: float | None) -> Rota:
        """Play the day to its end."""
        now = 0.0
        while True:
            for cutter in range(len(self._at)):
                if cutter not in self._busy:
                    self._begin(cutter, now)
            if not self._busy:
                return Rota(len(self._at), _with_waits(self._stints), now, until)
            now = min(ends for ends, _, _ in self._busy.values())
            for cutter, (ends, number, piece) in list(self._busy.items()):
                if ends <= now + BLINK:
                    del self._busy[cutter]
                    if number < len(self._gives):
                        self._have.update(self._gives[number].get(piece, {}))

    def _begin(self, cutter: int, now: float) -> None:
        """Let a free cutter take up the next piece, if there is one to be had."""
        work = self._next(cutter)
        if work is None:
            return
        piece = next(each for each in work.left if self._have[each])
        work.left -= Counter({piece: 1})
        self._have[piece] -= 1
        self._at[cutter] = work.number
        self._busy[cutter] = (now + work.minutes, work.number, piece)
        lots = ((piece[0], 1),) if work.number < len(self._gives) else ()
        self._stints.append(Stint(cutter, work.number, now, now + work.minutes, lots))

    def _next(self, cutter: int) -> _Work | None:
        """What a free cutter works at next."""
        ready = [work for work in self._work if self._is_ready(work)]
        if len(self._at) == 1:
            return ready[0] if ready else None  # as the list has it
        mine = self._at[cutter]
        others = {number for _, number, _ in self._busy.values()}
        tools = {self._work[number].tool for number in others}
        tool = None if mine is None else self._work[mine].tool

        def turn(work: _Work) -> tuple[int, ...]:
            return (
                work.number != mine,
                work.tool == GRINDER,
                not work.head,
                work.number in others,
                not work.left <= self._have,
                work.tool in tools,
                work.tool != tool,
                work.number,
            )

        return min(ready, key=turn, default=None)

    def _is_ready(self, work: _Work) -> bool:
        """Whether there is a piece to take up, or all that goes into a batch, and the grinder."""
        if not any(self._have[piece] for piece in work.left):
            return False
        at = {number for _, number, _ in self._busy.values()}
        if work.tool == GRINDER and any(self._work[number].tool == GRINDER for number in at):
            return False
        return not any(number in at or self._work[number].left for number in work.after)


def _with_waits(played: Sequence[Stint]) -> tuple[Stint, ...]:
    """One stint for pieces of a job cut one after the other, and one for every time of waiting."""
    stints: list[Stint] = []
    for each in sorted(played, key=lambda stint: (stint.cutter, stint.begins)):
        last = stints[-1] if stints and stints[-1].cutter == each.cutter else None
        since = last.ends if last else 0.0
        if each.begins > since + BLINK:
            stints.append(Stint(each.cutter, None, since, each.begins))
        elif last and last.job == each.job:
            stints.pop()
            lots = Counter(dict(last.lots)) + Counter(dict(each.lots))
            each = replace(each, begins=last.begins, lots=tuple(lots.items()))
        stints.append(each)
    return tuple(stints)


def dealt_out(jobs: Sequence[Job], stints: Sequence[Stint]) -> Mapping[Stint, tuple[Waiting, ...]]:
    """For every stint the part of each order that its pieces are for, the earliest stint first."""
    found: dict[Stint, tuple[Waiting, ...]] = {}
    for number, job in enumerate(jobs):
        open_ = {at: each.amount for at, each in enumerate(job.waiting)}
        turns = sorted((s for s in stints if s.job == number), key=lambda s: (s.begins, s.cutter))
        for stint in turns:
            gives, trays = job.part(dict(stint.lots))
            room: dict[str, float] = defaultdict(float)
            for thing in (*gives, *trays):
                room[thing.name] += thing.pounds if thing.count is None else thing.count
            parts = []
            for at, each in enumerate(job.waiting):
                part = min(open_[at], room[each.cut])
                open_[at] -= part
                room[each.cut] -= part
                if part > DUST:
                    parts.append(replace(each, amount=part))
            found[stint] = tuple(parts)
    return found
