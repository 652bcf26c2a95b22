"""The questions of a count, thing by thing, and what is put to the checks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.commands.prompt import Asker, Move, Question
from planner.shop.entering.block_reader import (
    EXAMPLES,
    CountedPortion,
    read_counted,
    read_one_weighs,
)
from planner.shop.entering.catalog import StockItem
from planner.shop.entering.context import EntryContext, warnings_of
from planner.shop.entering.count_checks import COUNT_CHECKS, portion_weights
from planner.shop.entering.counting import Counting, CountLine, ItemCount
from planner.shop.entering.warning import joined
from planner.show.counts import count_heading, count_help, count_prompt


class CountQuestions:
    """Asks for one thing after the other, and keeps what was answered."""

    def __init__(self, asker: Asker, counting: Counting, context: EntryContext) -> None:
        self._asker, self._counting, self._context = asker, counting, context
        self._found: dict[StockItem, ItemCount] = {}

    def counts(self, *, everything: bool) -> Sequence[ItemCount]:
        """What a person types, thing by thing, and then what else there is."""
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
            if isinstance(got, ItemCount):
                got = self._with_weights(got)
                if got is Move.BACK:
                    continue
                if isinstance(got, Move):
                    left = f"{line.thing.name} is left as it was"
                    self._asker.say(f"{left}: its weight is not known.")
            if isinstance(got, Move):
                return got
            if got is None:
                self._found.pop(line.thing, None)
            else:
                self._found[line.thing] = got
            return None

    def _with_weights(self, count: ItemCount) -> ItemCount | Move:
        """The same with the weight of pieces of which nobody knew it: a plan needs one."""
        number, units = count.weightless, self._counting.week.units
        if not number:
            return count

        def warning(pounds: float) -> str:
            one = replace(count, portions=(CountedPortion(1.0, None, pounds),))
            return "".join(each.question for each in portion_weights(one, self._context))

        piece = "it" if number == 1 else "one"
        example, whole = EXAMPLES[units.unit]
        one = self._asker.ask(
            Question(
                f"  what {piece} weighs, in {units.unit} (not known yet): ",
                lambda text: read_one_weighs(text, number, units),
                warning,
                f"Nothing can be planned with a {count.line.thing.name} of unknown weight; an "
                f"estimate will do.\n{example} {units.unit}, or {whole} {units.unit} in all\n"
                "back goes to how many there are.",
            )
        )
        if isinstance(one, Move):
            return one
        portions = (e if e.pounds else replace(e, pounds=e.amount * one) for e in count.portions)
        return replace(count, portions=tuple(portions))

    def _question(self, line: CountLine) -> Question[ItemCount | None]:
        counting, before = self._counting, self._found.get(line.thing)

        def read(text: str) -> ItemCount | None:
            if not text:
                return before
            if text.lower() == "skip":
                return None
            portions: Sequence[CountedPortion] = line.expected or (CountedPortion(0.0),)
            if text != "=":
                portions = read_counted(text, line.thing, counting.day, counting.week.units)
            return counting.count(line, portions)

        def warning(count: ItemCount | None) -> str:
            if count is None or count == before or count.portions == line.expected:
                return ""
            found = joined(warnings_of(count, self._context, COUNT_CHECKS))
            return found.question if found else ""

        prompt = count_prompt(line, counting.day, counting.week.units, before, self._asker.width)
        return Question(prompt, read, warning, count_help(line.thing, counting.week.units))

    def _anything_else(self) -> Move | None:
        """Ask for a name that was not asked for, or `name: amount`; Enter ends."""
        find = self._counting.catalog.find
        named = self._asker.ask(
            Question(
                "anything else? (its name, or Enter to end): ",
                lambda text: (find(text.partition(":")[0]), text) if text else None,
                help="Type the name of a cut or a piece, such as loin chops, or loin chops: 3.5. "
                "Enter or stop ends, back goes to the one before, Ctrl-C enters nothing.",
            )
        )
        if named is None or isinstance(named, Move):
            return named or Move.STOP
        thing, text = named
        amount = text.partition(":")[2].strip()
        if amount:
            self._asker.answer_first(amount)
        got = self._ask(self._counting.line(thing))
        return Move.STOP if got is Move.STOP else None
