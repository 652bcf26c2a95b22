"""Checks of what was cut and weighed, or made: against the stock, the plan, and what is expected.

A break is asked about part by part at a prompt; `about` says which part a warning belongs to.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from planner.core.quantities import show_day
from planner.core.stock_replay import DUST
from planner.core.units import Units
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


def entered_already(
    answer: WeighedBreak | WeighedBatch, context: EntryContext
) -> Iterator[EntryWarning]:
    """The same job in the journal, where the plan has no more of it for that day."""
    done, plan = answer.entry, context.weighing.plan
    there, job = context.weighing.entered_of(done), key_of(done, JOB)
    same = [each for each in there if key_of(each.entry) == key_of(done)]
    gone = math.fsum(_amount(each) for each in context.before if key_of(each, JOB) == job)
    if isinstance(done, BreakDone):
        here = (done.piece, done.way)
        left = sum(e.count for e in plan.cuttings if (e.piece.full, e.way) == here) - gone
    else:
        planned = math.fsum(each.pounds for each in plan.batches if each.blend.full == done.blend)
        left = (planned - gone) * (1 + BATCH_SLACK)
    if same or there and _amount(done) > left:
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


def _amount(entry: Entry) -> float:
    if isinstance(entry, BreakDone):
        return entry.count
    return entry.pounds if isinstance(entry, BatchMade) else 0.0


def too_many_cut(answer: WeighedBreak, context: EntryContext) -> Iterator[EntryWarning]:
    """More pieces than should be on hand."""
    piece, count, weighing = answer.cutting.piece, answer.entry.count, context.weighing
    there = weighing.stand(context.before).pieces(piece.name) if weighing.follows_pieces else count
    if count > there:
        arrival = None if there else weighing.arrival_after(piece)
        told = f" (some came on {show_day(arrival)})" if arrival else ""
        told = f"{count} {piece.name} cut: {there or 'none'} should be on hand{told}"
        yield EntryWarning(told, about="count")


def piece_weight(answer: WeighedBreak, context: EntryContext) -> Iterator[EntryWarning]:
    """Pieces that weigh far more or less than expected."""
    done, name = answer.entry, answer.cutting.piece.name
    if done.pounds is not None:
        expected = answer.cutting.expected_pounds(done.count)
        told = unlikely_pieces(name, done.count, done.pounds, expected, context.units)
        if told:
            yield EntryWarning(told, about="weight")


def given_weights(answer: WeighedBreak, context: EntryContext) -> Iterator[EntryWarning]:
    """A cut of which the pieces gave far more or less than expected."""
    for got in answer.entry.gave:
        told = _given(answer, got, context.units)
        if told:
            yield EntryWarning(told, about=got.what)


def _given(answer: WeighedBreak, got: Weighed, units: Units) -> str:
    expected, count, pounds = answer.expected_of(got), answer.entry.count, answer.pounds
    if expected is None:
        return ""
    name = expected.thing.name
    of = f"from {count} {answer.cutting.piece.name}"
    most = (expected.count or 0) * count
    if got.count is not None and expected.count is not None:
        if got.count > most:
            return f"{got.count} {name} {of}: {most} expected"
        if got.count == 0 and got.pounds:
            return f"no {name}, but {units.weight(got.pounds)} of it"
        if got.pounds == 0 and got.count:
            return f"{got.count} {name} that weigh nothing"
    if got.pounds is None:
        return ""
    what = f"{units.weight(got.pounds)} of {name}"
    if pounds is None or pounds <= 0:
        return what if got.pounds > HUGE_POUNDS else ""
    share = expected.share
    if got.count is not None and most:  # fewer of them came out whole
        share *= got.count / most
    weighed = answer.entry.pounds is not None
    found = given_range(share, pounds, weighed=weighed, deviation=expected.deviation)
    return outside(f"{what} {of} of {units.weight(pounds)}", got.pounds, found, units)


def sum_of_given(answer: WeighedBreak, context: EntryContext) -> Iterator[EntryWarning]:
    """All that was weighed is more than the pieces are."""
    done, pounds, weight = answer.entry, answer.pounds, context.units.weight
    if pounds is None or pounds <= 0:
        return
    total = math.fsum(each.pounds or 0.0 for each in done.gave)
    most = pounds if done.pounds is not None else piece_range(pounds).most
    if total > most * (1 + SCALE_SHARE) + SCALE_POUNDS:
        what = f"{done.count} {answer.cutting.piece.name}"
        known = "" if done.pounds is not None else "at most "
        are = f"{what} weigh{'s' if done.count == 1 else ''} {known}{weight(most)}"
        yield EntryWarning(f"what {what} gave adds up to {weight(total)}, but {are}")


def missing_weight(answer: WeighedBreak, context: EntryContext) -> Iterator[EntryWarning]:
    """Everything was weighed, and far too little of the pieces is there."""
    expected, pounds, weight = answer.cutting.expected, answer.entry.pounds, context.units.weight
    had = {each.what: each.pounds for each in answer.entry.gave}
    if pounds is None or any(had.get(each.thing.full) is None for each in expected):
        return
    missing = pounds - math.fsum(each or 0.0 for each in had.values())
    loss = max(1.0 - math.fsum(each.share for each in expected), 0.0)
    most = loss + DEVIATIONS * share_deviation(max(loss, 0.005)) + SCALE_SHARE
    if missing > pounds * most + SCALE_POUNDS * max(1, len(expected)) ** 0.5:
        what = f"{answer.entry.count} {answer.cutting.piece.name} of {weight(pounds)}"
        yield EntryWarning(
            f"{weight(missing)} of {what} is unaccounted for: "
            f"at most {weight(pounds * most)} is expected to be lost"
        )


def batch_balance(answer: WeighedBatch | Entry, context: EntryContext) -> Iterator[EntryWarning]:
    """More came out of a batch, or far less, than went in; what went in may be unknown."""
    made = answer.entry if isinstance(answer, WeighedBatch) else answer
    if not isinstance(made, BatchMade):
        return
    name, units = context.name(made.blend), context.units
    blend = context.catalog.week.blends.get(name)
    weights = [each.pounds for each in made.took if each.pounds is not None]
    told = what = f"{units.weight(made.pounds)} of {name}"
    if made.pounds <= HUGE_POUNDS:
        if blend is None or not weights or len(weights) < len(made.took):
            return
        took = math.fsum(weights)
        least, most = (took * blend.gain * each for each in (1 - BATCH_SLACK, 1 + BATCH_SLACK))
        what += f" from {units.weight(took)}"
        told = outside(what, made.pounds, WeightRange(least, most), units)
    if told:
        yield EntryWarning(told, "of more or less than went in", about="took")


def too_little_meat(answer: WeighedBatch, context: EntryContext) -> Iterator[EntryWarning]:
    """More was made than was planned, and than the meat on hand gives."""
    batch, made, weight = answer.batch, answer.entry, context.units.weight
    planned = batch.pounds if batch.planned else 0.0
    enough = made.pounds <= planned * (1 + BATCH_SLACK) + SCALE_POUNDS
    if enough or not context.weighing.follows_pieces:
        return
    blend = context.catalog.week.blends[batch.blend.name]
    names, stand = list(blend.takes), context.weighing.stand(context.before)
    there = math.fsum(stand.amount(each) for each in names)
    if made.pounds > there * blend.gain * (1 + BATCH_SLACK) + LEAST_MEAT:
        meat = names[0] if len(names) == 1 else "what goes into it"
        have = weight(there) if there > DUST else "none"
        told = f"{weight(made.pounds)} of {batch.blend.name}: {have} of {meat} should be on hand"
        told += f", and {weight(planned)} was planned" if planned else ""
        yield EntryWarning(told, about="count")


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
