"""Amounts, prices and days as a person writes them, in pounds, money and day numbers."""

from __future__ import annotations

import datetime
import math
import re
from fractions import Fraction
from typing import Any

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
POUND_IN_KG = 0.45359237  # exact, by the definition of the pound
POUNDS_PER = {"lb": 1.0, "oz": 1 / 16, "kg": 1 / POUND_IN_KG, "g": 0.001 / POUND_IN_KG}


def number(text: str) -> float:
    found = re.match(r"\s*([0-9.]+(?:e-?[0-9]+)?)", str(text))
    assert found, text
    return float(found[1])


def percent(text: str) -> float:
    return number(text) / 100 if "%" in str(text) else number(text)


def weight(text: str, unit: str) -> float:
    """A weight in pounds."""
    word = re.sub(r"[0-9.\s]", "", str(text))
    return number(text) * POUNDS_PER[word or unit]


def amount(text: str, each: bool, unit: str) -> float:
    return number(text) if each else weight(text, unit)


def price(text: str, each: bool, unit: str) -> float:
    """Money a pound, or money for each."""
    figure, _, word = str(text).partition("/")
    return number(figure) if each else number(figure) / POUNDS_PER[word.strip() or unit]


class Calendar:
    def __init__(self, starts: str | None, days: int) -> None:
        first = datetime.date.fromisoformat(starts) if starts else datetime.date(2026, 11, 30)
        self.dates = [first + datetime.timedelta(days=i) for i in range(days)]

    def matching(self, label: str) -> list[int]:
        return [
            i
            for i, date in enumerate(self.dates)
            if label in (date.isoformat(), WEEKDAYS[date.weekday()])
        ]

    def day(self, label: str) -> int:
        (only,) = self.matching(label)
        return only

    def by_day(self, entries: dict[str, Any]) -> list[Any]:
        """One entry a day; a date goes before its weekday; None for a day not named."""
        found: list[Any] = [None] * len(self.dates)
        for label in sorted(entries, key=len):  # weekdays first, dates over them
            for i in self.matching(label):
                found[i] = entries[label]
        return found

    def labels(self) -> tuple[str, ...]:
        if len(self.dates) <= 7:
            return tuple(WEEKDAYS[date.weekday()] for date in self.dates)
        return tuple(date.isoformat() for date in self.dates)


def spread(total: float, traffic: list[Fraction], each: bool) -> tuple[float, ...]:
    """An amount for the period by day; whole numbers by largest remainder, earlier day first."""
    whole = sum(traffic)
    if not each:
        return tuple(total * float(part / whole) for part in traffic)
    exact = [round(total) * part / whole for part in traffic]
    counts = [math.floor(part) for part in exact]
    order = sorted(range(len(exact)), key=lambda i: (counts[i] - exact[i], i))
    for i in order[: round(total) - sum(counts)]:
        counts[i] += 1
    return tuple(float(count) for count in counts)
