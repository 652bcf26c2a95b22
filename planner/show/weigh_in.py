"""A weigh-in: its help, and what was weighed beside what was expected."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from planner.core.quantities import show_count, show_day, show_share
from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.core.units import Quantity, Units
from planner.journal.entries import Recorded, Weighed
from planner.shop.entering.block_reader import EXAMPLES
from planner.shop.entering.day_plan import BatchJob, WeighedBatch, WeighedBreak
from planner.shop.entering.weighing import Weighing
from planner.show.counts import entered
from planner.show.data import json_text
from planner.show.layout import WIDTH, columns_of, fitted_table, listed

NAME = 30
"""Columns of a name in a prompt."""

_WORDS = (
    ("back", "to the question before; Enter then keeps what is in [ ]"),
    ("stop", "end here: what was typed so far is entered"),
    ("Ctrl-C", "enter nothing at all"),
)


def break_help(unit: str) -> str:
    """What may be typed about a break."""
    one, _ = EXAMPLES[unit]
    return _help(
        ("Enter", "as planned, not weighed, next job"),
        ("w", "as planned, and weigh it"),
        ("1", "this many were cut, and weigh them"),
        ("n", "none was cut: nothing is entered (skip does the same)"),
        ("all", "this and all jobs below as planned, not weighed"),
        (f"{one} {unit}", "the weight of all of them; Enter or skip: not weighed"),
        (f"1, {one} {unit}", "of what is counted: how many, and their weight"),
        ("next", "nothing more was weighed of this one, next job"),
        *_WORDS,
    )


def batch_help(unit: str) -> str:
    """What may be typed about a batch."""
    one, _ = EXAMPLES[unit]
    return _help(
        ("Enter", "as planned, from what was planned"),
        ("w", "as much as planned; asks what went in"),
        (f"{one} {unit}", "this much was made; asks what went in"),
        ("n", "none was made: nothing is entered (skip does the same)"),
        ("all", "this and all jobs below as planned, not weighed"),
        ("next", "what went in is taken in the plan's proportions"),
        *_WORDS,
    )


def else_help(unit: str) -> str:
    """What else may have been done."""
    one, _ = EXAMPLES[unit]
    return _help(
        ("leg: 2 steaks", "piece, how many, way"),
        (f"ground lamb: {one} {unit}", "a blend, and how much was made"),
        ("Enter", "no more"),
        *_WORDS,
    )


def _help(*lines: tuple[str, str]) -> str:
    room = max(columns_of(typed) for typed, _ in lines)
    return "\n".join(f"{typed:<{room}}  {told}" for typed, told in lines)


def weighing_heading(weighing: Weighing, width: int = WIDTH) -> str:
    """Whose list it is, and what is not asked for."""
    day = show_day(weighing.day)
    plan = weighing.plan
    if plan.number is None:
        return (
            f"No plan is kept for {day}: type what was cut. ? helps, stop ends. (breakplan week "
            "keeps the plan that it makes.)"
        )
    told = [f"Plan {plan.number}: nothing is left to weigh in on {day}."]
    if jobs := len(plan.cuttings) + len(plan.batches):
        told = [
            f"Weighing in {day}, by plan {plan.number}: {show_count(jobs, 'job')}. "
            "Enter: as planned, not weighed. w: weigh it. all: the rest as planned. ? helps."
        ]
    if plan.entered:
        names = [f"{each.piece.name}: {each.way}" for each in plan.entered]
        told += listed("entered already", names, width)
    if plan.left_out:
        told += listed("no longer in any recipe", plan.left_out, width)
    return "\n".join(told)


def weighed_text(
    week: Scenario,
    day: date,
    said: Sequence[WeighedBreak | WeighedBatch],
    written: Sequence[Recorded],
    width: int = WIDTH,
) -> str:
    """What was cut and made, each weight beside the expected one."""
    units = week.units
    rows: list[tuple[str, ...]] = []
    for one in said:
        rows += (
            _break_rows(one, units) if isinstance(one, WeighedBreak) else _batch_rows(one, units)
        )
    heads: tuple[str, ...] = ("", "weighed", "expected", "share", "expected")
    if not any(row[3] for row in rows):  # no shares to tell
        rows, heads = [row[:3] for row in rows], heads[:3]
    align = ("left", "right", "right", "right", "right")[: len(heads)]
    pieces = sum(each.entry.count for each in said if isinstance(each, WeighedBreak))
    batches = sum(isinstance(each, WeighedBatch) for each in said)
    sums = [f"{show_count(pieces, 'piece')} cut"] if pieces else []
    sums += [f"{show_count(batches, 'batch', 'batches')} made"] if batches else []
    told = f"Weighed in, {show_day(day)}: {', '.join(sums)}."
    return "\n".join(
        [told, "", fitted_table(rows, heads, align, width, (0,)), "", entered(written, width)]
    )


def weighed_json(
    week: Scenario,
    day: date,
    said: Sequence[WeighedBreak | WeighedBatch],
    written: Sequence[Recorded],
) -> str:
    """The same as JSON, weights in the shop's unit."""

    def weight(pounds: float | None) -> float | None:
        return None if pounds is None else week.units.number(Quantity(pounds))

    def gave(one: WeighedBreak, got: Weighed) -> dict[str, object]:
        expected = one.expected_of(got)
        known = expected.share * one.pounds if expected and one.pounds is not None else None
        return {
            "what": expected.thing.name if expected else got.what,
            "count": got.count,
            "weight": weight(got.pounds),
            "expected": weight(known),
        }

    told = {
        "format": "breakplan-weigh-in/1",
        "day": day.isoformat(),
        "unit": week.unit,
        "writing": written[0].writing if written else None,
        "entries": [each.number for each in written],
        "breaks": [
            {
                "piece": one.cutting.piece.name,
                "way": one.cutting.way,
                "count": one.entry.count,
                "planned": one.cutting.count if one.cutting.planned else 0,
                "weight": weight(one.entry.pounds),
                "reckoned": weight(one.cutting.expected_pounds(one.entry.count)),
                "gave": [gave(one, each) for each in one.entry.gave],
            }
            for one in said
            if isinstance(one, WeighedBreak)
        ],
        "batches": [
            {
                "blend": one.batch.blend.name,
                "weight": weight(one.entry.pounds),
                "planned": weight(one.batch.pounds) if one.batch.planned else 0,
                "took": [
                    {"what": _bare(one.batch, each), "weight": weight(each.pounds)}
                    for each in one.entry.took
                ],
            }
            for one in said
            if isinstance(one, WeighedBatch)
        ],
    }
    return json_text(told, indent=2)


