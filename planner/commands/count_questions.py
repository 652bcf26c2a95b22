"""The questions of a count, thing by thing, and what is put to the checks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.commands.prompt import Asker, Move, Question
from planner.shop.entering.block_reader import CountedPortion, read_counted, read_one_weighs
from planner.shop.entering.context import EntryContext, warnings_of
from planner.shop.entering.count_checks import COUNT_CHECKS, portion_weights
from planner.shop.entering.counting import Counting, CountLine, ThingCount
from planner.shop.entering.things import Thing
from planner.shop.entering.warning import joined
from planner.show.counts import (
    count_heading,
    count_help,
    count_prompt,
    weight_help,
    weight_prompt,
)


class CountTalk:
    """Asks for one thing after the other, and keeps what was answered."""

    def __init__(self, asker: Asker, counting: Counting, context: EntryContext) -> None:
        self._asker, self._counting, self._context = asker, counting, context
        self._unit = counting.week.unit
        self._found: dict[Thing, ThingCount] = {}

    def counts(self, *, everything: bool) -> Sequence[ThingCount]:
        """What a person types, cut by cut, and then what else there is."""
        lines = self._counting.lines(everything=everything)
        self._asker.say(count_heading(self._counting.day, self._counting.at, len(lines)))
        place = 0
        while True:
            got = self._ask(lines[place]) if place < len(lines) else self._anything_else()
            if got is Move.STOP:
                return tuple(self._found.values())
            if got is Move.BACK and place == 0:
                self._asker.say("This is the first.")
            place = max(place - 1, 0) if got is Move.BACK else min(place + 1, len(lines))

    def _ask(self, line: CountLine) -> Move | None:
        """Ask for one thing, and keep what is said of it."""
        while True:
            got = self._asker.ask(self._question(line))
            if isinstance(got, Move):
                return got
            if got is None:
                self._found.pop(line.thing, None)
                return None
            known = self._with_weights(got)
            if known is Move.BACK:
                continue
            if isinstance(known, Move):
                self._asker.say(f"{line.thing.name} is left as it was: its weight is not known.")
                return known
            self._found[line.thing] = known
            return None

    def _with_weights(self, count: ThingCount) -> ThingCount | Move:
        """The same with the weight of pieces of which nobody knew it: a plan needs one."""
        number, thing = count.weightless, count.line.thing
        if not number:
            return count

        def warning(pounds: float) -> str:
            one = replace(count, portions=(CountedPortion(1.0, None, pounds),))
            return "".join(each.question for each in portion_weights(one, self._context))

        one = self._asker.ask(
            Question(
                weight_prompt(number, self._unit),
                lambda text: read_one_weighs(text, number, self._unit),
                warning,
                weight_help(thing, self._unit),
            )
        )
        if isinstance(one, Move):
            return one
        portions = (e if e.pounds else replace(e, pounds=e.amount * one) for e in count.portions)
        return replace(count, portions=tuple(portions))

    def _question(self, line: CountLine) -> Question[ThingCount | None]:

        counting, before = self._counting, self._found.get(line.thing)

        def read(text: str) -> ThingCount | None:
            if not text:
                return before
            if text.lower() == "skip":
                return None
            portions: Sequence[CountedPortion] = line.expected or (CountedPortion(0.0),)
            if text != "=":
                portions = read_counted(text, line.thing, counting.day, self._unit)
            return counting.count(line, portions)

        def warning(count: ThingCount | None) -> str:
            if count is None or count == before or count.portions == line.expected:
                return ""
            found = joined(warnings_of(count, self._context, COUNT_CHECKS))
            return found.question if found else ""

        return Question(
            count_prompt(line, counting.day, self._unit, before, self._asker.width),
            read,
            warning,
            count_help(line.thing, self._unit),
        )

    def _anything_else(self) -> Move | None:
        """Ask for a name that was not asked for, or `name: amount`; Enter ends."""
        find = self._counting.things.find
        named = self._asker.ask(
            Question(
                "anything else? (its name, or Enter to end): ",
                lambda text: (find(text.partition(":")[0]), text) if text else None,
                help="Type the name of a cut or a piece, such as loin chops, or loin chops: 3.5. "
                "Enter or stop ends, back goes to the one before, Ctrl-C enters nothing.",
            )
        )
        if isinstance(named, Move):
            return named
        if named is None:
            return Move.STOP
        thing, text = named
        amount = text.partition(":")[2].strip()
        if amount:
            self._asker.answer_first(amount)
        got = self._ask(self._counting.line(thing))
        return Move.STOP if got is Move.STOP else None
