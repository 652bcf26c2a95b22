"""Expected wants for a person, beside what shop.yaml has."""

from __future__ import annotations

from collections.abc import Sequence
from math import isnan, sqrt

from planner.core.quantities import WEEKDAYS, show_count, show_day
from planner.core.scenario import Scenario
from planner.learn.backtest import FIRST_WEEKS, Score, overall
from planner.shop.learned.sales import CutWants, Demanded
from planner.show.layout import (
    WIDTH,
    clip,
    cut_name,
    fitted_table,
    listed,
    paragraphs,
    room_beside,
    wrapped,
)

MOST_CHANGED = 5  # cuts that are told as changed most: some lines of them
CHANGED = 0.05
"""Share of the file's want by which a week's want has to differ to be told as changed.

Common practice, no source: nobody cuts a carcass differently for less.
"""

ROOMY = 76  # columns below which only the most important figures are told

SCORED = (
    "Each week is forecast from the weeks before it. The error is the root mean square, "
    "a day; on days sold out only forecasts below the sales count."
)

NO_SALES = (
    "No sales are in the journal before {day}: the wants of shop.yaml stand. "
    "breakplan journal add --help shows how to enter sales, breakplan journal import --help how to "
    "read them from a till's export."
)

MARKS = {
    "±": "two of three days are within it",
    "~": "partly learned, partly the file's: few sales of that weekday",
    "(": "the file's want: too few sales of that weekday",
    "-": "the file wants nothing, and nothing sells",
}
"""What the marks of the weekday table mean; those that are in it are told above it."""

NAME = 16  # columns that the name of a cut needs to be told from others


def demand_text(answer: Demanded, cut: str | None = None, width: int = WIDTH) -> str:
    """Wants by weekday, the week against the file, what changed most, what is thin.

    With `cut` of this one alone, day by day.
    """
    day = show_day(answer.sales.before)
    wants = [each for each in answer.wants if cut in (None, each.cut)]
    body: list[str | list[str]]
    if not wants:
        alone = f"No sale of {cut} is in the journal before {day}: the file's want stands."
        body = [wrapped(NO_SALES.format(day=day) if cut is None else alone, width=width)]
    elif cut is not None:
        body = [_one_cut(answer, wants[0], width)]
    else:
        body = [_by_weekday(answer, wants, width), _weeks(answer, wants, width)]
        body.append([*_changes(answer, wants, width), *_thin(answer, wants, width)])
    scores = _scores(answer, wants, width) if wants and answer.scores is not None else ""
    return paragraphs(clip(answer.week.title, width), *body, scores)


def _weeks(answer: Demanded, wants: Sequence[CutWants], width: int) -> list[str]:
    rows = [
        [
            _name_of(answer, each),
            _number(answer, each.cut, sum(each.want)),
            _file_want(answer, each, sum(each.file or ())),
            f"{sum(each.want) / sum(each.file) - 1:+.0%}" if each.file and sum(each.file) else "-",
            f"{max(each.days)}",  # as many weeks of sales as of the weekday known best
            f"{sum(each.days)}",
            f"{sum(each.sold_out)}",
            _used(each),
        ]
        for each in wants
    ]
    heads = ["", "want", "file", "change", "weeks", "days", "out", "used"]
    align = ["left", *["right"] * 6, "left"]
    told = f"THE WEEK AGAINST THE FILE ({answer.week.unit}, or each; out: days sold out)"
    return [*wrapped(told, width=width), _narrowed(rows, heads, align, width, slice(4, 6))]


def _narrowed(
    rows: list[list[str]], heads: list[str], align: list[str], width: int, less: slice
) -> str:
    """A table, without some of its columns where there are few."""
    for lines in (heads, align, *rows) if width < ROOMY else ():
        del lines[less]
    return fitted_table(rows, heads, align, width, (0,))


def _file_want(answer: Demanded, each: CutWants, want: float) -> str:
    return "-" if each.file is None else _number(answer, each.cut, want)


