"""A count for a person and for machines: what is asked, what was counted, what differs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from planner.core.quantities import POUNDS, WEEKDAYS, show_count, show_day, show_money, show_weight
from planner.core.scenario import Scenario
from planner.journal.entries import Moment, Recorded
from planner.shop.entering.block_reader import EXAMPLES, CountedPortion
from planner.shop.entering.counting import CountLine, ThingCount
from planner.shop.entering.things import Thing, Things
from planner.show.amounts import Figures
from planner.show.data import json_text
from planner.show.entry_words import EntryWords
from planner.show.journal import entries_text
from planner.show.layout import WIDTH, clip, columns_of, fitted_table, wrapped

NAME = 30
"""Columns of a name in a prompt."""

ANSWER, LEAST = 12, 18
"""Columns for what is typed behind it, and at least for what is expected."""

MOMENTS = {
    "open": "as it opens, before anything of the day is cut or sold",
    "close": "as it closes, after all of the day",
}


def count_heading(day: date, at: Moment, number: int) -> str:
    """What is counted, and how to answer."""
    return (
        f"Counting {show_day(day)} {MOMENTS[at]}: {show_count(number, 'thing')} to look at. "
        "Enter leaves a thing as expected, ? helps, stop ends."
    )


def count_help(thing: Thing, unit: str) -> str:
    """What may be typed."""
    if thing.piece:
        one, whole = EXAMPLES[unit]
        lines = [
            ("3", "how many there are"),
            (f"3 at {one} {unit}", "with the weight of each"),
            (f"3, {whole} {unit} in all", "with what all of them weigh"),
        ]
    elif thing.by_each:
        lines = [("3", "how many there are"), ("3 mon, 2 tue", "with the days they were made")]
    else:
        lines = [
            ("3.5", f"{unit}; or 3.5 lb, 1.6 kg, 12 oz"),
            ("3.5 mon, 2 tue", "with the days it was made"),
        ]
    others = [
        ("0", "there is none"),
        ("=", "it is as expected"),
        ("Enter", "leave it: nothing is entered for it"),
        ("skip", "take back what was typed for it before"),
        ("back", "to the one before"),
        ("stop", "no more: what was typed so far is entered"),
        ("Ctrl-C", "enter nothing at all"),
    ]
    return "\n".join(f"{typed:<20} {told}" for typed, told in (*lines, *others))


def weight_prompt(number: int, unit: str) -> str:
    """What pieces weigh of which nobody knows it."""
    if number == 1:
        return f"  what it weighs, in {unit} (not known yet): "
    return f"  what one weighs, in {unit} (not known yet): "


def weight_help(thing: Thing, unit: str) -> str:
    """Why it is asked, and what may be typed."""
    one, whole = EXAMPLES[unit]
    return (
        f"Nothing can be planned with a {thing.name} of unknown weight; an estimate "
        f"will do.\n{one} {unit}, or {whole} {unit} in all\nback goes to how many there are."
    )


def meanwhile_text(week: Scenario, entries: Sequence[Recorded], today: date, width: int) -> str:
    """What others entered of the same things."""
    names = {each.full: each.name for each in Things(week)}
    words = EntryWords(week.units, names, {}, {})
    numbers = [one.number for one in entries]
    told = entries_text([one.entry for one in entries], words, today, width, numbers)
    return f"Entered by others since you began:\n{told}"


def count_prompt(
    line: CountLine,
    day: date,
    unit: str,
    typed: ThingCount | None = None,
    width: int = WIDTH,
) -> str:
    """`loin chops  expected 4.2 lb (made mon): `, with room for the answer."""
    told = f"{'counted' if line.counted else 'expected'} {_amount(line.thing, line.amount, unit)}"
    if line.expected:
        told += f" ({_portions(line.thing, line.expected, day, unit)})"
    if typed:
        told += f", typed {_amount(line.thing, typed.counted, unit)}"
    name = clip(line.thing.name, NAME)
    return f"{name}  {clip(told, max(LEAST, width - columns_of(name) - ANSWER))}: "


def counted_text(
    week: Scenario,
    day: date,
    at: Moment,
    found: Sequence[ThingCount],
    written: Sequence[Recorded],
    width: int = WIDTH,
) -> str:
    """What was counted, what differs from what was expected, and how to take it back."""
    lines = [f"Counted {show_day(day)}, {at}: {show_count(len(found), 'thing')}."]
    rows = []
    for each in found:
        thing = each.line.thing
        rows.append(
            (
                thing.name,
                _amount(thing, each.counted, week.unit),
                _amount(thing, each.line.amount, week.unit),
                _more(each, week.unit),
                "" if _same(each, week.unit) or each.money is None else _money(each.money, week),
            )
        )
    heads = ("", "counted", "expected", "", "full price")
    align = ("left", "right", "right", "left", "right")
    lines += ["", fitted_table(rows, heads, align, width, (0,))] if rows else []
    less = sum(each.money for each in found if each.money and each.money < 0)
    more = sum(each.money for each in found if each.money and each.money > 0)
    if less or more:
        lines += ["", *wrapped(_total(week, less, more), 0, width)]
    lines += ["", entered(written, width)]
    return "\n".join(lines)


def counted_json(
    week: Scenario,
    day: date,
    at: Moment,
    found: Sequence[ThingCount],
    written: Sequence[Recorded],
) -> str:
    """The same as JSON, amounts in the shop's unit or each, money of the differences."""
    figures = Figures(week)

    def amount(thing: Thing, value: float) -> float:
        return figures.number(value) if thing.by_each else figures.weight(value)

    counted = [
        {
            "what": each.line.thing.name,
            "in journal": each.line.thing.full,
            "unit": "each" if each.line.thing.by_each else week.unit,
            "counted": amount(each.line.thing, each.counted),
            "reckoned": amount(each.line.thing, each.line.amount),
            "difference": amount(each.line.thing, each.more),
            "money": None if each.money is None else round(each.money, 2) + 0.0,
            "portions": [
                {
                    "amount": amount(each.line.thing, portion.amount),
                    "made": portion.made and portion.made.isoformat(),
                    "weight": None if portion.pounds is None else figures.weight(portion.pounds),
                }
                for portion in each.portions
            ],
        }
        for each in found
    ]
    told = {
        "format": "breakplan-counts/1",
        "day": day.isoformat(),
        "at": at,
        "unit": week.unit,
        "money": week.money,
        "writing": written[0].writing if written else None,
        "entries": [each.number for each in written],
        "counted": counted,
    }
    return json_text(told, indent=2)


