"""The questions of a weigh-in: for a break, and for a batch.

The first question about a job is whether it was done; who answers it with Enter has done as planned
and weighed nothing, and goes on to the next. What is asked after it follows from the answers so far
alone, so that going back is taking the last answer away.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any, TypeAlias

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
from planner.show.layout import clip
from planner.show.weigh_in import NAME, batch_help, break_help


class Rest(Enum):
    """An answer that ends the questions: about this job, or about all that are left."""

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
UNWEIGHED = ("", "skip", "next")


class JobQuestions(ABC):
    """The questions about one job of the day; `amount` is what is planned of it."""

    _counted = False

    def __init__(self, context: EntryContext, amount: float, *, planned: bool, told: str) -> None:
        self._context, self._units, self._help = context, context.units, told
        self._amount, self._planned = amount, planned

    def question(
        self, answers: Sequence[Answer], before: Sequence[Entry]
    ) -> Question[Answer] | None:
        """What is asked after these answers; None where all was answered.

        `before` is what was done before it that day and is not in the journal yet.
        """
        context = self._context.after(*before)
        first = answers[0] if answers else None
        if first is None:
            return self._whether_done(context)
        ended = Rest.NEXT in answers or not isinstance(first, Done) or not first.weighed
        return None if ended else self._weight(answers, context)

    def said(self, answer: Answer) -> str:
        """`2`, `6.4 lb`, `2, 6.4 lb`, `2, not weighed`: what was typed before."""
        match answer:
            case Done(amount, weighed):
                told = f"{amount:.0f}" if self._counted else self._units.weight(amount)
                told = told if amount else "none"
                return told if weighed or not amount else f"{told}, not weighed"
            case Rest():
                return answer.value
            case Weighed(_, count, pounds):
                weight = "each" if pounds is None else self._units.weight(pounds)
                gap = " " if pounds is None else ", "
                return weight if count is None else f"{count}{gap}{weight}"
        return "not weighed" if answer is None else self._units.weight(answer)

    @abstractmethod
    def result(self, answers: Sequence[Answer]) -> WeighedBreak | WeighedBatch | None:
        """What was done; None where nothing was, or nobody said."""

    @abstractmethod
    def _whether_done(self, context: EntryContext) -> Question[Answer]: ...

    @abstractmethod
    def _weight(
        self, answers: Sequence[Answer], context: EntryContext
    ) -> Question[Answer] | None: ...

    def _read_done(self, text: str, read: Callable[[str], float]) -> Answer:
        """Whether it was done, and how much of it.

        Of what was not planned, Enter is the amount typed with its name, and it may be weighed.
        """
        word = text.lower()
        if word == "all":
            return Rest.ALL
        if word in NONE:
            return Done(0.0, weighed=False)
        if word in ("", "y", "yes"):
            return Done(self._amount, weighed=not self._planned)
        if word in ("w", "weigh", "next"):
            return Done(self._amount, weighed=word != "next")
        return Done(read(text), weighed=True)

    def _asked(
        self, done: Any, context: EntryContext, checks: Sequence[Check[Any]], about: str
    ) -> str:
        """The first warning about what was answered, or about all of it; empty where none is."""
        found = warnings_of(done, context, checks) if done else ()
        return next((each.question for each in found if each.about in (about, "")), "")


class BreakQuestions(JobQuestions):
    """How many were cut, what they weighed, and what each thing weighs that they gave."""

    _counted = True

    def __init__(self, context: EntryContext, cutting: Cutting) -> None:
        told = break_help(context.units.unit)
        super().__init__(context, cutting.count, planned=cutting.planned, told=told)
        self._cutting = cutting

    def _whether_done(self, context: EntryContext) -> Question[Answer]:
        cutting, units = self._cutting, self._units
        heading = f"{clip(cutting.piece.name, NAME)}: {clip(cutting.way, NAME)}"
        checks: tuple[Check[WeighedBreak], ...] = (too_many_cut,)
        if cutting.planned:
            weight = "" if cutting.pounds is None else f" ({units.weight(cutting.pounds)})"
            entered = f", {cutting.entered} entered before" if cutting.entered else ""
            heading += f", {cutting.count} planned{weight}{entered}"
            prompt = f"  {cutting.count} cut? (Enter: yes; w: weigh; or how many; n: none): "
        else:
            heading += ", not in the plan"
            prompt = f"  how many were cut (Enter: {cutting.count}): "
            checks = (typed_again, *checks)
        return Question(
            prompt,
            lambda text: self._read_done(
                text, lambda typed: read_number(typed, cutting.piece.name)
            ),
            lambda answer: self._asked(self.result((answer,)), context, checks, "count"),
            self._help,
            heading,
        )

    def _weight(self, answers: Sequence[Answer], context: EntryContext) -> Question[Answer] | None:
        cutting, units, done = self._cutting, self._units, self.result(answers)
        place = len(answers) - 2
        if done is None or place >= len(cutting.expected):
            return None
        count, about = done.entry.count, "weight"
        checks: tuple[Check[WeighedBreak], ...] = (piece_weight,)
        if place < 0:
            pounds = cutting.expected_pounds(count)
            name = f"{'it' if count == 1 else f'all {count}'} weighed"

            def read(text: str) -> Answer:
                return read_weight(text, units)

        else:
            one = cutting.expected[place]
            number = None if one.count is None else one.count * count
            pounds = None if done.pounds is None else one.share * done.pounds
            name = f"{'' if number is None else f'{number} '}{clip(one.thing.name, NAME)}"
            about, checks = one.thing.full, (given_weights, sum_of_given, missing_weight)

            def read(text: str) -> Answer:
                return Weighed(one.thing.full, *read_weighed(text, one.thing, number, units))

        def read_any(text: str) -> Answer:
            if text.lower() in UNWEIGHED:
                return Rest.NEXT if text.lower() == "next" else None
            return read(text)

        def warning(answer: Answer) -> str:
            known = isinstance(answer, float | Weighed)
            now = self.result((*answers, answer)) if known else None
            return self._asked(now, context, checks, about)

        expected = "" if pounds is None else f", {units.weight(pounds)} expected"
        return Question(f"  {name}{expected}: ", read_any, warning, self._help)

    def result(self, answers: Sequence[Answer]) -> WeighedBreak | None:
        """The break; None where none was cut, or nobody said."""
        first, weight = (*answers, None, None)[:2]
        if not isinstance(first, Done) or not first.amount:
            return None
        pounds = weight if isinstance(weight, float) else None
        gave = [each for each in answers if isinstance(each, Weighed)]
        done = self._context.weighing.entry(self._cutting, round(first.amount), pounds, gave)
        return WeighedBreak(self._cutting, done)


class BatchQuestions(JobQuestions):
    """How much was made of a blend, and what went into it."""

    def __init__(self, context: EntryContext, batch: BatchJob) -> None:
        told = batch_help(context.units.unit)
        super().__init__(context, batch.pounds, planned=batch.planned, told=told)
        self._batch = batch

    def _whether_done(self, context: EntryContext) -> Question[Answer]:
        batch, heading = self._batch, clip(self._batch.blend.name, NAME)
        checks: tuple[Check[WeighedBatch], ...] = (too_little_meat,)
        if batch.planned:
            heading += f", {self._units.weight(batch.pounds)} planned"
            prompt = "  made? (Enter: yes; w: weigh; or how much; n: none): "
        else:
            heading += ", not in the plan"
            prompt, checks = "  how much was made: ", (typed_again, *checks)
        return Question(
            prompt,
            lambda text: self._read_done(text, lambda typed: read_weight(typed, self._units)),
            lambda answer: self._asked(self.result((answer,)), context, checks, "count"),
            self._help,
            heading,
        )

    def _weight(self, answers: Sequence[Answer], context: EntryContext) -> Question[Answer] | None:
        batch, units, place = self._batch, self._units, len(answers) - 1
        made = _made(answers)
        if not made or place >= len(batch.takes):
            return None
        thing, planned = batch.takes[place]
        share = planned * made / batch.pounds if batch.pounds else None

        def read(text: str) -> Answer:
            if text.lower() == "next":
                return Rest.NEXT
            return share if text.lower() in ("", "skip") else read_weight(text, units)

        def warning(answer: Answer) -> str:
            took = [each for each in (*answers[1:], answer) if isinstance(each, float)]
            if len(took) < len(batch.takes):
                return ""
            parts = zip(batch.takes, took, strict=True)
            gone = tuple(Weighed(each.full, None, pounds) for (each, _), pounds in parts)
            entry = self._context.weighing.made(batch, made, gone)
            return self._asked(entry, context, (batch_balance,), "took")

        told = "" if share is None else f", {units.weight(share)} by the plan"
        prompt = f"  of {clip(thing.name, NAME)} went in{told}: "
        return Question(prompt, read, warning, self._help)

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


def _made(answers: Sequence[Answer]) -> float:
    return answers[0].amount if answers and isinstance(answers[0], Done) else 0.0
