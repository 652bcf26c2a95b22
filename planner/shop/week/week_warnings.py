"""What is unlikely about a shop's week: sentences, those first that change what is planned."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from planner.core.quantities import show_day
from planner.core.scenario import Scenario
from planner.core.word_lists import and_list
from planner.journal.entries import PlanKept, Recorded
from planner.shop.stock.entry_order import COUNTED_LAST, CUT, step_of
from planner.shop.stock.on_hand import OpenOrder, Stand
from planner.shop.stock.replay import TOLD
from planner.shop.week.remaining_days import Due

MOST = 6
"""Sentences told before a plan: more are not read, and push the plan off the screen."""

NAMED = 3
"""Orders, or days, that one sentence names."""


def told_of(
    scenario: Scenario,
    stand: Stand,
    recorded: Sequence[Recorded],
    *,
    due: Sequence[Due],
    lowered: Sequence[str],
    open_days: Sequence[int],
) -> tuple[str, ...]:
    """What is unlikely, `MOST` sentences of it; where there are more, how many are left out.

    `stand` is that of the first day planned, `due` the orders planned, `lowered` what is said of
    rules that cannot be kept any more, `open_days` weekdays, 0 for Monday.
    """
    told = (
        *_moved(due),
        *_worth_nothing(scenario, due),
        *lowered,
        *_counted_already(stand.day, recorded),
        *_nothing_entered(stand.day, recorded, open_days),
        *_overdue(scenario, stand),
        *stand.warnings,
    )
    more = len(told) - MOST
    return told if more <= 0 else (*told[:MOST], f"and {more} more")


def _moved(due: Sequence[Due]) -> Iterator[str]:
    for each in due:
        if each.day != each.order.day:
            yield (
                f"{_said(each.order)} is due {show_day(each.order.day)}, when the shop is closed: "
                f"set aside on {show_day(each.day)}"
            )


def _worth_nothing(scenario: Scenario, due: Sequence[Due]) -> Iterator[str]:
    for each in due:
        if each.order.price is None and not scenario.price(each.order.cut):
            yield f"{_said(each.order)} has no price, nor has the cut: planned as worth nothing"


def _counted_already(day: date, recorded: Sequence[Recorded]) -> Iterator[str]:
    if any(one.entry.day == day and step_of(one.entry) == COUNTED_LAST for one in recorded):
        tomorrow = show_day(day + timedelta(days=1))
        yield f"{show_day(day)} was counted at its close already: plan from {tomorrow}"


def _nothing_entered(
    first: date, recorded: Sequence[Recorded], open_days: Sequence[int]
) -> Iterator[str]:
    """Open days before the first planned of which nobody has said what was done on them."""
    since = _entered_up_to(first, recorded)
    if since is None:
        return
    since = max(since, first - TOLD - timedelta(days=1))
    days = [since + timedelta(days=number) for number in range(1, (first - since).days)]
    days = [each for each in days if each.weekday() in open_days]
    if days:
        one = len(days) == 1
        what = "it" if one else "these days"
        yield (
            f"no work and no sales were entered for {_days(days)}: what was planned for {what} is "
            "taken as not done, and nothing as sold"
        )


def _entered_up_to(first: date, recorded: Sequence[Recorded]) -> date | None:
    """The last day with work, sales or a count at its close; else the day before any plan."""
    done = [
        one.entry.day
        for one in recorded
        if one.entry.day < first and (step_of(one.entry) or 0) >= CUT
    ]
    plans = [one.entry.day for one in recorded if isinstance(one.entry, PlanKept)]
    if done:
        return max(done)
    return min(plans) - timedelta(days=1) if plans else None


def _days(days: Sequence[date]) -> str:
    names = [show_day(each) for each in days]
    if len(names) > NAMED:
        return f"{len(names)} days from {names[0]} to {names[-1]}"
    return and_list(names)


def _overdue(scenario: Scenario, stand: Stand) -> Iterator[str]:
    """Orders of days gone; what is left of one that was picked up in part is let go in time."""
    overdue = [each for each in stand.orders if each.day < stand.day]
    for each in overdue:
        if each.day >= stand.day - TOLD:
            if each.begun:
                yield f"{_in_full(scenario, each)}: so much of it was not picked up"
            else:
                yield f"{_said(each)} was due {show_day(each.day)} and is not marked as filled"
    older = [each for each in overdue if each.day < stand.day - TOLD and not each.begun]
    if older:
        names = [_in_full(scenario, each) for each in older[:NAMED]]
        if len(older) > NAMED:
            names.append(f"and {len(older) - NAMED} more: breakplan journal --open")
        first = older[0].number
        how = f'journal add "filled {first}", or journal undo {first}'
        yield f"never marked as filled: {'; '.join(names)}; end it with: breakplan {how}"


def _said(order: OpenOrder) -> str:
    return f"order {order.number} ({order.cut}, for {order.buyer})"


def _in_full(scenario: Scenario, order: OpenOrder) -> str:
    amount = scenario.units.show(scenario.quantity(order.cut, order.amount))
    return (
        f"order {order.number} ({amount} {order.cut} for {order.buyer}, due {show_day(order.day)})"
    )
