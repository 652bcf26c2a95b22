"""`breakplan counts`: what is in the case and the cooler now."""

from __future__ import annotations

import sys
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner import clock
from planner.commands.common import Json
from planner.commands.shop_folder import ShopFolder

if TYPE_CHECKING:
    from collections.abc import Sequence

    from planner.commands.asking import Asker, Move, Question
    from planner.journal.entries import Entry
    from planner.shop.entering.context import Context
    from planner.shop.entering.counting import Counting, CountLine, ThingCount
    from planner.shop.entering.things import Thing
    from planner.shop.entering.typed import Portion

EXAMPLE = (
    "Example: breakplan counts --at close\n\n"
    "From a spreadsheet, with columns what, amount, unit, made, weight: breakplan counts monday.csv"
)

NOON = 12


class At(StrEnum):
    """When things are counted."""

    OPEN = "open"
    CLOSE = "close"


def counts(
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="CSV",
            help="A table to read instead of asking: what, amount, unit, made, weight. - is "
            "standard input.",
        ),
    ] = None,
    at: Annotated[
        At | None,
        typer.Option(
            help="Before anything of the day is cut or sold, or after all of it. Default: open "
            "before noon, close after it; of another day than today: open."
        ),
    ] = None,
    day: Annotated[
        str | None,
        typer.Option(
            metavar="DAY",
            help="A day up to today, such as mon, yesterday, last fri or 2 dec. Default: today.",
        ),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Ask for all there can be, not only what may be there.")
    ] = False,
    yes: Annotated[
        bool, typer.Option("--yes", help="Accept implausible values without asking.")
    ] = False,
    shop: ShopFolder = None,
    json: Json = False,
) -> None:
    """Count what is in the case and the cooler, cut by cut: at a prompt, or from a table.

    What is typed replaces what is expected; Enter leaves a thing as it is. Implausible values are
    questioned. All is entered at the end, together, and the differences are shown.
    """
    from planner.commands import shop_folder
    from planner.commands.asking import Asker
    from planner.commands.entering import agreed_by, enter
    from planner.shop.entering.context import context_of
    from planner.shop.entering.counting import Counting
    from planner.show.counts import counted_json, counted_text, counts_rows
    from planner.show.layout import width_of

    when = shop_folder.day_given("--day", day, "past")
    moment = at or (At.CLOSE if when == clock.today() and clock.now().hour >= NOON else At.OPEN)
    found = shop_folder.read_week(shop, when)
    shop_folder.stop_at_wrong_clock(found.recorded, yes=yes)
    week = found.week
    counting = Counting(week, found.recorded, when, moment.value)
    context = context_of(counting.things, found.recorded, when)
    asker = Asker(aside=json, sure=yes)
    if file is not None:
        counted = _from_table(file, counting, context, sure=yes)
    else:
        talk = _CountTalk(asker, counting, context)
        counted = asker.until_stopped(lambda: talk.counts(everything=everything))
    entries: tuple[Entry, ...] = counting.entries(counted)
    agreed = agreed_by(asker, week, "What you counted would take its place.")
    written = enter(found.journal, entries, counts_rows(counted, week.unit), found.last, agreed)
    if json:
        typer.echo(counted_json(week, when, moment.value, counted, written))
    elif written:
        width = width_of(sys.stdout)
        typer.echo(counted_text(week, when, moment.value, counted, written, width))
    elif not entries:
        typer.echo("Nothing was counted, and nothing was entered.")


def _from_table(
    file: Path, counting: Counting, context: Context, *, sure: bool
) -> Sequence[ThingCount]:
    """What a table says; what is kept though it is unlikely, and what has no amount, is told."""
    from planner.measures import show_count
    from planner.shop.tables.countfile import read_counts

    said = read_counts(file, counting, context, sure=sure)
    for each in said.kept:
        typer.echo(f"kept: {each}", err=True)
    if said.passed:
        left = "is left as it is" if said.passed == 1 else "are left as they are"
        typer.echo(f"{show_count(said.passed, 'line')} without an amount: {left}", err=True)
    return said.counts


class _CountTalk:
    """The questions of a count, thing by thing, and what was answered."""

    def __init__(self, asker: Asker, counting: Counting, context: Context) -> None:
        self._asker, self._counting, self._context = asker, counting, context
        self._unit = counting.week.unit
        self._found: dict[Thing, ThingCount] = {}

    def counts(self, *, everything: bool) -> Sequence[ThingCount]:
        """What a person types, cut by cut, and then what else there is."""
        from planner.commands.asking import Move
        from planner.show.counts import count_heading

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
        from planner.commands.asking import Move

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
        from planner.commands.asking import Move, Question
        from planner.shop.entering.count_checks import portion_weights
        from planner.shop.entering.typed import Portion, read_one_weighs
        from planner.show.counts import weight_help, weight_prompt

        number, thing = count.weightless, count.line.thing
        if not number:
            return count

        def doubt(pounds: float) -> str:
            one = replace(count, portions=(Portion(1.0, None, pounds),))
            return "".join(each.question for each in portion_weights(one, self._context))

        one = self._asker.ask(
            Question(
                weight_prompt(number, self._unit),
                lambda text: read_one_weighs(text, number, self._unit),
                doubt,
                weight_help(thing, self._unit),
            )
        )
        if isinstance(one, Move):
            return one
        portions = (e if e.pounds else replace(e, pounds=e.amount * one) for e in count.portions)
        return replace(count, portions=tuple(portions))

    def _question(self, line: CountLine) -> Question[ThingCount | None]:
        from planner.commands.asking import Question
        from planner.shop.entering.context import warnings_of
        from planner.shop.entering.count_checks import COUNT_CHECKS
        from planner.shop.entering.typed import Portion, read_counted
        from planner.shop.entering.warning import joined
        from planner.show.counts import count_help, count_prompt

        counting, before = self._counting, self._found.get(line.thing)

        def read(text: str) -> ThingCount | None:
            if not text:
                return before
            if text.lower() == "skip":
                return None
            portions: Sequence[Portion] = line.expected or (Portion(0.0),)
            if text != "=":
                portions = read_counted(text, line.thing, counting.day, self._unit)
            return counting.count(line, portions)

        def doubt(count: ThingCount | None) -> str:
            if count is None or count == before or count.portions == line.expected:
                return ""
            found = joined(warnings_of(count, self._context, COUNT_CHECKS))
            return found.question if found else ""

        return Question(
            count_prompt(line, counting.day, self._unit, before, self._asker.width),
            read,
            doubt,
            count_help(line.thing, self._unit),
        )

    def _anything_else(self) -> Move | None:
        """Ask for a name that was not asked for, or `name: amount`; Enter ends."""
        from planner.commands.asking import Move, Question

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
