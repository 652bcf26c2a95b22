"""The jobs of a day shared out among cutters, with a running clock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.ask.daystock import PieceStock
from planner.ask.jobs import Job, there
from planner.lines import Batch
from planner.plan import Plan, way_cut

GRINDER = "grinder"
"""The tool at which batches are made. There is one."""

MOST_CUTTERS = 12
"""Nobody has more room than that at one block."""

BLINK = 1e-6
"""Minutes that nobody notices."""

PieceOf = tuple[int, str]
"""A lot and a piece of it."""


@dataclass(frozen=True, slots=True)
class Stint:
    """What one cutter does from one time to another, in minutes from the beginning.

    `job` is a number into the jobs, then the batches; `count` how many pieces (1 for a batch);
    None and 0 where the cutter waits for what another has to cut first.
    """

    cutter: int
    job: int | None
    count: int
    begins: float
    ends: float


@dataclass(frozen=True, slots=True)
class Rota:
    """Who does what when.

    Attributes
    ----------
    cutters : int
    stints : tuple of Stint
        By cutter, then by time.
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
    batches: Sequence[Batch],
    pieces: Sequence[PieceStock],
    cutters: int,
    until: float | None,
    *,
    fixed: bool,
) -> Rota:
    """Share jobs out: nobody waits while there is a piece to cut, the break comes before the rest.

    Whoever is free goes on with the job in hand; then helps with the break; then takes the first
    job that nobody is at, rather one with a tool that nobody else has in hand; then helps another,
    a piece at a time. Tools are not counted: two may stand at the saw. This is list scheduling
    (R. L. Graham, Bounds on multiprocessing timing anomalies, SIAM J. Appl. Math. 17, 1969, from
    memory). What is ground waits for all that is cut for it.
    """

    def played(number: int) -> Rota:
        return replace(_Day(plan, jobs, batches, pieces, number).rota(until), fixed=fixed)

    rota = played(cutters)
    if fixed and rota.late:
        more = range(cutters + 1, MOST_CUTTERS + 1)
        enough = next((number for number in more if not played(number).late), None)
        return replace(rota, enough=enough)
    return rota


@dataclass(slots=True)
class _Work:
    """A job or a batch: pieces still to be taken up, and the jobs that have to be done before."""

    number: int
    tool: str
    head: bool
    pieces: list[tuple[PieceOf | None, float]]
    after: frozenset[int] = frozenset()


class _Day:
    """A day played through, piece by piece."""

    def __init__(
        self,
        plan: Plan,
        jobs: Sequence[Job],
        batches: Sequence[Batch],
        pieces: Sequence[PieceStock],
        cutters: int,
    ) -> None:
        self._work = [_work(number, job) for number, job in enumerate(jobs)]
        for number, batch in enumerate(batches, start=len(jobs)):
            after = frozenset(n for n, job in enumerate(jobs) if _is_cut_for(job, batch))
            self._work.append(_Work(number, GRINDER, False, [(None, batch.minutes)], after))
        self._gives = [_gives(plan, job) for job in jobs]
        self._have = there(pieces)
        self._at: list[int | None] = [None] * cutters  # the work each was last at
        self._busy: dict[int, tuple[float, int, PieceOf | None]] = {}  # until when, at which piece
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
                    if piece:
                        self._have.update(self._gives[number].get(piece, {}))

    def _begin(self, cutter: int, now: float) -> None:
        """Let a free cutter take up the next piece, if there is one to be had."""
        work = self._next(cutter)
        if work is None:
            return
        piece, minutes = next(each for each in work.pieces if self._is_there(each[0]))
        work.pieces.remove((piece, minutes))
        if piece:
            self._have[piece] -= 1
        self._at[cutter] = work.number
        self._busy[cutter] = (now + minutes, work.number, piece)
        self._stints.append(Stint(cutter, work.number, 1, now, now + minutes))

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
            whole = all(self._is_there(piece) for piece, _ in work.pieces)
            return (
                work.number != mine,
                not work.head,
                work.number in others,
                not whole,
                work.tool in tools,
                work.tool != tool,
                work.number,
            )

        return min(ready, key=turn, default=None)

    def _is_ready(self, work: _Work) -> bool:
        at = {number for _, number, _ in self._busy.values()}
        if work.tool == GRINDER and any(self._work[number].tool == GRINDER for number in at):
            return False
        if any(number in at or self._work[number].pieces for number in work.after):
            return False
        return any(self._is_there(piece) for piece, _ in work.pieces)

    def _is_there(self, piece: PieceOf | None) -> bool:
        return piece is None or self._have[piece] > 0


def _work(number: int, job: Job) -> _Work:
    pieces: list[tuple[PieceOf | None, float]] = [
        ((each.lot, each.piece), each.minutes / each.count)
        for each in job.breaks
        for _ in range(each.count)
    ]
    return _Work(number, job.tool, job.head, pieces)


def _gives(plan: Plan, job: Job) -> Mapping[PieceOf, Mapping[PieceOf, int]]:
    """For a piece that is cut in a job, the pieces it gives."""
    return {
        (each.lot, each.piece): {
            (each.lot, given.name): given.count for given in way_cut(plan.scenario, each).pieces
        }
        for each in job.breaks
    }


def _is_cut_for(job: Job, batch: Batch) -> bool:
    """Whether a job gives some of what goes into a batch."""
    return any(thing.name in batch.takes for thing in (*job.trays, *job.gives))


def _with_waits(played: Sequence[Stint]) -> tuple[Stint, ...]:
    """One stint for pieces of a job cut one after the other, and one for every time of waiting."""
    stints: list[Stint] = []
    for each in sorted(played, key=lambda stint: (stint.cutter, stint.begins)):
        last = stints[-1] if stints and stints[-1].cutter == each.cutter else None
        since = last.ends if last else 0.0
        if each.begins > since + BLINK:
            stints.append(Stint(each.cutter, None, 0, since, each.begins))
        elif last and last.job == each.job:
            stints.pop()
            each = Stint(each.cutter, each.job, last.count + each.count, last.begins, each.ends)
        stints.append(each)
    return tuple(stints)
