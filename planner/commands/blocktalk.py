"""The questions of a weigh-in: for a break, and for a batch, one after the other.

What is asked next follows from the answers so far alone. So going back is taking the last answer
away, and stopping anywhere leaves what was answered.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Protocol, TypeAlias

from planner.commands.asking import Asker, Move, Question
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
    BATCH_HELP,
    BREAK_HELP,
    batch_heading,
    break_heading,
    count_prompt,
    given_prompt,
    made_prompt,
    pieces_prompt,
    took_prompt,
)

Answer: TypeAlias = int | float | Weighed | None


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


class BreakTalk:
    """How many were cut, what they weighed, and what each thing weighs that they gave."""

    def __init__(self, weighing: Weighing, cutting: Cutting) -> None:
        self._weighing, self.cutting = weighing, cutting
        self._unit = weighing.week.unit

    def question(
        self, answers: Sequence[Answer], before: Sequence[Entry]
    ) -> Question[Answer] | None:
        """How many, what they weighed, then thing by thing."""
        if not answers:
            return self._count_question(before)
        count = self._count(answers)
        if count == 0:
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

    def _count(self, answers: Sequence[Answer]) -> int:
        return answers[0] if answers and isinstance(answers[0], int) else 0

    def _pounds(self, answers: Sequence[Answer]) -> float | None:
        weight = answers[1] if len(answers) > 1 else None
        return weight if isinstance(weight, float) else None

    def _count_question(self, before: Sequence[Entry]) -> Question[Answer]:
        cutting = self.cutting

        def read(text: str) -> Answer:
            return read_number(text, cutting.piece.name) if text else cutting.count

        def doubt(count: Answer) -> str:
            assert isinstance(count, int)
            return self._weighing.doubt_of_count(cutting, count, before) if count else ""

        heading = break_heading(cutting, self._unit)
        return Question(count_prompt(cutting), read, doubt, BREAK_HELP, heading)

    def _pieces_question(self, count: int) -> Question[Answer]:
        cutting, unit = self.cutting, self._unit
        reckoned = cutting.reckoned(count)

        def doubt(pounds: Answer) -> str:
            assert not isinstance(pounds, Weighed)
            if pounds is None:
                return ""
            return doubt_of_pieces(cutting.piece.name, count, pounds, reckoned, unit)

        prompt = pieces_prompt(count, reckoned, unit)
        return Question(prompt, lambda text: _weight(text, unit), doubt, BREAK_HELP)

    def _given_question(
        self, expected: Expected, answers: Sequence[Answer], count: int
    ) -> Question[Answer]:
        cutting, unit = self.cutting, self._unit
        weighed = self._pounds(answers)
        pounds = cutting.reckoned(count) if weighed is None else weighed

        def read(text: str) -> Answer:
            if not text:
                return None
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

        return Question(given_prompt(expected, count, pounds, unit), read, doubt, BREAK_HELP)


class BatchTalk:
    """How much was made of a blend, and what went into it."""

    def __init__(self, weighing: Weighing, batch: Batch) -> None:
        self._weighing, self.batch = weighing, batch
        self._unit = weighing.week.unit

    def question(
        self, answers: Sequence[Answer], before: Sequence[Entry]
    ) -> Question[Answer] | None:
        """How much, then what went in."""
        batch, unit = self.batch, self._unit
        if not answers:

            def read(text: str) -> Answer:
                return read_weight(text, unit) if text else batch.pounds

            heading = batch_heading(batch, unit)
            return Question(made_prompt(batch, unit), read, help=BATCH_HELP, heading=heading)
        made, place = answers[0], len(answers) - 1
        if not isinstance(made, float) or not made or place >= len(batch.takes):
            return None
        thing, planned = batch.takes[place]
        share = planned * made / batch.pounds if batch.pounds else None
        last = place == len(batch.takes) - 1

        def took(text: str) -> Answer:
            return read_weight(text, unit) if text else share

        def doubt(pounds: Answer) -> str:
            rest = [each for each in (*answers[1:], pounds) if isinstance(each, float)]
            if not last or len(rest) < len(batch.takes):
                return ""
            gain = self._weighing.gain(batch.blend)
            return doubt_of_batch(batch.blend.name, gain, made, math.fsum(rest), unit)

        return Question(took_prompt(thing, share, unit), took, doubt, BATCH_HELP)

    def entry(self, answers: Sequence[Answer]) -> BatchMade | None:
        """The batch; None where none was made, or nobody said.

        What went in and was not asked any more is in the proportion of the plan.
        """
        made = answers[0] if answers else None
        if not isinstance(made, float) or not made:
            return None
        took = []
        for place, (thing, planned) in enumerate(self.batch.takes, 1):
            said = answers[place] if place < len(answers) else None
            if place >= len(answers) and self.batch.pounds:
                said = planned * made / self.batch.pounds
            if isinstance(said, float) and said > 0:
                took.append(Weighed(thing.full, None, said))
        return BatchMade(self._weighing.day, self.batch.blend.full, made, tuple(took))


def talk_through(
    asker: Asker, talks: Sequence[Talk], more: Callable[[Sequence[Entry]], Talk | Move]
) -> list[tuple[Talk, Entry]]:
    """Ask about all of it, then about `more` until that is a stop; what is to be entered.

    Parameters
    ----------
    asker : Asker
    talks : sequence of Talk
    more : callable
        Asks what else there is, given what was done before.
    """
    talks = list(talks)
    answers: list[list[Answer]] = [[] for _ in talks]
    place = 0
    while True:
        if place == len(talks):
            before = [entry for _, entry in _entries(talks, answers)]
            asked = more(before)
            if asked is Move.STOP:
                return _entries(talks, answers)
            if isinstance(asked, Move):
                place = _step_back(asker, answers, place)
                continue
            talks.append(asked)
            answers.append([])
        before = [entry for _, entry in _entries(talks[:place], answers)]
        question = talks[place].question(answers[place], before)
        if question is None:
            place += 1
            continue
        got = asker.ask(question)
        if got is Move.STOP:
            return _entries(talks, answers)
        if got is Move.BACK:
            if answers[place]:
                answers[place].pop()
            else:
                place = _step_back(asker, answers, place)
        else:
            assert not isinstance(got, Move)
            answers[place].append(got)


def _step_back(asker: Asker, answers: list[list[Answer]], place: int) -> int:
    """The piece of work before, its last answer taken away."""
    if place == 0:
        asker.say("This is the first.")
        return 0
    answers[place - 1].pop()
    return place - 1


def _entries(
    talks: Sequence[Talk], answers: Sequence[Sequence[Answer]]
) -> list[tuple[Talk, Entry]]:
    found = [(talk, talk.entry(said)) for talk, said in zip(talks, answers, strict=False)]
    return [(talk, entry) for talk, entry in found if entry is not None]


def _gave(answers: Sequence[Answer]) -> tuple[Weighed, ...]:
    return tuple(each for each in answers if isinstance(each, Weighed))


def _weight(text: str, unit: str) -> float | None:
    return read_weight(text, unit) if text else None
