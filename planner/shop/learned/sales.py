"""Sales out of the journal, and what they say of the wants in shop.yaml."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.scenario import Scenario
from planner.files.days import spread
from planner.journal.entries import Recorded
from planner.learn.backtest import Score
from planner.learn.demand import CutDays, CutWant, learn_wants, score_wants
from planner.shop.learned.observed import Sales, observe


@dataclass(frozen=True)
class CutWants:
    """The want of a cut from Monday to Sunday: what is expected, and what the file has.

    `learned` is the expected want, its spread, and how much of it is learned, by weekday. `want` is
    what is planned with: the expected one; of cuts sold by each in whole numbers that keep the
    week's total; nothing on days on which the shop is closed. `file` is None where shop.yaml has no
    price for it: then it is learned, and not planned with. `days` are those known by weekday, so
    many of them `sold_out`.
    """

    cut: str
    learned: CutWant
    want: tuple[float, ...]
    file: tuple[float, ...] | None
    days: tuple[int, ...]
    sold_out: tuple[int, ...]

    @property
    def used(self) -> str:
        """`file`, `learned`, or `between`, over the days on which something is wanted or sold."""
        used = {self.used_on(day) for day, known in enumerate(self.days) if known}
        return used.pop() if len(used) == 1 else "between" if used else "file"

    def used_on(self, day: int) -> str:
        """The same of a weekday; `between` also where what was sold raises the file's want."""
        trust = self.learned.trust[day]
        if trust >= 1:
            return "learned"
        file = None if self.file is None else self.file[day]
        return "file" if trust <= 0 and self.learned.want[day] == file else "between"


def expected_wants(
    week: Scenario, recorded: Sequence[Recorded], first: date
) -> Mapping[str, tuple[float, ...]]:
    """The wants to plan a calendar week with, as shop.yaml has it, from what was sold before a day.

    Sales of the calendar week of `first` and later ones are not looked at, so on every day of a
    week the wants are the same: pounds or each from Monday to Sunday, of cuts that have enough
    sales on some weekday; on weekdays that have not, it is the file's want.
    """
    return {
        each.cut: each.want
        for each in learned_wants(observe(week, recorded, first))
        if each.file is not None and each.used != "file"
    }


@dataclass(frozen=True)
class Demanded:
    """The wants of a calendar week as the shop's sales tell them, of every cut that was sold.

    `unsold` are cuts with a price of which no sale is known before the week: the file's want
    stands. `scores` is a back-test of each cut, where it was asked for.
    """

    sales: Sales
    wants: tuple[CutWants, ...]
    unsold: tuple[str, ...]
    scores: Mapping[str, Score] | None

    @property
    def week(self) -> Scenario:
        """As shop.yaml has it."""
        return self.sales.week


def demanded(
    week: Scenario, recorded: Sequence[Recorded], first: date, *, scored: bool = False
) -> Demanded:
    """All about the wants; parameters as in `expected_wants`, with a back-test where `scored`."""
    sales = observe(week, recorded, first)
    unsold = (
        name
        for name, demand in week.demand.items()
        if demand.price is not None and name not in sales.cuts
    )
    scores = score_wants(tuple(sales.cuts.values()), week.traffic, first) if scored else ()
    told = dict(zip(sales.cuts, scores, strict=True)) if scored else None
    return Demanded(sales, learned_wants(sales), tuple(unsold), told)


def learned_wants(sales: Sales) -> tuple[CutWants, ...]:
    """The wants of every cut that was sold."""
    week = sales.week
    learned = learn_wants(tuple(sales.cuts.values()), week.traffic, sales.first)
    return tuple(
        _cut_wants(week, name, days, want)
        for (name, days), want in zip(sales.cuts.items(), learned, strict=True)
    )


def _cut_wants(week: Scenario, name: str, days: CutDays, learned: CutWant) -> CutWants:
    want = tuple(
        each if open_ > 0 else 0.0 for each, open_ in zip(learned.want, week.traffic, strict=True)
    )
    if days.by_each and sum(want) > 0:
        want = spread(round(sum(want)), want, whole=True)
    weekdays = range(week.days)
    return CutWants(
        cut=name,
        learned=learned,
        want=want,
        file=days.guess,
        days=tuple(sum(day.weekday() == each for day in days.days) for each in weekdays),
        sold_out=tuple(
            sum(what.sold_out and day.weekday() == each for day, what in days.days.items())
            for each in weekdays
        ),
    )
