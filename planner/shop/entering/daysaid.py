"""A day as a person says it: `wed`, `yesterday`, `last mon`, `2026-12-02`."""

from __future__ import annotations

from datetime import date, timedelta

from planner.measures import WEEKDAYS, read_date
from planner.shop.entering.things import printable
from planner.yamlfile import nearest

_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_NEAR = {"yesterday": -1, "today": 0, "tomorrow": 1}


def read_said_day(text: str, today: date, *, coming: bool) -> date:
    """The day that is meant.

    Parameters
    ----------
    text : str
        A date, a weekday, `today`, `yesterday`, `tomorrow`, or `last` and a weekday: the one
        before today.
    today : date
    coming : bool
        Whether a weekday is the next of its name, else the last; today counts for both.

    Raises
    ------
    ValueError
        With the nearest right word.
    """
    words = text.strip().lower().split()
    last = len(words) == 2 and words[0] == "last"
    word = words[1] if last else " ".join(words)
    if not last and word in _NEAR:
        return today + timedelta(days=_NEAR[word])
    if not last and word[:1].isdigit():
        return read_date(word)
    if word not in (*WEEKDAYS, *_NAMES):
        near = (
            nearest(word, [*WEEKDAYS, *_NAMES, *_NEAR]) or "; write one such as wed or 2026-12-02"
        )
        raise ValueError(f'no day called "{printable(word)}"{near}')
    ahead = (WEEKDAYS.index(word[:3]) - today.weekday()) % 7
    if last:
        return today + timedelta(days=ahead - 7)
    back = not coming and ahead > 0
    return today + timedelta(days=ahead - 7 if back else ahead)


def is_day(text: str) -> bool:
    """Whether a text may be a day at all, rightly spelt or not: `on` is not always before one."""
    words = text.strip().split()
    return len(words) == 1 or len(words) == 2 and words[0].lower() == "last"
