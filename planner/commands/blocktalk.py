"""The questions of a weigh-in: for a break, and for a batch.

The first question about a piece of work is whether it was done; who answers it with Enter has done
as planned and weighed nothing, and goes on to the next. What is asked after it follows from the
answers so far alone, so that going back is taking the last answer away.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Protocol, TypeAlias

from planner.commands.asking import Question
from planner.journal.entries import BatchMade, BreakDone, Entry, Weighed
from planner.shop.entering.dayplan import Batch, Cutting
from planner.shop.entering.plausible import (
    doubt_of_batch,
    doubt_of_given,
    doubt_of_missing,
    doubt_of_pieces,
    doubt_of_sum,
)
from planner.shop.entering.things import Expected
from planner.shop.entering.typed import read_number, read_weighed, read_weight
from planner.shop.entering.weighing import Weighing
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


class Talk(Protocol):
    """The questions about one piece of work."""

    def question(
        self, answers: Sequence[Answer], before: Sequence[Entry]
    ) -> Question[Answer] | None:
        """What is asked after these answers; None where all was answered.

        `before` is what was done before it that day and is not in the journal yet.
        """

    def entry(self, answers: Sequence[Answer]) -> Entry | None:
        """What is entered with these answers; None where nothing is."""

    def said(self, answer: Answer) -> str:
        """An answer in words."""


class BreakTalk:
    """How many were cut, what they weighed, and what each thing weighs that they gave."""

    def __init__(self, weighing: Weighing, cutting: Cutting) -> None:
        self._weighing, self.cutting = weighing, cutting
        self._unit = weighing.week.unit
        self._help = break_help(self._unit)

    def question(
        self, answers: Sequence[Answer], before: Sequence[Entry]
    ) -> Question[Answer] | None:
        """How many, what they weighed, then thing by thing."""
        if not answers:
            return self._count_question(before)
        count = self._count(answers)
        if count == 0 or _ended(answers):
            return None
        if len(answers) == 1:
            return self._pieces_question(count)
        place = len(answers) - 2
        if place >= len(self.cutting.expected):
            return None
        return self._given_question(self.cutting.expected[place], answers, count)

    def entry(self, answers: Sequence[Answer]) -> BreakDone | None:
        """The break; None where none was cut, or nobody said."""
        count = self._count(answers)
        if not count:
            return None
        return self._weighing.entry(self.cutting, count, self._pounds(answers), _gave(answers))

    def said(self, answer: Answer) -> str:
        """`2`, `6.4 lb`, `not weighed`."""
        return _said(answer, self._unit, counted=True)

    def _count(self, answers: Sequence[Answer]) -> int:
        return round(answers[0].amount) if answers and isinstance(answers[0], Done) else 0

    def _pounds(self, answers: Sequence[Answer]) -> float | None:
        weight = answers[1] if len(answers) > 1 else None
        return weight if isinstance(weight, float) else None

    def _count_question(self, before: Sequence[Entry]) -> Question[Answer]:
        cutting = self.cutting

        def read(text: str) -> Answer:
            said = _first(text, cutting.count, planned=cutting.planned)
            return said or Done(read_number(text, cutting.piece.name), weighed=True)

        def doubt(done: Answer) -> str:
            if not isinstance(done, Done) or not done.amount:
                return ""
            count = round(done.amount)
            entry = self._weighing.entry(cutting, count, None, ())
            again = None if cutting.planned else self._weighing.already.again_typed(entry)
            if again:
                return again.asked
            return self._weighing.doubt_of_count(cutting, count, before)

        heading = break_heading(cutting, self._unit)
        return Question(count_prompt(cutting), read, doubt, self._help, heading)

    def _pieces_question(self, count: int) -> Question[Answer]:
        cutting, unit = self.cutting, self._unit
        reckoned = cutting.reckoned(count)

        def doubt(pounds: Answer) -> str:
            if not isinstance(pounds, float):
                return ""
            return doubt_of_pieces(cutting.piece.name, count, pounds, reckoned, unit)

        prompt = pieces_prompt(count, reckoned, unit)
        return Question(prompt, lambda text: _weight(text, unit), doubt, self._help)

    def _given_question(
        self, expected: Expected, answers: Sequence[Answer], count: int
    ) -> Question[Answer]:
        cutting, unit = self.cutting, self._unit
        weighed = self._pounds(answers)
        pounds = cutting.reckoned(count) if weighed is None else weighed

        def read(text: str) -> Answer:
            if text.lower() in ("", "skip", "next"):
                return Rest.NEXT if text.lower() == "next" else None
            number = None if expected.count is None else expected.count * count
            found, weight = read_weighed(text, expected.thing, number, unit)
            return Weighed(expected.thing.full, found, weight)

        def doubt(got: Answer) -> str:
            if not isinstance(got, Weighed):
                return ""
            name = cutting.piece.name
            told = doubt_of_given(
                expected, got, name, count, pounds, unit, weighed=weighed is not None
            )
            gave = [*_gave(answers), got]
            told = told or doubt_of_sum(
                name, count, gave, pounds, unit, weighed=weighed is not None
            )
            return told or doubt_of_missing(name, count, cutting.expected, gave, weighed, unit)

        return Question(given_prompt(expected, count, pounds, unit), read, doubt, self._help)


class BatchTalk:
    """How much was made of a blend, and what went into it."""

    def __init__(self, weighing: Weighing, batch: Batch) -> None:
        self._weighing, self.batch = weighing, batch
        self._unit = weighing.week.unit
        self._help = batch_help(self._unit)

    def question(
        self, answers: Sequence[Answer], before: Sequence[Entry]
    ) -> Question[Answer] | None:
        """How much, then what went in."""
        batch, unit = self.batch, self._unit
        if not answers:

            def read(text: str) -> Answer:
                said = _first(text, batch.pounds, planned=batch.planned)
                return said or Done(read_weight(text, unit), weighed=True)

            return Question(
                made_prompt(batch),
                read,
                lambda done: self._doubt_of_made(done, before),
                self._help,
                batch_heading(batch, unit),
            )
        made, place = self._made(answers), len(answers) - 1
        if not made or _ended(answers) or place >= len(batch.takes):
            return None
        thing, planned = batch.takes[place]
        share = planned * made / batch.pounds if batch.pounds else None
        last = place == len(batch.takes) - 1

        def took(text: str) -> Answer:
            if text.lower() == "next":
                return Rest.NEXT
            return share if text.lower() in ("", "skip") else read_weight(text, unit)

        def doubt(pounds: Answer) -> str:
            rest = [each for each in (*answers[1:], pounds) if isinstance(each, float)]
            if not last or len(rest) < len(batch.takes):
                return ""
            gain = self._weighing.gain(batch.blend)
            return doubt_of_batch(batch.blend.name, gain, made, math.fsum(rest), unit)

        return Question(took_prompt(thing, share, unit), took, doubt, self._help)

    def entry(self, answers: Sequence[Answer]) -> BatchMade | None:
        """The batch; None where none was made, or nobody said.

        What went in and was not asked any more is in the proportion of the plan.
        """
        made = self._made(answers)
        if not made:
            return None
        said = [each for each in answers[1:] if not isinstance(each, Rest)]
        took = []
        for place, (thing, planned) in enumerate(self.batch.takes):
            pounds: Answer = None
            if place < len(said):
                pounds = said[place]
            elif self.batch.pounds:
                pounds = planned * made / self.batch.pounds
            if isinstance(pounds, float) and pounds > 0:
                took.append(Weighed(thing.full, None, pounds))
        return self._weighing.made(self.batch, made, took)

    def said(self, answer: Answer) -> str:
        """`12.0 lb`."""
        return _said(answer, self._unit, counted=False)

    def _doubt_of_made(self, done: Answer, before: Sequence[Entry]) -> str:
        if not isinstance(done, Done) or not done.amount:
            return ""
        batch = self.batch
        entry = self._weighing.made(batch, done.amount)
        again = None if batch.planned else self._weighing.already.again_typed(entry)
        if again:
            return again.asked
        return self._weighing.doubt_of_made(batch, done.amount, before)

    @staticmethod
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


def _gave(answers: Sequence[Answer]) -> tuple[Weighed, ...]:
    return tuple(each for each in answers if isinstance(each, Weighed))


def _weight(text: str, unit: str) -> Answer:
    if text.lower() == "next":
        return Rest.NEXT
    return None if text.lower() in ("", "skip") else read_weight(text, unit)


def _said(answer: Answer, unit: str, *, counted: bool) -> str:
    if isinstance(answer, Done):
        return said_count(answer.amount, unit, counted=counted, weighed=answer.weighed)
    if isinstance(answer, Rest):
        return answer.value
    if isinstance(answer, Weighed):
        return said_weighed(answer.count, answer.pounds, unit)
    return said_weighed(None, answer, unit)
