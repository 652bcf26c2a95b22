"""Days and amounts in the sentences about the journal."""

from __future__ import annotations

from datetime import date

from planner.core.quantities import show_day, show_weight


def day_words(day: date) -> str:
    """`mon 30 nov`."""
    return show_day(day)


def amount_words(amount: float, name: str, unit: str, *, by_each: bool) -> str:
    """`3.2 lb loin chops`, or `2 frenched rack` of what is counted."""
    return f"{amount:g} {name}" if by_each else f"{show_weight(amount, unit)} {name}"
