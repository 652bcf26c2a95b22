"""Going through the questions of a weigh-in: forwards, back, and past the rest."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from planner.commands.prompt import Asker, Move, Question
from planner.commands.weigh_in_questions import (
    Answer,
    BatchQuestions,
    BreakQuestions,
    Done,
    JobQuestions,
    Rest,
)
from planner.journal.entries import Entry
from planner.shop.entering.block_reader import read_break
from planner.shop.entering.context import EntryContext
from planner.shop.entering.day_plan import WeighedBatch, WeighedBreak
from planner.show.weigh_in import else_help, weighing_heading


@dataclass
class _Job:
    """One job: its answers, and those that `back` took away, the next one last."""

    questions: JobQuestions
    answers: list[Answer] = field(default_factory=list)
    taken_back: list[Answer] = field(default_factory=list)

    def go_back(self) -> bool:
        """Take the last answer away; False where there is none."""
        if not self.answers:
            return False
        self.taken_back.append(self.answers.pop())
        return True

    def answer(self, said: Answer) -> None:
        """Put an answer in; where it changes how many there are, what was said after it is gone."""
        before = self.taken_back.pop() if self.taken_back else None
        if not self.answers and _amount(before) != _amount(said):
            self.taken_back.clear()
        self.answers.append(said)

    def restore(self) -> None:
        """Put back what was taken away and not typed again."""
        while self.taken_back:
            self.answers.append(self.taken_back.pop())


def ask_weighed(asker: Asker, context: EntryContext) -> list[WeighedBreak | WeighedBatch]:
    """What a person types: the plan's breaks and batches, then what else was done."""
    plan = context.weighing.plan
    jobs: list[JobQuestions] = [BreakQuestions(context, each) for each in plan.cuttings]
    jobs += [BatchQuestions(context, each) for each in plan.batches]
    asker.say(weighing_heading(context.weighing))
    found = _ask_through(asker, jobs, lambda before: _ask_more(asker, context, before))
    return sorted(found, key=lambda each: isinstance(each, WeighedBatch))


def _ask_more(asker: Asker, context: EntryContext, before: Sequence[Entry]) -> JobQuestions | Move:
    """Ask what else was cut or made; Enter ends."""
    weighing = context.weighing

    def read(text: str) -> JobQuestions | None:
        if not text:
            return None
        name, _, amount = text.partition(":")
        if weighing.is_blend(name):
            batch = BatchQuestions(context, weighing.batch(name))
            if amount.strip():
                asker.answer_first(amount.strip())
            return batch
        piece, count, way = read_break(text)
        cutting = weighing.cutting(piece, way, count, before)
        asker.answer_first(str(cutting.count))
        return BreakQuestions(context, cutting)

    got = asker.ask(
        Question(
            "anything else? (leg: 2 steaks, or Enter to end): ",
            read,
            help=else_help(context.units.unit),
        )
    )
    return Move.STOP if got is None else got


def _ask_through(
    asker: Asker,
    jobs: Sequence[JobQuestions],
    more: Callable[[Sequence[Entry]], JobQuestions | Move],
) -> list[WeighedBreak | WeighedBatch]:
    """Ask about all of it, then about `more` until that is a stop; what is to be entered.

    Stopping anywhere leaves what was answered, and what `back` went over. `more` asks what else
    there is, given what was done before.
    """
    begun = [_Job(each) for each in jobs]
    place, rest = 0, False  # rest: all that is left is as planned
    while True:
        if place == len(begun):
            rest = False
            asked = more([each.entry for each in _results(begun)])
            if asked is Move.STOP:
                return _results(begun)
            if isinstance(asked, Move):
                place = _step_back(asker, begun, place)
            else:
                begun.append(_Job(asked))
            continue
        job = begun[place]
        before = [each.entry for each in _results(begun[:place])]
        question = job.questions.question(job.answers, before)
        if question is None:
            place += 1
            continue
        if rest and not job.answers and not question.warning(question.read("")):
            job.answer(question.read(""))
            continue
        got = asker.ask(_with_typed(question, job))
        if got is Move.STOP:
            for each in begun:
                each.restore()
            return _results(begun)
        if got is Move.BACK:
            rest = False
            if not job.go_back():
                place = _step_back(asker, begun, place)
        elif got is Rest.ALL:
            rest = True
            job.taken_back.clear()
        else:
            assert not isinstance(got, Move)
            job.answer(got)


def _with_typed(question: Question[Answer], job: _Job) -> Question[Answer]:
    """The question with what was typed before, which Enter keeps."""
    if not job.taken_back:
        return question
    typed = job.taken_back[-1]
    asked = question.prompt.removesuffix(": ").partition(" (")[0]
    prompt = f"{asked} [{job.questions.said(typed)}]: "
    return replace(
        question, prompt=prompt, read=lambda text: question.read(text) if text else typed
    )


def _step_back(asker: Asker, begun: Sequence[_Job], place: int) -> int:
    """The job before, its last answer taken away."""
    if place == 0:
        asker.say("This is the first.")
        return 0
    begun[place - 1].go_back()
    return place - 1


def _results(begun: Sequence[_Job]) -> list[WeighedBreak | WeighedBatch]:
    return [found for each in begun if (found := each.questions.result(each.answers))]


def _amount(answer: Answer) -> float | None:
    return answer.amount if isinstance(answer, Done) else None
