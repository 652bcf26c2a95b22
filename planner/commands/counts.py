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
    from collections.abc import Mapping

    from planner.commands.asking import Asker, Move, Question
    from planner.journal.entries import Entry
    from planner.shop.entering.countdoubts import CountLine
    from planner.shop.entering.counting import Counting
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
        bool, typer.Option("--yes", help="Keep what can hardly be, without a question.")
    ] = False,
    shop: ShopFolder = None,
    json: Json = False,
) -> None:
    """Count what is in the case and the cooler, cut by cut: at a prompt, or from a table.

    What is typed takes the place of what was reckoned; Enter leaves a thing as it is. What can
    hardly be is asked about. All is entered at the end, in one writing, and what differs is told.
    """
    from planner.commands import shop_folder
    from planner.commands.asking import Asker
    from planner.commands.entering import agreed_by, enter
    from planner.shop.entering.counting import Counting
    from planner.show.counts import counted_json, counted_text, counts_rows
    from planner.show.layout import width_of

    when = shop_folder.day_given("--day", day, "past")
    moment = at or (At.CLOSE if when == clock.today() and clock.now().hour >= NOON else At.OPEN)
    found = shop_folder.read_week(shop, when)
    shop_folder.stop_at_wrong_clock(found.recorded, yes=yes)
    week = found.week
    counting = Counting(week, found.recorded, when, moment.value)
    asker = Asker(aside=json, sure=yes)
    if file is not None:
        answers = _from_table(file, counting, sure=yes)
    else:
        answers = asker.until_stopped(lambda: _by_hand(asker, counting, everything=everything))
    differences = counting.differences(answers)
    entries: tuple[Entry, ...] = counting.entries(answers)
    agreed = agreed_by(asker, week, "What you counted would take its place.")
    written = enter(found.journal, entries, counts_rows(answers, week.unit), found.last, agreed)
    if json:
        typer.echo(counted_json(week, when, moment.value, differences, written))
    elif written:
        width = width_of(sys.stdout)
        typer.echo(counted_text(week, when, moment.value, differences, written, width))
    elif not entries:
        typer.echo("Nothing was counted, and nothing was entered.")


def _from_table(
    file: Path, counting: Counting, *, sure: bool
) -> Mapping[Thing, tuple[Portion, ...]]:
    """What a table says; what is kept though it is doubted, and what has no amount, is told."""
    from planner.measures import show_count
    from planner.shop.tables.countfile import read_counts

    said = read_counts(file, counting, sure=sure)
    for each in said.kept:
        typer.echo(f"kept: {each}", err=True)
    if said.passed:
        left = "is left as it is" if said.passed == 1 else "are left as they are"
        typer.echo(f"{show_count(said.passed, 'line')} without an amount: {left}", err=True)
    return said.answers


def _by_hand(
    asker: Asker, counting: Counting, *, everything: bool
) -> Mapping[Thing, tuple[Portion, ...]]:
    """What a person types, cut by cut, and then what else there is."""
    from planner.commands.asking import Move
    from planner.show.counts import count_heading

    lines = counting.lines(everything=everything)
    answers: dict[Thing, tuple[Portion, ...]] = {}
    asker.say(count_heading(counting.day, counting.at, len(lines)))
    place = 0
    while True:
        if place < len(lines):
            got = _ask(asker, counting, lines[place], answers)
        else:
            got = _anything_else(asker, counting, answers)
        if got is Move.STOP:
            return answers
        if got is Move.BACK and place == 0:
            asker.say("This is the first.")
        place = max(place - 1, 0) if got is Move.BACK else min(place + 1, len(lines))


def _ask(
    asker: Asker,
    counting: Counting,
    line: CountLine,
    answers: dict[Thing, tuple[Portion, ...]],
) -> Move | None:
    """Ask for one thing, and keep what is said of it."""
    from planner.commands.asking import Move

    while True:
        got = asker.ask(_question(counting, line, answers.get(line.thing), asker.width))
        if isinstance(got, Move):
            return got
        if got is None:
            answers.pop(line.thing, None)
            return None
        known = _with_weights(asker, counting, line, got)
        if known is Move.BACK:
            continue
        if isinstance(known, Move):
            asker.say(f"{line.thing.name} is left as it was: nobody has said what one weighs.")
            return known
        answers[line.thing] = known
        return None


def _with_weights(
    asker: Asker, counting: Counting, line: CountLine, portions: tuple[Portion, ...]
) -> tuple[Portion, ...] | Move:
    """The same with the weight of pieces of which nobody knew it: a plan needs one."""
    from planner.commands.asking import Move, Question
    from planner.shop.entering.countdoubts import weightless
    from planner.shop.entering.typed import read_one_weighs
    from planner.show.counts import weight_help, weight_prompt

    number, unit = weightless(line, portions), counting.week.unit
    if not number:
        return portions
    one = asker.ask(
        Question(
            weight_prompt(line.thing, number, unit),
            lambda text: read_one_weighs(text, number, unit),
            lambda pounds: counting.doubts.doubt_of_one(line, pounds),
            weight_help(line.thing, unit),
        )
    )
    if isinstance(one, Move):
        return one
    return tuple(
        each if each.pounds else replace(each, pounds=each.amount * one) for each in portions
    )


def _question(
    counting: Counting, line: CountLine, before: tuple[Portion, ...] | None, width: int
) -> Question[tuple[Portion, ...] | None]:
    from planner.commands.asking import Question
    from planner.shop.entering.typed import Portion, read_counted
    from planner.show.counts import count_help, count_prompt

    unit = counting.week.unit

    def read(text: str) -> tuple[Portion, ...] | None:
        if not text:
            return before
        if text.lower() == "skip":
            return None
        if text == "=":
            return line.reckoned or (Portion(0.0),)
        return read_counted(text, line.thing, counting.day, unit)

    def doubt(portions: tuple[Portion, ...] | None) -> str:
        asked = portions is None or portions in (before, line.reckoned)
        return "" if asked or portions is None else counting.doubt(line, portions)

    return Question(
        count_prompt(line, counting.day, unit, before, width),
        read,
        doubt,
        count_help(line.thing, unit),
    )


def _anything_else(
    asker: Asker, counting: Counting, answers: dict[Thing, tuple[Portion, ...]]
) -> Move | None:
    """Ask for a name that was not asked for, or `name: amount`; Enter ends."""
    from planner.commands.asking import Move, Question

    named = asker.ask(
        Question(
            "anything else? (its name, or Enter to end): ",
            lambda text: (counting.things.find(text.partition(":")[0]), text) if text else None,
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
        asker.answer_first(amount)
    got = _ask(asker, counting, counting.line(thing), answers)
    return Move.STOP if got is Move.STOP else None
