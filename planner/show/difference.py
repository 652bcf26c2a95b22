"""What a change does, in one sentence: orders first, then money, bench time and trim."""

from __future__ import annotations

import math
from collections.abc import Callable

from planner.ask.plan_difference import OrderChange
from planner.ask.whatif import WhatIf
from planner.core.quantities import show_count
from planner.core.units import Units
from planner.core.word_lists import and_list
from planner.files.changes import Change
from planner.show.layout import clip

ROUND = 10.0  # money from here on is told without cents, where what is known is wider than 1.00
ORDERS = 3  # orders that are named; of others only the number


def sentence(answer: WhatIf) -> str:
    """`With "never rack: frenched" the week earns $41 to $43 less, and takes ...`."""
    beside = answer.beside
    if answer.verdict == "nothing changes":
        said = and_list([_text(each) for each in answer.changes]) or "this"
        verb = "change" if len(answer.changes) > 1 else "changes"
        return f"{said} {verb} nothing: it is so already."
    period = period_word(beside.before.scenario.days)
    orders = [_order(answer, each) for each in beside.orders if each.stays]
    told = [f"earns {earned(answer)}{_paid(answer)}", _minutes(answer), _trim(answer)]
    head = f"With {and_list([_named(each) for each in answer.changes]) or 'this'} "
    if orders:
        rest = len(orders) - ORDERS
        more = [f"{rest} more orders are filled differently"] if rest > 0 else []
        filled = and_list([*orders[:ORDERS], *more])
        head += f"{filled}; the {period}, since the orders are filled differently, "
    elif answer.verdict == "no difference":
        head += f"there is no difference worth mentioning: the {period} "
    else:
        head += f"the {period} "
    return f"{head}{and_list([each for each in told if each])}."


def period_word(days: int) -> str:
    """What the days planned are called."""
    if days == 1:
        return "day"
    return "week" if days <= 7 else "period"


def earned(answer: WhatIf) -> str:
    """`$41 to $43 less`, `between $0.40 less and $0.31 more`, and whether that is settled."""
    said = _more_or_less(answer, answer.least, answer.most)
    return said if answer.settled else f"{said} (not settled in {answer.seconds:g} s a plan)"


def _more_or_less(answer: WhatIf, fewest: float, greatest: float) -> str:
    """Money between two ends in words."""
    least, most, money = outward(fewest, greatest, answer.beside.before.scenario.units)
    low, high = sorted((least, most), key=abs)
    if least < 0 < most:
        return f"between {money(least)} less and {money(most)} more"
    if high == 0:
        return "the same"
    span = "" if low == high else f"{money(low) if low else 'nothing'} to "
    return f"{span}{money(high)} {'less' if high < 0 else 'more'}"


def earned_range(answer: WhatIf) -> str:
    """`-$43 to -$41`, for a table."""
    least, most, money = outward(answer.least, answer.most, answer.beside.before.scenario.units)
    ends = [f"{'-' if end < 0 else '+' if end else ''}{money(end)}" for end in (least, most)]
    said = " to ".join(dict.fromkeys(ends))
    return said if answer.settled else f"{said}, open"


def outward(least: float, most: float, units: Units) -> tuple[float, float, Callable[[float], str]]:
    """Two ends rounded outwards, so that what is told is proven, and how their size is shown."""
    cents = most - least < 1 or max(abs(least), abs(most)) < ROUND
    step = 100 if cents else 1
    # a hair of rounding is not to widen what is proven to the cent
    low = math.floor(least * step + 1e-4) / step
    high = math.ceil(most * step - 1e-4) / step

    def money(value: float) -> str:
        text = units.money(abs(value))
        return text if cents else text.replace(".00", "")

    return low, high, money


def _paid(answer: WhatIf) -> str:
    """What the head on the rail cost more, which is no part of the score, and what is left then."""
    if not answer.beside.paid.differs:
        return ""
    paid = answer.beside.paid.change
    amount = answer.beside.before.scenario.units.money(abs(paid))
    net = _more_or_less(answer, answer.least - paid, answer.most - paid)
    return f" before paying {amount} {'more' if paid > 0 else 'less'} for head: {net} in all"


def _text(change: Change) -> str:
    return f'"{clip(change.text, 80)}"'


def _named(change: Change) -> str:
    """A change in the user's own words."""
    if change.kind == "drop-order":
        return f"orders of {_text(change)} dropped"
    return _text(change) if change.kind == "rule" else f"{change.kind} {_text(change)}"


def _order(answer: WhatIf, order: OrderChange) -> str:
    scenario = answer.beside.before.scenario
    day, buyer = scenario.day_labels[order.day], clip(order.buyer, 40)
    cut, before, after = clip(order.cut, 40), order.before or 0.0, order.after or 0.0
    if not after:
        amount = scenario.show_amount(order.cut, order.ordered)
        return f"{buyer} gets all of the {amount} {cut} on {day}"
    said = f"{buyer} goes {scenario.show_amount(order.cut, after)} {cut} short on {day}"
    return f"{said} instead of {scenario.show_amount(order.cut, before)}" if before else said


def _minutes(answer: WhatIf) -> str:
    minutes = answer.beside.minutes
    number = float(f"{abs(minutes.change):.0f}")
    if number:
        more = "more" if minutes.change > 0 else "fewer"
        return f"takes {show_count(number, f'{more} minute')} of bench time"
    return "takes as much bench time" if minutes.before else ""


def _trim(answer: WhatIf) -> str:
    """What more, or less, trim lies over; the grind is named where there is one."""
    scenario, over = answer.beside.before.scenario, answer.beside.kinds[0].over
    if not scenario.units.shows(abs(over.change)):
        return ""
    amount = scenario.units.weight(abs(over.change))
    if over.change < 0:
        return f"leaves {amount} less trim over"
    grind = bool(scenario.blends)
    return f"leaves {amount} more trim {'that no grind takes' if grind else 'over'}"
