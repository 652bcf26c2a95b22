"""Small changes to a plan's JSON, to spoil it in one place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Change = Callable[[dict[str, Any]], None]


def put(part: str, row: int, key: str, value: Any) -> Change:
    return lambda plan: plan[part][row].__setitem__(key, value)


def remove(*keys: Any) -> Change:
    def change(plan: Any) -> None:
        for key in keys[:-1]:
            plan = plan[key]
        del plan[keys[-1]]

    return change


def top(key: str, value: Any) -> Change:
    return lambda plan: plan.__setitem__(key, value)


def both(*changes: Change) -> Change:
    def change(plan: dict[str, Any]) -> None:
        for one in changes:
            one(plan)

    return change
