"""What a weigh-in asks, and its help."""

from __future__ import annotations

from planner.core.quantities import show_count, show_day, show_weight
from planner.shop.entering.block_reader import EXAMPLES
from planner.shop.entering.day_plan import BatchJob, Cutting
from planner.shop.entering.things import Expected, Thing
from planner.shop.entering.weighing import Weighing
from planner.show.layout import WIDTH, clip, columns_of, listed

NAME = 30
"""Columns of a name in a prompt."""

_WORDS = (
    ("back", "to the question before; Enter then keeps what stands in [ ]"),
    ("stop", "no more: what was typed so far is entered"),
    ("Ctrl-C", "enter nothing at all"),
)

ELSE_PROMPT = "anything else? (leg: 2 steaks, or Enter to end): "


def break_help(unit: str) -> str:
    """What may be typed about a break."""
    one, _ = EXAMPLES[unit]
    return _help(
        ("Enter", "as planned, not weighed, next job"),
        ("w", "as planned, and weigh it"),
        ("1", "so many were cut, and weigh them"),
        ("n", "none was cut, nothing is entered (skip does the same)"),
        ("all", "this and all jobs below as planned, not weighed"),
        (f"{one} {unit}", "the weight of all of them; Enter or skip: not weighed"),
        (f"1, {one} {unit}", "of what is counted: one there was, and its weight"),
        ("next", "nothing more was weighed of this one, next job"),
        *_WORDS,
    )


def batch_help(unit: str) -> str:
    """What may be typed about a batch."""
    one, _ = EXAMPLES[unit]
    return _help(
        ("Enter", "as planned, from what was planned"),
        ("w", "as much as planned; what went in is asked"),
        (f"{one} {unit}", "so much was made; what went in is asked"),
        ("n", "none was made, nothing is entered (skip does the same)"),
        ("all", "this and all jobs below as planned, not weighed"),
        ("next", "what went in is in the proportion of the plan"),
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
    told = []
    work = len(plan.cuttings) + len(plan.batches)
    if work:
        told.append(
            f"Weighing in {day}, by plan {plan.number}: {show_count(work, 'job')}. "
            "Enter: as planned, not weighed. w: weigh it. all: the rest as planned. ? helps."
        )
    else:
        told.append(f"Plan {plan.number}: nothing is left to weigh in on {day}.")
    if plan.entered:
        names = [f"{each.piece.name}: {each.way}" for each in plan.entered]
        told += listed("entered already", names, width)
    if plan.left_out:
        told += listed("no longer in any recipe", plan.left_out, width)
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
    if not cutting.planned:
        return f"  how many were cut (Enter: {cutting.count}): "
    return f"  {cutting.count} cut? (Enter: yes; w: weigh; or how many; n: none): "


def pieces_prompt(count: int, expected: float | None, unit: str) -> str:
    """What they weighed."""
    told = "" if expected is None else f", {show_weight(expected, unit)} expected"
    return f"  {'it' if count == 1 else f'all {count}'} weighed{told}: "


def given_prompt(expected: Expected, count: int, pounds: float | None, unit: str) -> str:
    """`  frenched leg, 6.8 lb expected: `."""
    number = "" if expected.count is None else f"{expected.count * count} "
    weight = "" if pounds is None else f", {show_weight(expected.share * pounds, unit)} expected"
    return f"  {number}{clip(expected.thing.name, NAME)}{weight}: "


def batch_heading(batch: BatchJob, unit: str) -> str:
    """`ground lamb, 12.0 lb planned`."""
    name = clip(batch.blend.name, NAME)
    if not batch.planned:
        return f"{name}, not in the plan"
    return f"{name}, {show_weight(batch.pounds, unit)} planned"


def made_prompt(batch: BatchJob) -> str:
    """How much was made."""
    if not batch.planned:
        return "  how much was made: "
    return "  made? (Enter: yes; w: weigh; or how much; n: none): "


def said_count(amount: float, unit: str, *, counted: bool, weighed: bool) -> str:
    """What was typed before of how many were cut, or how much was made."""
    if not amount:
        return "none"
    told = f"{amount:.0f}" if counted else show_weight(amount, unit)
    return told if weighed else f"{told}, not weighed"


def said_weighed(count: int | None, pounds: float | None, unit: str) -> str:
    """What was typed before of a weight."""
    if pounds is None:
        return "not weighed" if count is None else f"{count} each"
    weight = show_weight(pounds, unit)
    return weight if count is None else f"{count}, {weight}"


def took_prompt(thing: Thing, share: float | None, unit: str) -> str:
    """`  of trim 80, 12.0 lb by the plan: `."""
    told = "" if share is None else f", {show_weight(share, unit)} by the plan"
    return f"  of {clip(thing.name, NAME)} went in{told}: "
