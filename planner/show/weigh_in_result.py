"""What was weighed in, beside what was expected: for a person and for machines."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from planner.core.quantities import show_count, show_day, show_share, show_weight
from planner.core.scenario import Scenario
from planner.core.stock_replay import DUST
from planner.journal.entries import BatchMade, Recorded, Weighed
from planner.shop.entering.day_plan import BatchJob, WeighedBatch, WeighedBreak
from planner.shop.entering.weighing import Weighing
from planner.show.amounts import Figures
from planner.show.counts import entered
from planner.show.data import json_text
from planner.show.layout import WIDTH, fitted_table


def weighed_text(
    week: Scenario,
    day: date,
    said: Sequence[WeighedBreak | WeighedBatch],
    written: Sequence[Recorded],
    width: int = WIDTH,
) -> str:
    """What was cut and made, each weight beside the expected one."""
    unit = week.unit
    rows: list[tuple[str, ...]] = []
    for one in said:
        if isinstance(one, WeighedBreak):
            rows.append(_job(one, unit))
            rows += [_row(one, each, unit) for each in one.entry.gave]
            continue
        rows.append(_made(one.batch, one.entry, unit))
        if not _as_planned(one.batch, one.entry):
            for each in one.entry.took:
                weight = show_weight(each.pounds or 0.0, unit)
                rows.append((f"  of {_bare(one.batch, each)}", weight, "", "", ""))
    heads: tuple[str, ...] = ("", "weighed", "expected", "share", "expected")
    if not any(row[3] for row in rows):  # no shares to tell
        rows, heads = [row[:3] for row in rows], heads[:3]
    align = ("left", "right", "right", "right", "right")[: len(heads)]
    told = [f"Weighed in, {show_day(day)}: {_sums(said)}.", ""]
    told += [fitted_table(rows, heads, align, width, (0,))]
    return "\n".join([*told, "", entered(written, width)])


def weighed_json(
    week: Scenario,
    day: date,
    said: Sequence[WeighedBreak | WeighedBatch],
    written: Sequence[Recorded],
) -> str:
    """The same as JSON, weights in the shop's unit."""
    figures = Figures(week)

    def weight(pounds: float | None) -> float | None:
        return None if pounds is None else figures.weight(pounds)

    def gave(one: WeighedBreak, got: Weighed) -> dict[str, object]:
        expected = one.expected_of(got)
        usual = expected.share * one.pounds if expected and one.pounds is not None else None
        return {
            "what": expected.thing.name if expected else got.what,
            "count": got.count,
            "weight": weight(got.pounds),
            "expected": weight(usual),
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


def _sums(said: Sequence[WeighedBreak | WeighedBatch]) -> str:
    pieces = sum(each.entry.count for each in said if isinstance(each, WeighedBreak))
    batches = sum(isinstance(each, WeighedBatch) for each in said)
    told = [f"{show_count(pieces, 'piece')} cut"] if pieces else []
    told += [f"{show_count(batches, 'batch', 'batches')} made"] if batches else []
    return ", ".join(told)


def _job(one: WeighedBreak, unit: str) -> tuple[str, ...]:
    """`leg: boneless, 2` and what they weighed, beside what was expected."""
    cutting, done = one.cutting, one.entry
    known = cutting.expected_pounds(done.count)
    weighed = "" if done.pounds is None else show_weight(done.pounds, unit)
    expected = "" if known is None else show_weight(known, unit)
    return (f"{cutting.piece.name}: {cutting.way}, {done.count}", weighed, expected, "", "")


def _made(batch: BatchJob, made: BatchMade, unit: str) -> tuple[str, ...]:
    """A blend, how much was made where it was weighed, beside what was planned."""
    weight = "" if made.pounds == batch.pounds else show_weight(made.pounds, unit)
    planned = show_weight(batch.pounds, unit) if batch.planned else ""
    return (batch.blend.name, weight, planned, "", "")


def _as_planned(batch: BatchJob, made: BatchMade) -> bool:
    """Whether what went in is in the proportion of the plan."""
    if not batch.pounds:
        return False
    took = {each.what: each.pounds or 0.0 for each in made.took}
    return all(
        abs(took.get(thing.full, 0.0) - planned * made.pounds / batch.pounds) < DUST
        for thing, planned in batch.takes
    )


def _row(one: WeighedBreak, got: Weighed, unit: str) -> tuple[str, ...]:
    expected, before = one.expected_of(got), one.pounds
    name = expected.thing.name if expected else got.what
    number = "" if got.count is None else f"{got.count} "
    weight = "counted" if got.pounds is None else show_weight(got.pounds, unit)
    if expected is None or before is None:
        return (f"  {number}{name}", weight, "", "", "")
    share = "" if got.pounds is None else show_share(got.pounds / before)
    usual = show_weight(expected.share * before, unit)
    return (f"  {number}{name}", weight, usual, share, show_share(expected.share))


def _bare(batch: BatchJob, each: Weighed) -> str:
    names = {thing.full: thing.name for thing, _ in batch.takes}
    return names.get(each.what, each.what)
