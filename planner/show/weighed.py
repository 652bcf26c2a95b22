"""What was weighed in, beside what was expected: for a person and for machines."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date

from planner.journal.entries import BatchMade, BreakDone, Recorded, Weighed
from planner.ledger import DUST
from planner.measures import show_count, show_share, show_weight
from planner.scenario import Scenario
from planner.shop.entering.dayplan import Batch, Cutting
from planner.shop.entering.things import Expected
from planner.shop.entering.weighing import Weighing
from planner.shop.stock.words import day_words
from planner.show.amounts import Figures
from planner.show.counts import entered
from planner.show.layout import WIDTH, fitted_table


def weighed_text(
    week: Scenario,
    day: date,
    breaks: Sequence[tuple[Cutting, BreakDone]],
    batches: Sequence[tuple[Batch, BatchMade]],
    written: Sequence[Recorded],
    width: int = WIDTH,
) -> str:
    """What was cut and made, each weight beside the expected one."""
    unit = week.unit
    rows: list[tuple[str, ...]] = []
    for cutting, done in breaks:
        rows.append(_job(cutting, done, unit))
        rows += [_row(cutting, done, each, unit) for each in done.gave]
    for batch, made in batches:
        rows.append(_made(batch, made, unit))
        if not _as_planned(batch, made):
            for each in made.took:
                weight = show_weight(each.pounds or 0.0, unit)
                rows.append((f"  of {_bare(batch, each)}", weight, "", "", ""))
    heads: tuple[str, ...] = ("", "weighed", "expected", "share", "expected")
    if not any(row[3] for row in rows):  # no shares to tell
        rows, heads = [row[:3] for row in rows], heads[:3]
    align = ("left", "right", "right", "right", "right")[: len(heads)]
    told = [f"Weighed in, {day_words(day)}: {_sums(breaks, batches)}.", ""]
    told += [fitted_table(rows, heads, align, width, (0,))]
    return "\n".join([*told, "", entered(written, width)])


def weighed_json(
    week: Scenario,
    day: date,
    breaks: Sequence[tuple[Cutting, BreakDone]],
    batches: Sequence[tuple[Batch, BatchMade]],
    written: Sequence[Recorded],
) -> str:
    """The same as JSON, weights in the shop's unit."""
    figures = Figures(week)

    def weight(pounds: float | None) -> float | None:
        return None if pounds is None else figures.weight(pounds)

    def gave(cutting: Cutting, done: BreakDone) -> list[dict[str, object]]:
        found: list[dict[str, object]] = []
        for each in done.gave:
            one, before = _expected(cutting, each), _before(cutting, done)
            expected = None if one is None or before is None else one.share * before
            found.append(
                {
                    "what": one.thing.name if one else each.what,
                    "count": each.count,
                    "weight": weight(each.pounds),
                    "expected": weight(expected),
                }
            )
        return found

    told = {
        "format": "breakplan-weigh-in/1",
        "day": day.isoformat(),
        "unit": week.unit,
        "writing": written[0].writing if written else None,
        "entries": [each.number for each in written],
        "breaks": [
            {
                "piece": cutting.piece.name,
                "way": cutting.way,
                "count": done.count,
                "planned": cutting.count if cutting.planned else 0,
                "weight": weight(done.pounds),
                "reckoned": weight(cutting.reckoned(done.count)),
                "gave": gave(cutting, done),
            }
            for cutting, done in breaks
        ],
        "batches": [
            {
                "blend": batch.blend.name,
                "weight": weight(made.pounds),
                "planned": weight(batch.pounds) if batch.planned else 0,
                "took": [
                    {"what": _bare(batch, each), "weight": weight(each.pounds)}
                    for each in made.took
                ],
            }
            for batch, made in batches
        ],
    }
    return json.dumps(told, indent=2, ensure_ascii=False)


def form_json(weighing: Weighing, path: str) -> str:
    """That a form is written, for which day, and how many jobs are on it."""
    told = {
        "format": "breakplan-weigh-in-form/1",
        "written": path,
        "day": weighing.day.isoformat(),
        "plan": weighing.number,
        "jobs": len(weighing.cuttings) + len(weighing.batches),
    }
    return json.dumps(told, indent=2, ensure_ascii=False)


def _sums(
    breaks: Sequence[tuple[Cutting, BreakDone]], batches: Sequence[tuple[Batch, BatchMade]]
) -> str:
    told = []
    if breaks:
        told.append(show_count(sum(done.count for _, done in breaks), "piece") + " cut")
    if batches:
        told.append(show_count(len(batches), "batch", "batches") + " made")
    return ", ".join(told)


def _job(cutting: Cutting, done: BreakDone, unit: str) -> tuple[str, ...]:
    """`leg: boneless, 2` and what they weighed, beside what was reckoned."""
    reckoned = cutting.reckoned(done.count)
    weighed = "" if done.pounds is None else show_weight(done.pounds, unit)
    expected = "" if reckoned is None else show_weight(reckoned, unit)
    return (f"{cutting.piece.name}: {cutting.way}, {done.count}", weighed, expected, "", "")


def _made(batch: Batch, made: BatchMade, unit: str) -> tuple[str, ...]:
    """A blend, how much was made where it was weighed, beside what was planned."""
    weight = "" if made.pounds == batch.pounds else show_weight(made.pounds, unit)
    planned = show_weight(batch.pounds, unit) if batch.planned else ""
    return (batch.blend.name, weight, planned, "", "")


def _as_planned(batch: Batch, made: BatchMade) -> bool:
    """Whether what went in is in the proportion of the plan."""
    if not batch.pounds:
        return False
    took = {each.what: each.pounds or 0.0 for each in made.took}
    return all(
        abs(took.get(thing.full, 0.0) - planned * made.pounds / batch.pounds) < DUST
        for thing, planned in batch.takes
    )


def _row(cutting: Cutting, done: BreakDone, got: Weighed, unit: str) -> tuple[str, ...]:
    one, before = _expected(cutting, got), _before(cutting, done)
    name = one.thing.name if one else got.what
    number = "" if got.count is None else f"{got.count} "
    weight = "counted" if got.pounds is None else show_weight(got.pounds, unit)
    if one is None or before is None:
        return (f"  {number}{name}", weight, "", "", "")
    share = "" if got.pounds is None else show_share(got.pounds / before)
    return (
        f"  {number}{name}",
        weight,
        show_weight(one.share * before, unit),
        share,
        show_share(one.share),
    )


def _expected(cutting: Cutting, got: Weighed) -> Expected | None:
    return next((each for each in cutting.expected if each.thing.full == got.what), None)


def _before(cutting: Cutting, done: BreakDone) -> float | None:
    return cutting.reckoned(done.count) if done.pounds is None else done.pounds


def _bare(batch: Batch, each: Weighed) -> str:
    names = {thing.full: thing.name for thing, _ in batch.takes}
    return names.get(each.what, each.what)
