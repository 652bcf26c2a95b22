"""A weigh-in for a person and for machines: what is asked, what was weighed beside the expected."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date

from planner.journal.entries import BatchMade, BreakDone, Recorded, Weighed
from planner.measures import show_count, show_share, show_weight
from planner.scenario import Scenario
from planner.shop.entering.dayplan import Batch, Cutting
from planner.shop.entering.things import Expected, Thing
from planner.shop.entering.weighing import Weighing
from planner.shop.stock.words import day_words
from planner.show.amounts import Figures
from planner.show.counts import entered
from planner.show.layout import WIDTH, clip, fitted_table, listed, wrapped

NAME = 30
"""Columns of a name in a prompt."""

_WORDS = (
    "back             to the question before\n"
    "stop             no more: what was typed so far is entered\n"
    "Ctrl-C           enter nothing at all"
)

BREAK_HELP = (
    "How many         a whole number; Enter: as planned; 0: none\n"
    "Weights          6.8, 6.8 lb or 3.1 kg of all of them; Enter: not weighed\n"
    "Of what counts   3.4, or 1, 3.4 lb where there was one, or 1 each\n"
    f"{_WORDS}"
)

BATCH_HELP = (
    "How much         12, 12 lb or 5.4 kg; Enter: as planned; 0: none\n"
    "What went in     the same; Enter: in the proportion of the plan\n"
    f"{_WORDS}"
)

ELSE_PROMPT = "anything else? (leg: 2 steaks, or Enter to end): "

ELSE_HELP = (
    "leg: 2 steaks    piece, how many, way\n"
    "ground lamb      a blend: how much is asked then; or ground lamb: 12 lb\n"
    "Enter            no more\n"
    f"{_WORDS}"
)


def weighing_heading(weighing: Weighing, width: int = WIDTH) -> str:
    """Whose list it is, and what is not asked for."""
    day = day_words(weighing.day)
    if not weighing.has_plan:
        return (
            f"No plan is kept for {day}: type what was cut. ? helps, stop ends. (breakplan week "
            "keeps the plan that it makes.)"
        )
    told = []
    work = len(weighing.cuttings) + len(weighing.batches)
    if work:
        told.append(
            f"Weighing in {day}, by plan {weighing.number}: {show_count(work, 'job')}. "
            "Enter: as planned, or not weighed. ? helps, stop ends."
        )
    else:
        told.append(f"Of plan {weighing.number} nothing is left to weigh in on {day}.")
    if weighing.entered:
        names = [f"{each.piece.name}: {each.way}" for each in weighing.entered]
        told += listed("entered already", names, width)
    if weighing.left_out:
        told += listed("no recipe knows any more", weighing.left_out, width)
    return "\n".join(told)


def break_heading(cutting: Cutting, unit: str) -> str:
    """`leg: frenched, 1 planned (9.4 lb)`."""
    name = f"{clip(cutting.piece.name, NAME)}: {clip(cutting.way, NAME)}"
    weight = "" if cutting.pounds is None else f" ({show_weight(cutting.pounds, unit)})"
    entered_ = f", {cutting.entered} entered before" if cutting.entered else ""
    if not cutting.planned:
        return f"{name}, not in the plan"
    return f"{name}, {cutting.count} planned{weight}{entered_}"


def count_prompt(cutting: Cutting) -> str:
    """How many were cut."""
    return f"  how many were cut (Enter: {cutting.count}): "


def pieces_prompt(count: int, reckoned: float | None, unit: str) -> str:
    """What they weighed."""
    told = "" if reckoned is None else f", {show_weight(reckoned, unit)} reckoned"
    return f"  {'it' if count == 1 else f'all {count}'} weighed{told}: "


def given_prompt(expected: Expected, count: int, pounds: float | None, unit: str) -> str:
    """`  frenched leg, 6.8 lb expected: `."""
    number = "" if expected.count is None else f"{expected.count * count} "
    weight = "" if pounds is None else f", {show_weight(expected.share * pounds, unit)} expected"
    return f"  {number}{clip(expected.thing.name, NAME)}{weight}: "


def batch_heading(batch: Batch, unit: str) -> str:
    """`ground lamb, 12.0 lb planned`."""
    name = clip(batch.blend.name, NAME)
    if not batch.planned:
        return f"{name}, not in the plan"
    return f"{name}, {show_weight(batch.pounds, unit)} planned"


def made_prompt(batch: Batch, unit: str) -> str:
    """How much was made."""
    least = show_weight(batch.pounds, unit) if batch.pounds else "none"
    return f"  how much was made (Enter: {least}): "


def took_prompt(thing: Thing, share: float | None, unit: str) -> str:
    """`  of trim 80, 12.0 lb by the plan: `."""
    told = "" if share is None else f", {show_weight(share, unit)} by the plan"
    return f"  of {clip(thing.name, NAME)} went in{told}: "


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
    heads = ("", "weighed", "expected", "share", "expected")
    align = ("left", "right", "right", "right", "right")
    told = [f"Weighed in, {day_words(day)}: {_sums(breaks, batches)}."]
    for cutting, done in breaks:
        reckoned = cutting.reckoned(done.count)
        before = reckoned if done.pounds is None else done.pounds
        weight = "" if before is None else f", {show_weight(before, unit)}"
        weight += "" if before is None or done.pounds is not None else " reckoned"
        told += [
            "",
            *wrapped(f"{cutting.piece.name}: {cutting.way}, {done.count}{weight}", 0, width),
        ]
        rows = [_row(cutting, done, each, unit) for each in done.gave]
        told += [fitted_table(rows, heads, align, width, (0,))] if rows else []
    for batch, made in batches:
        took = " + ".join(
            f"{show_weight(each.pounds or 0.0, unit)} {_bare(batch, each)}" for each in made.took
        )
        line = f"{batch.blend.name}: {show_weight(made.pounds, unit)}"
        told += ["", *wrapped(f"{line} from {took}" if took else line, 0, width)]
    told += ["", *wrapped(entered(written), 0, width)]
    return "\n".join(told)


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


def _sums(
    breaks: Sequence[tuple[Cutting, BreakDone]], batches: Sequence[tuple[Batch, BatchMade]]
) -> str:
    told = []
    if breaks:
        told.append(show_count(sum(done.count for _, done in breaks), "piece") + " cut")
    if batches:
        told.append(show_count(len(batches), "batch", "batches") + " made")
    return ", ".join(told)


def _row(cutting: Cutting, done: BreakDone, got: Weighed, unit: str) -> tuple[str, ...]:
    one, before = _expected(cutting, got), _before(cutting, done)
    name = one.thing.name if one else got.what
    number = "" if got.count is None else f"{got.count} "
    weight = "counted" if got.pounds is None else show_weight(got.pounds, unit)
    if one is None or before is None:
        return (f"{number}{name}", weight, "", "", "")
    share = "" if got.pounds is None else show_share(got.pounds / before)
    return (
        f"{number}{name}",
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
