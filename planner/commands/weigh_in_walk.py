"""Going through the questions of a weigh-in: forwards, back, and past the rest."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from planner.commands.prompt import Asker, Move, Question
from planner.commands.weigh_in_questions import Answer, BatchTalk, BreakTalk, Done, Rest, Talk
from planner.journal.entries import Entry
from planner.shop.entering.context import EntryContext
from planner.shop.entering.day_plan import WeighedBatch, WeighedBreak
from planner.show.weigh_in import ELSE_PROMPT, else_help, weighing_heading


@dataclass
class _Work:
    """One piece of work: its answers, and those that `back` took away, the next one last."""

    talk: Talk
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
    talks: list[Talk] = [BreakTalk(context, each) for each in plan.cuttings]
    talks += [BatchTalk(context, each) for each in plan.batches]
    asker.say(weighing_heading(context.weighing))
    found = _talk_through(asker, talks, lambda before: _ask_more(asker, context, before))
    return sorted(found, key=lambda each: isinstance(each, WeighedBatch))


def _ask_more(asker: Asker, context: EntryContext, before: Sequence[Entry]) -> Talk | Move:
    """Ask what else was cut or made; Enter ends."""
    weighing = context.weighing

    def read(text: str) -> Talk | None:
        if not text:
            return None
        name, _, amount = text.partition(":")
        if weighing.is_blend(name):
            batch = BatchTalk(context, weighing.batch(name))
            if amount.strip():
                asker.answer_first(amount.strip())
            return batch
        cutting = weighing.typed(text, before)
        asker.answer_first(str(cutting.count))
        return BreakTalk(context, cutting)

    got = asker.ask(Question(ELSE_PROMPT, read, help=else_help(context.unit)))
    return Move.STOP if got is None else got


def _talk_through(
    asker: Asker, talks: Sequence[Talk], more: Callable[[Sequence[Entry]], Talk | Move]
) -> list[WeighedBreak | WeighedBatch]:
    """Ask about all of it, then about `more` until that is a stop; what is to be entered.

    Stopping anywhere leaves what was answered, and what `back` went over.

    Parameters
    ----------
    asker : Asker
    talks : sequence of Talk
    more : callable
        Asks what else there is, given what was done before.
    """
    works = [_Work(each) for each in talks]
    place, rest = 0, False  # rest: all that is left is as planned
    while True:
        if place == len(works):
            rest = False
            asked = more([each.entry for each in _results(works)])
            if asked is Move.STOP:
                return _results(works)
            if isinstance(asked, Move):
                place = _step_back(asker, works, place)
            else:
                works.append(_Work(asked))
            continue
        work = works[place]
        before = [each.entry for each in _results(works[:place])]
        question = work.talk.question(work.answers, before)
        if question is None:
            place += 1
            continue
        if rest and not work.answers and not question.warning(question.read("")):
            work.answer(question.read(""))
            continue
        got = asker.ask(_with_typed(question, work))
        if got is Move.STOP:
            for each in works:
                each.restore()
            return _results(works)
        if got is Move.BACK:
            rest = False
            if not work.go_back():
                place = _step_back(asker, works, place)
        elif got is Rest.ALL:
            rest = True
            work.taken_back.clear()
        else:
            assert not isinstance(got, Move)
            work.answer(got)


def _with_typed(question: Question[Answer], work: _Work) -> Question[Answer]:
    """The question with what was typed before, which Enter keeps."""
    if not work.taken_back:
        return question
    typed = work.taken_back[-1]
    asked = question.prompt.removesuffix(": ").partition(" (")[0]
    prompt = f"{asked} [{work.talk.said(typed)}]: "
    return replace(
        question, prompt=prompt, read=lambda text: question.read(text) if text else typed
    )


def _step_back(asker: Asker, works: Sequence[_Work], place: int) -> int:
    """The piece of work before, its last answer taken away."""
    if place == 0:
        asker.say("This is the first.")
        return 0
    works[place - 1].go_back()
    return place - 1


def _results(works: Sequence[_Work]) -> list[WeighedBreak | WeighedBatch]:
    return [found for each in works if (found := each.talk.result(each.answers))]


def _amount(answer: Answer) -> float | None:
    return answer.amount if isinstance(answer, Done) else None