def _used(each: CutWants) -> str:
    return each.used if each.file is not None else "not planned"


def _changes(answer: Demanded, wants: Sequence[CutWants], width: int) -> list[str]:
    """The cuts whose week changed most, by what it is worth at the full price."""
    week, changed = answer.week, []
    for each in wants:
        want, file = sum(each.want), sum(each.file or ())
        worth = (want - file) * week.price(each.cut)
        if each.file is not None and abs(want - file) > CHANGED * file and abs(worth) >= 0.005:
            told = f"{clip(each.cut, 40)} {_number(answer, each.cut, want)} a week, file "
            told += (
                f"{_number(answer, each.cut, file)} ({week.units.money(worth)} at the full price)"
            )
            changed.append((-abs(worth), told))
    changed.sort(key=lambda pair: pair[0])
    return listed("changed most", [told for _, told in changed[:MOST_CHANGED]], width)


def _thin(answer: Demanded, wants: Sequence[CutWants], width: int) -> list[str]:
    """Where the file's want stands, wholly or in part, and what is learned in vain."""
    thin = []
    for each in filter(_is_thin, wants):
        out = f", {sum(each.sold_out)} sold out" if any(each.sold_out) else ""
        thin.append(f"{clip(each.cut, 40)} ({show_count(sum(each.days), 'day')}{out})")
    gone = [clip(each.cut, 40) for each in wants if _mostly_out(each)]
    unpriced = [clip(each.cut, 40) for each in wants if each.file is None]
    return [
        *listed("too few sales, the file's want stands", thin, width),
        *listed("no sale before this week, the file's want stands", [*answer.unsold], width),
        *listed("sold out more often than not, so a guess at what was wanted", gone, width),
        *listed("sold, but without a price in shop.yaml, so not planned", unpriced, width),
    ]


def _is_thin(each: CutWants) -> bool:
    return each.file is not None and each.used == "file"


def _mostly_out(each: CutWants) -> bool:
    return not _is_thin(each) and 2 * sum(each.sold_out) > sum(each.days)


def _one_cut(answer: Demanded, each: CutWants, width: int) -> list[str]:
    days, spread, file = _open_days(answer.week), each.learned.spread, each.file or (0.0,) * 7
    used = {day: each.used_on(day) for day in days}
    lines = [
        *(
            (
                *(WEEKDAYS[day], used[day] == "file", each.want[day], spread[day], file[day]),
                *(each.days[day], each.sold_out[day], used[day]),
            )
            for day in days
        ),
        (
            *("week", each.used == "file", sum(each.want)),
            *(sqrt(sum(spread[day] ** 2 for day in days)), sum(file)),
            *(sum(each.days), sum(each.sold_out), _used(each)),
        ),
    ]
    rows = [
        [
            *(name, _number(answer, each.cut, want)),
            "-" if by_file else _spread_of(answer, each.cut, around),
            *(_file_want(answer, each, filed), f"{known}", f"{out}", used_then),
        ]
        for name, by_file, want, around, filed, known, out, used_then in lines
    ]
    heads = ("", "expected", "±", "file", "days known", "sold out", "used")
    shown = fitted_table(rows, heads, ("left", *["right"] * 5, "left"), width)
    sold_by = answer.week.units.by(answer.week.cuts[each.cut].by_each)
    head = f"{clip(each.cut, width - 12)} ({sold_by})"
    return [head, shown, *_changes(answer, [each], width), *_thin_alone(each, width)]


def _thin_alone(each: CutWants, width: int) -> list[str]:
    told = ""
    if each.file is None:
        told = "shop.yaml has no price for it: plans leave it out."
    elif _is_thin(each):
        told = "Too few sales: the file's want stands."
    elif _mostly_out(each):
        told = "Sold out more often than not: what was wanted is a guess, at least what was sold."
    return wrapped(told, 2, width)


