"""Expected wants for a person and for machines, beside what shop.yaml has."""

from __future__ import annotations

from collections.abc import Sequence
from math import isnan, sqrt

from planner.core.quantities import WEEKDAYS, show_count
from planner.learn.backtest import FIRST_WEEKS, Score, overall
from planner.shop.learned.sales import CutWants, Demanded
from planner.shop.stock.words import day_words
from planner.show.data import json_text
from planner.show.demand_data import demand_data
from planner.show.demand_days import by_weekday, name_of, number, open_days, spread_of
from planner.show.layout import WIDTH, clip, fitted_table, listed, wrapped

MOST_CHANGED = 5
"""Cuts that are told as changed most: some lines of them."""

CHANGED = 0.05
"""Share of the file's want by which a week's want has to differ to be told as changed.

Common practice, no source: nobody cuts a carcass otherwise for less.
"""

ROOMY = 76
"""Columns below which only the most important figures are told."""

SCORED = (
    "Each week is forecast from the weeks before it. The error is the root mean square, "
    "a day; on days sold out only forecasts below the sales count."
)

NO_SALES = (
    "No sales are in the journal before {day}: the wants of shop.yaml stand. "
    "breakplan journal add --help tells how sales are entered, breakplan journal import --help how "
    "they are read from a till's export."
)


def demand_text(answer: Demanded, cut: str | None = None, width: int = WIDTH) -> str:
    """Wants by weekday, the week against the file, what changed most, what is thin.

    Parameters
    ----------
    answer : Demanded
    cut : str or None
        Tell of this one alone, day by day.
    width : int
    """
    day = day_words(answer.sales.before)
    title = clip(answer.week.title, width)
    wants = [each for each in answer.wants if cut in (None, each.cut)]
    if cut is not None and wants:
        body = [_one_cut(answer, wants[0], width)]
    elif cut is not None:
        told = f"No sale of {cut} is in the journal before {day}: the file's want stands."
        body = ["\n".join(wrapped(told, width=width))]
    elif not wants:
        body = ["\n".join(wrapped(NO_SALES.format(day=day), width=width))]
    else:
        body = [by_weekday(answer, wants, width), _weeks(answer, wants, width)]
        body += ["\n".join([*_changes(answer, wants, width), *_thin(answer, wants, width)])]
    if answer.scores is not None and wants:
        body.append(_scores(answer, wants, width))
    return "\n\n".join(part for part in (title, *body) if part)


def demand_json(answer: Demanded, cut: str | None = None) -> str:
    """The same as JSON text: see `demanddata.demand_data`."""
    return json_text(demand_data(answer, cut))


def _weeks(answer: Demanded, wants: Sequence[CutWants], width: int) -> str:
    rows = [
        [
            name_of(answer, each),
            number(answer, each.cut, sum(each.want)),
            "-" if each.file is None else number(answer, each.cut, sum(each.file)),
            _change(each),
            f"{_weeks_known(each)}",
            f"{sum(each.days)}",
            f"{sum(each.sold_out)}",
            _used(each),
        ]
        for each in wants
    ]
    heads = ["", "want", "file", "change", "weeks", "days", "out", "used"]
    align = ["left", *["right"] * 6, "left"]
    for lines in (heads, align, *rows):
        del lines[4 : 6 if width < ROOMY else 4]
    table = fitted_table(rows, heads, align, width, (0,))
    told = f"THE WEEK AGAINST THE FILE ({answer.week.unit}, or each; out: days sold out)"
    return "\n".join([*wrapped(told, width=width), table])


def _weeks_known(each: CutWants) -> int:
    """Weeks of sales: as many as of the weekday known best."""
    return max(each.days)


def _used(each: CutWants) -> str:
    return each.used if each.file is not None else "not planned"


def _change(each: CutWants) -> str:
    if each.file is None or sum(each.file) <= 0:
        return "-"
    return f"{sum(each.want) / sum(each.file) - 1:+.0%}"


def _changes(answer: Demanded, wants: Sequence[CutWants], width: int) -> list[str]:
    """The cuts whose week changed most, by what it is worth at the full price."""
    week = answer.week
    worth = {
        each.cut: (sum(each.want) - sum(each.file)) * week.price(each.cut)
        for each in wants
        if each.file is not None and abs(sum(each.want) - sum(each.file)) > CHANGED * sum(each.file)
    }
    most = sorted(worth, key=lambda cut: -abs(worth[cut]))[:MOST_CHANGED]
    by_cut = {each.cut: each for each in wants}
    told = [
        f"{clip(cut, 40)} {number(answer, cut, sum(by_cut[cut].want))} a week, file "
        f"{number(answer, cut, sum(by_cut[cut].file or ()))} "
        f"({week.units.money(worth[cut])} at the full price)"
        for cut in most
        if abs(worth[cut]) >= 0.005
    ]
    return listed("changed most", told, width)


