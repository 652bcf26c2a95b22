"""Days and amounts in the sentences about the journal."""

from __future__ import annotations

from datetime import date

from planner.measures import WEEKDAYS, show_weight

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def day_words(day: date) -> str:
    """`mon 30 nov`."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def amount_words(amount: float, name: str, unit: str, *, by_each: bool) -> str:
    """`3.2 lb loin chops`, or `2 frenched rack` of what is counted."""
    return f"{amount:g} {name}" if by_each else f"{show_weight(amount, unit)} {name}"
