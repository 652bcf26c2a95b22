"""A day as a person says it: `wed`, `yesterday`, `last mon`, `27 nov`, `31.12.2026`."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta

from planner.measures import MONTHS, WEEKDAYS, read_date, show_day
from planner.shop.entering.things import printable
from planner.yamlfile import nearest

_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTH_NAMES = (
    *("january", "february", "march", "april", "may", "june", "july"),
    *("august", "september", "october", "november", "december"),
)
_NEAR = {"yesterday": -1, "today": 0, "tomorrow": 1}

_WORD = rf"(?:{'|'.join((*_NAMES, *WEEKDAYS))})"
_MONTH = rf"(?:{'|'.join((*_MONTH_NAMES, *MONTHS, 'sept'))})\.?"
_YEAR = r"(?:,?\s+(?P<year{}>[0-9]{{4}}))?"
_DATES = (
    r"(?P<iso>[0-9]{4}-[0-9]{1,2}-[0-9]{1,2})",
    r"(?P<day1>[0-9]{1,2})\.\s?(?P<month1>[0-9]{1,2})\.(?:\s?(?P<year1>[0-9]{4}))?",
    rf"(?P<day2>[0-9]{{1,2}})\.?\s+(?P<month2>{_MONTH})" + _YEAR.format(2),
    rf"(?P<month3>{_MONTH})\s+(?P<day3>[0-9]{{1,2}})(?:st|nd|rd|th)?" + _YEAR.format(3),
)
_DATE = rf"(?:(?P<weekday>{_WORD})\.?,?\s+)?(?:{'|'.join(_DATES)})"
_ANY = rf"(?:(?:last\s+)?{_WORD}|{'|'.join(_NEAR)}|{_DATE})"
_IS_DATE = re.compile(_DATE, re.IGNORECASE)
_AT_END = re.compile(rf"(?:^|[\s,]){_ANY}$", re.IGNORECASE)
_LIKE_DATE = re.compile(
    r"(?:[a-z]+\.?,?\s+)?(?:[0-9][0-9./-]*\s+[a-z]+\.?|[a-z]+\s+[0-9]+(?:st|nd|rd|th)?)"
    r"(?:,?\s+[0-9]{4})?|(?:[a-z]+\.?,?\s+)?[0-9][0-9./-]*",
    re.IGNORECASE,
)
_UNITS = ("lb", "lbs", "kg", "g", "oz", "each", "head", "pounds", "at")


def read_said_day(text: str, today: date, *, coming: bool) -> date:
    """The day that is meant.

    Parameters
    ----------
    text : str
        A weekday, `today`, `yesterday`, `tomorrow`, `last` and a weekday: the one before today; or
        a date: `2026-12-02`, `2.12.2026`, `2 dec`, `dec 2 2026`, with or without its weekday.
        Without a year it is the nearest of them. `on` may stand before it.
    today : date
    coming : bool
        Whether a weekday is the next of its name, else the last; today counts for both.

    Raises
    ------
    ValueError
        With the nearest right word.
    """
    words = text.strip().lower().rstrip(",").split()
    words = words[1:] if len(words) > 1 and words[0] == "on" else words
    last = len(words) == 2 and words[0] == "last"
    word = words[1] if last else " ".join(words)
    if not last and word in _NEAR:
        return today + timedelta(days=_NEAR[word])
    found = None if last else _IS_DATE.fullmatch(word)
    if found:
        return _date(found, word, today)
    if not last and word[:1].isdigit():
        if re.fullmatch(r"[0-9]{1,2}\.?\s+[a-z]+\.?(?:,?\s+[0-9]{4})?", word):
            month = word.split()[1].rstrip(".,")
            near = nearest(month, [*MONTHS, *_MONTH_NAMES])
            raise ValueError(f'no month called "{printable(month)}"{near}')
        return read_date(word)
    if word not in (*WEEKDAYS, *_NAMES):
        near = nearest(word, [*WEEKDAYS, *_NAMES, *_NEAR])
        near = near or "; write one such as wed, 2 dec or 2026-12-02"
        raise ValueError(f'no day called "{printable(word)}"{near}')
    ahead = (WEEKDAYS.index(word[:3]) - today.weekday()) % 7
    if last:
        return today + timedelta(days=ahead - 7)
    back = not coming and ahead > 0
    return today + timedelta(days=ahead - 7 if back else ahead)


def is_day(text: str) -> bool:
    """Whether a text may be a day at all, rightly spelt or not: `on` is not always before one."""
    words = text.strip().lower().split()
    if len(words) == 1 or len(words) == 2 and words[0] == "last":
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


def is_weekday(text: str) -> bool:
    """Whether a day was said as a weekday alone, which may be the last or the next of its name."""
    return text.strip().lower() in (*WEEKDAYS, *_NAMES)


def _date(found: re.Match[str], text: str, today: date) -> date:
    if found["iso"]:
        when = read_date("-".join(part.zfill(2) for part in found["iso"].split("-")))
    else:
        at = next(each for each in "123" if found[f"day{each}"])
        day, month, year = (found[f"{name}{at}"] for name in ("day", "month", "year"))
        number = int(month) if month.isdigit() else MONTHS.index(month[:3]) + 1
        years = [int(year)] if year else [today.year + step for step in (-1, 0, 1)]
        near = [one for each in years if (one := _day_of(each, number, int(day)))]
        if not near:
            raise ValueError(f'there is no day "{printable(text)}" in the calendar')
        when = min(near, key=_far_from(today))
        if not 1900 <= when.year <= 2200:
            raise ValueError(f'the year of "{printable(text)}" cannot be meant')
    if found["weekday"] and WEEKDAYS[when.weekday()] != found["weekday"][:3]:
        raise ValueError(f'"{printable(text)}": {when.isoformat()} is {show_day(when)}')
    return when


def _far_from(today: date) -> Callable[[date], int]:
    return lambda when: abs((when - today).days)


def _day_of(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
