"""Orders after the period: what is held for each, and why not more."""

from __future__ import annotations

from collections.abc import Iterator

from planner.core.plan_lines import Later
from planner.core.quantities import show_day
from planner.core.scenario import Scenario
from planner.show.data import shape
from planner.show.layout import clip
from planner.show.species import piece_name
from planner.solve.plan import Plan

HEAD = "LATER ORDERS (not planned yet)"

LATER = shape(
    "day: date, cut, for = buyer, ordered: amount, held: amount, whole: whole, why not = why",
    whole=shape("species = 0, piece = 1, count = 2"),
)

WHY = {
    "blend": "NOT HELD: grind it that week, it does not keep that long",
    "keeps": "NOT HELD: nothing on hand or arriving this week keeps until then",
    "left": "the orders of this week come first, and nothing else keeps until then",
}


def later_words(plan: Plan) -> Iterator[str]:
    """A line for each: `mon 7 dec  a customer: 2 frenched rack - held: 1 loin left whole`."""
    for each in plan.later:
        yield later_text(plan.scenario, each)


def later_text(scenario: Scenario, each: Later) -> str:
    """One of them in a line."""
    amount = scenario.show_amount(each.cut, each.ordered)
    what = f"{amount} {clip(each.cut, 32)}"
    said = f"{show_day(scenario.date(each.day))}  {clip(each.buyer, 28)}: {what}"
    whole = [f"{count} {piece_name(scenario, of, piece)}" for of, piece, count in each.whole]
    left = f"{', '.join(whole)} left whole" if whole else "what is left of it in the case"
    if each.full:
        return f"{said} - held: {left}"
    if each.held <= 0:
        return f"{said} - {WHY[each.why] if each.why != 'left' else f'NOT HELD: {WHY[each.why]}'}"
    held = scenario.show_amount(each.cut, each.held)
    return f"{said} - ONLY {held} HELD ({left}): {WHY[each.why]}"
