"""Checks of what was cut and weighed, or made: against the stock, the plan, and what is expected.

A break is asked about part by part at a prompt; `about` says which part a warning belongs to.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from planner.core.quantities import show_day, show_weight
from planner.core.stock_replay import DUST
from planner.journal.entries import BatchMade, BreakDone, Entry, Recorded, Weighed
from planner.shop.entering.context import Check, EntryContext, warnings_of
from planner.shop.entering.day_plan import WeighedBatch, WeighedBreak
from planner.shop.entering.duplicates import JOB, key_of
from planner.shop.entering.plausible import (
    BATCH_SLACK,
    DEVIATIONS,
    HUGE_POUNDS,
    WeightRange,
    given_range,
    outside,
    piece_range,
    share_deviation,
    unlikely_pieces,
)
from planner.shop.entering.warning import EntryWarning
from planner.shop.stock.scales import SCALE_POUNDS, SCALE_SHARE

LEAST_MEAT = 1.0
"""Pounds that may always be there beyond what is expected. Common practice, no source."""


# -- entered before ---------------------------------------------------------------------------


def entered_already(
    answer: WeighedBreak | WeighedBatch, context: EntryContext
) -> Iterator[EntryWarning]:
    """The same job in the journal, where the plan has no more of it for that day."""
    done = answer.entry
    there = context.weighing.entered_of(done)
    same = [each for each in there if key_of(each.entry) == key_of(done)]
    if same or there and _amount(done) > _left(done, context):
        yield _already(same or there, done, context)


def typed_again(
    answer: WeighedBreak | WeighedBatch, context: EntryContext
) -> Iterator[EntryWarning]:
    """The same job in the same number or amount, one entry of the journal or all of them.

    At a prompt: of another number it is other pieces, and nothing was weighed yet.
    """
    done = answer.entry
    there, amount = context.weighing.entered_of(done), _amount(done)
    same = [each for each in there if abs(_amount(each.entry) - amount) < SCALE_POUNDS]
    whole = math.fsum(_amount(each.entry) for each in there)
    if same or there and abs(whole - amount) < SCALE_POUNDS:
        yield _already(same or there, done, context)


def _already(
    there: Sequence[Recorded], done: BreakDone | BatchMade, context: EntryContext
) -> EntryWarning:
    if isinstance(done, BreakDone):
        name = f"{context.name(done.piece)}: {done.way}"
    else:
        name = context.name(done.blend)
    *more, last = [each.number for each in there]
    every = f"entries {', '.join(map(str, more))} and {last}" if more else f"entry {last}"
    return EntryWarning(f"{name} has already been entered ({every})", about="count", undo=last)


def _left(done: BreakDone | BatchMade, context: EntryContext) -> float:
    """What the plan has left of a job, and may be taken for it."""
    plan, job = context.weighing.plan, key_of(done, JOB)
    gone = math.fsum(_amount(each) for each in context.before if key_of(each, JOB) == job)
    if isinstance(done, BreakDone):
        here = (done.piece, done.way)
        return sum(e.count for e in plan.cuttings if (e.piece.full, e.way) == here) - gone
    left = math.fsum(each.pounds for each in plan.batches if each.blend.full == done.blend)
    return (left - gone) * (1 + BATCH_SLACK)


def _amount(entry: Entry) -> float:
    if isinstance(entry, BreakDone):
        return entry.count
    return entry.pounds if isinstance(entry, BatchMade) else 0.0


# -- breaks -----------------------------------------------------------------------------------


def too_many_cut(answer: WeighedBreak, context: EntryContext) -> Iterator[EntryWarning]:
    """More pieces than should be on hand."""
    piece, count = answer.cutting.piece, answer.entry.count
    weighing = context.weighing
    there = weighing.stand(context.before).pieces(piece.name) if weighing.follows_pieces else count
    if count > there:
        told = f"{count} {piece.name} cut: {there or 'none'} should be on hand"
        if not there:
            arrival = weighing.arrival_after(piece)
            told += f" (some came on {show_day(arrival)})" if arrival else ""
        yield EntryWarning(told, about="count")


def piece_weight(answer: WeighedBreak, context: EntryContext) -> Iterator[EntryWarning]:
    """Pieces that weigh far more or less than expected."""
    done, name = answer.entry, answer.cutting.piece.name
    if done.pounds is not None:
        expected = answer.cutting.expected_pounds(done.count)
        told = unlikely_pieces(name, done.count, done.pounds, expected, context.unit)
        if told:
            yield EntryWarning(told, about="weight")


def given_weights(answer: WeighedBreak, context: EntryContext) -> Iterator[EntryWarning]:
    """A cut of which the pieces gave far more or less than expected."""
    for got in answer.entry.gave:
        told = _given(answer, got, context.unit)
        if told:
            yield EntryWarning(told, about=got.what)


def _given(answer: WeighedBreak, got: Weighed, unit: str) -> str:
    expected, count, pounds = answer.expected_of(got), answer.entry.count, answer.pounds
    if expected is None:
        return ""
    name = expected.thing.name
    of = f"from {count} {answer.cutting.piece.name}"
    if got.count is not None and expected.count is not None:
        most = expected.count * count
        if got.count > most:
            return f"{got.count} {name} {of}: {most} expected"
        if got.count == 0 and got.pounds:
            return f"no {name}, but {show_weight(got.pounds, unit)} of it"
        if got.pounds == 0 and got.count:
            return f"{got.count} {name} that weigh nothing"
    if got.pounds is None:
        return ""
    what = f"{show_weight(got.pounds, unit)} of {name}"
    if pounds is None or pounds <= 0:
        return what if got.pounds > HUGE_POUNDS else ""
    share = expected.share
    if got.count is not None and expected.count:  # fewer of them came out whole
        share *= got.count / (expected.count * count)
    weighed = answer.entry.pounds is not None
    found = given_range(share, pounds, weighed=weighed, deviation=expected.deviation)
    return outside(f"{what} {of} of {show_weight(pounds, unit)}", got.pounds, found, unit)


def sum_of_given(answer: WeighedBreak, context: EntryContext) -> Iterator[EntryWarning]:
    """All that was weighed is more than the pieces are."""
    done, pounds, unit = answer.entry, answer.pounds, context.unit
    if pounds is None or pounds <= 0:
        return
    total = math.fsum(each.pounds or 0.0 for each in done.gave)
    most = pounds if done.pounds is not None else piece_range(pounds).most
    if total > most * (1 + SCALE_SHARE) + SCALE_POUNDS:
        what = f"{done.count} {answer.cutting.piece.name}"
        are = f"{what} weigh{'' if done.count != 1 else 's'}"
        known = "" if done.pounds is not None else "at most "
        yield EntryWarning(
            f"what {what} gave adds up to {show_weight(total, unit)}, "
            f"but {are} {known}{show_weight(most, unit)}"
        )


def missing_weight(answer: WeighedBreak, context: EntryContext) -> Iterator[EntryWarning]:
    """Everything was weighed, and far too little of the pieces is there."""
    expected, pounds, unit = answer.cutting.expected, answer.entry.pounds, context.unit
    had = {each.what: each.pounds for each in answer.entry.gave}
    if pounds is None or any(had.get(each.thing.full) is None for each in expected):
        return
    missing = pounds - math.fsum(each or 0.0 for each in had.values())
    loss = max(1.0 - math.fsum(each.share for each in expected), 0.0)
    most = loss + DEVIATIONS * share_deviation(max(loss, 0.005)) + SCALE_SHARE
    if missing > pounds * most + SCALE_POUNDS * max(1, len(expected)) ** 0.5:
        what = f"{answer.entry.count} {answer.cutting.piece.name} of {show_weight(pounds, unit)}"
        yield EntryWarning(
            f"{show_weight(missing, unit)} of {what} is unaccounted for: "
            f"at most {show_weight(pounds * most, unit)} is expected to be lost"
        )


# -- batches ----------------------------------------------------------------------------------


def batch_balance(answer: WeighedBatch | Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """More came out of a batch, or far less, than went in; what went in may be unknown."""
    made = answer.entry if isinstance(answer, WeighedBatch) else answer
    if not isinstance(made, BatchMade):
        return
    name, unit = context.name(made.blend), context.unit
    blend = context.things.week.blends.get(name)
    weights = [each.pounds for each in made.took if each.pounds is not None]
    told = what = f"{show_weight(made.pounds, unit)} of {name}"
    if made.pounds <= HUGE_POUNDS:
        if blend is None or not weights or len(weights) < len(made.took):
            return
        took = math.fsum(weights)
        least, most = (took * blend.gain * each for each in (1 - BATCH_SLACK, 1 + BATCH_SLACK))
        what += f" from {show_weight(took, unit)}"
        told = outside(what, made.pounds, WeightRange(least, most), unit)
    if told:
        yield EntryWarning(told, "of more or less than went in", about="took")


def too_little_meat(answer: WeighedBatch, context: EntryContext) -> Iterator[EntryWarning]:
    """More was made than was planned, and than the meat on hand gives."""
    batch, made, unit = answer.batch, answer.entry, context.unit
    weighing = context.weighing
    planned = batch.pounds if batch.planned else 0.0
    if not weighing.follows_pieces or made.pounds <= planned * (1 + BATCH_SLACK) + SCALE_POUNDS:
        return
    blend, stand = context.things.week.blends[batch.blend.name], weighing.stand(context.before)
    names = list(blend.takes)
    there = math.fsum(stand.amount(each) for each in names)
    if made.pounds > there * blend.gain * (1 + BATCH_SLACK) + LEAST_MEAT:
        meat = names[0] if len(names) == 1 else "what goes into it"
        have = show_weight(there, unit) if there > DUST else "none"
        told = f"{show_weight(made.pounds, unit)} of {batch.blend.name}: {have} of {meat} should"
        more = f", and {show_weight(planned, unit)} was planned" if planned else ""
        yield EntryWarning(f"{told} be on hand{more}", about="count")


BREAK_CHECKS: tuple[Check[WeighedBreak], ...] = (
    too_many_cut,
    piece_weight,
    given_weights,
    sum_of_given,
    missing_weight,
)
BATCH_CHECKS: tuple[Check[WeighedBatch], ...] = (batch_balance, too_little_meat)


def block_warnings(
    answer: WeighedBreak | WeighedBatch, context: EntryContext
) -> Iterator[EntryWarning]:
    """All that is unlikely about a break or a batch, but that it was entered before."""
    if isinstance(answer, WeighedBreak):
        return warnings_of(answer, context, BREAK_CHECKS)
    return warnings_of(answer, context, BATCH_CHECKS)
