"""Days as people and programs write them: one reader for every option, prompt, file and column.

`wed`, `monday`, `today`, `last mon`, `next mon`, `2 dec`, `dec 2 2026`, `2.12.`, `2026-12-02`; in
columns of other programs `12/1/2026 10:15` and `20261201` too.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from planner.core.quantities import MONTHS, WEEKDAYS, show_day
from planner.core.signs import shown_line
from planner.core.spelling import nearest

Order = Literal["dmy", "mdy"]
"""Whether the day or the month comes first in 1/12/2026."""

Toward = Literal["past", "coming"]
"""Whether a weekday is the last or the next of its name; today counts for both."""

_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTH_NAMES = (
    *("january", "february", "march", "april", "may", "june", "july"),
    *("august", "september", "october", "november", "december"),
)
_NEAR = {"yesterday": -1, "today": 0, "tomorrow": 1}
_UNITS = ("lb", "lbs", "kg", "g", "oz", "each", "head", "pounds", "at")

_WORD = (
    r"(?:mon(?:day)?|tue(?:s|sday)?|wed(?:nesday)?|thu(?:r|rs|rsday)?|fri(?:day)?|sat(?:urday)?"
    r"|sun(?:day)?)"
)
_TURN = rf"(?:(?P<turn>last|next)\s+)?(?P<word>{_WORD})\.?"
_MONTH = rf"(?:{'|'.join((*_MONTH_NAMES, *MONTHS, 'sept'))})\.?"
_SAID = (
    r"(?P<year0>[0-9]{4})(?P<sign0>[-/.])(?P<month0>[0-9]{1,2})(?P=sign0)(?P<day0>[0-9]{1,2})",
    r"(?P<day1>[0-9]{1,2})\.\s?(?P<month1>[0-9]{1,2})\.(?:\s?(?P<year1>[0-9]{4}|[0-9]{2}))?",
    rf"(?P<day2>[0-9]{{1,2}})\.?[\s-]\s*(?P<month2>{_MONTH})(?:[\s,-]+(?P<year2>[0-9]{{4}}))?",
    rf"(?P<month3>{_MONTH})\s+(?P<day3>[0-9]{{1,2}})(?:st|nd|rd|th)?(?:,?\s+(?P<year3>[0-9]{{4}}))?",
)
_PRINTED = (
    *_SAID,
    r"(?P<year4>[0-9]{4})(?P<month4>[0-9]{2})(?P<day4>[0-9]{2})",
    rf"(?P<day5>[0-9]{{1,2}})[\s-](?P<month5>{_MONTH})[\s,-]+(?P<year5>[0-9]{{2}})",
)
_SLASHED = (
    r"(?P<{}6>[0-9]{{1,2}})(?P<sign6>[/-])(?P<{}6>[0-9]{{1,2}})(?P=sign6)"
    r"(?P<year6>[0-9]{{4}}|[0-9]{{2}})"
)
_ORDERED = {"dmy": _SLASHED.format("day", "month"), "mdy": _SLASHED.format("month", "day")}
_TIME = r"(?:[t\s,]+(?:[01]?[0-9]|2[0-4])[:.][0-5][0-9](?![0-9])(?::[0-6][0-9])?(?![:0-9]).*)?"
_WEEKDAY = rf"(?:(?P<weekday>{_WORD})\.?,?\s+)?"


def _pattern(*dates: str, end: str = "") -> re.Pattern[str]:
    return re.compile(rf"{_WEEKDAY}(?:{'|'.join(dates)}){end}", re.IGNORECASE | re.DOTALL)


_IS_DATE = _pattern(*_SAID)
_IS_PRINTED = {order: _pattern(*_PRINTED, each, end=_TIME) for order, each in _ORDERED.items()}
_SLASHES = _pattern(_ORDERED["dmy"], end=_TIME)
_IS_WORD = re.compile(_TURN, re.IGNORECASE)
_ANY = re.sub(
    r"\?P<\w+>|\(\?P=sign0\)",
    lambda found: "[-/.]" if "=" in found[0] else "?:",
    rf"(?:{_TURN}|{'|'.join(_NEAR)}|{_IS_DATE.pattern})",
)
_AT_END = re.compile(rf"(?:^|[\s,]){_ANY}$", re.IGNORECASE)
_LIKE_DATE = re.compile(
    r"(?:[a-z]+\.?,?\s+)?(?:[0-9][0-9./-]*\s+[a-z]+\.?|[a-z]+\s+[0-9]+(?:st|nd|rd|th)?)"
    r"(?:,?\s+[0-9]{4})?|(?:[a-z]+\.?,?\s+)?[0-9][0-9./-]*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class _Said:
    """What a text says: a step from today, a weekday, or year, month and day with or without it."""

    step: int | None = None
    weekday: int | None = None
    turn: str = ""
    parts: tuple[int | None, int, int] | None = None


def read_day(
    text: str, today: date, toward: Toward, *, within: str = "", order: Order | None = None
) -> date:
    """The day that is meant.

    A weekday, `today`, `yesterday`, `tomorrow`, `last` or `next` and a weekday, with which today
    does not count; or a date, with or without its weekday. Without a year it is the nearest. With
    `within`, which says what `today` is (`today is`), days on the other side of it are refused.
    `order` is that of a column of dates as programs write them, with slashes, or a time behind.

    Raises
    ------
    ValueError
        With the nearest right word.
    """
    said = _read(text, order)
    if said.parts:
        when = _date(text, said.parts, said.weekday, today)
    elif said.step is not None:
        when = today + timedelta(days=said.step)
    else:
        when = _weekday(said, today, toward)
    if within and toward == "past" and when > today:
        raise ValueError(f"{_shown(text)} is still to come; {within} {today.isoformat()}")
    if within and toward == "coming" and when < today:
        raise ValueError(f"{_shown(text)} is over; {within} {today.isoformat()}")
    return when


def days_among(text: str, dates: Sequence[date], today: date | None = None) -> list[int]:
    """Numbers of the days of a period that a text stands for: a weekday may come twice.

    The text is as for `read_day`; `today` is None where it stays as it is from day to day, as in a
    file: `tomorrow` means nothing there. None is found where it is a day outside the period.

    Raises
    ------
    ValueError
        With the nearest right word.
    """
    said = _read(text, None)
    if said.parts:
        when = _date(text, said.parts, said.weekday, dates[0])
    elif said.weekday is not None and not said.turn:
        return [day for day, each in enumerate(dates) if each.weekday() == said.weekday]
    elif today is None:
        raise ValueError(
            f'"{_shown(text)}" is another day tomorrow: write one such as wed or 2026-12-02'
        )
    elif said.step is not None:
        when = today + timedelta(days=said.step)
    else:
        when = _weekday(said, today, "coming")
    return [day for day, each in enumerate(dates) if each == when]


def read_weekday(text: str) -> str:
    """`mon` of `Monday`; raises `ValueError`."""
    word = " ".join(text.split())
    found = _IS_WORD.fullmatch(word)
    if not found or found["turn"]:
        near = _nearest(word) or "; write one of mon .. sun"
        raise ValueError(f'no day called "{_shown(word)}"{near}')
    return found["word"][:3].lower()


def is_day(text: str) -> bool:
    """Whether a text may be a day at all, rightly spelt or not: `on` is not always before one."""
    words = text.strip().lower().split()
    if len(words) == 1 or len(words) == 2 and words[0] in ("last", "next"):
        return True
    return bool(_LIKE_DATE.fullmatch(" ".join(words))) and words[-1] not in _UNITS


def without_day(text: str, *, strict: bool = False) -> tuple[str, str | None]:
    """A text without the day at its end, and that day as it was said; None where it has none.

    After ` on ` all that may be a day counts, so that a slip is told; without it, and always where
    `strict`, only a day that is spelt rightly.
    """
    rest, on, word = f" {text}".rpartition(" on ")
    if on and not strict and is_day(word):
        return rest.strip(" ,"), word
    found = _AT_END.search(text)
    if found is None:
        return text, None
    word = found[0].strip(" ,")
    return text[: len(text) - len(word)].strip(" ,").removesuffix(" on"), word


def seems_day(text: str) -> bool:
    """Whether a text is likely to be a day, though it may be misspelt."""
    return bool(_LIKE_DATE.fullmatch(text) or _nearest(text.lower().split()[-1], *_NEAR))


def is_weekday(text: str) -> bool:
    """Whether a day was said as a weekday alone, which may be the last or the next of its name."""
    return bool(re.fullmatch(_WORD, text.strip(), re.IGNORECASE))


def parts_in_doubt(text: str) -> tuple[int, int] | None:
    """The two numbers of 12/1/2026, one of which is the day; None of what is written otherwise."""
    found = _SLASHES.fullmatch(text.strip())
    return (int(found["day6"]), int(found["month6"])) if found else None


def _read(text: str, order: Order | None) -> _Said:
    word = " ".join(text.split()).rstrip(",").lower()
    word = word.removeprefix("on ") if len(word) > 3 else word
    if word in _NEAR:
        return _Said(step=_NEAR[word])
    found = _IS_WORD.fullmatch(word)
    if found:
        return _Said(weekday=WEEKDAYS.index(found["word"][:3]), turn=found["turn"] or "")
    found = (_IS_PRINTED[order] if order else _IS_DATE).fullmatch(word)
    if not found:
        raise ValueError(_no_day(word))
    named = found.groupdict()
    at = next(each for each in "0123456" if named.get(f"day{each}"))
    day, month, year = (named[f"{name}{at}"] for name in ("day", "month", "year"))
    number = int(month) if month.isdigit() else MONTHS.index(month[:3]) + 1
    full = None if year is None else int(year) + (2000 if len(year) == 2 else 0)
    weekday = WEEKDAYS.index(found["weekday"][:3]) if found["weekday"] else None
    return _Said(parts=(full, number, int(day)), weekday=weekday)


def _no_day(word: str) -> str:
    """What is wrong with a text that is no day."""
    shown = _shown(word)
    if parts_in_doubt(word):
        return f'"{shown}": the day or the month first? Write one such as 2 dec or 2026-12-02'
    dated = re.fullmatch(r"[0-9]{1,2}\.?\s+([a-z]+)\.?(?:,?\s+[0-9]{4})?", word)
    dated = dated or re.fullmatch(r"([a-z]+)\.?\s+[0-9]{1,2}(?:,?\s+[0-9]{4})?", word)
    if dated:
        near = nearest(dated[1], [*MONTHS, *_MONTH_NAMES])
        return f'no month called "{_shown(dated[1])}"{near}'
    turn, _, last = word.rpartition(" ")
    last = last if turn in ("last", "next") else word
    near = _nearest(last, *_NEAR)
    return f'no day called "{_shown(last)}"{near or "; write one such as wed, 2 dec or 2026-12-02"}'


def _nearest(word: str, *more: str) -> str:
    return nearest(word, WEEKDAYS) or nearest(word, [*_NAMES, *more])


def _weekday(said: _Said, today: date, toward: Toward) -> date:
    ahead = ((said.weekday or 0) - today.weekday()) % 7
    if said.turn == "next":
        return today + timedelta(days=ahead or 7)
    if said.turn == "last" or toward == "past" and ahead:
        ahead -= 7
    return today + timedelta(days=ahead)


def _date(text: str, parts: tuple[int | None, int, int], weekday: int | None, near: date) -> date:
    """The date of these parts, which falls on the weekday said; without a year the nearest."""
    year, month, day = parts
    years = range(near.year - 4, near.year + 5) if year is None else (year,)  # 29 feb
    found = [one for each in years if (one := _day_of(each, month, day))]
    if not found:
        raise ValueError(f"there is no day {_shown(text)} in the calendar")
    when = min(found, key=lambda each: abs((each - near).days))
    if not 1900 <= when.year <= 2200:
        raise ValueError(f'the year of "{_shown(text)}" cannot be right')
    if weekday not in (None, when.weekday()):
        raise ValueError(f'"{_shown(text)}": {when.isoformat()} is {show_day(when)}')
    return when


def _day_of(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _shown(text: str) -> str:
    return shown_line(text.strip()[:60])
