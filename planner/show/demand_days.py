"""Expected wants by cut and weekday: one table for a person, its marks told above it."""

from __future__ import annotations

from collections.abc import Sequence

from planner.core.quantities import WEEKDAYS, show_day
from planner.core.scenario import Scenario
from planner.shop.learned.sales import CutWants, Demanded
from planner.show.layout import cut_name, fitted_table, room_beside, wrapped

MARKS = {
    "±": "two of three days are within it",
    "~": "partly learned, partly the file's: few sales of that weekday",
    "(": "the file's want: too few sales of that weekday",
    "-": "the file wants nothing, and nothing sells",
}
"""What the marks of the weekday table mean; those that are in it are told above it."""

ALONE = "± of each day: breakplan demand CUT"
"""Told where the columns are too few for the spreads."""

DASH = "-"

NAME = 16  # columns that the name of a cut needs to be told from others


def by_weekday(answer: Demanded, wants: Sequence[CutWants], width: int) -> str:
    """A table of cuts and open weekdays, without the spreads where it would be too wide."""
    week = answer.week
    days = open_days(week)
    heads = ["", *(WEEKDAYS[day] for day in days)]
    for spread in (True, False):
        cells = [[_day_want(answer, each, day, spread=spread) for day in days] for each in wants]
        rows = [[name_of(answer, each), *row] for each, row in zip(wants, cells, strict=True)]
        if room_beside(rows, heads, width, (0,)) >= NAME:
            break
    told = {mark: any(mark in cell for row in cells for cell in row) for mark in MARKS}
    legend = [f"{'( )' if mark == '(' else mark:<3}  {MARKS[mark]}" for mark in MARKS if told[mark]]
    if not spread:
        legend.append(ALONE)
    head = f"EXPECTED WANTS of the week of {show_day(week.starts)} ({week.unit} a day, or each)"
    return "\n".join(
        [
            *wrapped(head, width=width),
            *(line for each in legend for line in wrapped(each, 2, width, 5)),
            fitted_table(rows, heads, ["left", *["right"] * len(days)], width, (0,)),
        ]
    )


def _day_want(answer: Demanded, each: CutWants, day: int, *, spread: bool) -> str:
    """`6.1 ±1.9`, `6.1 ±1.9~` where partly learned, `(6.0)` where it is the file's, `-`."""
    if _is_nothing(answer, each, day):
        return DASH
    used = each.used_on(day)
    want = number(answer, each.cut, each.want[day])
    if used == "file":
        return f"({want})"
    around = f" ±{spread_of(answer, each.cut, each.learned.spread[day])}" if spread else ""
    return f"{want}{around}{'~' if used == 'between' else ''}"


def _is_nothing(answer: Demanded, each: CutWants, day: int) -> bool:
    """Whether the file wants nothing of a cut on a weekday, and as good as nothing is expected."""
    expected = max(each.want[day], each.learned.want[day])
    return not (each.file and each.file[day]) and spread_of(answer, each.cut, expected) == "0.0"


def open_days(week: Scenario) -> list[int]:
    """Weekdays on which the shop sells."""
    return [day for day in range(week.days) if week.traffic[day] > 0]


def number(answer: Demanded, cut: str, amount: float) -> str:
    """`6.1` in the unit, or `2` of what is counted."""
    shown = answer.week.units.number(answer.week.quantity(cut, amount))
    return f"{shown:,.1f}" if not answer.week.cuts[cut].by_each else f"{shown:,.0f}"


def spread_of(answer: Demanded, cut: str, amount: float) -> str:
    """`1.9` in the unit or of what is counted: an error or a mean, so never a whole number."""
    return f"{answer.week.units.number(answer.week.quantity(cut, amount)):,.1f}"


def name_of(answer: Demanded, each: CutWants) -> str:
    """The cut, and whether it is counted."""
    return cut_name(each.cut, answer.week.cuts[each.cut].by_each)
