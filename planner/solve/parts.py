"""A long period in parts: days are planned one window after the other.

A window is planned like any week, with the stock that the days before leave; its first days are
kept, the rest only looks ahead, and the next window begins where they end (rolling horizon).
Nothing is proven so: the bound is that of a relaxation of the whole period, where the time allows
one, else what nobody could earn (`planner.solve.ceiling`).

Orders beyond a window are not seen from it. Where some fall short in the end, the period is planned
once more, and every window before their day holds pieces or cuts for them; the better of the two is
the plan.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

from planner.core.errors import NoPlanInTimeError, TooLargeError
from planner.core.scenario import GrindRule, Held, Lot, Rule, Scenario, Stock
from planner.solve.ceiling import ceiling
from planner.solve.engine import INFINITY, Progress
from planner.solve.model import BreakModel
from planner.solve.options import Options, Solution
from planner.solve.replay import Replay
from planner.solve.search import Search
from planner.solve.size import COLUMNS, FEW, LONG, MANY, WHOLE, decisions

AHEAD, KEPT = 12, 7
"""Days of a window, and of it those that are kept."""

FOR_A_BOUND = 0.5
"""Share of the time that a bound of the whole may take at most; else its ceiling is told."""

RELAXED, ROUNDED = 5_000, 5_000
"""Amounts to decide that are relaxed in a second, and for which a window has a plan in one."""

LEAST_TIME = 0.1
"""Seconds for a window."""

LATE, GRACE = 0.1, 0.5
"""Share of the time given, and seconds, by which the windows may take longer than all of it."""

PATIENT = 3.0
"""Times that a window may take of what its first plan took, for a better one to be sought."""

PATIENCE = 2.0
"""Seconds at least for a window whose orders cannot be filled at once."""

EAGER = 2.0
"""Times its worth that a piece counts which a rule asks for."""


def planned_in_parts(
    scenario: Scenario, options: Options, progress: Progress | None = None
) -> Solution:
    """A plan of a long period.

    Raises
    ------
    RulesConflictError
        The rules cannot be kept.
    NoPlanInTimeError
        There is none for some window in the time given.
    """
    began = time.perf_counter()
    for_bound = _for_a_bound(scenario, options)
    ends = began + options.seconds - for_bound
    latest = began + (1 + LATE) * options.seconds + GRACE
    best = _Period(scenario, options, ends, latest, progress).planned()
    short = _short(scenario, best)
    left = ends - time.perf_counter()
    if short and left > time.perf_counter() - began:
        with suppress(NoPlanInTimeError):
            again = _Period(scenario, options, ends, latest, progress, short).planned()
            best = max(best, again, key=lambda each: (_filled(scenario, each), each.objective))
    left = began + options.seconds - time.perf_counter()
    bound = ceiling(scenario)
    if 0 < for_bound * (1 - LATE) < left:
        bound = min(bound, Search(BreakModel(scenario), Options(seconds=left)).at_most())
    seconds = time.perf_counter() - began
    full = not _short(scenario, best)
    return replace(best, bound=bound, orders_proven=full, seconds=seconds)


def too_long(scenario: Scenario, options: Options) -> bool:
    """Whether a period is planned in parts: the solver that is asked for would not get far."""
    if options.bundled or options.plain or options.model_file:
        return False
    breaks, cuts = decisions(scenario, 0, scenario.days - 1)
    if scenario.days > LONG:
        return breaks > FEW
    return scenario.days > 1 and breaks + cuts > WHOLE


def stop_if_in_parts(scenario: Scenario, options: Options, question: str) -> None:
    """Stop before a question that needs a period planned as a whole.

    Raises
    ------
    TooLargeError
    """
    if not too_long(scenario, options):
        return
    what, smaller = f"`days: {scenario.days}` is", f"make `days` {LONG} or fewer"
    if scenario.days <= LONG:
        what, smaller = f"{len(scenario.lots)} lots are", "ask about fewer days, or fewer lots"
    raise TooLargeError(
        f"{what} too large for `{question}`: that much is planned in parts, "
        f"and `{question}` needs a plan made in one; {smaller}"
    )


def _for_a_bound(scenario: Scenario, options: Options) -> float:
    """Seconds to keep for a bound of the whole; none where it would take too many, or memory."""
    amounts = sum(decisions(scenario, 0, scenario.days - 1))
    seconds = amounts / RELAXED
    return seconds if amounts <= COLUMNS and seconds <= FOR_A_BOUND * options.seconds else 0.0


def _short(scenario: Scenario, solution: Solution) -> set[int]:
    orders = scenario.orders
    return {each.index for each in orders if solution.filled[each.index] < each.amount}


def _filled(scenario: Scenario, solution: Solution) -> float:
    return sum(each.price * solution.filled[each.index] for each in scenario.orders)


@dataclass(frozen=True, slots=True)
class _Window:
    """Some days of a period as a period of their own.

    `lots` and `orders` have the numbers in the period of those in the window.
    """

    first: int
    kept: int
    scenario: Scenario
    lots: list[int]
    orders: list[int]


class _Period:
    """One pass over a period."""

    def __init__(
        self,
        scenario: Scenario,
        options: Options,
        ends: float,
        latest: float,
        progress: Progress | None,
        hold: Collection[int] = (),
    ) -> None:
        self._scenario, self._options = scenario, options
        self._ends, self._latest = ends, latest
        self._progress, self._hold = progress, hold
        self._began = time.perf_counter()
        self._ahead = AHEAD
        self._so_far = Solution(
            breaks={},
            bought={lot.index: 0 for lot in scenario.lots if lot.up_to},
            walk_in={},
            marked_down={},
            filled={order.index: 0.0 for order in scenario.orders},
            blended={},
            batches={},
            objective=-INFINITY,
            bound=INFINITY,
            status="time limit",
            orders_proven=not scenario.orders,
            seconds=0.0,
            parts=0,
        )
        self._replay = Replay(scenario, self._so_far)

    def planned(self) -> Solution:
        """The windows one after the other, put together."""
        first, days = 0, self._scenario.days
        while first < days:
            given, began = self._time_for(first), time.perf_counter()
            window = self._window(first, given)
            self._add(window, self._searched(window, given))
            first += window.kept
            took = time.perf_counter() - began
            if took > given:  # look less far ahead
                self._ahead = max(KEPT, self._ahead - 2)
            elif took < given / 2:
                self._ahead = min(AHEAD, self._ahead + 1)
        for rule in self._scenario.rules:
            if rule.verb == "at least" and self._open(rule) > 0:
                raise NoPlanInTimeError(
                    f'no plan found that keeps the rule "{rule}": {days} days are planned in '
                    "parts; make `days` smaller"
                )
        return self._so_far

    def _time_for(self, first: int) -> float:
        """An equal share of the time for each window; what building them takes comes off it."""
        now = time.perf_counter()
        if now > self._latest:
            raise NoPlanInTimeError(
                f"no plan found in {self._options.seconds:g} seconds: allow more with "
                "--seconds, or make `days` smaller"
            )
        windows = max(1.0, (self._scenario.days - first) / KEPT)
        return (self._ends - now) / windows

    def _window(self, first: int, given: float) -> _Window:
        """The days from one on as a scenario: as many as there is memory and time for."""
        days, ahead = self._scenario.days, self._ahead
        quick = min(MANY, ROUNDED * given)
        while ahead > 1:
            amounts = sum(decisions(self._scenario, first, first + ahead - 1))
            if amounts <= (quick if ahead > KEPT else MANY):
                break
            ahead -= 1
        last = min(days, first + ahead)
        kept = last - first if last == days else min(KEPT, ahead)
        self._replay.go_on(self._so_far, first)
        return self._windowed(last, kept)

    def _searched(self, window: _Window, seconds: float) -> Solution:
        """The plan of a window: rules that ask for so many are kept as soon as they can be."""
        began = time.perf_counter()
        scenario = window.scenario
        wanted = [each for each in self._scenario.rules if each.verb == "at least"]
        model = BreakModel(scenario)
        best = max((max(scenario.full_values(lot).values()) for lot in scenario.lots), default=0.0)
        for number, rule in enumerate(wanted):
            most = self._open(rule)
            if most > 0:
                model.reward(model.counted(rule), 0.0, most, 1 + EAGER * best, "rule", number)
        spent = time.perf_counter() - began
        options = replace(self._options, seconds=max(LEAST_TIME, seconds - spent), model_file=None)
        search = Search(model, options)
        soon = search.soon()
        short = bool(_short(scenario, soon))
        if seconds < PATIENT * (time.perf_counter() - began) and not short:
            return soon
        if short:
            patience = min(PATIENCE, self._ends - time.perf_counter())
            options = replace(options, seconds=max(patience, options.seconds))
        try:
            search.change(model, options)
            found = search.solution(self._tell)
        except NoPlanInTimeError:
            return soon
        if short:  # in order value
            return max(soon, found, key=lambda each: (_filled(scenario, each), each.objective))
        return max(soon, found, key=lambda each: each.objective)

    def _open(self, rule: Rule | GrindRule) -> float:
        """What is left of the number in a rule."""
        return rule.number - sum(rule.counted(self._so_far.breaks, self._so_far.blended))

    def _tell(self, seconds: float, best: float, bound: float) -> bool:
        """Time goes by; of the whole nothing is known yet."""
        passed = time.perf_counter() - self._began
        return bool(self._progress and self._progress(passed, -INFINITY, INFINITY))

    def _add(self, window: _Window, found: Solution) -> None:
        """Put the days of a window that are kept to what is decided."""
        first, kept, known = window.first, window.kept, self._so_far
        last = first + kept == self._scenario.days

        def with_moved(before: Mapping[Any, Any], amounts: Mapping[Any, Any]) -> dict[Any, Any]:
            moved = {(*key[:-1], key[-1] + first): n for key, n in amounts.items()}
            return {**before, **{key: n for key, n in moved.items() if key[-1] < first + kept}}

        breaks = Counter(known.breaks)
        for (lot, piece, way, day), count in with_moved({}, found.breaks).items():
            breaks[window.lots[lot], piece, way, day] += count
        bought = {
            window.lots[lot]: head
            for lot, head in found.bought.items()
            if window.scenario.lots[lot].arrives < kept
        }
        filled = {
            window.orders[order]: amount
            for order, amount in found.filled.items()
            if window.scenario.orders[order].day < kept
        }
        self._so_far = replace(
            known,
            breaks=dict(breaks),
            bought={**known.bought, **bought},
            walk_in=with_moved(known.walk_in, found.walk_in),
            marked_down=with_moved(known.marked_down, found.marked_down),
            filled={**known.filled, **filled},
            blended=with_moved(known.blended, found.blended),
            batches=with_moved(known.batches, found.batches),
            held=found.held if last else {},
            cut_after={
                (window.lots[lot], piece, way, day + first): count
                for (lot, piece, way, day), count in (found.cut_after if last else {}).items()
            },
            parts=known.parts + 1,
        )

    def _windowed(self, last: int, kept: int) -> _Window:
        """The days from where the replay stands to before `last`, with what is left by then."""
        scenario, replay, first = self._scenario, self._replay, self._replay.day
        lots: list[Lot] = []
        numbers: list[int] = []
        for lot in scenario.lots:
            for piece, shelf in replay.ledger.pieces[lot.index].items():
                for portion in shelf.portions:
                    numbers.append(lot.index)
                    lots.append(
                        replace(
                            lot,
                            index=len(lots),
                            piece=piece,
                            count=round(portion.amount),
                            weight=lot.weights()[piece],
                            arrives=0,
                            keeps=portion.last_day - first + 1,
                            up_to=False,
                            cost=0.0,
                        )
                    )
        for lot in scenario.lots:
            if first <= lot.arrives < last:
                numbers.append(lot.index)
                lots.append(replace(lot, index=len(lots), arrives=lot.arrives - first))
        case = scenario.case
        if first:
            case = tuple(
                Stock(name, portion.amount, portion.last_day - first + 1)
                for name, shelf in replay.ledger.cuts.items()
                for portion in shelf.portions
            )
        orders = [each for each in scenario.orders if first <= each.day < last]
        held = list(scenario.held)
        if last < scenario.days:  # cut no sooner than it keeps, and after the window
            held = [
                Held(each, max(last, each.day - scenario.cuts[each.cut].keeps + 1))
                for each in scenario.orders
                if each.index in self._hold and each.day >= last
            ]
        window = replace(
            scenario,
            starts=scenario.date(first),
            days=last - first,
            lots=tuple(lots),
            bench=scenario.bench and scenario.bench[first:last],
            case=case,
            demand={
                name: replace(
                    each,
                    want=each.want[first:last],
                    markdown_want=each.markdown_want[first:last],
                )
                for name, each in scenario.demand.items()
            },
            orders=tuple(
                replace(each, index=n, day=each.day - first) for n, each in enumerate(orders)
            ),
            rules=tuple(self._rules_left()),
            traffic=scenario.traffic[first:last],
            held=tuple(
                replace(
                    each,
                    order=replace(each.order, index=n, day=each.order.day - first),
                    cut_on=None if each.cut_on is None else each.cut_on - first,
                )
                for n, each in enumerate(held)
            ),
        )
        return _Window(first, kept, window, numbers, [each.index for each in orders])

    def _rules_left(self) -> Iterator[Rule | GrindRule]:
        """The rules as they are for the days to come; those that ask for so many are rewarded."""
        for rule in self._scenario.rules:
            if rule.verb != "at most":
                if rule.verb != "at least":
                    yield rule
            elif isinstance(rule, GrindRule):
                yield replace(rule, pounds=max(0.0, self._open(rule)))
            else:
                yield replace(rule, count=max(0, round(self._open(rule))))