def _scores(answer: Demanded, wants: Sequence[CutWants], width: int) -> list[str]:
    scores = [(answer.scores or {})[each.cut] for each in wants]
    rows = [
        [_name_of(answer, each), *_score_cells(answer, each.cut, score)]
        for each, score in zip(wants, scores, strict=True)
    ]
    heads = ["", "error", "last week's", "better by", "days", "out", "within ±"]
    table = _narrowed(rows, heads, ["left", *["right"] * 6], width, slice(4, 7))
    ratio = overall(scores)
    better = f"{abs(1 - ratio):.0%} {'nearer' if ratio <= 1 else 'FARTHER OFF'}"
    told = f"Overall {better} than the same day last week."
    if isnan(ratio):
        told = f"Too few sales for a back-test: it begins after {FIRST_WEEKS} weeks."
    below = [*wrapped(told, 2, width), *wrapped(SCORED, 2, width)]
    return ["BACK-TEST against the same day last week", table, *below]


def _score_cells(answer: Demanded, cut: str, score: Score) -> list[str]:
    days = [f"{score.days}", f"{score.sold_out}"]
    if not score.enough:
        why = "sold out" if 2 * score.sold_out > score.days else "too few"
        return [why, "-", "-", *days, "-"]
    errors = [_spread_of(answer, cut, each) for each in (score.error, score.last_week_error)]
    return [*errors, f"{1 - score.ratio:.0%}", *days, f"{score.within:.0%}"]


def _by_weekday(answer: Demanded, wants: Sequence[CutWants], width: int) -> str:
    """A table of cuts and open weekdays, without the spreads where it would be too wide."""
    week = answer.week
    days = _open_days(week)
    heads = ["", *(WEEKDAYS[day] for day in days)]
    for spread in (True, False):
        cells = [[_day_want(answer, each, day, spread=spread) for day in days] for each in wants]
        rows = [[_name_of(answer, each), *row] for each, row in zip(wants, cells, strict=True)]
        if room_beside(rows, heads, width, (0,)) >= NAME:
            break
    told = {mark: any(mark in cell for row in cells for cell in row) for mark in MARKS}
    legend = [f"{'( )' if mark == '(' else mark:<3}  {MARKS[mark]}" for mark in MARKS if told[mark]]
    if not spread:
        legend.append("± of each day: breakplan demand CUT")
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
        return "-"
    used = each.used_on(day)
    want = _number(answer, each.cut, each.want[day])
    if used == "file":
        return f"({want})"
    around = f" ±{_spread_of(answer, each.cut, each.learned.spread[day])}" if spread else ""
    return f"{want}{around}{'~' if used == 'between' else ''}"


def _is_nothing(answer: Demanded, each: CutWants, day: int) -> bool:
    """Whether the file wants nothing of a cut on a weekday, and as good as nothing is expected."""
    expected = max(each.want[day], each.learned.want[day])
    return not (each.file and each.file[day]) and _spread_of(answer, each.cut, expected) == "0.0"


def _open_days(week: Scenario) -> list[int]:
    """Weekdays on which the shop sells."""
    return [day for day in range(week.days) if week.traffic[day] > 0]


def _number(answer: Demanded, cut: str, amount: float) -> str:
    """`6.1` in the unit, or `2` of what is counted."""
    shown = answer.week.units.number(answer.week.quantity(cut, amount))
    return f"{shown:,.1f}" if not answer.week.cuts[cut].by_each else f"{shown:,.0f}"


def _spread_of(answer: Demanded, cut: str, amount: float) -> str:
    """`1.9` in the unit or of what is counted: an error or a mean, so never a whole number."""
    return f"{answer.week.units.number(answer.week.quantity(cut, amount)):,.1f}"


def _name_of(answer: Demanded, each: CutWants) -> str:
    """The cut, and whether it is counted."""
    return cut_name(each.cut, answer.week.cuts[each.cut].by_each)
