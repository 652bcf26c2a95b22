"""A count for a person and for machines: what is asked, what was counted, what differs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from planner.core.quantities import POUNDS, WEEKDAYS, show_count, show_day
from planner.core.scenario import Scenario
from planner.core.units import Quantity, Units
from planner.journal.entries import Moment, Recorded
from planner.shop.entering.block_reader import EXAMPLES, CountedPortion
from planner.shop.entering.catalog import StockItem
from planner.shop.entering.counting import CountLine, ItemCount
from planner.show.data import json_text
from planner.show.journal import undo_words
from planner.show.layout import WIDTH, clip, columns_of, fitted_table, wrapped

NAME = 30
"""Columns of a name in a prompt."""

ANSWER, LEAST = 12, 18
"""Columns for what is typed behind it, and at least for what is expected."""

MOMENTS = {
    "open": "at opening, before anything is cut or sold that day",
    "close": "at closing, after the day's work and sales",
}


def count_heading(day: date, at: Moment, number: int) -> str:
    """What is counted, and how to answer."""
    return (
        f"Counting {show_day(day)} {MOMENTS[at]}: {show_count(number, 'thing')} to look at. "
        "Enter leaves a thing as expected, ? helps, stop ends."
    )


def count_help(thing: StockItem, units: Units) -> str:
    """What may be typed."""
    unit = units.unit
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
        ("stop", "end here: what was typed so far is entered"),
        ("Ctrl-C", "enter nothing at all"),
    ]
    return "\n".join(f"{typed:<20} {told}" for typed, told in (*lines, *others))


def count_prompt(
    line: CountLine, day: date, units: Units, typed: ItemCount | None, width: int
) -> str:
    """`loin chops  expected 4.2 lb (made mon): `, with room for the answer."""
    told = f"{'counted' if line.counted else 'expected'} {_amount(line.thing, line.amount, units)}"
    if line.expected:
        told += f" ({_portions(line.thing, line.expected, day, units)})"
    if typed:
        told += f", typed {_amount(line.thing, typed.counted, units)}"
    name = clip(line.thing.name, NAME)
    return f"{name}  {clip(told, max(LEAST, width - columns_of(name) - ANSWER))}: "


def counted_text(
    week: Scenario,
    day: date,
    at: Moment,
    found: Sequence[ItemCount],
    written: Sequence[Recorded],
    width: int = WIDTH,
) -> str:
    """What was counted, what differs from what was expected, and how to take it back."""
    lines = [f"Counted {show_day(day)}, {at}: {show_count(len(found), 'thing')}."]
    rows, units = [], week.units
    for each in found:
        thing = each.line.thing
        more = _amount(thing, abs(each.more), units)
        same = more == _amount(thing, 0.0, units)
        told = "as expected" if same else f"{more} {'more' if each.more > 0 else 'less'}"
        money = "" if same or each.money is None else units.money(each.money)
        plus = "+" if money and each.money and each.money > 0 else ""
        counted, expected = (_amount(thing, e, units) for e in (each.counted, each.line.amount))
        rows.append((thing.name, counted, expected, told, f"{plus}{money}"))
    heads = ("", "counted", "expected", "", "full price")
    align = ("left", "right", "right", "left", "right")
    lines += ["", fitted_table(rows, heads, align, width, (0,))] if rows else []
    less = sum(each.money for each in found if each.money and each.money < 0)
    over = sum(each.money for each in found if each.money and each.money > 0)
    if less or over:
        sums = [f"{units.money(-less)} less"] if less else []
        sums += [f"{units.money(over)} more"] if over else []
        told = f"At full price {' and '.join([f'{sums[0]} than expected', *sums[1:]])}."
        if less:
            told += " What is missing was sold, given or thrown away without being entered, or the "
            told += "pieces gave less."
        lines += ["", *wrapped(told, 0, width)]
    lines += ["", entered(written, width)]
    return "\n".join(lines)


def counted_json(
    week: Scenario,
    day: date,
    at: Moment,
    found: Sequence[ItemCount],
    written: Sequence[Recorded],
) -> str:
    """The same as JSON, amounts in the shop's unit or each, money of the differences."""

    def amount(thing: StockItem, value: float) -> float:
        return week.units.number(Quantity(value, thing.by_each))

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
                    "weight": None
                    if portion.pounds is None
                    else week.units.number(Quantity(portion.pounds)),
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
    text, undo = f"Entered as {numbers}.", undo_words(first)
    return f"{text} {undo}" if len(text) + len(undo) < width else f"{text}\n{undo}"


def short_day(day: date, near: date) -> str:
    """`mon` of the week that ends with a day, else the date."""
    return WEEKDAYS[day.weekday()] if timedelta(0) <= near - day < timedelta(days=7) else str(day)


def _amount(thing: StockItem, amount: float, units: Units) -> str:
    return f"{amount:.0f}" if thing.by_each else units.weight(amount)


def _portions(thing: StockItem, portions: Sequence[CountedPortion], day: date, units: Units) -> str:
    """`made mon`, or `3.0 sat, 1.2 mon`; of pieces what one weighs."""
    by_day: dict[date | None, float] = {}
    for each in portions:
        by_day[each.made] = by_day.get(each.made, 0.0) + each.amount
    verb = "in the cooler since" if thing.piece else "made"
    told = []
    for made, amount in by_day.items():
        when = "" if made is None else short_day(made, day)
        size = _amount(thing, amount, units).removesuffix(f" {units.unit}")
        told.append(f"{verb if len(by_day) == 1 else size} {when}")
    pounds = sum(each.pounds or 0.0 for each in portions)
    if thing.piece and pounds and any(each.amount for each in portions):
        told.append(f"{units.weight(pounds)} in all")
    return ", ".join(told)


def counts_rows(counts: Iterable[ItemCount], unit: str) -> list[list[str]]:
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
