"""The questions of a weigh-in: for a break, and for a batch.

The first question about a piece of work is whether it was done; who answers it with Enter has done
as planned and weighed nothing, and goes on to the next. What is asked after it follows from the
answers so far alone, so that going back is taking the last answer away.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from planner.commands.prompt import Question
from planner.journal.entries import Entry, Weighed
from planner.shop.entering.block_checks import (
    batch_balance,
    given_weights,
    missing_weight,
    piece_weight,
    sum_of_given,
    too_little_meat,
    too_many_cut,
    typed_again,
)
from planner.shop.entering.block_reader import read_number, read_weighed, read_weight
from planner.shop.entering.context import Check, EntryContext, warnings_of
from planner.shop.entering.day_plan import BatchJob, Cutting, WeighedBatch, WeighedBreak
from planner.shop.entering.warning import EntryWarning
from planner.show.weigh_in import (
    batch_heading,
    batch_help,
    break_heading,
    break_help,
    count_prompt,
    given_prompt,
    made_prompt,
    pieces_prompt,
    said_count,
    said_weighed,
    took_prompt,
)


class Rest(Enum):
    """An answer that ends the questions: about this piece of work, or about all that is left."""

    NEXT = "next"
    ALL = "all"


@dataclass(frozen=True, slots=True)
class Done:
    """How many were cut, or how much was made; and whether there are weights to be typed."""

    amount: float
    weighed: bool


Answer: TypeAlias = Done | Rest | float | Weighed | None
"""None: not weighed."""

NONE = ("n", "no", "none", "skip")
AS_PLANNED = ("y", "yes")
WEIGH = ("w", "weigh")
UNWEIGHED = ("", "skip", "next")


class BreakTalk:
    """How many were cut, what they weighed, and what each thing weighs that they gave."""

    def __init__(self, context: EntryContext, cutting: Cutting) -> None:
        self._context, self._cutting = context, cutting
        self._unit = context.unit
        self._help = break_help(self._unit)

    def question(
        self, answers: Sequence[Answer], before: Sequence[Entry]
    ) -> Question[Answer] | None:
        """What is asked after these answers; None where all was answered.

        `before` is what was done before it that day and is not in the journal yet.
        """
        cutting, unit, done = self._cutting, self._unit, self.result(answers)
        context = self._context.after(*before)
        heading, about = "", "weight"
        checks: tuple[Check[WeighedBreak], ...] = (piece_weight,)
        read: Callable[[str], Answer]
        if not answers:
            heading, about = break_heading(cutting, unit), "count"
            prompt = count_prompt(cutting)
            checks = (too_many_cut,) if cutting.planned else (typed_again, too_many_cut)

            def read(text: str) -> Answer:
                said = _first(text, cutting.count, planned=cutting.planned)
                return said or Done(read_number(text, cutting.piece.name), weighed=True)

        elif done is None or _ended(answers) or len(answers) > len(cutting.expected) + 1:
            return None
        elif len(answers) == 1:
            count = done.entry.count
            prompt = pieces_prompt(count, cutting.expected_pounds(count), unit)

            def read(text: str) -> Answer:
                return _not_weighed(text) if text.lower() in UNWEIGHED else read_weight(text, unit)

        else:
            one, count = cutting.expected[len(answers) - 2], done.entry.count
            number = None if one.count is None else one.count * count
            about, checks = one.thing.full, (given_weights, sum_of_given, missing_weight)
            prompt = given_prompt(one, count, done.pounds, unit)

            def read(text: str) -> Answer:
                if text.lower() in UNWEIGHED:
                    return _not_weighed(text)
                return Weighed(one.thing.full, *read_weighed(text, one.thing, number, unit))

        def warning(answer: Answer) -> str:
            now = self.result((*answers, answer))
            if now is None or not isinstance(answer, Done | float | Weighed):
                return ""
            return _asked(warnings_of(now, context, checks), about)

        return Question(prompt, read, warning, self._help, heading)

    def result(self, answers: Sequence[Answer]) -> WeighedBreak | None:
        """The break; None where none was cut, or nobody said."""
        first, weight = (*answers, None, None)[:2]
        if not isinstance(first, Done) or not first.amount:
            return None
        pounds = weight if isinstance(weight, float) else None
        gave = [each for each in answers if isinstance(each, Weighed)]
        done = self._context.weighing.entry(self._cutting, round(first.amount), pounds, gave)
        return WeighedBreak(self._cutting, done)

    def said(self, answer: Answer) -> str:
        """`2`, `6.4 lb`, `not weighed`."""
        return _said(answer, self._unit, counted=True)


class BatchTalk:
    """How much was made of a blend, and what went into it."""

    def __init__(self, context: EntryContext, batch: BatchJob) -> None:
        self._context, self._batch = context, batch
        self._unit = context.unit
        self._help = batch_help(self._unit)

    def question(
        self, answers: Sequence[Answer], before: Sequence[Entry]
    ) -> Question[Answer] | None:
        """What is asked after these answers, as for a break."""
        return self._how_much(before) if not answers else self._what_went_in(answers)

    def _how_much(self, before: Sequence[Entry]) -> Question[Answer]:
        batch, unit, context = self._batch, self._unit, self._context.after(*before)
        checks: tuple[Check[WeighedBatch], ...] = (too_little_meat,)
        checks = checks if batch.planned else (typed_again, *checks)

        def read(text: str) -> Answer:
            said = _first(text, batch.pounds, planned=batch.planned)
            return said or Done(read_weight(text, unit), weighed=True)

        def warning(answer: Answer) -> str:
            if not isinstance(answer, Done) or not answer.amount:
                return ""
            now = WeighedBatch(batch, self._context.weighing.made(batch, answer.amount))
            return _asked(warnings_of(now, context, checks), "count")

        heading = batch_heading(batch, unit)
        return Question(made_prompt(batch), read, warning, self._help, heading)

    def _what_went_in(self, answers: Sequence[Answer]) -> Question[Answer] | None:
        batch, unit = self._batch, self._unit
        made, place = _made(answers), len(answers) - 1
        if not made or _ended(answers) or place >= len(batch.takes):
            return None
        thing, planned = batch.takes[place]
        share = planned * made / batch.pounds if batch.pounds else None

        def read(text: str) -> Answer:
            if text.lower() == "next":
                return Rest.NEXT
            return share if text.lower() in ("", "skip") else read_weight(text, unit)

        def warning(answer: Answer) -> str:
            took = [each for each in (*answers[1:], answer) if isinstance(each, float)]
            if len(took) < len(batch.takes):
                return ""
            parts = zip(batch.takes, took, strict=True)
            gone = tuple(Weighed(each.full, None, pounds) for (each, _), pounds in parts)
            entry = self._context.weighing.made(batch, made, gone)
            return _asked(batch_balance(entry, self._context), "took")

        return Question(took_prompt(thing, share, unit), read, warning, self._help)

    def result(self, answers: Sequence[Answer]) -> WeighedBatch | None:
        """The batch; None where none was made, or nobody said.

        What went in and was not asked any more is in the proportion of the plan.
        """
        made, batch = _made(answers), self._batch
        if not made:
            return None
        said = [each for each in answers[1:] if not isinstance(each, Rest)]
        took = []
        for place, (thing, planned) in enumerate(batch.takes):
            pounds: Answer = None
            if place < len(said):
                pounds = said[place]
            elif batch.pounds:
                pounds = planned * made / batch.pounds
            if isinstance(pounds, float) and pounds > 0:
                took.append(Weighed(thing.full, None, pounds))
        return WeighedBatch(batch, self._context.weighing.made(batch, made, took))

    def said(self, answer: Answer) -> str:
        """`12.0 lb`."""
        return _said(answer, self._unit, counted=False)


Talk: TypeAlias = BreakTalk | BatchTalk
"""The questions about one piece of work."""


def _asked(warnings: Iterable[EntryWarning], about: str) -> str:
    """The first that is about what was answered, or about all of it; empty where none is."""
    return next((each.question for each in warnings if each.about in (about, "")), "")


def _made(answers: Sequence[Answer]) -> float:
    return answers[0].amount if answers and isinstance(answers[0], Done) else 0.0


def _first(text: str, planned_amount: float, *, planned: bool) -> Answer:
    """The words that answer whether something was done; None where it is a figure.

    Of what was not planned, Enter is the amount typed with its name, and it may be weighed.
    """
    word = text.lower()
    if word in NONE:
        return Done(0.0, weighed=False)
    if word == "" or word in AS_PLANNED:
        return Done(planned_amount, weighed=not planned)
    if word in WEIGH:
        return Done(planned_amount, weighed=True)
    if word == "next":
        return Done(planned_amount, weighed=False)
    return Rest.ALL if word == "all" else None


def _ended(answers: Sequence[Answer]) -> bool:
    """Whether nothing more is asked about a piece of work that was begun."""
    first = answers[0]
    return Rest.NEXT in answers or isinstance(first, Done) and not first.weighed


def _not_weighed(text: str) -> Answer:
    return Rest.NEXT if text.lower() == "next" else None


def _said(answer: Answer, unit: str, *, counted: bool) -> str:
    if isinstance(answer, Done):
        return said_count(answer.amount, unit, counted=counted, weighed=answer.weighed)
    if isinstance(answer, Rest):
        return answer.value
    if isinstance(answer, Weighed):
        return said_weighed(answer.count, answer.pounds, unit)
    return said_weighed(None, answer, unit)
