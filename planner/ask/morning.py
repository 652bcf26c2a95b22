"""The morning's cutting list: one day of a plan, in the order in which the work is done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from planner.ask.counter import CaseLine, Leaving, Wrap, case_of, leaving_of, wraps_of
from planner.ask.crew import Rota, Stint, dealt_out, share_out
from planner.ask.jobs import Job, Waiting, jobs_of, needs
from planner.ask.trays import BatchSheet, letters, sheets_of
from planner.ask.trim_flow import Flow, flow_of
from planner.core.stock_replay import DUST, PieceStock
from planner.solve.plan import Plan


@dataclass(frozen=True, slots=True)
class HangingLot:
    """Whole head, or pieces that arrived as such, of a lot on a day.

    `came` arrive today, `down` are cut today, `hang` are left after that, `gone` may not be cut
    tomorrow. All are 0 where only pieces of the lot are cut, or go into batches.
    """

    lot: int
    came: int
    down: int
    hang: int
    gone: int


@dataclass(frozen=True, slots=True)
class PiecesLeft:
    """Pieces that lie over uncut, those of all lots together, and until when the oldest may."""

    species: str
    piece: str
    count: int
    until: int


@dataclass(frozen=True, slots=True)
class Morning:
    """What is done on one day of a plan.

    Attributes
    ----------
    heads : tuple of HangingLot
        Lots of which any arrive, hang or are cut.
    jobs, sheets : tuple of Job, of BatchSheet
        In the order of the work; then what is ground, rendered and packed.
    rota : Rota
        Who does which of these when; jobs first, then sheets.
    dealt : mapping of Stint to tuple of Waiting
        The part of each order that a stint is for.
    trays, case, wraps, leaving
        Trim, fat and bones; the case; the orders of the day; what is out of date tonight.
    whole : tuple of PiecesLeft
        Pieces that lie over, heads not among them.
    """

    plan: Plan
    day: int
    heads: tuple[HangingLot, ...]
    jobs: tuple[Job, ...]
    sheets: tuple[BatchSheet, ...]
    rota: Rota
    dealt: Mapping[Stint, tuple[Waiting, ...]]
    trays: tuple[Flow, ...]
    case: tuple[CaseLine, ...]
    wraps: tuple[Wrap, ...]
    leaving: tuple[Leaving, ...]
    whole: tuple[PiecesLeft, ...]


def mornings(
    plan: Plan, days: Sequence[int], cutters: int = 1, until: float | None = None
) -> tuple[Morning, ...]:
    """The cutting lists of some days.

    The work is shared out among `cutters`. It has to be done `until` so many minutes from the
    beginning; else in what the bench and the overtime of the day give to each of them.
    """
    found = []
    bench = plan.scenario.bench
    for day in days:
        pieces = plan.stock.pieces[day]
        jobs, sheets = jobs_of(plan, day), sheets_of(plan, day)
        trays = [flow_of(plan, plan.stock.cuts[day][cut]) for cut in letters(plan)]
        end = until
        if until is None and bench is not None:
            end = (bench[day] + plan.scenario.most_overtime(day)) / cutters
        rota = share_out(plan, jobs, sheets, pieces, cutters, end, fixed=until is not None)
        found.append(
            Morning(
                plan=plan,
                day=day,
                heads=tuple(_heads(plan, day, jobs, sheets)),
                jobs=jobs,
                sheets=sheets,
                rota=rota,
                dealt=dealt_out(jobs, rota.stints),
                trays=tuple(tray for tray in trays if tray.had + tray.made > DUST),
                case=case_of(plan, day),
                wraps=wraps_of(plan, day),
                leaving=leaving_of(plan, day),
                whole=_whole(plan, pieces),
            )
        )
    return tuple(found)


def _heads(
    plan: Plan, day: int, jobs: Sequence[Job], sheets: Sequence[BatchSheet]
) -> Iterator[HangingLot]:
    used: set[int | None] = {each.lot for job in jobs for each in job.breaks}
    used |= {each.lot for sheet in sheets for take in sheet.takes for each in take.traces}
    down: Counter[tuple[int, str]] = Counter()
    for job in jobs:
        down += needs(job)
    for lot, stock in zip(plan.scenario.lots, plan.stock.pieces[day], strict=True):
        cut = down[lot.index, lot.piece]
        hang, gone = stock.left.get(lot.piece, 0), stock.gone.get(lot.piece, 0)
        if stock.came or cut or hang or gone or lot.index in used:
            yield HangingLot(lot.index, stock.came, cut, hang, gone)


def _whole(plan: Plan, pieces: Sequence[PieceStock]) -> tuple[PiecesLeft, ...]:
    counts: dict[tuple[str, str], tuple[int, int]] = {}
    for lot, stock in zip(plan.scenario.lots, pieces, strict=True):
        for piece, number in stock.left.items():
            if piece != lot.piece:
                key = lot.recipe.species, piece
                count, until = counts.get(key, (0, stock.until[piece]))
                counts[key] = count + number, min(until, stock.until[piece])
    return tuple(PiecesLeft(*key, count, until) for key, (count, until) in counts.items())
