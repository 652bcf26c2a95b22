"""The days of sales that a journal has: what each says of what was wanted.

What a day says of a cut:

- A day on which the shop has recorded no sale of anything is not known: closed, or not entered.
- A day is sold out where an entry says so, or where nothing of it should have been left.
- A day with none of it in the shop says nothing: neither a zero nor a want.
- Sales recorded of other cuts, this one there and none sold: nobody wanted it.
- What was picked up as an order is no sale over the counter, so no want either.
- What was sold at a price nearer to shop.yaml's markdown than to its full price was bought because
  it was cheap: no want at the full price. Any other price is taken as a full one of its time. A day
  with nothing but such sales says nothing.

The stock is an estimate, and a journal may have sales alone (imported from a till). So a day counts
as sold out by the stock only where the stock explains what was sold on it, and the cut is followed:
some should have been there within `FOLLOWED`. Of a cut that is not, days without a sale count as
zeros while it was sold within `IN_THE_SHOP`: nobody can tell them from days without stock.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.core.scenario import Demand, Scenario
from planner.core.signs import shown_line
from planner.journal.entries import Recorded, Sold, Wasted
from planner.learn.demand import MOST_WEEKS, CutDays, SoldDay, monday_of
from planner.shop.stock.availability import DayStock, is_nothing, shelves
from planner.shop.stock.name_lookup import Known

FOLLOWED = timedelta(days=14)
"""How long after the last stock of it a cut counts as followed in the journal.

Reasoned: longer than a cut is left off while it is cut every week or two, shorter than somebody
goes on counting after all who count are gone.
"""

IN_THE_SHOP = timedelta(days=42)
"""How long after its last sale a cut that is not followed counts as offered.

Reasoned: a cut that nobody buys for six weeks is taken off the list; one asked for less is not
planned by weekdays.
"""

MISSING = 0.1
"""Share by which more may be sold than there should have been, for the stock to be believed.

Reasoned: twice what the stock is off by (`availability.REST`); one sale too many is no reason.
"""

MOST_NAMED = 6
"""Names that are told of those that nobody knows: a line of them."""


@dataclass(frozen=True)
class Sales:
    """What is known of the sales of each cut in the weeks before that of a day.

    `week` is that of shop.yaml, `first` the first day planned; `cuts` are those that were sold, in
    the order of the recipes; `warnings` what could not be used, a sentence each.
    """

    week: Scenario
    first: date
    cuts: Mapping[str, CutDays]
    warnings: tuple[str, ...]

    @property
    def before(self) -> date:
        """The day before which the sales are: the Monday of the week planned."""
        return monday_of(self.first)


@dataclass(slots=True)
class _Day:
    """What was entered of a cut on a day: sold at the full price, and marked down."""

    full: float = 0.0
    markdown: float = 0.0
    sold_out: bool = False
    wasted: bool = False

    @property
    def any(self) -> bool:
        return self.full > 0 or self.markdown > 0


def observe(week: Scenario, recorded: Sequence[Recorded], first: date) -> Sales:
    """What the journal says of the sales before a week; parameters as in `expected_wants`."""
    monday = monday_of(first)
    far = monday - timedelta(weeks=MOST_WEEKS)
    entries = [each.entry for each in recorded if far <= each.entry.day < monday]
    sold = [each for each in entries if isinstance(each, Sold)]
    wasted = [each for each in entries if isinstance(each, Wasted)]
    entered, warnings = _entered(week, sold, wasted)
    names = [name for name in week.cuts if name in entered]
    days = sorted({each.day for each in sold})
    shelf = shelves(week, recorded, days, names)
    cuts = {
        name: CutDays(
            by_each=week.cuts[name].by_each,
            guess=demand.want if demand and demand.price is not None else None,
            days=dict(_days(name, entered[name], days, shelf, by_each=week.cuts[name].by_each)),
        )
        for name in names
        for demand in (week.demand.get(name),)
    }
    return Sales(week, first, cuts, warnings)


def _entered(
    week: Scenario, sold: Sequence[Sold], wasted: Sequence[Wasted]
) -> tuple[dict[str, dict[date, _Day]], tuple[str, ...]]:
    """What was entered of each cut and day, and what is unlikely about it."""
    known = Known(week)
    entered: dict[str, dict[date, _Day]] = {}
    unknown: dict[str, None] = {}
    other_way: dict[str, None] = {}
    for each in sold:
        cut = known.cut(each.cut)
        if cut is None:
            unknown[shown_line(each.cut)] = None
        elif cut.by_each != each.quantity.by_each:
            other_way[cut.name] = None
        else:
            day = entered.setdefault(cut.name, {}).setdefault(each.day, _Day())
            day.sold_out |= each.sold_out
            if is_markdown(each, week.demand.get(cut.name)):
                day.markdown += each.quantity.amount
            else:
                day.full += each.quantity.amount
    for one in wasted:
        cut = known.cut(one.what)
        if cut is not None and one.day in entered.get(cut.name, {}):
            entered[cut.name][one.day].wasted = True
    warnings = [
        f"{name}: sales that were not entered as it is sold (weight, each) are left out"
        for name in other_way
    ]
    if unknown:
        more = len(unknown) - MOST_NAMED
        told = ", ".join(list(unknown)[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
        warnings.insert(0, f"sales of what no recipe here makes are left out: {told}")
    return entered, tuple(warnings)


def is_markdown(entry: Sold, demand: Demand | None) -> bool:
    """Whether a sale was at a price nearer to the markdown's than to the full one."""
    if entry.money is None or entry.quantity.amount <= 0 or demand is None or not demand.price:
        return False
    if not 0 < demand.markdown_price < demand.price or not any(demand.markdown_want):
        return False
    return entry.money / entry.quantity.amount < (demand.markdown_price + demand.price) / 2


def _days(
    name: str,
    entered: Mapping[date, _Day],
    days: Sequence[date],
    shelf: Mapping[date, DayStock],
    *,
    by_each: bool,
) -> Iterator[tuple[date, SoldDay]]:
    """The days that are known of a cut, from when it was first there or sold."""
    stocked = sold = date.min
    nothing = _Day()
    for day in days:
        what = entered.get(day, nothing)
        had, left = shelf[day].had[name], shelf[day].left[name]
        some_left = not is_nothing(left, by_each=by_each)
        stocked = day if some_left or not is_nothing(had, by_each=by_each) else stocked
        sold = day if what.any else sold
        followed = stocked > date.min and day - stocked <= FOLLOWED
        if what.full > 0:
            sold_in_all = what.full + what.markdown
            gone = followed and not what.wasted and _gone(sold_in_all, had, left, by_each=by_each)
            yield day, SoldDay(what.full, what.sold_out or gone)
        elif not what.any and not what.sold_out:
            offered = some_left if followed else sold > date.min and day - sold <= IN_THE_SHOP
            if offered:
                yield day, SoldDay(0.0)


def _gone(sold: float, had: float, left: float, *, by_each: bool) -> bool:
    """Whether nothing was left, of a stock that explains what was sold."""
    missing = sold - (1 + MISSING) * had
    return is_nothing(missing, by_each=by_each) and is_nothing(left, by_each=by_each, had=had)
