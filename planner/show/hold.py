"""Whether orders for days after the period can be held for, for a person and for machines."""

from __future__ import annotations

from typing import Any

from planner.ask.hold import Holding
from planner.show.data import FORMAT, Data
from planner.show.dates import show_date
from planner.show.later import LATER, later_text
from planner.show.layout import paragraphs, wrapped
from planner.solve.plan import CENT

ANSWER = {
    "yes": "YES: all of it can be held.",
    "part": "PART: not all of it can be held.",
    "no": "NO: nothing can be held for it.",
}


def hold_text(found: Holding) -> str:
    """The answer, what is held, what that costs, and that nothing of it is planned yet."""
    scenario = found.plan.scenario
    last = show_date(scenario, scenario.days - 1)
    unplanned = (
        f"Not planned yet: the plan ends on {last}. Only what it can leave "
        "for later is looked at, not what arrives after it."
    )
    taken = (
        "If you take the order anyway (breakplan journal add), every plan lists it until its own "
        "week is planned."
    )
    orders = [later_text(scenario, each) for each in found.asked]
    return paragraphs(
        [*wrapped(ANSWER[found.answer]), *wrapped(unplanned)],
        [line for each in orders for line in wrapped(each, 2, hanging=3)],
        [*wrapped(_costs(found, last)), *(wrapped(taken) if found.answer != "yes" else ())],
    )


def _costs(found: Holding, last: str) -> str:
    gain, units = found.gain, found.plan.scenario.units
    least, most = max(0.0, -gain.most), max(0.0, -gain.least)
    if most < CENT:
        return f"It costs nothing in the days up to {last}."
    if least < CENT:
        return f"It costs {units.money(most)} at most in the days up to {last}."
    return f"It costs {units.between(least, most)} in the days up to {last}."


def hold_data(found: Holding, written: bool) -> dict[str, Any]:
    """The same for machines; `planned` is false, for its day is after the period."""
    scenario, least, most = (
        found.plan.scenario,
        max(0.0, -found.gain.most),
        max(0.0, -found.gain.least),
    )
    return {
        "format": FORMAT,
        "answer": found.answer,
        "planned": False,
        "orders": Data(scenario).all(LATER, found.asked),
        "costs": {"least": round(least, 9), "most": round(most, 9)},
        "written": written,
    }