def entered(written: Sequence[Recorded], width: int = WIDTH) -> str:
    """What was entered, and how it is undone."""
    first, last = written[0].number, written[-1].number
    numbers = f"entry {first}" if first == last else f"entries {first} to {last}"
    text, undo = f"Entered as {numbers}.", f"To undo it: breakplan journal undo {first}"
    return f"{text} {undo}" if len(text) + len(undo) < width else f"{text}\n{undo}"


def short_day(day: date, near: date) -> str:
    """`mon` of the week that ends with a day, else the date."""
    return WEEKDAYS[day.weekday()] if timedelta(0) <= near - day < timedelta(days=7) else str(day)


def _amount(thing: Thing, amount: float, unit: str) -> str:
    return f"{amount:.0f}" if thing.by_each else show_weight(amount, unit)


def _portions(thing: Thing, portions: Sequence[CountedPortion], day: date, unit: str) -> str:
    """`made mon`, or `3.0 sat, 1.2 mon`; of pieces what one weighs."""
    by_day: dict[date | None, list[CountedPortion]] = {}
    for each in portions:
        by_day.setdefault(each.made, []).append(each)
    verb = "in the cooler since" if thing.piece else "made"
    told = []
    for made, alike in by_day.items():
        when = "" if made is None else short_day(made, day)
        size = _amount(thing, sum(each.amount for each in alike), unit).removesuffix(f" {unit}")
        told.append(f"{verb} {when}" if len(by_day) == 1 else f"{size} {when}")
    count = sum(each.amount for each in portions)
    pounds = sum(each.pounds or 0.0 for each in portions)
    if thing.piece and count and pounds:
        told.append(f"{show_weight(pounds, unit)} in all")
    return ", ".join(told)


def _same(each: ThingCount, unit: str) -> bool:
    shown = _amount(each.line.thing, abs(each.more), unit)
    return shown == _amount(each.line.thing, 0.0, unit)


def _more(each: ThingCount, unit: str) -> str:
    if _same(each, unit):
        return "as expected"
    return f"{_amount(each.line.thing, abs(each.more), unit)} {'more' if each.more > 0 else 'less'}"


def _money(money: float, week: Scenario) -> str:
    return f"{'+' if money > 0 else ''}{show_money(money, week.money)}"


def _total(week: Scenario, less: float, more: float) -> str:
    told = []
    if less:
        told.append(f"{show_money(-less, week.money)} less than expected")
    if more:
        told.append(f"{show_money(more, week.money)} more")
    sums = " and ".join(told) if less else f"{told[0]} than expected"
    return (
        f"At full price {sums}. What is less was sold, given or thrown away without being "
        "entered, or its cuts gave less."
        if less
        else f"At full price {sums}."
    )


def counts_rows(counts: Iterable[ThingCount], unit: str) -> list[list[str]]:
    """What was counted as a table that `breakplan counts CSV` reads, heads first."""
    rows = [["what", "amount", "unit", "made", "weight"]]
    for count in counts:
        thing = count.line.thing
        for each in count.portions:
            amount = f"{each.amount:.0f}" if thing.by_each else f"{each.amount / POUNDS[unit]:.2f}"
            made = each.made.isoformat() if each.made else ""
            weight = "" if each.pounds is None else f"{each.pounds / POUNDS[unit]:.2f}"
            rows.append([thing.full, amount, "each" if thing.by_each else unit, made, weight])
    return rows
