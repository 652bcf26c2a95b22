"""The one clock of the program: what moment it is, and what day, in the zone of the machine.

Everything asks `clock.now` and `clock.today` at the time of asking, so that tests replace `now`
here and nowhere else.
"""

from __future__ import annotations

from datetime import UTC, date, datetime


def now() -> datetime:
    """The moment it is, with the time zone of the machine."""
    return datetime.now(UTC).astimezone()


def today() -> date:
    """The day it is."""
    return now().date()