def _thin(answer: Demanded, wants: Sequence[CutWants], width: int) -> list[str]:
    """Where the file's want stands, wholly or in part, and what is learned in vain."""
    thin = [f"{clip(each.cut, 40)} ({_seen(each)})" for each in wants if _is_thin(each)]
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


def _seen(each: CutWants) -> str:
    out = f", {sum(each.sold_out)} sold out" if any(each.sold_out) else ""
    return f"{show_count(sum(each.days), 'day')}{out}"


def _one_cut(answer: Demanded, each: CutWants, width: int) -> str:
    rows = [
        [
            WEEKDAYS[day],
            number(answer, each.cut, each.want[day]),
            "-" if used == "file" else spread_of(answer, each.cut, each.learned.spread[day]),
            "-" if each.file is None else number(answer, each.cut, each.file[day]),
            f"{each.days[day]}",
            f"{each.sold_out[day]}",
            used,
        ]
        for day in open_days(answer.week)
        for used in [each.used_on(day)]
    ]
    squares = sum(each.learned.spread[day] ** 2 for day in open_days(answer.week))
    total = [
        "week",
        number(answer, each.cut, sum(each.want)),
        "-" if each.used == "file" else spread_of(answer, each.cut, sqrt(squares)),
        "-" if each.file is None else number(answer, each.cut, sum(each.file)),
        f"{sum(each.days)}",
        f"{sum(each.sold_out)}",
        _used(each),
    ]
    heads = ("", "expected", "±", "file", "days known", "sold out", "used")
    align = ("left", *["right"] * 5, "left")
    sold_by = "each" if answer.week.cuts[each.cut].by_each else answer.week.unit
    head = f"{clip(each.cut, width - 12)} ({sold_by})"
    lines = [head, fitted_table([*rows, total], heads, align, width)]
    lines += _changes(answer, [each], width)
    return "\n".join([*lines, *_thin_alone(each, width)])


def _thin_alone(each: CutWants, width: int) -> list[str]:
    if each.file is None:
        return wrapped("shop.yaml has no price for it: it is not planned with.", 2, width)
    if _is_thin(each):
        return wrapped("Too few sales: the file's want stands.", 2, width)
    if _mostly_out(each):
        told = "Sold out more often than not: what was wanted is a guess, at least what was sold."
        return wrapped(told, 2, width)
    return []


def _scores(answer: Demanded, wants: Sequence[CutWants], width: int) -> str:
    scores = answer.scores or {}
    rows = [
        [name_of(answer, each), *_score_cells(answer, each.cut, scores[each.cut])] for each in wants
    ]
    heads = ["", "error", "last week's", "better by", "days", "out", "within ±"]
    align = ["left", *["right"] * 6]
    for lines in (heads, align, *rows):
        del lines[4 : 7 if width < ROOMY else 4]
    table = fitted_table(rows, heads, align, width, (0,))
    ratio = overall([scores[each.cut] for each in wants])
    told = (
        f"Too few sales for a back-test: it begins after {FIRST_WEEKS} weeks."
        if isnan(ratio)
        else f"All in all {_better(ratio)} than the same day last week."
    )
    lines = ["BACK-TEST beside the same day last week", table]
    return "\n".join([*lines, *wrapped(told, 2, width), *wrapped(SCORED, 2, width)])


def _score_cells(answer: Demanded, cut: str, score: Score) -> list[str]:
    days = [f"{score.days}", f"{score.sold_out}"]
    if not score.enough:
        why = "sold out" if 2 * score.sold_out > score.days else "too few"
        return [why, "-", "-", *days, "-"]
    return [
        spread_of(answer, cut, score.error),
        spread_of(answer, cut, score.last_week_error),
        f"{1 - score.ratio:.0%}",
        *days,
        f"{score.within:.0%}",
    ]


def _better(ratio: float) -> str:
    return f"{abs(1 - ratio):.0%} {'nearer' if ratio <= 1 else 'FARTHER OFF'}"