def form_json(weighing: Weighing, path: str) -> str:
    """That a form is written, for which day, and how many jobs are on it."""
    told = {
        "format": "breakplan-weigh-in-form/1",
        "written": path,
        "day": weighing.day.isoformat(),
        "plan": weighing.plan.number,
        "jobs": len(weighing.plan.cuttings) + len(weighing.plan.batches),
    }
    return json_text(told, indent=2)


def _break_rows(one: WeighedBreak, units: Units) -> Iterator[tuple[str, ...]]:
    """The pieces, then each thing they gave: weights and shares beside those expected."""
    cutting, done, pounds = one.cutting, one.entry, one.pounds
    known = cutting.expected_pounds(done.count)
    name = f"{cutting.piece.name}: {cutting.way}, {done.count}"
    yield name, _weight(done.pounds, units), _weight(known, units), "", ""
    for got in done.gave:
        expected, number = one.expected_of(got), "" if got.count is None else f"{got.count} "
        name = f"  {number}{expected.thing.name if expected else got.what}"
        weight = "counted" if got.pounds is None else units.weight(got.pounds)
        if expected is None or pounds is None:
            yield name, weight, "", "", ""
            continue
        share = "" if got.pounds is None else show_share(got.pounds / pounds)
        weighs = units.weight(expected.share * pounds)
        yield name, weight, weighs, share, show_share(expected.share)


def _batch_rows(one: WeighedBatch, units: Units) -> Iterator[tuple[str, ...]]:
    """How much was made; unless it is in the proportion of the plan, also what went in."""
    batch, made = one.batch, one.entry
    weight = "" if made.pounds == batch.pounds else units.weight(made.pounds)
    yield batch.blend.name, weight, _weight(batch.pounds if batch.planned else None, units), "", ""
    took = {each.what: each.pounds or 0.0 for each in made.took}
    rate = made.pounds / batch.pounds if batch.pounds else None
    if rate is None or any(
        abs(took.get(thing.full, 0.0) - planned * rate) >= DUST for thing, planned in batch.takes
    ):
        for each in made.took:
            yield f"  of {_bare(batch, each)}", units.weight(each.pounds or 0.0), "", "", ""


def _weight(pounds: float | None, units: Units) -> str:
    return "" if pounds is None else units.weight(pounds)


def _bare(batch: BatchJob, each: Weighed) -> str:
    names = {thing.full: thing.name for thing, _ in batch.takes}
    return names.get(each.what, each.what)
